"""Notebook 4: ask the log which settings to use."""
