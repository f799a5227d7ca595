"""Notebook 5: from a drawing to the inlay it will become."""
