"""The review: its model, the questions asked of it, reading it, and edits by hand."""
