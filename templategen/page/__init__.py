"""The local page: a server for one turner on this machine alone, and its static files."""
