"""The medial axis of an artwork, and what is read off it: widths, strokes, thin strokes, grain."""
