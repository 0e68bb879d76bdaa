"""Small line drawings that show where a part is held; `parts.use_sketch` finds them by kind."""
