"""Periods: where each activity begins and ends, and which planned period it answers."""
