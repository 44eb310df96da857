"""The class plan: its model, its timeline, and the files it is read from."""
