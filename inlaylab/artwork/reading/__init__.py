"""Drawings in: SVG, DXF, WKT and bitmaps become clean polygons in millimetres."""
