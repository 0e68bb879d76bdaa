"""Shop and job files: text in, checked objects out."""
