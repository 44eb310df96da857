"""The demo class: a clip of a rendered figure, its plan, what was said, and the truth."""
