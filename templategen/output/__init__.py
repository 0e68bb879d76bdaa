"""Files: a drawing in, a file out."""
