"""Any valid shop, for property tests: odd names, extremes, blanks, lengths typed in every form.

Everything made here is invented. ``shops()`` gives whole shops in which every name points somewhere.
"""

import json
import unicodedata
from fractions import Fraction

from hypothesis import strategies as st

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import OUTCOMES, Cut, Pair
from inlaylab.bench.fields import specs
from inlaylab.bench.forecasts import LEVELS, Expected, Forecast
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import KINDS, METHODS, Reading
from inlaylab.bench.shop import Shop

UNITS = {"mm": Fraction(1), "in": Fraction(254, 10), "thou": Fraction(254, 10_000)}

_LETTERS = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp"))
_NOTES = st.characters(codec="utf-8", exclude_categories=("Cs",), exclude_characters="\0")
_NASTY = st.sampled_from(
    [
        '=HYPERLINK("x")',
        "<script>alert(1)</script>",
        'said "no", twice',
        "a,b;c\td",
        "line\nline",
        "\u202eright to left",
        "\ufeffmark",
        "'; DROP TABLE cuts; --",
        "NaN",
        "-1",
        "0",
        "w" * 5000,
        "\x1b[31m\x07\x0b\x85 odd \u2028 line",
    ]
)
names = st.one_of(
    st.text(_LETTERS, min_size=1, max_size=12), st.sampled_from(["b1", "k 1", "Größe 3", "木", '"', "=1+1"])
)
names = names.map(lambda text: unicodedata.normalize("NFC", text).strip()).filter(bool)
notes = st.one_of(st.just(""), st.text(_NOTES, max_size=30), _NASTY)
extras = st.dictionaries(
    st.sampled_from(["humidity", "clamp 1", "Säge", "y", "=x"]), st.text(_NOTES, min_size=1, max_size=8), max_size=2
)
dates = st.one_of(
    st.none(), st.dates().filter(lambda day: 1900 <= day.year <= 2199).map(str), st.just("2026-02-28T23:59:00+01:00")
)
photos = st.sampled_from(["", "k1.jpg", "photos/k 1.jpg", "bilder/木.png"])
units = st.sampled_from(sorted(UNITS))
origins = st.one_of(st.none(), st.just("Mara's page, 3f2a"))


@st.composite
def lengths(draw, spec, unit):
    """A length within a field's limits, and the text that it was typed as, or None."""
    low, high = Fraction(spec.low), Fraction(spec.high)
    form = draw(st.sampled_from(["float", "decimal", "fraction", "edge"]))
    if form == "edge":
        exact = draw(st.sampled_from([high, Fraction(1, 10**6)] + ([] if spec.above else [low])))
        return float(exact), None
    if form == "float":
        least = 1e-9 if spec.low == 0 else spec.low
        return draw(st.floats(least, spec.high, allow_subnormal=False).filter(lambda x: abs(x) >= 1e-9)), None
    typed_unit = draw(st.sampled_from([unit, "in"])) if form == "fraction" else unit
    factor = UNITS[typed_unit]
    if form == "decimal":
        places = draw(st.integers(0, 4))
        most = int(min(high / factor, Fraction(10**6)) * 10**places)
        number = draw(st.integers(0, max(most, 0)))
        text = f"{number // 10**places}.{number % 10**places:0{places}d}" if places else str(number)
        value = Fraction(number, 10**places)
    else:
        over, under = draw(st.integers(1, 64)), draw(st.sampled_from([2, 4, 8, 16, 32, 64]))
        text, value = f"{over}/{under} {typed_unit}", Fraction(over, under)
    mm = value * factor
    if not (low <= mm <= high) or mm < Fraction(1, 10**8):
        return float(high), None
    return float(mm), text


@st.composite
def records(draw, record_class, **given):
    """A record with the fields that are given, and any valid value in the others."""
    unit = given.pop("unit", None) or draw(units)
    values, typed = {}, {}
    for name, spec in specs(record_class).items():
        if name in given:
            values[name] = given[name]
            continue
        if spec.kind in ("unit", "typed", "extra", "json", "origin") or (not spec.needed and draw(st.booleans())):
            continue
        if spec.kind == "length":
            values[name], text = draw(lengths(spec, unit))
            if text is not None:
                typed[name] = text
        elif spec.kind == "number":
            values[name] = draw(st.floats(spec.low, spec.high))
        elif spec.kind == "choice":
            values[name] = draw(st.sampled_from(spec.choices))
        else:
            values[name] = draw({"name": names, "text": notes, "date": dates, "photo": photos}[spec.kind])
    fields = specs(record_class)
    if "unit" in fields:
        values["unit"] = unit
    if "typed" in fields:
        values["typed"] = {name: text for name, text in typed.items() if values.get(name) is not None}
    if "origin" in fields and record_class is not Station:
        values["origin"] = draw(origins)
    return record_class(**values, extra=draw(extras))


@st.composite
def readings(draw, cut, coupon):
    """A reading that the cut can have."""
    kinds = [kind for kind in KINDS.values() if coupon is not None or not kind.at_station]
    kind = draw(st.sampled_from(kinds))
    station = None
    if kind.at_station:
        there = [s for s in coupon.stations if kind.name != "wedge_stop" or s.kind == "wedge"]
        if not there:
            return Reading(cut=cut.cut, kind="backer_gap", value=1.0, unit="mm")
        station = draw(st.sampled_from(there)).station
    state = draw(st.sampled_from(kind.states)) if kind.states and (not kind.measured or draw(st.booleans())) else None
    given = {"cut": cut.cut, "kind": kind.name, "station": station, "state": state}
    if not kind.measured:
        return Reading(**given, value=None, limit=None, unit=draw(st.sampled_from(["", "mm"])), extra=draw(extras))
    unit, typed = draw(units), {}
    for name, wanted in (
        ("value", state is None),
        ("limit", state is not None or (kind.limit and draw(st.booleans()))),
    ):
        given[name] = None
        if wanted:
            given[name], text = draw(lengths(specs(Reading)[name], unit))
            if text is not None:
                typed[name] = text
    if draw(st.booleans()):
        given["method"] = draw(st.sampled_from([None, *METHODS]))
        given["sd"], text = draw(lengths(specs(Reading)["sd"], unit))
        if text is not None:
            typed["sd"] = text
    return Reading(**given, unit=unit, typed=typed, origin=draw(origins), extra=draw(extras))


@st.composite
def forecasts(draw, cut, coupon):
    """A forecast that the cut can have."""
    stations = []
    for station in draw(st.lists(st.sampled_from(coupon.stations), unique=True)) if coupon else []:
        levels = sorted(draw(st.lists(st.floats(0, 3), min_size=5, max_size=5))) if draw(st.booleans()) else []
        filled = draw(st.one_of(st.none(), st.floats(0, 1)))
        stations.append(Expected(station=station.station, filled=filled, **dict(zip(LEVELS, levels, strict=False))))
    return Forecast(
        cut=cut.cut,
        made=draw(dates.filter(bool)),
        within=draw(st.floats(0.01, 1)),
        chance=draw(st.one_of(st.none(), st.floats(0, 1))),
        known=draw(st.integers(0, 40)),
        stations=stations,
        origin=draw(origins),
    )


def layout(name, stations):
    """A layout of a coupon, as JSON text; its shapes are invented."""
    drawn = [{"station": station.station, "polygon": [[0, 0], [1.5, 0], [0, 1]]} for station in stations]
    return json.dumps({"coupon": name, "unit": "mm", "length": 120, "stations": drawn, "dots": [{"x": 5, "y": 5}]})


habits = st.builds(
    lambda record, tight, wider: Habits(
        pocket_depth=record.pocket_depth,
        relief_depth=record.relief_depth,
        tight_below=tight,
        hairline_below=tight * wider,
        unit=record.unit,
        maker=record.maker,
        extra=record.extra,
    ),
    records(Habits, tight_below=0.05, hairline_below=0.15),
    st.floats(0.001, 1.0),
    st.floats(1.0, 5.0),
)


def named(record_class, key, most):
    """Some records of one class, each name once."""
    each = records(record_class)
    return st.lists(each, min_size=1, max_size=most, unique_by=lambda record: getattr(record, key))


@st.composite
def coupons(draw):
    """Some coupons with some stations."""
    made = []
    for name in draw(st.lists(names, max_size=2, unique=True)):
        spots = draw(st.lists(names, min_size=1, max_size=4, unique=True))
        origin = draw(origins)
        stations = [draw(records(Station, coupon=name, station=spot, origin=origin)) for spot in spots]
        drawn = layout(name, stations) if draw(st.booleans()) else ""
        made.append(Coupon(coupon=name, stations=tuple(stations), layout=drawn))
    return tuple(made)


@st.composite
def shops(draw):
    """A whole shop."""
    bits, pairs = draw(named(Bit, "bit", 3)), draw(named(Pair, "pair", 2))
    own = draw(coupons())
    cuts, read, expected = [], [], []
    for name in draw(st.lists(names, max_size=3, unique=True)):
        coupon = draw(st.sampled_from([None, *own]))
        given = {
            "cut": name,
            "bit": draw(st.sampled_from(bits)).bit,
            "pair": draw(st.sampled_from(pairs)).pair,
            "coupon": coupon.coupon if coupon else None,
            "outcome": draw(st.sampled_from([None, *OUTCOMES])),
        }
        cuts.append(draw(records(Cut, **given)))
        read += draw(st.lists(readings(cuts[-1], coupon), max_size=4))
        expected += draw(st.lists(forecasts(cuts[-1], coupon), max_size=1))
    grooves = [draw(records(Groove, bit=draw(st.sampled_from(bits)).bit)) for _ in range(draw(st.integers(0, 2)))]
    return Shop(
        bits=bits,
        grooves=grooves,
        pairs=pairs,
        coupons=own,
        cuts=cuts,
        readings=read,
        habits=draw(habits),
        forecasts=expected,
    )
