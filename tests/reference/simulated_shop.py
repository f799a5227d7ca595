"""
Shops made up from known values: a small simulator of its own for the tests of the fit.

Where a plug rests comes from `inlaylab.models.seating.seat`, cut by cut and stroke by stroke; nothing is taken from
the likelihood that the readings are meant to test. Everything made here is invented.
"""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.models.seating import seat
from inlaylab.models.walls import path_depth, wall_gap

LIMIT = 0.05  # what the loupe still shows, mm
SLIP = 25.4
PLAIN = ((3.0, 6.0), (8.0, 6.0))  # stroke and land taken for a cut without a coupon, mm


def coupon(name="ladder", bars=((0.8, 3.0), (1.6, 3.0), (4.0, 5.0), (9.0, 6.0)), wedge=2.0):
    """A coupon of bars (stroke, land), every other one across the grain, and a wedge."""
    stations = [
        Station(
            coupon=name,
            station=f"B{n + 1}",
            kind="bar",
            stroke_width=stroke,
            land_width=land,
            grain=("along", "across")[n % 2],
            unit="mm",
        )
        for n, (stroke, land) in enumerate(bars)
    ]
    if wedge:
        stations.append(
            Station(coupon=name, station="W", kind="wedge", stroke_width=wedge, land_width=4, grain="along", unit="mm")
        )
    return Coupon(coupon=name, stations=stations)


def small_design(cuts=6, bits=1, pairs=2, *, gaps=(0.05, 0.2, 0.35, 0.5), coupons=True):
    """A shop of cuts without readings: a few bits of 60 degrees, a few pairs, one coupon."""
    woods = (("walnut", "maple"), ("cherry", "maple"), ("maple", "cherry"))
    return Shop(
        bits=tuple(Bit(bit=f"bit{n + 1}", nominal_angle_deg=60, unit="mm") for n in range(bits)),
        pairs=tuple(Pair(pair=f"pair{n + 1}", host=woods[n][0], insert=woods[n][1]) for n in range(pairs)),
        coupons=(coupon(),),
        cuts=tuple(
            Cut(
                cut=f"k{n + 1}",
                date=str(date(2026, 3, 1) + timedelta(days=n)),
                bit=f"bit{n % bits + 1}",
                pair=f"pair{n % pairs + 1}",
                coupon="ladder" if coupons else None,
                pocket_depth=4.0,
                start_depth=4.0 - gaps[n % len(gaps)],
                relief_depth=1.5,
                sanded_off=0.3,
                unit="mm",
            )
            for n in range(cuts)
        ),
    )


TRUTH = {
    "tip_flat_mean": 0.09, "tip_flat_ratio": 0.5, "allowance_mean": 0.02, "allowance_spread": 0.015,
    "crest_loss_mean": 0.2, "crest_loss_ratio": 0.3, "half_filled_mean": 0.55, "half_filled_spread": 0.05,
    "across_shift": 0.08, "fill_softness": 0.08, "fill_step": 0.15, "bias": 0.02, "spread": 0.04,
    "shortfall_mean": 0.015, "loupe_sd": 0.015, "feeler_sd": 0.025, "floor_gap_sd": 0.03, "gauge_sd": 0.02,
    "wedge_sd": 0.06, "opening_sd": 0.005, "mistake_chance": 0.0, "cue_chance": 0.5, "wear_rate": 0.0005,
}  # fmt: skip
"""An invented workshop, mm; what its bits, pairs, species and cuts are is drawn or given."""


def planted(shop, rng, **known):
    """Values of everything for a shop: `TRUTH`, what is given, and zero errors drawn for every cut."""
    cuts, species = len(shop.cuts), len({wood for pair in shop.pairs for wood in (pair.host, pair.insert)})
    found = dict(TRUTH) | {
        "true_angle": np.array([bit.nominal_angle_deg + 0.6 for bit in shop.bits]),
        "tip_flat": np.full(len(shop.bits), 0.13),
        "wall_allowance": np.linspace(0.01, 0.03, len(shop.pairs)),
        "crest_loss": np.full(species, 0.2),
        "half_filled": np.full(species, 0.55),
    }
    found |= known
    found["host_zero_error"] = found["bias"] + found["spread"] * rng.standard_normal(cuts)
    found["insert_zero_error"] = found["bias"] + found["spread"] * rng.standard_normal(cuts)
    found["shortfall"] = found["shortfall_mean"] * rng.standard_exponential(cuts)
    return found


def strokes_of(cut, shop):
    """Stroke and land half-widths of a cut's piece; a wedge is a row of strokes from 0.2 mm half-width up."""
    if cut.coupon is None:
        return [(stroke / 2, land / 2) for stroke, land in PLAIN]
    found = []
    for station in shop.coupon(cut.coupon).stations:
        half, land = station.stroke_width / 2, station.land_width / 2
        if station.kind == "wedge":
            found += [(0.2 + 0.1 * n, land) for n in range(round((half - 0.2) / 0.1) + 1)]
        else:
            found.append((half, land))
    return found


class Simulator:
    """
    Readings of a shop whose values are known.

    ``truth`` has the names of `inlaylab.fitting.model.priors.values`, one number for the shop and one a bit, pair,
    species or cut. Each reading is the true value with the scatter of its kind, or a mistake.
    """

    def __init__(self, shop, truth, rng):
        self.shop, self.truth, self.rng = shop, truth, rng
        self.bits = {bit.bit: n for n, bit in enumerate(shop.bits)}
        self.pairs = {pair.pair: n for n, pair in enumerate(shop.pairs)}
        woods = dict.fromkeys(wood for pair in shop.pairs for wood in (pair.host, pair.insert))
        self.species = {wood: n for n, wood in enumerate(woods)}
        self.mistakes = []

    def section(self, n):
        """Arguments of `seat` for cut number n, and its seat."""
        cut, truth = self.shop.cuts[n], self.truth
        pair, bit = self.shop.pair(cut.pair), self.bits[cut.bit]
        earlier = sum(1 for other in self.shop.cuts if other.bit == cut.bit and other.date < cut.date)
        stroke, land = np.array(strokes_of(cut, self.shop)).T
        section = {
            "pocket_depth": cut.pocket_depth,
            "relief_depth": cut.relief_depth,
            "stroke_half_width": stroke,
            "land_half_width": land,
            "path_angle": cut.path_angle_deg or self.shop.bits[bit].nominal_angle_deg,
            "true_angle": truth["true_angle"][bit],
            "tip_flat": truth["tip_flat"][bit] + truth["wear_rate"] * earlier,
            "wall_allowance": truth["wall_allowance"][self.pairs[cut.pair]],
            "crest_loss": truth["crest_loss"][self.species[pair.insert]],
            "land_crest_loss": truth["crest_loss"][self.species[pair.host]],
        }
        zeros = {name: truth[name][n] for name in ("host_zero_error", "insert_zero_error")}
        return section, seat(start_depth=cut.start_depth, seat_shortfall=truth["shortfall"][n], **zeros, **section)

    def gap(self, section, level, half, land):
        """Raw wall gap at a stroke."""
        angle = section["path_angle"]
        return float(
            wall_gap(
                stroke_depth=path_depth(half_width=half, depth_cap=section["pocket_depth"], path_angle=angle),
                land_depth=path_depth(half_width=land, depth_cap=section["relief_depth"], path_angle=angle),
                path_angle=angle,
                true_angle=section["true_angle"],
                tip_flat=section["tip_flat"],
                seat_level=level,
            )
        )

    def noisy(self, mean, sd, step, where):
        """A length as it is read, and whether it is a mistake."""
        sd = math.hypot(sd, step / math.sqrt(12))
        if self.rng.random() >= self.truth["mistake_chance"]:
            return self.rng.normal(mean, sd), False
        self.mistakes.append(where)
        kind = self.rng.random()
        if kind < 0.5:
            return math.exp(self.rng.uniform(math.log(0.001), math.log(40.0))), True
        slipped = self.rng.normal(max(mean, 0.01), sd)
        return (slipped / SLIP if kind < 0.75 else slipped * SLIP), True

    def length(self, cut, kind, mean, names, step, station=None):
        """A reading that has a length; none where it came out below zero, which nobody writes down."""
        sd = math.hypot(*(self.truth[name] for name in names))
        value, slip = self.noisy(mean, sd, step, (cut.cut, kind, station))
        common = {"cut": cut.cut, "kind": kind, "station": station, "unit": "mm"}
        if kind == "glue_line":
            if (slip and (value < 0 or self.rng.random() < 1 / 3)) or (not slip and value < LIMIT):
                return [Reading(**common, state="closed", limit=LIMIT)]
            return [Reading(**common, value=value, limit=LIMIT)]
        return [Reading(**common, value=value)] if value >= 0 else []

    def state(self, cut, station, finished, insert):
        """Whether a stroke filled: a logistic number against two thresholds."""
        truth, states = self.truth, ("missing", "partly", "filled")
        if self.rng.random() < truth["mistake_chance"]:
            self.mistakes.append((cut.cut, "fill", station.station))
            state = states[self.rng.integers(3)]
        else:
            shift = truth["across_shift"] * (station.grain == "across")
            latent = finished - truth["half_filled"][insert] - shift + truth["fill_softness"] * self.rng.logistic()
            state = "filled" if latent > 0 else ("partly" if latent > -truth["fill_step"] else "missing")
        return Reading(cut=cut.cut, kind="fill", station=station.station, state=state)

    def readings(self, n, *, sawn):
        """Everything that is read on cut number n."""
        cut, truth = self.shop.cuts[n], self.truth
        section, rest = self.section(n)
        level, host, insert = (
            float(np.ravel(rest.seat_level)[0]),
            truth["host_zero_error"][n],
            truth["insert_zero_error"][n],
        )
        found = self.length(cut, "backer_gap", cut.relief_depth + level - host, ("feeler_sd",), 0.05)
        if sawn:
            floor = cut.pocket_depth - cut.start_depth + level - insert
            found += self.length(cut, "floor_gap", floor, ("floor_gap_sd",), 0.05)
            found += self.length(cut, "pocket_depth", cut.pocket_depth + host, ("gauge_sd",), 0.01)
            found += self.length(cut, "plug_depth", cut.start_depth + cut.relief_depth + insert, ("gauge_sd",), 0.01)
        wood = self.species[self.shop.pair(cut.pair).insert]
        narrowing = 2 * cut.sanded_off * math.tan(math.radians(section["path_angle"]) / 2)
        for station in self.shop.coupon(cut.coupon).stations:
            if station.kind == "wedge":
                width = truth["half_filled"][wood] + truth["across_shift"] * (station.grain == "across")
                found += self.length(cut, "wedge_stop", width, ("wedge_sd",), 0.05, station.station)
                continue
            gap = self.gap(section, level, station.stroke_width / 2, station.land_width / 2)
            found += self.length(cut, "glue_line", gap, ("loupe_sd", "opening_sd"), 0.01, station.station)
            found.append(self.state(cut, station, station.stroke_width - narrowing, wood))
        return found

    def outcome(self, n):
        """Outcome of a piece on which nothing was measured: its worst glue line, by the eye."""
        if self.rng.random() < self.truth["mistake_chance"]:
            return ("tight", "hairline", "open")[self.rng.integers(3)]
        section, rest = self.section(n)
        level = float(np.ravel(rest.seat_level)[0])
        worst = max(self.gap(section, level, half, land) for half, land in strokes_of(self.shop.cuts[n], self.shop))
        worst += self.rng.normal(0, math.hypot(self.truth["loupe_sd"], self.truth["opening_sd"]))
        habits = self.shop.habits
        return "tight" if worst < habits.tight_below else "hairline" if worst < habits.hairline_below else "open"

    def whole(self, *, sawn_every=2):
        """The shop with its readings, or with outcomes where a cut has no coupon."""
        readings, cuts = [], []
        for n, cut in enumerate(self.shop.cuts):
            if cut.coupon is None:
                cuts.append(replace(cut, outcome=self.outcome(n)))
            else:
                cuts.append(cut)
                readings += self.readings(n, sawn=sawn_every > 0 and n % sawn_every == 0)
        return self.shop.with_cuts(cuts, readings)

    def grooves(self, bit, depths, zero_error, *, date="2026-02-01"):
        """Grooves of one setup, measured across the top."""
        n = self.bits[bit]
        slope = math.tan(math.radians(self.truth["true_angle"][n]) / 2)
        widths = [self.truth["tip_flat"][n] + 2 * (depth + zero_error) * slope for depth in depths]
        widths = [
            self.noisy(width, self.truth["loupe_sd"], 0.01, (bit, "groove", depth))[0]
            for width, depth in zip(widths, depths, strict=True)
        ]
        return tuple(
            Groove(bit=bit, date=date, depth=depth, width=width, unit="mm")
            for depth, width in zip(depths, widths, strict=True)
            if width > 0
        )
