"""Plans how to core nested bowls from a green blank and prints the templates full size."""

__version__ = "0.1.0"
