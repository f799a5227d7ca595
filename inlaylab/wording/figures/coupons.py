"""Words on the pictures of a coupon: coupon, coupon_drawing and coupon_read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.lengths import between, count, fine, length

if TYPE_CHECKING:
    from inlaylab.artwork.sheets.coupon import CouponPlan
    from inlaylab.bench.coupons import Coupon
    from inlaylab.pictures.records import PictureReading, StationReading

ACROSS_COUPON = "across the coupon"
ALONG_GRAIN, ACROSS_GRAIN = "along the grain (arrow)", "across the grain"
ALONG_BLANK, ACROSS_BLANK = "along the blank", "across the blank"
FROM_EDGE, BRIGHTNESS = "from the drawn edge into the stroke", "brightness [0 to 255]"
GLUE_ALONE, LINE_OF_SIDE = "glue alone", "glue line of a side"


def with_grain(grain: str) -> str:
    """Say how a row of stations runs."""
    return f"{grain} the grain"


def coupon_alt(coupon: Coupon, unit: str) -> str:
    """Say what the map of a coupon's stations shows."""
    told = "; ".join(
        f"{station.station}: {station.kind} {length(station.stroke_width, unit)} {with_grain(station.grain)}"
        for station in coupon.stations
    )
    name = coupon.coupon.removeprefix("coupon ")
    return f"Coupon {name} with {count(len(coupon.stations), 'station')}. {told}."


def coupon_drawing_alt(plan: CouponPlan, unit: str) -> str:
    """Say what the drawing of a coupon shows."""
    stations = plan.coupon.stations
    widths = [station.stroke_width for station in stations]
    deep = sum(width > plan.floor_width for width in widths)
    name = plan.coupon.coupon.removeprefix("coupon ")
    layout = plan.layout
    dots = f"; {count(len(layout.dots), 'dot')} to drill, by which pictures are read" if layout else ""
    groove = " A groove to fill with glue alone." if layout and layout.groove else ""
    return (
        f"Coupon {name} on a blank of {length(plan.length, unit)} by {length(plan.width, unit)}: "
        f"{count(len(stations), 'station')}, {deep} of them reach the floor; strokes "
        f"{between(min(widths), max(widths), unit)} wide{dots}.{groove}"
    )


def station_read(one: StationReading, unit: str) -> str:
    """Say beside a station what a picture shows of it."""
    if one.glue_line is not None:
        return f"{one.station} {fine(one.glue_line, unit)}"
    if one.wedge_stop is not None:
        return f"{one.station} {length(one.wedge_stop, unit)}"
    return f"{one.station} {'missing' if one.fill == 'missing' else 'not read'}"


def line_bands(closed: float, hairline: float, unit: str) -> tuple[str, str, str, str]:
    """Name the bands into which the sides of strokes are told apart by how thick they are drawn."""
    first, second = length(closed, unit), length(hairline, unit)
    return f"closed: below {first}", f"{first} to {second}", f"wider than {second}", "not read"


def station_name(station: str) -> str:
    """Name a station above its profile."""
    return f"station {station}"


def coupon_read_alt(coupon: str, reading: PictureReading, unit: str) -> str:
    """Say what the picture of a coupon with its drawing laid over it shows."""
    lines = "; ".join(station_read(one, unit) for one in reading.stations)
    name = coupon.removeprefix("coupon ")
    return f"The coupon {name} straightened, with its drawing laid over it. {lines}."


def profile_alt(one: StationReading, unit: str) -> str:
    """Say what the profile of a station shows."""
    return f"Brightness across the sides of station {one.station}, seen and fitted. {station_read(one, unit)}."
