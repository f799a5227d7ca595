"""Notebook 2: draw a coupon for a bit and its depths, write it, and tell the log."""
