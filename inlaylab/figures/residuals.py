"""Every reading against what the fit expected of it, cut by cut, with the suspects named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from inlaylab.figures.style import GROUPS, LOOKS, Picture, axes_for, label_axes, legend_below, note, styled


@dataclass(frozen=True, kw_only=True)
class Residual:
    """
    One reading and what was expected of it.

    Parameters
    ----------
    cut, kind, station : str
        Where it stands; `station` is blank for readings of the whole piece.
    off : float
        Reading less expectation, in standard deviations of such a reading.
    suspect : bool
        Whether the fit believes it a mistake.
    """

    cut: str
    kind: str
    station: str
    off: float
    suspect: bool = False

    @classmethod
    def all_of(cls, fit: Any, shop: Any, suspects: Any = ()) -> tuple[Residual, ...]:
        """Take every measured reading of a fitted shop from `fitting.review.residuals`."""
        import math

        from inlaylab.fitting.model.observations import observe
        from inlaylab.fitting.review.residuals import expected_readings

        seen = observe(shop)
        doubted = {suspect.row for suspect in suspects}
        found = []
        for kind, expected in expected_readings(fit, seen).items():
            for row, off in zip(seen.rows[kind]["row"], expected["standardised"], strict=True):
                reading = shop.readings[int(row)]
                if math.isfinite(off):
                    found.append(
                        cls(
                            cut=reading.cut,
                            kind=kind,
                            station=reading.station or "",
                            off=float(off),
                            suspect=int(row) in doubted,
                        )
                    )
        return tuple(found)


#: Kinds that share a mark, so that there are at most four.
_FAMILIES = {
    "glue line": ("glue_line",),
    "gaps": ("backer_gap", "floor_gap"),
    "depths": ("pocket_depth", "plug_depth"),
    "wedge": ("wedge_stop",),
}
_RIM = 6.0


@styled
def residuals(result: tuple[Residual, ...], *, unit: str = "mm", ax: Any = None) -> Picture:
    """
    Draw readings less expectations, in standard deviations, cut by cut.

    Parameters
    ----------
    result : tuple of Residual
        In any order; cuts are drawn in the order in which they first come.
    unit : str
        Not used: standard deviations have none.
    ax : matplotlib axes, optional
        Where to draw.

    Returns
    -------
    picture : Picture
    """
    ax = axes_for(ax, width=6.4, height=3.8)
    cuts = sorted({residual.cut for residual in result})
    place = {cut: number for number, cut in enumerate(cuts)}
    ax.axhspan(-2, 2, label="nineteen in twenty lie here", **LOOKS["wide band"])
    for look, (family, kinds) in zip(GROUPS, _FAMILIES.items(), strict=True):
        mine = [r for r in result if r.kind in kinds and not r.suspect]
        if mine:
            spots = {"color": look["color"], "marker": look["marker"], "linestyle": "none", "markersize": 4.5}
            ax.plot([place[r.cut] for r in mine], [_held(r.off) for r in mine], label=family, **spots)
    doubted = [r for r in result if r.suspect]
    if doubted:
        ax.plot([place[r.cut] for r in doubted], [_held(r.off) for r in doubted], label="suspect", **LOOKS["suspect"])
    for residual in doubted:
        words = f"{residual.kind.replace('_', ' ')} {residual.station}".strip()
        note(ax, place[residual.cut], _held(residual.off), words, shift=(7, -3), fontsize=8)
    ax.set_ylim(-_RIM - 0.8, _RIM + 0.8)
    ax.set_xticks(range(len(cuts)), labels=cuts, rotation=90, fontsize=8, parse_math=False)
    label_axes(ax, across="cut", up="how unusual (in standard deviations)")
    legend_below(ax.figure, columns=3)
    names = ", ".join(f"{r.cut} {r.kind.replace('_', ' ')} {r.station}".strip() for r in doubted)
    within = sum(abs(r.off) <= 2 for r in result)
    alt = f"{len(result)} readings against what the fit expected; {within} lie within two standard deviations."
    return Picture(figure=ax.figure, axes=ax, alt=alt + (f" Suspects: {names}." if names else " No suspects."))


def _held(off: float) -> float:
    """Draw what is far off at the rim."""
    return max(-_RIM, min(_RIM, off))
