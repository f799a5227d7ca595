"""How deep a bit's cutting edges reach."""

from inlaylab.models.arrays import Floats, as_arrays, plain
from inlaylab.models.walls import half_tangent


def cutting_height(*, cutting_diameter: Floats, angle: Floats, tip_flat: Floats = 0.0) -> Floats:
    """
    Height of a V-bit's cone: the depth at which its cutting edges end.

    Parameters
    ----------
    cutting_diameter : array_like
        Diameter at the wide end of the cutting edges. [mm]
    angle : array_like
        Included angle; the true angle where it is known, else the nominal one. [degrees]
    tip_flat : array_like
        Width of the flat tip; below zero it counts as zero. [mm]

    Returns
    -------
    height : float or array
        Never below zero; not a number where no diameter is known. [mm]

    Examples
    --------
    A 90-degree cone is half as high as it is wide.

    >>> print(cutting_height(cutting_diameter=12.0, angle=90.0, tip_flat=[0.0, 0.2]).round(3))
    [6.  5.9]
    """
    xp, (diameter, flat) = as_arrays(cutting_diameter, tip_flat)
    return plain(xp.maximum(0.0, diameter - xp.maximum(0.0, flat)) / 2 / half_tangent(angle))
