"""Questions of notebook 6 about woods: moisture, glue and clamps."""

from __future__ import annotations

from collections.abc import Iterable
from types import ModuleType
from typing import Any

from inlaylab import units
from inlaylab.errors import InputError
from inlaylab.handbook import gluing, woods
from inlaylab.handbook.sources import sources
from inlaylab.panels.around_the_cut.state import Given, Reckoning, Result, read_temperature
from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry
from inlaylab.wording.panels.around_the_cut import woods as words

SAWN = {words.FLAT_SAWN: "tangential", words.QUARTER_SAWN: "radial"}
LAID = {words.ALONG_HOST: True, words.ACROSS_HOST: False}


def moisture_reckoning(
    *, unit: str, host: str = "Walnut, black", insert: str = "Maple, sugar (hard)", offers: Iterable[str] = ()
) -> Reckoning:
    """
    Ask how much insert and host move against each other.

    Parameters
    ----------
    unit : str
        The maker's unit.
    host, insert : str, optional
        Woods as typed in a pair.
    offers : iterable of str
        Woods that are offered while typing.

    Returns
    -------
    reckoning : Reckoning
    """
    offers = tuple(offers)
    percent: dict[str, Any] = {"lowest": 0, "highest": 100, "unit": "%", "required": True}
    form = Form(
        host=Entry(words.HOST, required=True, typed=host, offers=offers),
        host_sawn=ChoiceEntry(words.HOST_IS, options=SAWN, required=True),
        host_shrinkage=_own_shrinkage(words.HOST_SHRINKAGE),
        insert=Entry(words.INSERT, required=True, typed=insert, offers=offers),
        insert_sawn=ChoiceEntry(words.INSERT_IS, options=SAWN, required=True),
        insert_shrinkage=_own_shrinkage(words.INSERT_SHRINKAGE),
        laid=ChoiceEntry(words.LAID, options=LAID, required=True),
        across=LengthEntry(words.ACROSS, required=True, above=True, highest=3000.0, typed="100 mm"),
        along=LengthEntry(words.ALONG, required=True, above=True, highest=3000.0, typed="100 mm"),
        warm=Entry(words.AIR, required=True, read=read_temperature, typed="20 °C" if unit == "mm" else "68 °F"),
        glued=NumberEntry(words.GLUED, typed="45", **percent),
        dry=NumberEntry(words.DRIEST, typed="30", **percent),
        damp=NumberEntry(words.DAMPEST, typed="65", **percent),
    )
    for name, options in (("host_sawn", SAWN), ("insert_sawn", SAWN), ("laid", LAID)):
        form[name].typed = next(iter(options))
    return Reckoning(words.MOISTURE, form, _moisture, cautions=("woods",), unit=unit)


def _moisture(given: Given, unit: str) -> Result:
    import numpy as np

    from inlaylab.figures.season import SeasonMovement
    from inlaylab.models.around import moisture

    host, insert = woods.find(given["host"]), woods.find(given["insert"])
    sides = {"host": SAWN[given["host_sawn"]], "insert": SAWN[given["insert_sawn"]]}
    lines, coefficients = [], {}
    for name, wood in (("host", host), ("insert", insert)):
        own = given[f"{name}_shrinkage"]
        coefficients[name], worked_out = _coefficient(wood, sides[name], own=own)
        lines.append(words.coefficient_line(name, wood, sides[name], worked_out=worked_out, own=own))
    if None in coefficients.values():
        return Result(lines=tuple(lines), warning=words.NO_MOVEMENT, woods=_names(host, insert))
    parallel = LAID[given["laid"]]
    across = (coefficients["host"], coefficients["insert"] if parallel else 0.0)
    along = (0.0, 0.0 if parallel else coefficients["insert"])
    told = _outside(given, moisture, unit)
    seasons = ("glued", "dry", "damp")
    contents = {s: float(moisture.equilibrium_moisture_content(given["warm"], given[s])) for s in seasons}
    source = sources()["wood handbook 4-2"]
    lines.append(
        words.contents_line(given["warm"], unit, contents=contents, source=source, certainty=moisture.CERTAINTY)
    )
    if not all(
        moisture.COEFFICIENT_RANGE[0] <= content <= moisture.COEFFICIENT_RANGE[1] for content in contents.values()
    ):
        lines.append(words.coefficients_meant_for(*moisture.COEFFICIENT_RANGE))
    humidities = np.linspace(min(given["dry"], given["glued"]), max(given["damp"], given["glued"]), 60)
    growths = {}
    for name, (host_part, insert_part), width in (
        (words.ACROSS_HOST, across, given["across"]),
        (words.ALONG_HOST, along, given["along"]),
    ):
        fixed: dict[str, Any] = {"width": width, "host_coefficient": host_part, "insert_coefficient": insert_part}
        fixed["moisture_from"] = contents["glued"]
        over_the_year = moisture.equilibrium_moisture_content(given["warm"], humidities)
        growths[name] = np.asarray(moisture.differential_movement(moisture_to=over_the_year, **fixed))
        dry, damp = (moisture.differential_movement(moisture_to=contents[s], **fixed) for s in ("dry", "damp"))
        lines.append(words.movement_line(name, width, unit, dry=float(dry), damp=float(damp)))
    marked = {"driest": given["dry"], "glued": given["glued"], "dampest": given["damp"]}
    drawn = SeasonMovement(humidities=humidities, growths=growths, marked=marked)
    return Result(lines=tuple(lines), warning=told, figure="season", drawn=drawn, woods=_names(host, insert))


def _outside(given: Given, moisture: ModuleType, unit: str) -> str:
    """Say which of the air's figures lie outside the handbook's table; empty where none."""
    dry, damp = moisture.HUMIDITY_RANGE
    cold, warm = moisture.TEMPERATURE_RANGE
    return words.outside_table(
        unit,
        humidities=[given[name] for name in ("dry", "glued", "damp") if not dry <= given[name] <= damp],
        celsius=None if cold <= given["warm"] <= warm else given["warm"],
        table=((dry, damp), (cold, warm)),
    )


def _own_shrinkage(label: str) -> NumberEntry:
    """Make the field for a wood that the kit does not know: what a book or its seller says of it."""
    return NumberEntry(label, lowest=0.1, highest=25, unit="%")


def _coefficient(wood: woods.Wood, side: str, *, own: float | None) -> tuple[float | None, float | None]:
    """Give a wood's coefficient of one direction, and the same where it was worked out from a shrinkage."""
    from inlaylab.models.around.moisture import coefficient_from_shrinkage

    if own is not None:
        value = float(coefficient_from_shrinkage(own))
        return value, value
    known = wood.values.get(f"{side}_coefficient")
    if known:
        return known.value, None
    shrinkage = wood.values.get(f"{side}_shrinkage")
    worked_out = float(coefficient_from_shrinkage(shrinkage.value)) if shrinkage else None
    return worked_out, worked_out


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
    labels = {name: quantity.label for name, quantity in woods.QUANTITIES.items()}
    lines = [line for wood in woods.search(text) for line in words.wood_lines(wood, labels)]
    return tuple(lines) or (words.no_such_wood(text),)


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
    form = Form(name=Entry(words.NAME, required=True, typed="maple, sugar"))

    def reckon(given: Given, unit: str) -> Result:
        found = woods.search(given["name"])
        return Result(lines=wood_lines(given["name"]), woods=_names(*found))

    return Reckoning(words.PUBLISHED, form, reckon, cautions=("woods",), unit=unit)


def pressures() -> dict[str, gluing.Figure]:
    """
    Give the clamping pressures, by what they apply to; each says what it rests on.

    Returns
    -------
    pressures : dict
        Label to `gluing.Figure`.
    """
    return {each.applies_to: each for each in gluing.figures_of("clamping_pressure")}


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
        outline=LengthEntry(words.OUTLINE, required=True, above=True, highest=1e5, typed="600 mm"),
        length=LengthEntry(words.LENGTH, required=True, above=True, highest=3000.0, typed="100 mm"),
        width=LengthEntry(words.WIDTH, required=True, above=True, highest=3000.0, typed="60 mm"),
        filled=NumberEntry(words.FILLED, lowest=1, highest=100, unit="%", required=True, typed="40"),
        depth=LengthEntry(words.DEPTH, required=True, above=True, highest=50.0, typed="3.5 mm"),
        floor_gap=LengthEntry(words.FLOOR_GAP, required=True, highest=20.0, typed="0.3 mm"),
        film=LengthEntry(words.FILM, required=True, highest=1.0, typed="0.05 mm"),
        angle=NumberEntry("true angle", lowest=5, highest=170, unit="°", required=True, typed="60"),
        pressure=ChoiceEntry(words.PRESSURE, options=pressures(), required=True),
        clamps=NumberEntry(words.CLAMPS, lowest=1, highest=200, typed="4"),
    )
    form["pressure"].typed = next(iter(pressures()))
    return Reckoning(words.GLUE, form, _glue, cautions=("clamps", "solvents"), unit=unit)


def _glue(given: Given, unit: str) -> Result:
    from inlaylab.figures.glue import GluedJoint
    from inlaylab.models.around import glue
    from inlaylab.models.walls import half_tangent

    bounds = given["length"] * given["width"]
    strokes = bounds * given["filled"] / 100
    run = given["outline"] * given["depth"] * half_tangent(given["angle"])
    if run >= strokes:
        raise InputError(
            words.WALLS_MEET,
            value=units.format_length(given["outline"], unit),
            allowed=words.SHORTER,
        )
    walls = float(glue.wall_area(perimeter=given["outline"], depth=given["depth"], true_angle=given["angle"], turns=0))
    nose = strokes - run
    film = float(glue.joint_volume(wall_area=walls, film_thickness=given["film"]))
    void = float(glue.joint_volume(wall_area=0, film_thickness=0, floor_area=nose, floor_gap=given["floor_gap"]))
    quoted = pressures()[given["pressure"]]
    low, high = (
        float(glue.clamping_force(pressure=end, area=bounds)) for end in (quoted.low or 0.0, quoted.high or 0.0)
    )
    drawn = GluedJoint(angle=given["angle"], depth=given["depth"], floor_gap=given["floor_gap"], film=film, void=void)
    return Result(
        lines=(
            *words.glue_lines(unit, walls=walls, film=given["film"], glue=film, void=void),
            *words.clamp_lines(
                unit,
                bounds=bounds,
                force=(low, high),
                clamps=given["clamps"],
                pressure=quoted,
                films=gluing.figures_of("bond_line_thickness"),
            ),
        ),
        figure="glue",
        drawn=drawn,
    )
