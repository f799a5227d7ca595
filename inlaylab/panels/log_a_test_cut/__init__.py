"""Notebook 3: log a test cut, station by station."""
