"""The timed script for the next take: what to say when, and what to change."""
