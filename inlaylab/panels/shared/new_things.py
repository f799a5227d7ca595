"""What a maker adds while logging a cut: a bit, a species pair, a plain coupon; its fields, and its record."""

from __future__ import annotations

from inlaylab.bench.bits import Bit
from inlaylab.bench.coupons import GRAINS, Coupon, Station
from inlaylab.bench.cuts import Pair
from inlaylab.bench.fields import specs
from inlaylab.panels.shared.entries import (
    ChoiceEntry,
    Entry,
    Form,
    LengthEntry,
    LengthsEntry,
    NumberEntry,
    typed_with_unit,
)


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
        tip_flat=LengthEntry.of(Bit, "tip_flat", "tip flat, by loupe"),
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
        land=LengthEntry.of(Station, "land_width", "land between", required=True),
        grain=ChoiceEntry("grain", options=(*GRAINS, "both"), required=True),
        wedge=LengthEntry.of(Station, "stroke_width", "wedge, wide end"),
    )


#: What each record is made by.
RECORDS = {"bit": make_bit, "pair": make_pair, "coupon": make_coupon}
