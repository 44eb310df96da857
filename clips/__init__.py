"""Demo footage, plans, and the renderer of human figures whose every joint is known."""
