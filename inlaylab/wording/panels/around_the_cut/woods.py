"""What notebook 6 says about woods: moisture, published values, glue and clamps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from inlaylab.wording.lengths import area, length, volume

if TYPE_CHECKING:
    from inlaylab.handbook.woods import Wood

NO_MOVEMENT = "Without that, nobody can tell how the woods move."
UNSEEN = 0.005
"""Movements below this cannot be seen. [mm]"""

ACROSS = "artwork across the host's grain"
ALONG = "artwork along the host's grain"
GLUED = "humidity when glued"
DRIEST = "humidity in the driest season"
DAMPEST = "humidity in the dampest season"
HOST_SHRINKAGE = "host's shrinkage, if not listed"
INSERT_SHRINKAGE = "insert's shrinkage, if not listed"
LAID = "insert's grain lies"
ALONG_HOST = "along the host's grain"
ACROSS_HOST = "across the host's grain"
NAME = "common or botanical name"
OUTLINE = "length of all outlines"
LENGTH = "artwork, one side"
WIDTH = "artwork, other side"
FILLED = "share of that to be filled"
DEPTH = "plug's depth in the pocket"
FLOOR_GAP = "floor gap after sinking"
FILM = "glue film on the walls"
CLAMPS = "number of clamps"
WALLS_MEET = "walls that long would meet above this depth"
SHORTER = "a shorter outline"

FLAT_SAWN = "flat-sawn (tangential)"
QUARTER_SAWN = "quarter-sawn (radial)"
MOISTURE = "Woods and moisture"
PUBLISHED = "Published values"
GLUE = "Glue and clamps"
HOST = "host's wood"
HOST_IS = "host is"
INSERT = "insert's wood"
INSERT_IS = "insert is"
AIR = "air is at"
PRESSURE = "clamping pressure"

TEMPERATURE = "the air's temperature"
TEMPERATURES = "-20 to 60 °C, or -4 to 140 °F"


def temperature(celsius: float, unit: str) -> str:
    """
    Say a temperature as people who use the unit do.

    Examples
    --------
    >>> temperature(20, "mm"), temperature(20, "in")
    ('20 °C', '68 °F')
    """
    return f"{celsius:g} °C" if unit == "mm" else f"{1.8 * celsius + 32:.0f} °F"


def contents_line(celsius: float, unit: str, *, contents: Mapping[str, float], source: object, certainty: str) -> str:
    """
    Say which moisture contents wood comes to.

    Parameters
    ----------
    celsius : float
        The air's temperature. [degrees C]
    unit : str
        The reader's unit.
    contents : mapping of str to float
        Moisture contents when ``glued``, in the ``dry`` and in the ``damp`` season. [%]
    source : object
        Where the equation comes from, in words.
    certainty : str
        How far it can be trusted.

    Returns
    -------
    line : str
    """
    return (
        f"At {temperature(celsius, unit)} wood settles at a moisture content of {contents['glued']:.1f}% when glued, "
        f"{contents['dry']:.1f}% in the driest season and {contents['damp']:.1f}% in the dampest ({source}). "
        f"{certainty}"
    )


def coefficients_meant_for(low: float, high: float) -> str:
    """Say between which moisture contents [%] the coefficients of movement hold."""
    return (
        f"The coefficients are meant for {low:g} to {high:g}% moisture content: outside that the movement is a rough "
        "guide."
    )


def movement_line(where: str, width: float, unit: str, *, dry: float, damp: float) -> str:
    """
    Say how insert and host move against each other in one direction.

    Parameters
    ----------
    where : str
        The direction.
    width : float
        Size of the artwork in it. [mm]
    unit : str
        The reader's unit.
    dry, damp : float
        Growth of the insert less that of the host, in the driest and in the dampest season. [mm]

    Returns
    -------
    line : str
    """
    return (
        f"{where.capitalize()}, over {length(width, unit)}: in the driest season {_moved(dry, unit)}; in the dampest "
        f"{_moved(damp, unit)}."
    )


def _moved(growth: float, unit: str) -> str:
    size = length(abs(growth), unit)
    if abs(growth) < UNSEEN:
        return "nothing moves that you could see"
    if growth > 0:
        return f"the insert grows {size} more than the host and presses on it"
    return f"the insert shrinks {size} more than the host: up to half of that opens on each side"


def outside_table(
    unit: str,
    *,
    humidities: Iterable[float],
    celsius: float | None,
    table: tuple[tuple[float, float], tuple[float, float]],
) -> str:
    """
    Say which of the air's figures lie outside the handbook's table; empty where none.

    Parameters
    ----------
    unit : str
        The reader's unit.
    humidities : iterable of float
        Humidities that lie outside. [%]
    celsius : float or None
        The temperature, where it lies outside. [degrees C]
    table : ((float, float), (float, float))
        Humidities [%] and temperatures [degrees C] that the table holds.

    Returns
    -------
    warning : str
    """
    outside = [f"{humidity:g}%" for humidity in humidities]
    outside += [] if celsius is None else [temperature(celsius, unit)]
    if not outside:
        return ""
    (dry, damp), (cold, warm) = table
    verb = "lies" if len(outside) == 1 else "lie"
    return (
        f"{' and '.join(outside)} {verb} outside the handbook's table ({dry:g} to {damp:g}% humidity, "
        f"{temperature(cold, unit)} to {temperature(warm, unit)}): the equation is only guessing there."
    )


def coefficient_line(what: str, wood: Wood, side: str, *, worked_out: float | None, own: float | None = None) -> str:
    """
    Say where a wood's coefficient of movement comes from, or that nothing tells it.

    Parameters
    ----------
    what : str
        ``host`` or ``insert``.
    wood : handbook.woods.Wood
        The wood.
    side : {"tangential", "radial"}
        The direction.
    worked_out : float or None
        Its coefficient as worked out from its shrinkage, where that had to be.
    own : float, optional
        That shrinkage, where the maker typed it. [%]

    Returns
    -------
    line : str
    """
    name = f"{what.capitalize()} ({wood.common_name})"
    note = f" Note: {wood.note}." if wood.note else ""
    if own is not None and worked_out is not None:
        said = f"{worked_out:.5f} worked out from the {side} shrinkage of {own:g}% that you typed"
        return f"{name}: {said}, which is kept for this wood.{note}"
    known = wood.values.get(f"{side}_coefficient")
    if known:
        return f"{name}: {side} coefficient {known}.{note}"
    if worked_out is not None:
        shrinkage = wood.values[f"{side}_shrinkage"]
        found = f"{worked_out:.5f} worked out from the shrinkage {shrinkage}"
        return f"{name}: no published {side} coefficient; {found}.{note}"
    missing = "nothing is published here" if not wood.known else f"no {side} coefficient and no {side} shrinkage"
    typed = f"type its {side} shrinkage, green to oven-dry, as a book gives it"
    return f"{name}: {missing}; {typed}, or use a wood like it."


def no_such_wood(text: str) -> str:
    """Say that no published values are here for a name."""
    return f"No wood of this name has published values here: {text.strip() or 'nothing typed'}."


def wood_lines(wood: Wood, labels: Mapping[str, str]) -> list[str]:
    """
    Say what is published about a wood.

    Parameters
    ----------
    wood : handbook.woods.Wood
        The wood.
    labels : mapping of str to str
        What each of its values is called.

    Returns
    -------
    lines : list of str
        One for the wood and one for each of its values, with unit, table and source.
    """
    lines = [f"{wood.common_name} ({wood.botanical_name}), {wood.group}"]
    lines += [f"  {labels[name]}: {value}" for name, value in wood.values.items()]
    if wood.missing:
        lines.append(f"  Not known here: {'; '.join(wood.missing)}.")
    if wood.note:
        lines.append(f"  Note: {wood.note}.")
    return lines


def glue_lines(unit: str, *, walls: float, film: float, glue: float, void: float) -> list[str]:
    """
    Say how much glue a joint holds.

    Parameters
    ----------
    unit : str
        The reader's unit.
    walls, film : float
        Area of the walls in touch [mm2] and thickness of the film on them [mm].
    glue, void : float
        Glue on the walls, and room under the nose. [mm3]

    Returns
    -------
    lines : list of str
    """
    return [
        f"Walls in touch: {area(walls, unit)}; a film of {length(film, unit)} on them is {volume(glue, unit)}.",
        f"The void under the nose holds up to {volume(void, unit)} more: glue pressed into it cannot be squeezed out, "
        "so less on the floor lets the plug sink.",
    ]


def clamp_lines(
    unit: str,
    *,
    bounds: float,
    force: tuple[float, float],
    clamps: float | None,
    pressure: object,
    films: Iterable[object],
) -> list[str]:
    """
    Say how much force the clamps need.

    Parameters
    ----------
    unit : str
        The reader's unit.
    bounds : float
        Area of the whole artwork. [mm2]
    force : (float, float)
        Least and most in all. [N]
    clamps : float or None
        How many there are.
    pressure : object
        The published pressure, in words. [kPa]
    films : iterable of object
        The published thicknesses of glue films, in words.

    Returns
    -------
    lines : list of str
    """
    each = ""
    if clamps:
        low, high = (_force(end / clamps, unit) for end in force)
        each = f"; with {clamps:g} {'clamp' if clamps == 1 else 'clamps'} {low} to {high} each"
    return [
        f"The clamping pressure chosen above, on the artwork's whole {area(bounds, unit)}, is {_force(force[0], unit)} "
        f"to {_force(force[1], unit)} in all{each}. The backer spreads it over that area; the wedge shape closes the "
        "walls.",
        f"Pressure on {pressure}.",
        f"Glue films: {'; '.join(str(film) for film in films)}.",
    ]


def _force(newtons: float, unit: str) -> str:
    return f"{newtons:.0f} N" if unit == "mm" else f"{newtons / 4.4482216:.0f} lbf"
