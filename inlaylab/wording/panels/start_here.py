"""What notebook 0 says of the shop at a glance."""

from __future__ import annotations

from inlaylab.wording.lengths import both, count

SECTION = "An inlay in section, at the depths of your newest cut"
EXAMPLE_SECTION = "An inlay in section, at made-up depths"
SECTION_HINT = (
    "The plug goes in upside down. Its walls should meet the pocket's walls before its nose stands on the floor: then "
    "the glue lines close. The start depth decides which comes first."
)
YOUR_SHOP = "Your shop"
SECONDS, SECONDS_EACH = "takes a few seconds", "takes a few seconds for each"
LIKELY, FLOOR_GAP_NEEDED, WORST_LINE = "likely range", "floor gap needed", "worst line to expect"
WORTH_CHANGING, NOTHING = "worth changing", "nothing"
NOTHING_SO_FAR = "Nothing so far."
CHANCE = "chance of good lines"
UNIT = "lengths are shown in"
REPLAY = "Try it on your past cuts"
REPLAY_HINT = "as if each had been forecast; one fit for each cut"
ANSWERS = "A start depth for each bit and pair"
TAUGHT = "What did each cut teach?"
KNOWN = "What is known, and how sure"
BESIDE = "Your shop beside others"
NEXT = "What is worth measuring next"
TAUGHT_TITLE = "What each cut taught, for the question of your newest cut"
WEAR = "How the bits wear"
MISTAKES = "What looks like a mistake"
ANSWERS_TABLE = (
    "The deepest start depth that costs no glue line you could see, in 19 of 20 cuts; good: within a hairline"
)
FILLING = "Which strokes fill"
WHICH_DEPTH = "Which start depth"
WHICH_CUT = "Which cut next?"


def with_unit(what: str, unit: str) -> str:
    """Put the unit behind what stands above a column."""
    return f"{what} [{unit}]"


def holds(*, cuts: int, readings: int, bits: int, pairs: int, coupons: int) -> str:
    """Say what a log holds."""
    return (
        f"{count(cuts, 'test cut')} with {count(readings, 'reading')}, {count(bits, 'bit')}, "
        f"{count(pairs, 'species pair')}, {count(coupons, 'coupon')}."
    )


def depths_line(start_depth: float, pocket_depth: float, relief_depth: float, unit: str, *, coupon: str) -> str:
    """Say at which depths to make the next cut [mm], and on which coupon, if on one."""
    said = (
        f"Start depth {both(start_depth, unit)}, pocket depth {both(pocket_depth, unit)}, relief depth "
        f"{both(relief_depth, unit)}"
    )
    return f"{said}, coupon {coupon.removeprefix('coupon ')}." if coupon else f"{said}."
