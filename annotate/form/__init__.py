"""How repetitions were done: depth, watched points, jumps, sides, back line, and drift."""
