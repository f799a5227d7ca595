"""Draws from the posterior: where chains start, how they move, and whether they agree."""
