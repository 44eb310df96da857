"""Movement signals of a track: filtered, scaled to the body, registered by name."""
