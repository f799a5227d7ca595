"""What notebook 3 says, and what it says of pictures of a coupon's face."""

from __future__ import annotations

from typing import Any

from inlaylab.wording.lengths import count, fine, length

PICTURE_HOW = (
    "Scan the finished face at 600 dpi, or hold the phone straight above and fill the frame. Lay the coupon on a plain "
    "sheet of another colour, with some of the sheet showing all round. Tried on rendered pictures only, so check the "
    "first ones with a loupe."
)


def picture_proposal(one: Any, unit: str) -> str:
    """
    Say what a picture shows at a station.

    Parameters
    ----------
    one : StationReading
        What was read.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One line.
    """
    said = []
    if one.glue_line is not None and one.sd is not None:
        said.append(f"glue line {fine(one.glue_line, unit)}, give or take {fine(one.sd, unit)}")
    if one.fill is not None:
        said.append(one.fill)
    if one.wedge_stop is not None:
        said.append(f"filling stops at {length(one.wedge_stop, unit)}")
    if one.why:
        said.append(one.why if said else f"not read: {one.why}")
    return "; ".join(said)


def picture_agreement(found: Any, unit: str) -> str:
    """
    Say how well pictures and loupe agreed here, and how many more loupe readings are worth it.

    Parameters
    ----------
    found : Agreement
        From stations read both ways.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One or two sentences.
    """
    if not found.pairs:
        return (
            "No line here was read both ways yet. Please read two lines with the loupe too, one tight and one open: "
            "that shows how far pictures can be trusted in your shop."
        )
    way = "wider" if found.bias > 0 else "tighter"
    said = (
        f"On {count(found.pairs, 'line')} read both ways, pictures read {fine(abs(found.bias), unit)} {way} than the "
        f"loupe on average, give or take {fine(found.bias_sd, unit)}."
    )
    if found.more:
        return said + f" {count(found.more, 'more loupe reading')} would be worth it."
    return said + " More loupe readings would change little."
