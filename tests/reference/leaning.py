"""Slow reference for a leaning spindle: two boards cut on a grid, the plug slid and lowered until it touches."""

import numpy as np

STEP = 0.004  # [mm] grid of the section, and of the sideways shifts


def _cut(x, position, depth, *, angle, lean, tip_flat):
    """Depth that a bit removes whose flank towards +x is flatter by the lean."""
    beyond = x - position
    towards = np.tan(np.radians(angle / 2 + lean * np.sign(beyond)))
    return depth - np.maximum(np.abs(beyond) - tip_flat / 2, 0) / towards


def rest(*, lean, turned_across, half_width, start_depth, pocket_depth, relief_depth, angle, tip_flat, play=0.6):
    """Stand-off and the two glue lines at the face, of the lowest seat over sideways shifts."""
    slope = np.tan(np.radians(angle) / 2)
    x = np.arange(-half_width - 3, half_width + 3, STEP)
    bit = {"angle": angle, "tip_flat": tip_flat}
    rim = half_width - pocket_depth * slope
    floor = np.where(np.abs(x) <= rim, pocket_depth, -np.inf)
    pocket = np.max([_cut(x, side * rim, pocket_depth, lean=lean, **bit) for side in (-1, 1)] + [floor], axis=0)
    ground_rim, ground_depth = half_width + relief_depth * slope, start_depth + relief_depth
    plug_lean = -lean if turned_across else lean  # seen in the artwork, which turning over mirrors
    outside = np.where(np.abs(x) >= ground_rim, ground_depth, -np.inf)
    ground = np.max(
        [_cut(x, side * ground_rim, ground_depth, lean=plug_lean, **bit) for side in (-1, 1)] + [outside], axis=0
    )
    pocket, plug = np.maximum(pocket, 0), start_depth - np.maximum(ground, 0)
    shifts = np.arange(-play, play, STEP)
    heights = [(np.interp(x - shift, x, plug) - pocket).max() for shift in shifts]
    height, shift = min(heights), shifts[np.argmin(heights)]
    lowered = np.interp(x - shift, x, plug) - height
    face = 0.02  # [mm] just below the host's face, where both walls stand
    right = x[pocket >= face][-1] - x[lowered >= face][-1]
    left = x[lowered >= face][0] - x[pocket >= face][0]
    return height, right, left
