"""Questions of notebook 6 about woods: moisture, glue and clamps."""

from __future__ import annotations

from typing import Any

from inlaylab import units
from inlaylab.errors import InputError
from inlaylab.handbook import gluing, woods
from inlaylab.handbook.sources import sources
from inlaylab.panels.around_the_cut.state import Reckoning, Result, read_temperature
from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry
from inlaylab.wording.lengths import area, volume

SAWN = {"flat-sawn (tangential)": "tangential", "quarter-sawn (radial)": "radial"}
LAID = {"along the host's grain": True, "across the host's grain": False}


def moisture_reckoning(*, unit: str, host: str = "Walnut, black", insert: str = "Maple, sugar (hard)") -> Reckoning:
    """
    Ask how much insert and host move against each other.

    Parameters
    ----------
    unit : str
        The maker's unit.
    host, insert : str, optional
        Woods as typed in a pair.

    Returns
    -------
    reckoning : Reckoning
    """
    percent: dict[str, Any] = {"lowest": 0, "highest": 100, "unit": "%", "required": True}
    form = Form(
        host=Entry("host's wood", required=True, typed=host),
        host_sawn=ChoiceEntry("host is", options=SAWN, required=True),
        host_shrinkage=_own_shrinkage("host's shrinkage, if not listed"),
        insert=Entry("insert's wood", required=True, typed=insert),
        insert_sawn=ChoiceEntry("insert is", options=SAWN, required=True),
        insert_shrinkage=_own_shrinkage("insert's shrinkage, if not listed"),
        laid=ChoiceEntry("insert's grain lies", options=LAID, required=True),
        across=LengthEntry(
            "artwork across the host's grain", required=True, above=True, highest=3000.0, typed="100 mm"
        ),
        along=LengthEntry("artwork along the host's grain", required=True, above=True, highest=3000.0, typed="100 mm"),
        warm=Entry("air is at", required=True, read=read_temperature, typed="20 °C" if unit == "mm" else "68 °F"),
        glued=NumberEntry("humidity when glued", typed="45", **percent),
        dry=NumberEntry("humidity in the driest season", typed="30", **percent),
        damp=NumberEntry("humidity in the dampest season", typed="65", **percent),
    )
    for name, options in (("host_sawn", SAWN), ("insert_sawn", SAWN), ("laid", LAID)):
        form[name].typed = next(iter(options))
    return Reckoning("Woods and moisture", form, _moisture, cautions=("woods",), unit=unit)


def _moisture(given: dict[str, Any], unit: str) -> Result:
    import numpy as np

    from inlaylab.figures.season import SeasonMovement
    from inlaylab.models.around import moisture

    host, insert = woods.find(given["host"]), woods.find(given["insert"])
    sides = {"host": SAWN[given["host_sawn"]], "insert": SAWN[given["insert_sawn"]]}
    lines, coefficients = [], {}
    for name, wood in (("host", host), ("insert", insert)):
        coefficient, told = _coefficient(wood, sides[name], own=given[f"{name}_shrinkage"])
        coefficients[name] = coefficient
        lines.append(f"{name.capitalize()}, {wood.common_name}: {told}")
    if None in coefficients.values():
        return Result(lines=tuple(lines), warning="Without that no movement can be told.", woods=_names(host, insert))
    parallel = LAID[given["laid"]]
    across = (coefficients["host"], coefficients["insert"] if parallel else 0.0)
    along = (0.0, 0.0 if parallel else coefficients["insert"])
    told = _outside(given, moisture)
    contents = {s: moisture.equilibrium_moisture_content(given["warm"], given[s]) for s in ("glued", "dry", "damp")}
    lines.append(
        f"Moisture content that wood comes to at {given['warm']:g} °C: {contents['glued']:.1f} % when glued, "
        f"{contents['dry']:.1f} % in the driest season, {contents['damp']:.1f} % in the dampest "
        f"({sources()['wood handbook 4-2']}). {moisture.CERTAINTY}"
    )
    if not all(
        moisture.COEFFICIENT_RANGE[0] <= content <= moisture.COEFFICIENT_RANGE[1] for content in contents.values()
    ):
        low, high = moisture.COEFFICIENT_RANGE
        lines.append(
            f"The coefficients are meant for {low:g} to {high:g} %: outside that the movement is a rough guide."
        )
    humidities = np.linspace(min(given["dry"], given["glued"]), max(given["damp"], given["glued"]), 60)
    growths = {}
    for name, (host_part, insert_part), width in (
        ("across the host's grain", across, given["across"]),
        ("along the host's grain", along, given["along"]),
    ):
        fixed: dict[str, Any] = {"width": width, "host_coefficient": host_part, "insert_coefficient": insert_part}
        fixed["moisture_from"] = contents["glued"]
        growths[name] = moisture.differential_movement(
            moisture_to=moisture.equilibrium_moisture_content(given["warm"], humidities), **fixed
        )
        dry, damp = (moisture.differential_movement(moisture_to=contents[s], **fixed) for s in ("dry", "damp"))
        lines.append(
            f"{name.capitalize()}, over {units.format_length(width, unit)}: in the driest season "
            f"{_moved(float(dry), unit)}; in the dampest {_moved(float(damp), unit)}."
        )
    marked = {"driest": given["dry"], "glued": given["glued"], "dampest": given["damp"]}
    drawn = SeasonMovement(humidities=humidities, growths=growths, marked=marked)
    return Result(lines=tuple(lines), warning=told, figure="season", drawn=drawn, woods=_names(host, insert))


def _outside(given: dict[str, Any], moisture: Any) -> str:
    """Say which of the air's figures lie outside the handbook's table; empty where none."""
    dry, damp = moisture.HUMIDITY_RANGE
    cold, warm = moisture.TEMPERATURE_RANGE
    outside = [f"{given[name]:g} %" for name in ("dry", "glued", "damp") if not dry <= given[name] <= damp]
    outside += [f"{given['warm']:g} °C"] if not cold <= given["warm"] <= warm else []
    if not outside:
        return ""
    return (
        f"{' and '.join(outside)} lies outside the handbook's table ({dry:g} to {damp:g} % humidity, "
        f"{cold:g} to {warm:g} °C): the equation is only guessing there."
    )


def _moved(growth: float, unit: str) -> str:
    """Say what a growth of the insert, less the host's, does to the joint."""
    size = units.format_length(abs(growth), unit)
    if abs(growth) < 0.005:
        return "nothing moves that could be seen"
    if growth > 0:
        return f"the insert grows {size} more than the host and presses on it"
    return f"the insert shrinks {size} more than the host: up to half of that opens on each side"


def _own_shrinkage(label: str) -> NumberEntry:
    """Make the field for a wood that the kit does not know: what a book or its seller says of it."""
    return NumberEntry(label, lowest=0.1, highest=25, unit="%")


def _coefficient(wood: woods.Wood, side: str, *, own: float | None = None) -> tuple[float | None, str]:
    """Give a wood's coefficient of one direction and say where it comes from; None where nothing tells it."""
    from inlaylab.models.around.moisture import coefficient_from_shrinkage

    if own is not None:
        value = float(coefficient_from_shrinkage(own))
        return value, f"{value:.5f} worked out from the {side} shrinkage of {own:g} % that you typed.{_note(wood)}"
    known = wood.values.get(f"{side}_coefficient")
    if known:
        return known.value, f"{side} coefficient {known}.{_note(wood)}"
    shrinkage = wood.values.get(f"{side}_shrinkage")
    if shrinkage:
        value = float(coefficient_from_shrinkage(shrinkage.value))
        return (
            value,
            f"no published {side} coefficient; {value:.5f} worked out from the shrinkage {shrinkage}.{_note(wood)}",
        )
    missing = "nothing is published here" if not wood.known else f"no {side} coefficient and no {side} shrinkage"
    return (
        None,
        f"{missing}; type its {side} shrinkage, green to oven-dry, from a book or its seller, or take a like wood.",
    )


def _note(wood: woods.Wood) -> str:
    return f" Note: {wood.note}." if wood.note else ""


def _names(*found: woods.Wood) -> tuple[str, ...]:
    return tuple(f"{wood.common_name} {wood.botanical_name}" for wood in found)


def wood_lines(text: str) -> tuple[str, ...]:
    """
    Say what is published about the woods of a name.

    Parameters
    ----------
    text : str
        Words of a common or botanical name.

    Returns
    -------
    lines : tuple of str
        One for each wood and for each of its values, with unit, table and source.

    Examples
    --------
    >>> wood_lines("butternut")[0]
    'Butternut (Juglans cinerea), domestic'
    """
    lines: list[str] = []
    for wood in woods.search(text):
        lines.append(f"{wood.common_name} ({wood.botanical_name}), {wood.group}")
        lines += [f"  {woods.QUANTITIES[name].label}: {value}" for name, value in wood.values.items()]
        if wood.missing:
            lines.append(f"  Not known here: {'; '.join(wood.missing)}.")
        if wood.note:
            lines.append(f"  Note: {wood.note}.")
    return tuple(lines) or (f"No wood of this name has published values here: {text.strip() or 'nothing typed'}.",)


def woods_reckoning(*, unit: str) -> Reckoning:
    """
    Ask what is published about a wood.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    form = Form(name=Entry("common or botanical name", required=True, typed="maple, sugar"))

    def reckon(given: dict[str, Any], unit: str) -> Result:
        found = woods.search(given["name"])
        return Result(lines=wood_lines(given["name"]), woods=_names(*found))

    return Reckoning("Published values", form, reckon, cautions=("woods",), unit=unit)


def pressures() -> dict[str, gluing.Figure]:
    """
    Give the clamping pressures, by what they apply to; each says what it rests on.

    Returns
    -------
    pressures : dict
        Label to `gluing.Figure`.
    """
    return {f"{each.applies_to} ({each.as_stated})": each for each in gluing.figures_of("clamping_pressure")}


def glue_reckoning(*, unit: str) -> Reckoning:
    """
    Ask how much glue a joint holds and how much force its clamps need.

    Parameters
    ----------
    unit : str
        The maker's unit.

    Returns
    -------
    reckoning : Reckoning
    """
    form = Form(
        outline=LengthEntry("outline in all", required=True, above=True, highest=1e5, typed="600 mm"),
        length=LengthEntry("artwork, one side", required=True, above=True, highest=3000.0, typed="100 mm"),
        width=LengthEntry("artwork, other side", required=True, above=True, highest=3000.0, typed="60 mm"),
        filled=NumberEntry("of that is stroke", lowest=1, highest=100, unit="%", required=True, typed="40"),
        depth=LengthEntry("plug in the pocket", required=True, above=True, highest=50.0, typed="3.5 mm"),
        floor_gap=LengthEntry("floor gap after sinking", required=True, highest=20.0, typed="0.3 mm"),
        film=LengthEntry("glue film on the walls", required=True, highest=1.0, typed="0.05 mm"),
        angle=NumberEntry("true angle", lowest=5, highest=170, unit="°", required=True, typed="60"),
        pressure=ChoiceEntry("clamping pressure", options=pressures(), required=True),
        clamps=NumberEntry("number of clamps", lowest=1, highest=200, typed="4"),
    )
    form["pressure"].typed = next(iter(pressures()))
    return Reckoning("Glue and clamps", form, _glue, cautions=("clamps", "solvents"), unit=unit)


def _glue(given: dict[str, Any], unit: str) -> Result:
    from inlaylab.figures.glue import GluedJoint
    from inlaylab.models.around import glue
    from inlaylab.models.walls import half_tangent

    bounds = given["length"] * given["width"]
    strokes = bounds * given["filled"] / 100
    run = given["outline"] * given["depth"] * half_tangent(given["angle"])
    if run >= strokes:
        raise InputError(
            "walls that long would meet above this depth",
            value=f"{given['outline']:.0f} mm",
            allowed="a shorter outline",
        )
    walls = float(glue.wall_area(perimeter=given["outline"], depth=given["depth"], true_angle=given["angle"], turns=0))
    nose = strokes - run
    film = float(glue.joint_volume(wall_area=walls, film_thickness=given["film"]))
    void = float(glue.joint_volume(wall_area=0, film_thickness=0, floor_area=nose, floor_gap=given["floor_gap"]))
    quoted = pressures()[given["pressure"]]
    low, high = (
        float(glue.clamping_force(pressure=end, area=bounds)) for end in (quoted.low or 0.0, quoted.high or 0.0)
    )
    each = "" if not given["clamps"] else f"; with {given['clamps']:g} clamps {_force(low / given['clamps'], unit)} to "
    each += "" if not given["clamps"] else f"{_force(high / given['clamps'], unit)} each"
    lines = (
        f"Walls in touch: {area(walls, unit)}; a film of {units.format_length(given['film'], unit)} on them is "
        f"{volume(film, unit)}.",
        f"The void under the nose holds up to {volume(void, unit)} more: glue pressed into it cannot be squeezed out, "
        "so less on the floor lets the plug sink.",
        f"That pressure on the artwork's whole {area(bounds, unit)} is {_force(low, unit)} to "
        f"{_force(high, unit)} in all{each}. The backer spreads it over that area; the walls are closed by the wedge.",
        f"Pressure on {quoted}.",
        "Glue films: " + "; ".join(str(each) for each in gluing.figures_of("bond_line_thickness")) + ".",
    )
    drawn = GluedJoint(angle=given["angle"], depth=given["depth"], floor_gap=given["floor_gap"], film=film, void=void)
    return Result(lines=lines, figure="glue", drawn=drawn)


def _force(newtons: float, unit: str) -> str:
    return f"{newtons:.0f} N" if unit == "mm" else f"{newtons / 4.4482216:.0f} lbf"
