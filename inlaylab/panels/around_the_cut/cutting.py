"""Questions of notebook 6 about cutting: levelling, sanding and floors, tram, time and wood."""

from __future__ import annotations

from typing import Any

from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.around_the_cut.state import Given, Reckoning, Result
from inlaylab.panels.shared.entries import Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry
from inlaylab.wording.panels.around_the_cut import cutting as words


def _length(label: str, typed: str, *, high: float = 200.0, above: bool = False, low: float = 0.0) -> LengthEntry:
    return LengthEntry(label, required=True, lowest=low, highest=high, above=above, typed=typed)


def _angle(label: str, typed: str) -> NumberEntry:
    return NumberEntry(label, lowest=5, highest=170, unit="°", required=True, typed=typed)


def levelling_reckoning(*, unit: str) -> Reckoning:
    """
    Ask what levelling leaves proud, and whether a pass would reach the host.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    form = Form(
        retract=_length(words.RETRACT, "18 mm"),
        cut_start=_length(words.CUT_START, "11 mm"),
        cut_depth=_length(words.CUT_DEPTH, "6.4 mm"),
        pass_depth=_length(words.ONE_PASS, "1.2 mm", above=True),
        insert_thickness=_length(words.INSERT_THICKNESS, "9 mm", above=True),
        start_depth=_length("start depth", "3.4 mm", above=True),
        relief_depth=_length("relief depth", "1.6 mm"),
        sink=_length(words.SANK, "0 mm", low=-20.0, high=20.0),
        zero_off=_length(words.ZERO_OFF, "0.1 mm", high=20.0),
    )
    return Reckoning("Levelling", form, _levelling, cautions=(*MACHINE, "backer"), unit=unit)


def _levelling(given: Given, unit: str) -> Result:
    from inlaylab.models.levelling import levelling_stack

    stack = levelling_stack(stand_off=-given.pop("sink"), **given)
    return Result(
        lines=tuple(words.levelling_lines(stack, unit, zero_off=given["zero_off"])),
        warning=words.levelling_warning(stack, unit, pass_depth=given["pass_depth"]),
        figure="levelling",
        drawn=stack,
    )


def sanding_reckoning(*, unit: str) -> Reckoning:
    """
    Ask what sanding leaves of thin strokes, and what V-bit passes leave on a floor.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    widths = LengthsEntry("stroke widths", required=True, above=True, highest=2000.0, typed="0.6 mm; 1.2 mm; 8 mm")
    form = Form(
        widths=widths,
        angle=_angle("path angle", "60"),
        start_depth=_length("start depth", "3.4 mm", high=50, above=True),
        pocket_depth=_length("pocket depth", "4.2 mm", high=50, above=True),
        stand_off=_length(words.SANK, "0.12 mm", low=-20.0, high=20.0),
        crest_loss=_length(words.CRESTS_LOST, "0.2 mm", high=5),
        sanded_off=_length("sanded off", "0.3 mm", high=10),
        tip_flat=_length("tip flat", "0.1 mm", high=5),
        pass_spacing=_length(words.FLOOR_SPACING, "0.3 mm", high=20),
    )
    return Reckoning(words.SANDING, form, _sanding, cautions=("dust", "noise", "solvents", "rags"), unit=unit)


def _sanding(given: Given, unit: str) -> Result:
    import numpy as np

    from inlaylab.figures.sanding import SandedStrokes
    from inlaylab.models import floors, sanding
    from inlaylab.models.walls import half_tangent

    halves = np.array(given["widths"]) / 2
    stroke: dict[str, Any] = {"half_width": halves, "path_angle": given["angle"]}
    width = sanding.finished_width(**stroke, sanded_off=given["sanded_off"])
    reserve = sanding.sanding_reserve(
        **stroke,
        start_depth=given["start_depth"],
        pocket_depth=given["pocket_depth"],
        stand_off=-given["stand_off"],
        crest_loss=given["crest_loss"],
        sanded_off=given["sanded_off"],
    )
    ridges = floors.pocket_ridges(
        stroke_half_width=halves,
        pocket_depth=given["pocket_depth"],
        path_angle=given["angle"],
        true_angle=given["angle"],
        tip_flat=given["tip_flat"],
        pass_spacing=given["pass_spacing"],
    )
    found = zip(given["widths"], *(map(float, np.atleast_1d(each)) for each in (width, reserve, ridges)), strict=True)
    lines = [
        words.sanded_line(drawn, unit, finished=finished, left=left, ridge=ridge)
        for drawn, finished, left, ridge in found
    ]
    gap = floors.floor_gap(pocket_depth=given["pocket_depth"], start_depth=given["start_depth"])
    lines.append(words.floor_gap_line(float(gap), unit, tallest=float(np.max(ridges))))
    drawn = SandedStrokes(
        widths=given["widths"],
        reserves=np.atleast_1d(reserve),
        slope=float(half_tangent(given["angle"])),
        pocket_depth=given["pocket_depth"],
        nose_depth=given["start_depth"] + given["stand_off"],
        sanded_off=given["sanded_off"],
    )
    warning = words.STROKES_LOST if np.any(reserve <= 0) else ""
    return Result(lines=tuple(lines), warning=warning, figure="sanding", drawn=drawn)


def tram_reckoning(*, unit: str) -> Reckoning:
    """
    Ask what a leaning spindle does, and about which line to mirror the plug.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    form = Form(
        diameter=_length(words.CIRCLE, "150 mm", high=1000, above=True),
        along_x=_length(words.ALONG_X, "0.1 mm", low=-50.0, high=50.0),
        along_y=_length(words.ALONG_Y, "0.4 mm", low=-50.0, high=50.0),
        width=_length(words.STROKE, "8 mm", high=500, above=True),
        start_depth=_length("start depth", "3.4 mm", high=50, above=True),
        pocket_depth=_length("pocket depth", "4.2 mm", high=50, above=True),
        relief_depth=_length("relief depth", "1.6 mm", high=50, above=True),
        angle=_angle(words.BIT_ANGLE, "60"),
        sanded_off=_length("sanded off", "0.3 mm", high=10),
    )
    return Reckoning("Tram", form, _tram, cautions=("bit",), unit=unit)


def _tram(given: Given, unit: str) -> Result:
    from inlaylab.figures.tram import LeaningCuts
    from inlaylab.models.around import tram

    lean_x, lean_y = (
        tram.lean_from_sweep(difference=given[side], diameter=given["diameter"]) for side in ("along_x", "along_y")
    )
    line = tram.mirror_line(lean_x, lean_y)
    section = {name: given[name] for name in ("start_depth", "pocket_depth", "relief_depth", "sanded_off")}
    section |= {"stroke_half_width": given["width"] / 2, "path_angle": given["angle"], "true_angle": given["angle"]}
    right, wrong = (
        max(tram.lean_fit(lean=lean, turned_across=False, **section).glue_lines)
        for lean in (line.doubles, line.cancels)
    )
    lines = words.tram_lines(line, unit, leans=(lean_x, lean_y), right=right, wrong=wrong)
    drawn = LeaningCuts(along=line.along, angle=given["angle"], advised=right, other=wrong)
    return Result(lines=tuple(lines), figure="tram", drawn=drawn)


def workload_reckoning(*, unit: str) -> Reckoning:
    """
    Ask how long an artwork takes and how much wood it uses.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    form = Form(
        length=_length(words.ALONG_GRAIN, "100 mm", high=3000, above=True),
        width=_length(words.ACROSS_GRAIN, "60 mm", high=3000, above=True),
        outline=_length(words.OUTLINE, "600 mm", high=1e5, above=True),
        filled=NumberEntry(words.FILLED, lowest=1, highest=99, unit="%", required=True, typed="40"),
        spacing=_length(words.SPACING, "0.5 mm", high=50, above=True),
        feed=_length(words.FEED, "1500 mm", high=50_000, above=True),
        pass_depth=_length(words.ONE_PASS, "2 mm", high=50, above=True),
        start_depth=_length("start depth", "3.4 mm", high=50, above=True),
        pocket_depth=_length("pocket depth", "4.2 mm", high=50, above=True),
        relief_depth=_length("relief depth", "1.6 mm", high=50, above=True),
        angle=_angle("path angle", "60"),
        border=_length(words.BORDER, "15 mm", high=500),
        backer=_length(words.BACKER, "5 mm", high=100, above=True),
        floor=_length(words.FLOOR, "6 mm", high=100, above=True),
    )
    return Reckoning(words.TIME, form, _workload, cautions=MACHINE, unit=unit)


def _workload(given: Given, unit: str) -> Result:
    from inlaylab.models.around import workload
    from inlaylab.models.walls import half_tangent

    slope = float(half_tangent(given["angle"]))
    depths = {name: given[name] for name in ("start_depth", "pocket_depth", "relief_depth")}
    sides: dict[str, Any] = {"path_slope": slope, **depths}
    sides |= {name: given[name] for name in ("border", "backer", "floor")}
    host, insert = workload.blanks(artwork_length=given["length"], artwork_width=given["width"], **sides)
    bounds, share = given["length"] * given["width"], given["filled"] / 100
    pocket_flat = max(0.0, bounds * share - given["outline"] * given["pocket_depth"] * slope)
    ground_flat = max(
        0.0, insert.length * insert.width - bounds * share - given["outline"] * given["relief_depth"] * slope
    )
    lines = []
    for name, flat, depth in (
        ("Pocket", pocket_flat, given["pocket_depth"]),
        ("Plug", ground_flat, given["start_depth"] + given["relief_depth"]),
    ):
        length = workload.path_length(outline_length=given["outline"], flat_area=flat, pass_spacing=given["spacing"])
        passes = workload.passes_needed(depth=depth, pass_depth=given["pass_depth"])
        minutes = workload.cutting_time(path_length=length, feed=given["feed"], passes=passes)
        metres = float(length * passes / 1000)
        lines.append(words.time_line(name, metres=metres, passes=passes, minutes=float(minutes)))
    lines += [words.blank_line(name, blank, unit) for name, blank in (("Host", host), ("Insert", insert))]
    return Result(lines=(*lines, words.ADD_METRES))
