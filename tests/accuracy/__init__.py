"""Accuracy measured, not tested: ``python -m tests.accuracy`` prints the tables."""
