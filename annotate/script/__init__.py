"""The timed script for the next take."""
