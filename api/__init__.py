"""The ways in from outside: command line and HTTP. They call ``annotate`` and analyse nothing."""
