"""What a maker adds wherever a list would be empty: a bit, a species pair, a plain coupon; its fields, its record."""

from __future__ import annotations

from collections.abc import Callable

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import GRAINS, Coupon, Station
from inlaylab.bench.cuts import Pair
from inlaylab.bench.fields import specs
from inlaylab.errors import InputError
from inlaylab.panels.shared.entries import ADD_NEW, ChoiceEntry, Entry, Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, typed_with_unit
from inlaylab.services.log_session import LogSession
from inlaylab.wording.panels import shared as words


def make_bit(form: Form, unit: str) -> Bit:
    """Make the bit that was typed."""
    values = form.values()
    flat = values["tip_flat"]
    typed = {"tip_flat": typed_with_unit(flat)} if flat else {}
    bit = Bit(
        bit=values["bit"],
        nominal_angle_deg=values["nominal_angle_deg"],
        tip_flat=flat.mm if flat else None,
        unit=unit,
        notes=values["notes"] or "",
        typed=typed,
    )
    return bit


def make_pair(form: Form, unit: str) -> Pair:
    """Make the species pair that was typed."""
    return Pair(**form.values())


def make_coupon(form: Form, unit: str) -> Coupon:
    """Make a coupon with bars of the widths that were typed."""
    values = form.values()
    grains = GRAINS if values["grain"] == "both" else (values["grain"],)
    spots = [(width, grain, "bar") for width in values["widths"] for grain in grains]
    names = [f"B{number}" for number in range(1, len(spots) + 1)]
    if values["wedge"]:
        spots.append((values["wedge"], grains[0], "wedge"))
        names.append("W1")
    land = values["land"]
    stations = tuple(
        Station(
            coupon=values["coupon"],
            station=name,
            kind=kind,
            stroke_width=width.mm,
            land_width=land.mm,
            grain=grain,
            unit=unit,
            typed={"stroke_width": typed_with_unit(width), "land_width": typed_with_unit(land)},
        )
        for name, (width, grain, kind) in zip(names, spots, strict=True)
    )
    return Coupon(coupon=values["coupon"], stations=stations)


def bit_form() -> Form:
    """Give the fields of a new bit."""
    angle = specs(Bit)["nominal_angle_deg"]
    return Form(
        bit=Entry("name", required=True),
        nominal_angle_deg=NumberEntry("nominal angle", lowest=angle.low, highest=angle.high, unit="°", required=True),
        tip_flat=LengthEntry.of(Bit, "tip_flat", words.TIP_FLAT),
        notes=Entry("notes"),
    )


def pair_form() -> Form:
    """Give the fields of a new species pair."""
    return Form(
        pair=Entry("name", required=True),
        host=Entry("host", required=True),
        insert=Entry("insert", required=True),
    )


def coupon_form() -> Form:
    """Give the fields of a new coupon."""
    return Form(
        coupon=Entry("name", required=True),
        widths=LengthsEntry.of(Station, "stroke_width", "stroke widths", required=True),
        land=LengthEntry.of(Station, "land_width", words.LAND, required=True),
        grain=ChoiceEntry("grain", options=(*GRAINS, "both"), required=True),
        wedge=LengthEntry.of(Station, "stroke_width", words.WEDGE),
    )


#: What each record is made by.
RECORDS: dict[str, Callable[[Form, str], Bit | Pair | Coupon]] = {
    "bit": make_bit,
    "pair": make_pair,
    "coupon": make_coupon,
}
FORMS = {"bit": bit_form, "pair": pair_form, "coupon": coupon_form}


class NewThing:
    """
    The small form behind "add new": what is typed in it, and how it gets into the log.

    Parameters
    ----------
    what : {"bit", "pair", "coupon"}
        What is added.
    choice : ChoiceEntry
        The list that it joins, whose last line becomes "add new"; the new one is chosen at once.
    session : LogSession
        The log.
    by : callable
        Gives who types.

    Attributes
    ----------
    form : Form
        Its fields.
    """

    def __init__(self, what: str, choice: ChoiceEntry, session: LogSession, *, by: Callable[[], str] = lambda: ""):
        self.what, self.choice, self.session, self._by = what, choice, session, by
        self.form = FORMS[what]()
        self.unit = "mm"
        choice.can_add = True

    def set_unit(self, unit: str) -> None:
        """Take numbers without a unit in this one."""
        self.unit = unit
        for entry in self.form.entries.values():
            if isinstance(entry, LengthEntry):
                entry.unit = unit

    def keep(self) -> str:
        """
        Put the new thing into the log and choose it.

        Returns
        -------
        name : str
            Its name.

        Raises
        ------
        InputError
            Where the form is not whole, or the name is taken.
        """
        if not self.form.whole:
            raise InputError(self.form.needs.rstrip("."))
        record = RECORDS[self.what](self.form, self.unit)
        name = str(getattr(record, self.what))
        with self.session.write() as log:
            log.add(record, by=self._by())
        if name not in self.choice.options:
            self.choice.options = (*self.choice.options, name)
        self.choice.typed = name
        self.form.clear()
        return name

    def leave(self) -> None:
        """Empty the form and close it."""
        self.form.clear()
        if self.choice.typed == ADD_NEW:
            self.choice.typed = ""

    def entries(self) -> dict[str, Entry]:
        """Give the fields by name, for a draft."""
        return {f"new {self.what}, {name}": entry for name, entry in self.form.entries.items()}
