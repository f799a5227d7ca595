"""Notebook 1: measure a bit from grooves and a loupe, and see how it wears."""
