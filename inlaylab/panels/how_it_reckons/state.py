"""Settings turned by hand and what follows from them: the state of notebook 8, testable without a screen."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import traitlets

from inlaylab import units
from inlaylab.errors import InputError
from inlaylab.panels.shared.drafts import Draft
from inlaylab.panels.shared.entries import Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, change_unit
from inlaylab.services.by_hand.section import Section
from inlaylab.services.by_hand.turned_by_hand import Bend, Chance, GiveOrTake, Settings, bend_of, chance_of
from inlaylab.services.desk import reader_unit
from inlaylab.wording.answers.by_hand import bend_line, chance_lines, held_line
from inlaylab.wording.panels import how_it_reckons as words

#: What the panel begins with: invented, unless the log's newest cut says otherwise.
BEGIN = {
    "start_depth": "3.4 mm",
    "pocket_depth": "4.2 mm",
    "relief_depth": "1.6 mm",
    "path_angle": "60",
    "true_angle": "60",
    "tip_flat": "0.1 mm",
    "crest_loss": "0.2 mm",
    "host_zero_error": "0 mm",
    "insert_zero_error": "0 mm",
    "stroke_widths": "1.2 mm; 8 mm",
    "land_width": "3 mm",
    "tip_flat_spread": "0.02 mm",
    "host_zero_spread": "0.04 mm",
    "insert_zero_spread": "0.04 mm",
    "angle_spread": "0.3",
    "within": "0.08 mm",
}
MOST_STROKES = 6


def _length(label: str, high: float, *, low: float = 0.0, above: bool = False) -> LengthEntry:
    return LengthEntry(label, required=True, lowest=low, highest=high, above=above)


def _angle(label: str, low: float, high: float) -> NumberEntry:
    return NumberEntry(label, lowest=low, highest=high, unit="°", required=True)


def _form() -> Form:
    """Every entry, in the order of work; limits are our choice, wider than usual inlay work."""
    return Form(
        start_depth=_length("start depth", 12.0, low=0.2),
        pocket_depth=_length("pocket depth", 12.0, low=0.5),
        relief_depth=_length("relief depth", 6.0, low=0.2),
        path_angle=_angle("path angle", 10, 150),
        true_angle=_angle("true angle", 10, 150),
        tip_flat=_length("tip flat", 0.6),
        crest_loss=_length(words.CRESTS_LOST, 5.0),
        host_zero_error=_length(words.HOST_ZERO, 0.4, low=-0.4),
        insert_zero_error=_length(words.INSERT_ZERO, 0.4, low=-0.4),
        stroke_widths=LengthsEntry("stroke widths", required=True, above=True, highest=50.0),
        land_width=_length("land width", 30.0, above=True),
        tip_flat_spread=_length(words.FLAT_SPREAD, 0.2),
        host_zero_spread=_length(words.HOST_SPREAD, 0.3),
        insert_zero_spread=_length(words.INSERT_SPREAD, 0.3),
        angle_spread=_angle(words.ANGLE_SPREAD, 0, 3),
        within=_length(words.WITHIN, 1.0),
    )


class TurnedState(traitlets.HasTraits):
    """
    One cut whose every setting can be turned, and how far cuts stray.

    Parameters
    ----------
    log : path
        The log; its newest cut's depths and bit are what the panel begins with.

    Attributes
    ----------
    unit : str
        The maker's unit.
    form : Form
        Every entry by name, as in `BEGIN`.
    section : services.by_hand.section.Section or None
        Where the plug rests; None while an entry will not do, as are the others.
    bend : Bend or None
        The worst line against start depth.
    chance : Chance or None
        What many cuts would show.
    draft : panels.shared.drafts.Draft
        What was typed or turned.
    said : str
        Why there is no answer.
    turned : int
        Counts answers.
    """

    unit = traitlets.Unicode("mm")
    section: Section | None
    bend: Bend | None
    chance: Chance | None
    said = traitlets.Unicode()
    turned = traitlets.Int(0)

    def __init__(self, log: str | Path):
        from inlaylab.log.store import Log

        super().__init__()
        self.path = Path(log)
        with Log.open(log) as opened:
            shop = opened.shop()
        self._cut = shop.cuts[-1] if shop.cuts else None
        bits = [bit for bit in shop.bits if self._cut is not None and bit.bit == self._cut.bit]
        self._bit = bits[0] if bits else None
        self.section, self.bend, self.chance = None, None, None
        self._held = 0
        self.form = _form()
        for entry in self.form.entries.values():
            entry.observe(self._reckon, ["value", "said"])
        self.begin()
        self.unit = reader_unit(log, shop.habits.unit)
        self.draft = Draft(log, "how_it_reckons", entries=lambda: self.form.entries, empty=self.begin, state=self)
        with self._all_at_once():
            self.draft.begin()

    def begin(self) -> None:
        """Put everything back to where it began: the newest cut's depths and bit, and the kit's own for the rest."""
        entries = self.form.entries
        with self._all_at_once():
            for name, typed in BEGIN.items():
                entries[name].typed = typed
            if self._cut is not None:
                for name in ("start_depth", "pocket_depth", "relief_depth"):
                    entries[name].set_mm(getattr(self._cut, name))
            if self._cut is not None and self._bit is not None:
                entries["path_angle"].typed = f"{self._cut.path_angle(self._bit):g}"
                entries["true_angle"].typed = f"{self._bit.nominal_angle_deg:g}"
            change_unit(self.form.entries.values(), self.unit)

    def turn(self, name: str, value: float) -> None:
        """Set one entry to a number: a length in the maker's unit, an angle in degrees; to the finest turn."""
        entry = self.form[name]
        if isinstance(entry, LengthEntry):
            digits = units.decimals(self.unit, "setting")
            entry.typed = f"{round(value, digits) + 0.0:.{digits}f} {self.unit}"
        else:
            entry.typed = f"{round(value, 1):g}"

    def lines(self) -> dict[str, str]:
        """Say each of the three answers, by the names of the attributes; empty while there is none."""
        if self.section is None or self.bend is None or self.chance is None:
            return dict.fromkeys(("section", "bend", "chance"), "")
        return {
            "section": held_line(self.section.seat, self.bend.here, self.unit),
            "bend": bend_line(self.bend, self.unit),
            "chance": "\n".join(chance_lines(self.chance, self.unit)),
        }

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        with self._all_at_once():
            change_unit(self.form.entries.values(), self.unit)

    @contextmanager
    def _all_at_once(self) -> Iterator[None]:
        """Reckon once, after several entries were set."""
        self._held += 1
        try:
            yield
        finally:
            self._held -= 1
        self._reckon()

    def _reckon(self, change: traitlets.Bunch | None = None) -> None:
        if self._held:
            return
        self.section, self.bend, self.chance, self.said = None, None, None, self.form.needs
        if self.form.whole:
            try:
                self._answer()
            except InputError as refusal:
                self.section, self.bend, self.chance, self.said = None, None, None, str(refusal)
        self.turned += 1

    def _answer(self) -> None:
        given: dict[str, Any] = {
            name: entry.mm if isinstance(entry, LengthEntry) else entry.value
            for name, entry in self.form.entries.items()
        }
        if not 1 <= len(given["stroke_widths"]) <= MOST_STROKES:
            count = words.widths(len(given["stroke_widths"]))
            raise InputError("stroke widths", value=count, allowed=words.up_to_strokes(MOST_STROKES))
        settings = Settings(**{name: given[name] for name in Settings.__dataclass_fields__})
        strayed = GiveOrTake(
            tip_flat=given["tip_flat_spread"],
            host_zero_error=given["host_zero_spread"],
            insert_zero_error=given["insert_zero_spread"],
            true_angle=given["angle_spread"],
        )
        self.section = Section.seated(**{name: given[name] for name in Settings.__dataclass_fields__})
        self.bend = bend_of(settings)
        self.chance = chance_of(settings, strayed, within=given["within"])
