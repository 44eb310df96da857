"""How each repetition was done: depth, watched points, jumps, sides, back line, and drift."""
