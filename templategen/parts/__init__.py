"""The drawn templates: a plan in, drawings out."""
