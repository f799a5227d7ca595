"""Where the plugs of some cuts rest, from everything that is fitted: `inlaylab.models` on arrays of cuts."""

from inlaylab.fitting.model.cut_arrays import CutArrays
from inlaylab.models.arrays import namespace
from inlaylab.models.contacts import land_contact, tip_contact, wall_contact
from inlaylab.models.floors import ground_ridges, pocket_ridges


def bit_at(fitted: dict, cuts: CutArrays) -> dict:
    """
    Angle and flat of the bit as it was at each cut.

    Parameters
    ----------
    fitted : dict of arrays
        From `priors.values`; leading axes (draws) are allowed.
    cuts : CutArrays
        The cuts.

    Returns
    -------
    bit : dict of arrays, shape (…, cuts, 1)
        ``path_angle``, ``true_angle`` [degrees], ``tip_flat`` [mm].
    """
    worn = fitted["wear_rate"][..., None] * cuts.used
    return {
        "path_angle": cuts.path_angle,
        "true_angle": fitted["true_angle"][..., cuts.bit][..., None],
        "tip_flat": (fitted["tip_flat"][..., cuts.bit] + worn)[..., None],
    }


def contact_levels_at(fitted: dict, cuts: CutArrays) -> tuple:
    """
    Seat levels that every contact asks for.

    Parameters
    ----------
    fitted : dict of arrays
        From `priors.values`.
    cuts : CutArrays
        The cuts.

    Returns
    -------
    wall, tip, land : arrays, shape (…, cuts, strokes)
        Minus infinity where a stroke is only padding. [mm]
    """
    bit = bit_at(fitted, cuts)
    xp = namespace(bit["true_angle"])
    host, insert = (fitted[name][..., None] for name in ("host_zero_error", "insert_zero_error"))
    offset, ridged = cuts.outline_offset, bool(cuts.pass_spacing.any())
    depths = {"stroke_depth": cuts.stroke_depth, "land_depth": cuts.land_depth, "outline_offset": offset}
    levels = (
        wall_contact(**bit, **depths, wall_allowance=fitted["wall_allowance"][..., cuts.pair][..., None]),
        tip_contact(
            **bit,
            **depths,
            stroke_half_width=cuts.stroke_half_width,
            start_depth=cuts.start_depth,
            insert_zero_error=insert,
            crest_loss=fitted["crest_loss"][..., cuts.insert][..., None],
            floor_ridge=pocket_ridges(
                **bit,
                stroke_half_width=cuts.stroke_half_width,
                pocket_depth=cuts.pocket_depth,
                pass_spacing=cuts.pass_spacing,
            )
            if ridged
            else 0.0,
        ),
        land_contact(
            **bit,
            **depths,
            land_half_width=cuts.land_half_width,
            host_zero_error=host,
            land_crest_loss=fitted["crest_loss"][..., cuts.host][..., None],
            ground_ridge=ground_ridges(
                **bit,
                land_half_width=cuts.land_half_width,
                relief_depth=cuts.relief_depth,
                pass_spacing=cuts.pass_spacing,
                outline_offset=offset,
            )
            if ridged
            else 0.0,
        ),
    )
    return tuple(xp.where(cuts.real, level, -xp.inf) for level in levels)


def seat_levels(fitted: dict, cuts: CutArrays):
    """
    Where each plug rests: highest contact plus its seat shortfall.

    Parameters
    ----------
    fitted, cuts
        As in `contact_levels_at`.

    Returns
    -------
    seat_level : array, shape (…, cuts)
        Stand-off plus both zero errors. [mm]
    """
    levels = contact_levels_at(fitted, cuts)
    xp = namespace(*levels)
    highest = [xp.max(level, axis=-1) for level in levels]
    return xp.maximum(xp.maximum(highest[0], highest[1]), highest[2]) + fitted["shortfall"]
