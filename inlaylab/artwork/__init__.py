"""Artwork: drawings in, the medial axis, the virtual cut, drawings out."""
