"""
Makes data/sample_shop: the log of an invented workshop whose truth is known.

Run ``python tests/make_sample_shop.py`` to write the tables again; a test holds that they come out the same, byte for
byte. Nothing of ``inlaylab`` is used, so that the library is never checked against itself: the seat of each test cut is
worked out here from the rules of contact for straight bars, and the bench readings are drawn around it.

Everything is invented: people, bits, dates, numbers. Lengths are mm unless a name says otherwise.
"""

import csv
import datetime
import math
import random
import statistics
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
FOLDER = HERE.parent / "data" / "sample_shop"
SEED = 20260117
INCH = 25.4
NORMAL = statistics.NormalDist()

# --- the truth that no maker ever sees -----------------------------------------------------------------------------
BITS = {  # nominal angle, true angle, tip flat, loupe reading of the flat, cutting diameter, notes
    "sixty": (60.0, 60.7, 0.11, 0.10, 12.7, "bought used; the shop's workhorse"),
    "thirty": (30.0, 29.7, 0.08, None, 6.35, "for lettering"),
    "ninety": (90.0, 90.5, 0.15, None, 19.05, "new in May"),
}
PAIRS = {  # host, insert, wall allowance
    "walnut-maple": ("black walnut", "sugar maple", 0.020),
    "cherry-maple": ("black cherry", "sugar maple", 0.030),
    "ash-walnut": ("white ash", "black walnut", 0.035),
    "maple-padauk": ("sugar maple", "padauk", 0.010),
}
CREST_LOSS = {"sugar maple": 0.14, "black walnut": 0.22, "black cherry": 0.20, "white ash": 0.30, "padauk": 0.16}
HALF_FILLED_WIDTH = {"sugar maple": 0.36, "black walnut": 0.48, "padauk": 0.42}
ACROSS_SHIFT, FILL_SOFTNESS, PARTLY_ABOVE = 0.10, 0.08, 0.12
ZERO_BIAS, ZERO_SPREAD = 0.02, 0.045
MEAN_SHORTFALL, LOCAL_OPENING = 0.02, 0.010
LOUPE, FEELER, CALIPER, WEDGE = 0.015, 0.025, 0.02, 0.06
SKIPPED = 0.15
LOUPE_LIMIT = {"mm": 0.05, "in": 0.002 * INCH}

# station, kind, stroke width, land width, grain; the first coupon in mm, the second in inches
COUPONS = {
    "ladder": (
        "mm",
        "B1 bar 0.6 3.0 along, B2 bar 0.6 3.0 across, B3 bar 0.9 2.0 along, B4 bar 0.9 2.0 across, "
        "B5 bar 1.5 2.5 along, B6 bar 2.5 3.0 across, B7 bar 4.0 1.2 along, B8 bar 6.0 5.0 along, "
        "B9 bar 9.0 8.0 across, W1 wedge 5.0 6.0 along",
    ),
    "inch ladder": (
        "in",
        "A bar 0.03 0.125 along, B bar 0.03 0.125 across, C bar 0.045 0.1 across, "
        "D bar 0.0625 0.125 along, E bar 0.125 0.0625 along, F bar 0.1875 0.25 across, "
        "G bar 0.25 0.25 along, H bar 0.375 0.375 along, W wedge 0.2 0.25 along",
    ),
}

# cut, date, who, bit, pair, coupon, start, pocket, relief, sanded (in the maker's unit), what was read, extras.
# What was read: s = stations, b = backer gap, d = depth gauge, f = floor gap (sawn through), o = outcome.
SCHEDULE = """
T01 01-17 Mara sixty   walnut-maple ladder      4.0   4.0   1.5  0.3   sbo    first try, no floor gap at all
T02 01-18 Mara sixty   walnut-maple ladder      3.7   4.0   1.5  0.3   sbdo
T03 01-24 Mara sixty   walnut-maple ladder      3.4   4.0   1.5  0.3   sbfo   sawn through to look
T04 01-25 Theo sixty   cherry-maple inch_ladder 0.170 0.170 0.065 0.012 sbo
T05 01-31 Theo sixty   cherry-maple inch_ladder 0.155 0.170 0.065 0.012 sbdo
T06 02-01 Theo sixty   cherry-maple -           0.152 0.170 0.065 0.012 o     drawer front, lettering
T07 02-07 Mara thirty  walnut-maple ladder      4.5   5.0   1.5  0.3   sbo
T08 02-08 Mara thirty  walnut-maple ladder      4.8   5.0   1.5  0.3   sbdo
T09 02-14 Mara thirty  walnut-maple ladder      4.2   5.0   1.5  0.3   so
T10 02-15 Theo sixty   ash-walnut   inch_ladder 0.145 0.160 0.065 0.015 sbo
T11 02-21 Theo sixty   ash-walnut   inch_ladder 0.165 0.160 0.065 0.015 sbo   bottomed out
T12 02-22 Mara sixty   walnut-maple ladder      3.8   4.0   1.5  0.3   sbo    photo on the shop's wall
T13 02-28 Mara thirty  maple-padauk ladder      4.6   5.0   1.5  0.3   sbo
T14 03-01 Theo thirty  cherry-maple inch_ladder 0.170 0.190 0.065 0.012 sbo
T15 03-07 Mara thirty  walnut-maple -           4.6   5.0   1.5  0.3   o      tray, six leaves
T16 03-08 Mara sixty   maple-padauk ladder      3.6   4.0   1.5  0.3   sbdfo
T17 03-14 Theo sixty   cherry-maple inch_ladder 0.160 0.170 0.065 0.012 sbo
T18 03-21 Mara sixty   walnut-maple ladder      3.6   4.0   1.5  0.5   sbo  relief cleared by V-bit|pass_spacing=0.2
T19 03-28 Theo thirty  ash-walnut   inch_ladder 0.160 0.190 0.065 0.015 sbo
T20 04-04 Mara thirty  maple-padauk ladder      4.4   5.0   1.5  0.3   sbdo
T21 04-11 Theo sixty   ash-walnut   inch_ladder 0.135 0.160 0.065 0.015 sbdo
T22 04-18 Mara sixty   walnut-maple ladder      3.7   4.0   1.5  0.3   sbo  path for the measured angle|path_angle=60.6
T23 04-25 Mara sixty   maple-padauk -           3.7   4.0   1.5  0.3   o      clock face
T24 05-02 Theo thirty  cherry-maple inch_ladder 0.175 0.190 0.065 0.012 sbo
T25 05-16 Mara ninety  walnut-maple ladder      2.7   2.8   1.2  0.3   sbo    first cut with the new bit
T26 05-23 Theo ninety  cherry-maple inch_ladder 0.105 0.115 0.055 0.012 sbo
"""
UNIT_OF = {"Mara": "mm", "Theo": "in"}
DESIGN = [(0.8, 2.0), (1.4, 2.5), (3.0, 3.0), (7.0, 5.0)]  # strokes of the pieces that were no coupon: width, land


def words(text):
    """Split a list of column names."""
    return text.split(",")


def swap(one, other):
    """Two stations mixed up: the values stand at each other's place."""
    one["value"], other["value"] = other["value"], one["value"]
    one["state"], other["state"] = other["state"], one["state"]


# the readings that were spoilt on purpose: cut, kind, station, what happened
MISTAKES = (
    ("T05", "backer_gap", "", "unit"),
    ("T20", "glue_line", "B8", "unit"),
    ("T12", "glue_line", "B4", "station"),
    ("T12", "glue_line", "B8", "station"),
)


# --- one test cut ----------------------------------------------------------------------------------------------------
def stations_of(coupon):
    """Stations of a coupon as (station, kind, width, land, grain), in mm and as typed."""
    unit, text = COUPONS[coupon]
    scale = INCH if unit == "in" else 1.0
    rows = [part.split() for part in text.split(", ")]
    return [(name, kind, float(width) * scale, float(land) * scale, grain) for name, kind, width, land, grain in rows]


def ridge(*, flat, spacing, tip_flat, slope):
    """Height of the ridges that equal passes, no further apart than the spacing, leave on a flat."""
    if flat <= 0 or not spacing:
        return 0.0
    real = flat / math.ceil(flat / spacing)
    return max(0.0, real - tip_flat) / (2 * slope)


def rest(cut, strokes, truth):
    """Seat level (stand-off plus both zero errors) and the glue line of each stroke (half-width, land half-width)."""
    nominal, angle, flat, *_ = BITS[cut["bit"]]
    path = math.tan(math.radians(cut["path_angle"] or nominal) / 2)
    slope = math.tan(math.radians(angle) / 2)
    host, insert, allowance = PAIRS[cut["pair"]]
    asked, lines = [], []
    for half, land in strokes:
        down = min(cut["pocket"], half / path)
        over = min(cut["relief"], land / path)
        pocket_ridge = ridge(flat=2 * (half - cut["pocket"] * path), spacing=cut["passes"], tip_flat=flat, slope=slope)
        relief_ridge = ridge(flat=2 * (land - cut["relief"] * path), spacing=cut["passes"], tip_flat=flat, slope=slope)
        spread = (down + over) * (slope - path) + flat
        asked.append((allowance - spread) / slope)
        crest = (half + over * path - flat / 2) / slope - over - CREST_LOSS[insert]
        asked.append(min(cut["start"] + truth["insert_zero"], crest) - down + pocket_ridge)
        edge = (land + down * path - flat / 2) / slope - down - CREST_LOSS[host]
        asked.append(min(truth["host_zero"], edge) - over + relief_ridge)
        lines.append(spread)
    level = max(asked) + truth["shortfall"]
    return level, [line + level * slope for line in lines]


def strokes_of(cut):
    """Every stroke of the piece as half-widths; a wedge stands for all widths from 0.4 mm up to its wide end."""
    if not cut["coupon"]:
        return [(width / 2, land / 2) for width, land in DESIGN]
    strokes = []
    for _, kind, width, land, _ in stations_of(cut["coupon"]):
        widths = [width] if kind == "bar" else [0.4 + 0.1 * n for n in range(int((width - 0.4) / 0.1) + 1)]
        strokes += [(each / 2, land / 2) for each in widths]
    return strokes


class Bench:
    """The maker's instruments: draws readings around the truth and writes them as the maker would."""

    def __init__(self, seed):
        self.dice = random.Random(seed)

    def normal(self, spread):
        """Draw a normal error from one uniform number (the same on every machine)."""
        return spread * NORMAL.inv_cdf(min(max(self.dice.random(), 1e-9), 1 - 1e-9))

    def typed(self, value, unit, step):
        """Round a length in mm to the maker's step and write it in the maker's unit."""
        scale, digits = (INCH, 3) if unit == "in" else (1.0, 2)
        rounded = round(value / scale / step) * step
        return f"{max(rounded, 0):.{digits}f}"

    def fill(self, width, insert, grain):
        """Say whether a stroke of this finished width filled."""
        middle = HALF_FILLED_WIDTH[insert] + (ACROSS_SHIFT if grain == "across" else 0.0)
        luck = self.dice.random()
        luck = FILL_SOFTNESS * math.log(luck / (1 - luck)) + width - middle
        return "filled" if luck > 0 else "partly" if luck > -PARTLY_ABOVE else "missing"


def read_cut(bench, cut):
    """Cut, glue, level and read one test cut; returns its rows for readings.csv and its outcome."""
    unit, rows = cut["unit"], []
    truth = {
        "host_zero": ZERO_BIAS + bench.normal(ZERO_SPREAD),
        "insert_zero": ZERO_BIAS + bench.normal(ZERO_SPREAD),
        "shortfall": -MEAN_SHORTFALL * math.log(1 - bench.dice.random()),
    }
    level, lines = rest(cut, strokes_of(cut), truth)
    stand_off = level - truth["host_zero"] - truth["insert_zero"]
    caliper, leaf = (0.01, 0.05) if unit == "mm" else (0.001, 0.002)

    def row(kind, value=None, station="", step=caliper, state="", limit=""):
        text = "" if value is None else bench.typed(value, unit, step)
        has_length = value is not None or limit
        rows.append(
            dict(
                cut=cut["cut"],
                kind=kind,
                station=station,
                value=text,
                limit=limit,
                state=state,
                unit=unit if has_length else "",
            )
        )

    if "d" in cut["read"]:
        row("pocket_depth", cut["pocket"] + truth["host_zero"] + bench.normal(CALIPER))
        row("plug_depth", cut["start"] + cut["relief"] + truth["insert_zero"] + bench.normal(CALIPER))
    if "b" in cut["read"]:
        row("backer_gap", cut["relief"] + truth["insert_zero"] + stand_off + bench.normal(FEELER), step=leaf)
    if "f" in cut["read"]:
        gap = cut["pocket"] - cut["start"] + truth["host_zero"] + stand_off
        row("floor_gap", gap + bench.normal(FEELER), step=leaf)
    worst = max(0.0, max(lines) + bench.normal(LOCAL_OPENING))
    if "s" in cut["read"]:
        worst = read_stations(bench, cut, level, truth, row)
    outcome = "tight" if worst < 0.05 else "hairline" if worst < 0.15 else "open"
    if stand_off > 0.05:
        outcome = "proud"
    return rows, outcome


def read_stations(bench, cut, level, truth, row):
    """Read the stations of the coupon: filled or not, its glue line, where the wedge stops; returns the worst line."""
    worst, unit = 0.0, cut["unit"]
    insert = PAIRS[cut["pair"]][1]
    path = math.tan(math.radians(cut["path_angle"] or BITS[cut["bit"]][0]) / 2)
    limit = "0.05" if unit == "mm" else "0.002"
    for station, kind, width, land, grain in stations_of(cut["coupon"]):
        if kind == "wedge":
            middle = HALF_FILLED_WIDTH[insert] + (ACROSS_SHIFT if grain == "across" else 0.0)
            row("wedge_stop", max(middle + bench.normal(WEDGE), 0.05), station, 0.05 if unit == "mm" else 0.002)
            continue
        state = "filled"
        if width < 2.0:
            state = bench.fill(width - 2 * cut["sanded"] * path, insert, grain)
            row("fill", station=station, state=state)
        if state == "missing":
            continue
        (line,) = rest(cut, [(width / 2, land / 2)], truth)[1]
        own_level = rest(cut, [(width / 2, land / 2)], truth)[0]
        slope = math.tan(math.radians(BITS[cut["bit"]][1]) / 2)
        true = max(0.0, line + (level - own_level) * slope + bench.normal(LOCAL_OPENING))
        seen = true + bench.normal(LOUPE)
        worst = max(worst, true)
        if bench.dice.random() < SKIPPED:  # not every maker reads every line
            continue
        if seen < LOUPE_LIMIT[unit]:
            row("glue_line", station=station, state="closed", limit=limit)
        else:
            row("glue_line", seen, station, limit=limit)
    return worst


# --- the whole shop --------------------------------------------------------------------------------------------------
def schedule():
    """Read the schedule above into one dict a cut, lengths in mm."""
    cuts = []
    for line in SCHEDULE.strip().splitlines():
        fields = line.split(maxsplit=11)
        note, _, extra = (fields[11] if len(fields) > 11 else "").partition("|")
        unit = UNIT_OF[fields[2]]
        scale = INCH if unit == "in" else 1.0
        extras = dict(pair.split("=") for pair in extra.split(",") if pair)
        start, pocket, relief, sanded = fields[6:10]
        cuts.append(dict(
            cut=fields[0], date=f"2026-{fields[1]}", who=fields[2], bit=fields[3], pair=fields[4],
            coupon=fields[5].strip("-").replace("_", " "), unit=unit, read=fields[10], note=note.strip(),
            typed=(start, pocket, relief, sanded), start=float(start) * scale, pocket=float(pocket) * scale,
            relief=float(relief) * scale, sanded=float(sanded) * scale,
            passes=float(extras.get("pass_spacing", 0)), path_angle=float(extras.get("path_angle", 0)),
        ))  # fmt: skip
    return cuts


def honest_mistakes(rows):
    """Spoil a few readings as tired people do; data/README.md lists them."""
    found = {(row["cut"], row["kind"], row["station"]): row for row in rows}
    found["T05", "backer_gap", ""]["unit"] = "mm"  # 0.054 in, typed as if it were mm
    found["T20", "glue_line", "B8"].update(value="0.08", unit="in", state="", limit="0.002")  # 0.08 mm, typed as inches
    swap(found["T12", "glue_line", "B4"], found["T12", "glue_line", "B8"])


def grooves(bench):
    """Five grooves cut with the used bit in one setup and measured across the top."""
    _, angle, flat, *_ = BITS["sixty"]
    zero = ZERO_BIAS + bench.normal(ZERO_SPREAD)
    slope = math.tan(math.radians(angle) / 2)
    for depth in (1.0, 2.0, 3.0, 4.0, 5.0):
        width = flat + 2 * (depth + zero) * slope + bench.normal(CALIPER)
        yield ["sixty", "2026-02-06", f"{depth:.1f}", f"{width:.2f}", "mm"]


def tables(seed=SEED):
    """Build every table of the shop as {file name: (columns, rows)}; the same for the same seed."""
    bench = Bench(seed)
    cut_columns = words(
        "cut,date,bit,pair,coupon,start_depth,pocket_depth,relief_depth,sanded_off,path_angle_deg,"
        "outline_offset,pass_spacing,path_length_m,outcome,notes,photo,unit"
    )
    reading_columns = words("cut,kind,station,value,limit,state,unit")
    cut_rows, readings = [], []
    for cut in schedule():
        datetime.date.fromisoformat(cut["date"])
        rows, outcome = read_cut(bench, cut)
        readings += rows
        metres = f"{0.9 + 2.2 * bench.dice.random():.1f}"
        path_angle = f"{cut['path_angle']:g}" if cut["path_angle"] else ""
        passes = f"{cut['passes']:g}" if cut["passes"] else ""
        notes = "; ".join(text for text in (cut["who"], cut["note"]) if text)
        cut_rows.append([cut["cut"], cut["date"], cut["bit"], cut["pair"], cut["coupon"], *cut["typed"], path_angle, "",
                         passes, metres, outcome, notes, "", cut["unit"]])  # fmt: skip
    if seed == SEED:
        honest_mistakes(readings)
    coupon_rows = []
    for name, (unit, text) in COUPONS.items():
        coupon_rows += [[name, *part.split(), unit] for part in text.split(", ")]
    bit_rows = [
        [bit, f"{nominal:g}", "" if loupe is None else f"{loupe:.2f}", f"{diameter:g}", "mm", notes]
        for bit, (nominal, _, _, loupe, diameter, notes) in BITS.items()
    ]
    return {
        "bits.csv": (words("bit,nominal_angle_deg,tip_flat,cutting_diameter,unit,notes"), bit_rows),
        "grooves.csv": (words("bit,date,depth,width,unit"), list(grooves(bench))),
        "pairs.csv": (
            words("pair,host,insert"),
            [[pair, host, insert] for pair, (host, insert, _) in PAIRS.items()],
        ),
        "coupons.csv": (words("coupon,station,kind,stroke_width,land_width,grain,unit"), coupon_rows),
        "cuts.csv": (cut_columns, cut_rows),
        "readings.csv": (reading_columns, [[row[key] for key in reading_columns] for row in readings]),
    }


def write(folder=FOLDER, seed=SEED):
    """Write the tables into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, (columns, rows) in tables(seed).items():
        with (folder / name).open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(columns)
            writer.writerows(rows)


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
