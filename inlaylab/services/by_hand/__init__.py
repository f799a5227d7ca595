"""Sums with settings that a maker turns by hand, without a fit."""
