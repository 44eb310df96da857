"""What was said: captions, cues found in them, and each cue against the footage."""
