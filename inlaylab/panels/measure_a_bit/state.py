"""What the panel of notebook 1 knows: a bit's grooves, what they say, and how the bit wears."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import traitlets

from inlaylab import units
from inlaylab.bench.bits import Bit, Groove
from inlaylab.errors import InputError
from inlaylab.panels.shared.drafts import Draft
from inlaylab.panels.shared.entries import ChoiceEntry, DateEntry, Entry, Form, Held
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry
from inlaylab.panels.shared.new_things import NewThing
from inlaylab.services.desk import reader_unit
from inlaylab.services.log_session import LogSession
from inlaylab.wording.panels import measure_a_bit as words

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.figures.grooves import GrooveLines
    from inlaylab.models.grooves import BitMeasure
    from inlaylab.models.wear import Wear

FURTHER = 25  # points of the curve that shows what one more groove buys


class BitState(traitlets.HasTraits):
    """
    A bit being measured.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    shop : bench.shop.Shop
        What the log holds.
    bit : panels.shared.entries.ChoiceEntry
        Which bit.
    groove : panels.shared.entries.Form
        The groove being typed.
    trust : panels.shared.entries.Form
        Standard uncertainties of width, zero and loupe.
    worn : panels.shared.entries.Form
        Measures against metres cut, as typed.
    measure : models.grooves.BitMeasure or None
        What the grooves say.
    lines : figures.grooves.GrooveLines or None
        The same, to be drawn.
    wear : models.wear.Wear or None
        How the bit wears.
    wear_limit : float
        Tip flat at which to tune again. [mm]
    said, said_of_wear : str
        Why there is no measure, or no wear.
    """

    shop: Held[Shop] = Held()
    unit = traitlets.Unicode("mm")
    measure: Held[BitMeasure | None] = Held()
    lines: Held[GrooveLines | None] = Held()
    sink: Held[tuple[float, float] | None] = Held()
    wear: Held[Wear | None] = Held()
    wear_limit = traitlets.Float(0.0)
    said = traitlets.Unicode()
    said_of_wear = traitlets.Unicode()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.session = LogSession(self.path)
        self.bit = ChoiceEntry("bit", required=True)
        self.new_bit = NewThing("bit", self.bit, self.session)
        self.groove = Form(
            date=DateEntry(words.DATE),
            depth=LengthEntry.of(Groove, "depth", words.DEPTH, required=True),
            width=LengthEntry.of(Groove, "width", words.WIDTH, required=True),
        )
        self.loupe = LengthEntry.of(Bit, "tip_flat", words.LOUPE)
        self.trust = Form(
            width=_uncertainty(words.WIDTH_ACCURACY, "0.02 mm"),
            zero=_uncertainty(words.ZERO_ACCURACY, "0.05 mm"),
            loupe=_uncertainty(words.LOUPE_ACCURACY, "0.05 mm"),
        )
        self.worn = Form(
            metres=Entry(words.METRES, read=read_metres),
            flats=LengthsEntry(words.FLATS),
            good_to=_uncertainty(words.FLAT_ACCURACY, "0.03 mm"),
            spare=LengthEntry(words.SPARE_GAP, above=True, highest=20.0, typed="0.2 mm"),
        )
        self.observe(lambda _: self.new_bit.set_unit(self.unit), "unit")
        self.reload()
        self.unit = reader_unit(self.path, self.shop.habits.unit)
        self.groove["date"].typed = datetime.date.today().isoformat()
        self.bit.observe(self._bit_changed, "value")
        for entry in (*self.trust.entries.values(), self.loupe):
            entry.observe(self._reckon, "value")
        for entry in self.worn.entries.values():
            entry.observe(self._reckon_wear, "value")
        if self.bit.options:
            measured = [groove.bit for groove in self.shop.grooves]
            self.bit.typed = max(self.bit.options, key=measured.count)
        else:
            self._reckon()
        self.draft = Draft(self.path, "measure_a_bit", entries=self._entries, empty=self._empty, state=self)
        self.draft.begin()
        self.session.listen(self._heard)

    @property
    def grooves(self) -> tuple[Groove, ...]:
        """Grooves of the chosen bit."""
        return tuple(groove for groove in self.shop.grooves if groove.bit == self.bit.value)

    def reload(self) -> None:
        """Take the log as it is now; what is typed stays."""
        self.shop = self.session.shop
        self.bit.options = tuple(bit.bit for bit in self.shop.bits)

    def add_groove(self) -> str:
        """
        Put the typed groove into the log.

        Raises
        ------
        InputError
            Where the bit or the groove is not whole.
        """
        if self.bit.value is None:
            raise InputError(words.CHOOSE_FIRST)
        if not self.groove.whole:
            raise InputError(self.groove.needs.rstrip("."))
        depth, width = self.groove["depth"].value, self.groove["width"].value
        date = self.groove["date"].value
        new = Groove(
            bit=self.bit.value,
            date=date.isoformat() if date else None,
            depth=depth.mm,
            width=width.mm,
            unit=self.unit,
            typed={"depth": depth.typed, "width": width.typed},
        )
        self._change("add", new)
        self.groove["depth"].clear()
        self.groove["width"].clear()
        return words.groove_added(new.depth, self.unit)

    def delete_last(self) -> str:
        """Take the chosen bit's newest groove out of the log; undo brings it back."""
        if not self.grooves:
            raise InputError(words.NO_GROOVE)
        last = self.grooves[-1]
        self._change("delete", last)
        return words.groove_deleted(last.depth, self.unit)

    def _heard(self) -> None:
        if self.session.shop is not self.shop:
            self.reload()
            self._reckon()

    def _entries(self) -> dict[str, Entry]:
        """Every field that a draft keeps."""
        found: dict[str, Entry] = {"bit": self.bit, "loupe": self.loupe}
        for group, form in (("groove", self.groove), ("trust", self.trust), ("worn", self.worn)):
            found |= {f"{group} {name}": entry for name, entry in form.entries.items()}
        return found | self.new_bit.entries()

    def _empty(self) -> None:
        for name in ("depth", "width"):
            self.groove[name].clear()
        self.new_bit.leave()
        self._bit_changed()

    def keep_loupe(self) -> str:
        """
        Put the loupe reading into the bit's record.

        Raises
        ------
        InputError
            Where there is no bit or no reading.
        """
        bit = next((bit for bit in self.shop.bits if bit.bit == self.bit.value), None)
        if bit is None or self.loupe.value is None:
            raise InputError(words.NEEDS_LOUPE)
        new = Bit(
            bit=bit.bit,
            nominal_angle_deg=bit.nominal_angle_deg,
            tip_flat=self.loupe.mm,
            cutting_diameter=bit.cutting_diameter,
            unit=bit.unit,
            notes=bit.notes,
            typed={**{k: v for k, v in bit.typed.items() if k != "tip_flat"}, "tip_flat": self.loupe.value.typed},
            extra=bit.extra,
        )
        self._change("correct", bit, new)
        return words.loupe_kept(bit.bit, self.loupe.value.mm, self.unit)

    def _reach(self, measure: BitMeasure) -> float:
        """Depth at which the chosen bit's cutting edges end. [mm]."""
        from inlaylab.models.reach import cutting_height

        bit = next(bit for bit in self.shop.bits if bit.bit == self.bit.value)
        if bit.cutting_diameter is None:
            return float("inf")
        height = cutting_height(
            cutting_diameter=bit.cutting_diameter, angle=measure.true_angle, tip_flat=measure.tip_flat
        )
        return float(height)

    def _change(self, action: str, *records: Bit | Groove) -> None:
        with self.session.write() as log:
            getattr(log, action)(*records)
        self.reload()
        self._reckon()
        self._reckon_wear()

    def _bit_changed(self, change: traitlets.Bunch | None = None) -> None:
        bit = next((bit for bit in self.shop.bits if bit.bit == self.bit.value), None)
        self.loupe.set_mm(None if bit is None else bit.tip_flat)
        self._reckon()
        self._reckon_wear()

    def _reckon(self, change: traitlets.Bunch | None = None) -> None:
        from inlaylab.figures.grooves import GrooveLines
        from inlaylab.models.grooves import expected_sink, further_groove, measure_bit

        self.measure, self.lines, self.sink, self.said = None, None, None, ""
        grooves, trust = self.grooves, self.trust
        if not grooves:
            self.said = words.no_groove_yet(self.bit.value)
            return
        if not trust.whole or self.loupe.said:
            self.said = trust.needs or self.loupe.said
            return
        depths, widths = [g.depth for g in grooves], [g.width for g in grooves]
        days = [g.date for g in grooves]
        known: dict[str, Any] = {
            "tip_flat": self.loupe.mm,
            "tip_flat_uncertainty": trust["loupe"].mm,
            "zero_uncertainty": trust["zero"].mm,
            "width_uncertainty": trust["width"].mm,
        }
        try:
            measure = measure_bit(depths, widths, settings_up=days, **known)
        except InputError as refusal:
            self.said = words.no_answer(refusal)
            return
        deepest = min(2 * max(depths), self._reach(measure))
        further = [deepest * n / FURTHER for n in range(1, FURTHER + 1)]
        left = further_groove(depths, further, measure=measure, settings_up=days, **known)
        self.sink = expected_sink(measure)
        self.lines = GrooveLines(
            depths=depths,
            widths=widths,
            expected=[width - off for width, off in zip(widths, measure.residuals, strict=True)],
            further_depths=further,
            further_angle=left[:, 0],
            angle=measure.true_angle,
            angle_uncertainty=measure.true_angle_uncertainty,
            tip_flat=measure.tip_flat,
            tip_flat_uncertainty=measure.tip_flat_uncertainty,
        )
        self.measure = measure

    def _reckon_wear(self, change: traitlets.Bunch | None = None) -> None:
        from inlaylab.models.wear import flat_growth_allowed, wear

        self.wear, self.said_of_wear = None, ""
        metres, flats = self.worn["metres"].value, self.worn["flats"].mm
        if not metres or not flats:
            return
        if not self.worn.whole or self.worn["spare"].mm is None:
            self.said_of_wear = self.worn.needs or words.SPARE
            return
        if len(metres) != len(flats):
            self.said_of_wear = words.one_for_each(len(metres), len(flats))
            return
        bit = next((bit for bit in self.shop.bits if bit.bit == self.bit.value), None)
        angle = self.measure.true_angle if self.measure else bit.nominal_angle_deg if bit else 60.0
        growth = float(flat_growth_allowed(spare_floor_gap=self.worn["spare"].mm, true_angle=angle))
        try:
            found = wear(metres, flats, change_allowed=growth, value_uncertainty=self.worn["good_to"].mm)
        except InputError as refusal:
            self.said_of_wear = words.no_answer(refusal)
            return
        self.wear_limit = float(found.line.intercepts[0] + growth)
        self.wear = found


def read_metres(text: str) -> tuple[float, ...]:
    """
    Read metres of path, with ``;`` between them.

    Parameters
    ----------
    text : str
        As ``0; 120; 260``.

    Returns
    -------
    metres : tuple of float
        [m]

    Raises
    ------
    InputError
        For anything that is not a distance.

    Examples
    --------
    >>> read_metres("0; 120; 260")
    (0.0, 120.0, 260.0)
    """
    metres = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        number = units.parse_number(part.removesuffix("m").strip())
        if not 0 <= number <= 1e6:
            raise InputError(words.METRES_CUT, value=part, allowed=words.METRES_RANGE)
        metres.append(number)
    return tuple(metres)


def _uncertainty(label: str, typed: str) -> LengthEntry:
    return LengthEntry(label, required=True, above=True, highest=5.0, typed=typed)
