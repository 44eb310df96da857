"""Tests of the command line, the service and their work."""
