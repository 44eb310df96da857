"""From a clip to a track: in chunks, several at once, cached."""
