"""Every door to the outside: command line and HTTP. Knows no analysis; calls ``annotate``."""
