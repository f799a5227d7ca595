"""What a maker most likely asks, and the fit's middle values for a section that shows it."""

from inlaylab.bench.coupons import Stroke
from inlaylab.bench.shop import Shop
from inlaylab.errors import InputError
from inlaylab.fitting.fit import Fit
from inlaylab.fitting.predict.question import Question

USUAL_CHANCE = 0.9
"""How sure to be, unless the maker says otherwise."""


def coupon_strokes(shop: Shop, coupon: str) -> tuple[Stroke, ...]:
    """
    Give the bars of a coupon as strokes of an artwork.

    Parameters
    ----------
    shop : Shop
        Holds the coupon.
    coupon : str
        Its name.

    Returns
    -------
    strokes : tuple of Stroke
    """
    bars = [station for station in shop.coupon(coupon).stations if station.kind == "bar"]
    return tuple(Stroke(stroke_width=s.stroke_width, land_width=s.land_width, unit=s.unit) for s in bars)


def usual_question(shop: Shop) -> Question:
    """
    Ask about the newest cut's bit, pair and coupon, with the shop's usual depths.

    Parameters
    ----------
    shop : Shop
        At least one cut.

    Returns
    -------
    question : Question

    Raises
    ------
    InputError
        Where the log has no cuts.

    Notes
    -----
    Good enough is what the shop calls a hairline; the default of that habit is common practice, no source.
    """
    if not shop.cuts:
        raise InputError("the log has no cuts", remedy="log a test cut first")
    newest = next((cut for cut in reversed(shop.cuts) if cut.coupon), shop.cuts[-1])
    return Question(
        bit=newest.bit,
        pair=newest.pair,
        strokes=coupon_strokes(shop, newest.coupon) if newest.coupon else (),
        pocket_depth=shop.habits.pocket_depth or newest.pocket_depth,
        relief_depth=shop.habits.relief_depth or newest.relief_depth or 1.0,
        within=shop.habits.hairline_below,
        chance=USUAL_CHANCE,
        coupon=newest.coupon,
    )


def middle_values(fit: Fit | None, shop: Shop, *, bit: str, pair: str) -> dict[str, float]:
    """
    Give the middle of what is known of a bit and a pair; of an unfitted bit what it was sold as.

    Parameters
    ----------
    fit : Fit or None
        Fit of the shop, where there is one.
    shop : Shop
        Describes bit and pair.
    bit, pair : str
        Their names.

    Returns
    -------
    values : dict of float
        ``path_angle``, ``true_angle`` [degrees], ``tip_flat``, ``wall_allowance`` and ``crest_loss`` [mm].
    """
    sold = shop.bit(bit)
    values = {
        "path_angle": sold.nominal_angle_deg,
        "true_angle": sold.nominal_angle_deg,
        "tip_flat": sold.tip_flat or 0.0,
        "wall_allowance": 0.0,
        "crest_loss": 0.0,
    }
    if fit is None:
        return values
    known = fit.summary()
    for name, spread in known["bits"].get(bit, {}).items():
        values[name.removesuffix("_deg")] = spread["q50"]
    for group, name, quantity in (
        ("pairs", pair, "wall_allowance"),
        ("species", shop.pair(pair).insert, "crest_loss"),
    ):
        if name in known[group]:
            values[quantity] = known[group][name][quantity]["q50"]
    return values
