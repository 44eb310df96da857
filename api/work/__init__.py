"""Doing and keeping reviews: the folder of files, the worker processes, many clips."""
