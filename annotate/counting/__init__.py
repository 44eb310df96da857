"""Repetitions: where they are, how many, of which movement, seen from where."""
