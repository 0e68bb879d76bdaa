"""A club's lists of blanks, its runs, its index page and its archive."""
