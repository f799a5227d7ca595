"""What notebook 8 says beside its sliders."""

from __future__ import annotations

from inlaylab.wording.lengths import count

SECTION = "1 · The section: what holds the plug up"
SECTION_ABOUT = (
    "Every place where plug and pocket could touch holds the plug at some height; the highest wins, and sets every "
    "glue line."
)
BEND = "2 · The bend: why not start deeper?"
BEND_ABOUT = (
    "The settings above at every start depth. Up to the bend the plug rests on what no start depth changes, at best "
    "its walls; past it the tip stands on the pocket's bottom, and every bit deeper opens the lines. Change the tip "
    "flat or a zero and watch the bend move."
)
CHANCE = "3 · The chance: no two cuts are alike"
CHANCE_ABOUT = (
    "Say how far your cuts stray: two in three by less than the give or take, the rest by more. The same cut is then "
    "made 4,000 times on paper. Notebook 4 does this with what your log taught it instead of these sliders."
)
AGAIN_HINT = "to the newest cut's depths and bit"
AGAIN = "Put everything back"

WITHIN = "good enough: every glue line within"
HOST_ZERO = "host cut too deep by"
INSERT_ZERO = "insert cut too deep by"
FLAT_SPREAD = "tip flat, give or take"
HOST_SPREAD = "host's zero, give or take"
INSERT_SPREAD = "insert's zero, give or take"
ANGLE_SPREAD = "true angle, give or take"
CRESTS_LOST = "crests lost"


def widths(number: int) -> str:
    """Say how many stroke widths were typed."""
    return count(number, "width")


def up_to_strokes(most: int) -> str:
    """Say how many stroke widths may be typed."""
    return f"1 to {most} of them"
