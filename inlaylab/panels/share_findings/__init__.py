"""Notebook 7: choose what to share, and write the page."""
