"""What stands on a findings page: headings, captions, and what is said of question, fit and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.handbook.cautions import DEFER
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import both, count

if TYPE_CHECKING:
    from inlaylab.fitting.fit import Fit

DOCUMENT = "Findings of test cuts: which start depth"
"""Name of the page as a document; a PDF of it carries it too."""
TITLE = "Which start depth? Findings from test cuts"
INTRODUCTION = (
    "For V-bit inlays: a plug cut from an insert sits in a pocket of the host. The start depth decides whether the "
    "plug's walls meet the pocket's before its nose stands on the floor; where it does not, the glue line stays open."
)
HEADINGS = {
    "question": "The question",
    "answer": "The answer",
    "sheet": "For the machine",
    "rests on": "What it rests on",
    "known": "What the log knows",
    "cuts": "The test cuts",
    "forecasts": "How often was this right here?",
    "suspects": "Suspect readings",
    "photos": "Photos",
    "computed": "How it was worked out",
    "cautions": "Cautions",
}
PICTURES = (
    "What the settings would gain; the worst glue line against the start depth, and what it is made of; the section at "
    "the start depth to go by; and the glue line to expect for each stroke width, with readings of comparable cuts."
)
LEAVE_OUT = {
    "names": "the name of the shop and of whoever typed",
    "notes": "the notes of cuts and bits, and columns of your own",
    "photos": "the photos of cuts",
    "days": "the days of dates; the month stays",
}
"""What may be left out of a page, and what that means."""
QUESTION = "The question: which start depth?"
BITS = "Bits: middle value, and the 90% range"
PAIRS = "Species pairs: middle value, and the 90% range"
CUTS = "Test cuts, in the order in which they were logged"
SUSPECTS = "Readings that are probably mistakes; they were kept from spoiling the answer"
CHANCE_OF_MISTAKE, LOOKS_LIKE = "chance of a mistake", "what it looks like"
PHOTOS_LEFT_OUT, NO_PHOTOS = "Photos were left out.", "No photos are in the log."
NO_COMPARABLE = "no readings of comparable cuts yet"
WORKING = "working out the answer"
CAUTIONS = (
    "This is what one shop's readings show, with its bits, woods and machine. Make a test cut of your own first.",
    "Clamp the work, never exceed the speed marked on the bit, keep hands and sleeves away until the bit stands still, "
    "unplug the spindle before you change it, and wear eye and hearing protection.",
    "Wood dust harms lungs, and some woods irritate skin or make it sensitive: use extraction and a mask.",
    "Freeing the plug from its backer is where hands get hurt: use a guard, a fence and push blocks.",
    "Ventilate when you use solvents. Never leave oily rags in a pile: they can start a fire on their own.",
    DEFER,
)
"""Said on every page, whoever it comes from."""
OF_PAGE, OF_LOG = "fingerprint of this page", "fingerprint of the log"
GOOD_ENOUGH, CHANCE_ASKED, WRITING = "good enough", "chance asked for", "writing the page"

NO_BROWSER = "no browser to print with"
BROWSER_OR_NO_PDF = "an installed Chromium, or no PDF"
WHAT_LEFT_OUT = "what to leave out"
PAGE_NAME = "name of the page"
A_PAGE_NAME = "a name that ends in .html"
PAGE_FOLDER = "folder of the page"
A_FOLDER = "a folder that is there"
PRINTED_NOTHING = "the browser printed nothing"
A_BROWSER = "an installed Chromium"
TOO_LONG = "the browser took too long to print"


def strokes(narrowest: float | None, widest: float | None, unit: str) -> str:
    """Say which strokes were asked about [mm]; a usual piece where none were named."""
    if narrowest is None or widest is None:
        return "a usual piece"
    if narrowest == widest:
        return f"strokes {both(narrowest, unit)} wide"
    return f"strokes from {both(narrowest, unit)} to {both(widest, unit)} wide"


def sold_as(bit: str, angle: float) -> str:
    """Name a bit with the angle that it is sold as [degrees]."""
    return f"{bit}, sold as {angle:g}°"


def good_enough(within: float, unit: str) -> str:
    """Say which glue lines are good enough [mm]."""
    return f"every glue line within {both(within, unit)}"


def log_holds(cuts: int, readings: int, written: str) -> str:
    """Say what the log holds, and when the page was written."""
    return f"{count(cuts, 'test cut')}, {count(readings, 'reading')}; written {written}"


def comparable(cuts: list[str]) -> str:
    """Say of which cuts the readings are that stand on a picture."""
    return f"readings of {', '.join(cuts)}" if cuts else NO_COMPARABLE


def photo_named(cut: str) -> str:
    """Name a photo."""
    return f"Photo of cut {cut.removeprefix('cut ')}"


def no_photo(cut: str) -> str:
    """Say that a photo is not there."""
    return f"{photo_named(cut)}: not found beside the log, or not a photo."


def odds(chance: float) -> str:
    """Say what a chance means for many pieces."""
    return f"A chance of {percent(chance)} means that about {100 * (1 - chance):.0f} of 100 pieces turn out worse."


def computed(fit: Fit) -> dict[str, str]:
    """
    Say what a fit learned from, how well its runs agree, and how to work it out again.

    Parameters
    ----------
    fit : fitting.fit.Fit
        The fit.

    Returns
    -------
    rows : dict of str to str
    """
    learned = f"{count(fit.cuts, 'cut')}, {count(fit.readings, 'reading')}, in {fit.seconds:.0f} s"
    agree = (
        f"R-hat {fit.worst_r_hat:.3f} (1 is perfect agreement); at least {fit.smallest_ess:.0f} independent draws; "
        f"{count(fit.divergences, 'divergence')} (steps that went astray)"
    )
    again = (
        "inlaylab import LOG PAGE.html takes the tables that this page carries; then inlaylab fit LOG "
        f"--seed {fit.seed}, and inlaylab findings LOG --out FILE.html"
    )
    return {"learned from": learned, "how well its separate runs agree": agree, "to do it again": again}


def widest_read(unit: str) -> str:
    """Name the column of the widest glue line that was read."""
    return f"widest line read [{unit}]"
