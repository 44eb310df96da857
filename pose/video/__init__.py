"""A clip as a file: which ones may be opened, what they hold, and their pictures and sound."""
