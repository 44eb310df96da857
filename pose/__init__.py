"""What the camera saw: a clip in, a :class:`~pose.track.PoseTrack` out. Knows nothing of plans."""
