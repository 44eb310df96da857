"""Movement signals of a track: filtered, scaled to the body, each with one name."""
