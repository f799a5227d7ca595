"""Notebook 0: an inlay in section, what the shop knows, and what is worth doing next."""
