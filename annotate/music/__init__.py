"""The music of the clip: its beat, and the movement compared with it."""
