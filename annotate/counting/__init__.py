"""Repetitions: where they are, how many, of which movement, and from which view."""
