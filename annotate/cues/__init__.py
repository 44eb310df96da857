"""What was said: captions, the cues in them, and each cue compared with the footage."""
