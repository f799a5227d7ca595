"""What can be typed in the panel of notebook 5."""

from __future__ import annotations

from typing import Any

from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry
from inlaylab.wording.panels import plan_an_artwork as words


def plan_form() -> Form:
    """Make the form, blank but for what is usual."""
    far: dict[str, Any] = {"lowest": -10_000.0, "highest": 10_000.0}
    return Form(
        drawing=ChoiceEntry("drawing", required=True),
        file=Entry("file"),
        width=LengthEntry(words.PICTURE_WIDTH, highest=5000.0, above=True),
        drawing_unit=ChoiceEntry(words.DXF_UNIT, options=("mm", "cm", "m", "in", "ft")),
        bit=ChoiceEntry("bit"),
        pair=ChoiceEntry("species pair"),
        limit=LengthEntry("thin-stroke limit", highest=20.0, above=True),
        within=LengthEntry("glue line within", highest=5.0, above=True),
        chance=NumberEntry("chance", lowest=50, highest=99.5, unit="%", typed="90"),
        x_a=LengthEntry("A: x", **far),
        y_a=LengthEntry("A: y", **far),
        x_b=LengthEntry("B: x", **far),
        y_b=LengthEntry("B: y", **far),
        exaggeration=NumberEntry(words.LARGER, lowest=1, highest=20, unit="times", typed="1"),
        border=LengthEntry("border", highest=500.0, above=True, typed="10 mm"),
        pass_spacing=LengthEntry(words.SPACING, highest=50.0, above=True, typed="1 mm"),
        feed=LengthEntry(words.FEED, highest=10_000.0, above=True, typed="1000 mm"),
        film=LengthEntry(words.FILM, highest=2.0, typed="0.05 mm"),
        mirror=ChoiceEntry(words.MIRROR, options=("y", "x")),
        folder=Entry("folder"),
    )
