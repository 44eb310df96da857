"""The two networks run through LiteRT: detector, crop, landmarks, tracking."""
