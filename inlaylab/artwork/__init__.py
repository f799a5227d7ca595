"""Polygons: drawings in and out, the medial axis, the virtual cut."""
