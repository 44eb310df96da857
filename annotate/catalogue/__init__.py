"""The movements known by name, and how each of them looks and is counted."""
