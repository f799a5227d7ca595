"""What the fields of the log are called on a screen, so that no raw name of a column is ever shown."""

from __future__ import annotations

FIELDS = {
    "nominal_angle_deg": "nominal angle",
    "path_angle_deg": "path angle",
    "cutting_diameter": "cutting diameter",
    "path_length_m": "metres cut",
    "metres_cut": "metres cut",
    "glue_line": "glue line",
    "floor_gap": "floor gap",
    "backer_gap": "backer gap",
    "stand_off": "stand-off",
    "plug_depth": "plug depth",
    "pocket_depth": "pocket depth",
    "loupe_limit": "smallest gap you can see",
    "hairline_below": "hairline up to",
    "by": "who",
}
"""Fields whose name on a screen is not simply their own with spaces."""


def named(field: str) -> str:
    """
    Give the words for a field, a kind of reading or a quantity of the log.

    Parameters
    ----------
    field : str
        Its name in code.

    Returns
    -------
    words : str

    Examples
    --------
    >>> named("backer_gap"), named("stand_off"), named("start_depth")
    ('backer gap', 'stand-off', 'start depth')
    """
    return FIELDS.get(field, field.removesuffix("_deg").removesuffix("_m").replace("_", " "))
