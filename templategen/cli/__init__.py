"""Commands, progress and wording for people."""
