"""Random cross-sections for the closed form and its brute-force reference, and the closed form's view of one."""

import numpy as np
from envelope import Bit, Section

_SETTINGS = (
    "start_depth",
    "pocket_depth",
    "relief_depth",
    "host_zero_error",
    "insert_zero_error",
    "wall_allowance",
    "crest_loss",
    "land_crest_loss",
    "outline_offset",
    "pass_spacing",
)


def random_section(rng):
    """
    One section; each special setting is left out of about half of them.

    Losses stay under half the height of the thinnest stroke and of the narrowest
    land: where a ridge is lost whole, it has no walls left that could touch. Floor
    ridges stay under 0.3 mm, and where there are any the nose is not drawn below
    the floor: a nose narrower than the passes could else sit between two ridges.
    """

    def sometimes(low, high):
        return float(rng.uniform(low, high)) if rng.random() < 0.5 else 0.0

    path_angle = float(rng.uniform(20, 120))
    bit = Bit(
        path_angle=path_angle,
        true_angle=path_angle + sometimes(-1.5, 1.5),
        tip_flat=sometimes(0.0, 0.25),
    )
    count = int(rng.integers(1, 4))
    start_depth = float(rng.uniform(1.0, 5.0))
    pass_spacing = sometimes(0.05, min(0.6, 0.6 * bit.path_slope))
    strokes = np.exp(rng.uniform(np.log(0.2), np.log(6.0), count))
    lands = np.exp(rng.uniform(np.log(0.1), np.log(5.0), count - 1))
    thinnest, narrowest = (min(widths, default=1.0) / bit.path_slope for widths in (strokes, lands))
    return Section(
        bit=bit,
        strokes=tuple(strokes),
        lands=(9.0, *lands, 9.0),
        start_depth=start_depth,
        pocket_depth=start_depth + float(rng.uniform(0.0 if pass_spacing else -0.2, 1.2)),
        relief_depth=float(np.exp(rng.uniform(np.log(0.05), np.log(4.0)))),
        host_zero_error=sometimes(-0.15, 0.15),
        insert_zero_error=sometimes(-0.15, 0.15),
        outline_offset=sometimes(-0.05, min(0.15, min(lands, default=1.0) / 2)),
        pass_spacing=pass_spacing,
        crest_loss=sometimes(0.0, min(0.5, thinnest / 2)),
        land_crest_loss=sometimes(0.0, min(0.5, narrowest / 2)),
        wall_allowance=sometimes(0.0, 0.05),
    )


def closed_form(section):
    """Arguments of the closed form: each stroke twice, once with the land on either side."""
    strokes, lands = np.array(section.strokes), np.array(section.lands)
    first_to_last = [strokes[0], *strokes, strokes[-1]]
    return {
        "stroke_half_width": np.concatenate([strokes, strokes]),
        "land_half_width": np.concatenate([lands[:-1], lands[1:]]),
        "other_land_half_width": np.concatenate([lands[1:], lands[:-1]]),
        "other_stroke_half_width": np.concatenate([first_to_last[:-2], first_to_last[2:]]),
        "path_angle": section.bit.path_angle,
        "true_angle": section.bit.true_angle,
        "tip_flat": section.bit.tip_flat,
        **{name: getattr(section, name) for name in _SETTINGS},
    }
