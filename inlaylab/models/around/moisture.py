"""
How far host and insert move from season to season.

Wood takes up and gives off water until it is in balance with the air; across
the grain it swells and shrinks with it, and two woods seldom alike.
"""

import numpy as np

from inlaylab.errors import InputError
from inlaylab.models.arrays import Floats, as_arrays, plain

HUMIDITY_RANGE = (5.0, 95.0)
"""Relative humidities that the handbook's table covers. [%]"""
TEMPERATURE_RANGE = (-1.1, 132.0)
"""Temperatures that the handbook's table covers (30 to 270 degrees F). [degrees C]"""
COEFFICIENT_RANGE = (6.0, 14.0)
"""Moisture contents that the handbook's dimensional change coefficients are meant for. [%]"""
CERTAINTY = "The handbook's equation shows trends; one board may be off by 1 to 2 points of moisture content."
"""What to say beside every equilibrium moisture content."""


def equilibrium_moisture_content(temperature: Floats, relative_humidity: Floats) -> Floats:
    """
    Moisture content that wood comes to in air of one temperature and humidity.

    Parameters
    ----------
    temperature : array_like
        Temperature of the air. [degrees C]
    relative_humidity : array_like
        Relative humidity of the air. [%]

    Returns
    -------
    moisture_content : float or array
        Water over oven-dry wood. [%]

    Raises
    ------
    InputError
        For a humidity outside 0 to 100 %.

    Notes
    -----
    Wood Handbook, FPL-GTR-282 (2021), equation (4-5), metric form::

        1800/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)]

    with h the humidity as a share. It agrees with the handbook's Table 4-2 to
    0.06 points from 30 to 130 degrees F and 5 to 95 %; outside the table it
    extrapolates. The table is mainly for Sitka spruce: for a board in the shop
    allow 1 to 2 points.

    Examples
    --------
    >>> print(equilibrium_moisture_content(20.0, [30, 50, 80]).round(2))
    [ 6.19  9.27 16.04]
    """
    _, (warm, humid) = as_arrays(temperature, relative_humidity)
    if np.any(~((np.asarray(humid) >= 0) & (np.asarray(humid) <= 100))):
        raise InputError("the relative humidity is out of range", value=relative_humidity, allowed="0 to 100 %")
    weight = 349 + 1.29 * warm + 0.0135 * warm**2
    bound = 0.805 + 0.000736 * warm - 0.00000273 * warm**2
    first = 6.27 - 0.00938 * warm - 0.000303 * warm**2
    second = 1.91 + 0.0407 * warm - 0.000293 * warm**2
    free = bound * humid / 100
    layers = first * free, first * second * free**2
    return plain(1800 / weight * (free / (1 - free) + (layers[0] + 2 * layers[1]) / (1 + layers[0] + layers[1])))


def movement(*, width: Floats, coefficient: Floats, moisture_from: Floats, moisture_to: Floats) -> Floats:
    """
    How much a board grows when its moisture content changes.

    Parameters
    ----------
    width : array_like
        Width of the board at the first moisture content. [mm]
    coefficient : array_like
        Dimensional change coefficient, radial or tangential. [1 / % of moisture content]
    moisture_from, moisture_to : array_like
        Moisture contents, within `COEFFICIENT_RANGE`. [%]

    Returns
    -------
    growth : float or array
        Below zero where it shrinks. [mm]

    Notes
    -----
    Wood Handbook, equation (13-2): width times coefficient times change.

    Examples
    --------
    Flat-sawn white fir (coefficient of Table 13-5), 232 mm wide, 8 to 11 %:

    >>> print(f"{movement(width=232, coefficient=0.00245, moisture_from=8, moisture_to=11):.1f}")
    1.7
    """
    _, (width, coefficient, first, last) = as_arrays(width, coefficient, moisture_from, moisture_to)
    return plain(width * coefficient * (last - first))


def coefficient_from_shrinkage(shrinkage: Floats) -> Floats:
    """
    Dimensional change coefficient that fits a green to oven-dry shrinkage.

    Parameters
    ----------
    shrinkage : array_like
        From green to oven-dry, of the green size. [%]

    Returns
    -------
    coefficient : float or array
        [1 / % of moisture content]

    Notes
    -----
    1 / (3000/S - 20): linear shrinkage below 30 %, referred to the size at 10 %.
    55 of the handbook's 66 domestic values follow it to 0.000015; imported
    woods do not, for their tables come from other tests.

    Examples
    --------
    >>> print(f"{coefficient_from_shrinkage(9.9):.5f}")
    0.00353
    """
    _, (shrinkage,) = as_arrays(shrinkage)
    return plain(1 / (3000 / shrinkage - 20))


def differential_movement(
    *,
    width: Floats,
    host_coefficient: Floats,
    insert_coefficient: Floats,
    moisture_from: Floats,
    moisture_to: Floats,
) -> Floats:
    """
    How much more the insert grows than the pocket it sits in.

    Parameters
    ----------
    width : array_like
        Width of the artwork in the direction looked at. [mm]
    host_coefficient, insert_coefficient : array_like
        Host coefficient and insert coefficient of each wood in that direction: radial or tangential across its grain, 0
        along it. [1 / % of moisture content]
    moisture_from, moisture_to : array_like
        Moisture content when glued, and in the season looked at; one for both woods. [%]

    Returns
    -------
    growth : float or array
        Positive where the insert presses on the host, negative where the joint
        is pulled open; shared by both sides of the artwork. [mm]

    Notes
    -----
    The difference of two of `movement`. Along the grain wood hardly moves: 0.1
    to 0.2 % from green to oven-dry (Wood Handbook, chapter 4; from memory, not
    looked up), so a coefficient of 0 is used.

    Examples
    --------
    Maple in walnut, grain along grain, 100 mm wide, 6 to 10 %:

    >>> growth = differential_movement(
    ...     width=100, host_coefficient=0.00274, insert_coefficient=0.00353, moisture_from=6, moisture_to=10
    ... )
    >>> print(f"{growth:.2f}")
    0.32
    """
    season = {"width": width, "moisture_from": moisture_from, "moisture_to": moisture_to}
    return movement(coefficient=insert_coefficient, **season) - movement(coefficient=host_coefficient, **season)
