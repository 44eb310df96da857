"""The known movements: how each of them looks and is counted."""
