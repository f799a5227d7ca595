"""A section through a virtual cut along a line: both boards as they mate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from inlaylab.artwork.cutting.virtual_cut import VirtualCut


@dataclass(frozen=True, kw_only=True)
class CutSection:
    """
    Both boards along a line.

    Parameters
    ----------
    along : array, shape (points,)
        Distance from the line's first end. [mm]
    pocket, plug : array, shape (points,)
        Depth of the pocket and of the seated plug's underside, from the host's face. [mm]
    stand_off, sanded_off : float
        How high the plug sits; where the finished face will be. [mm]
    exaggeration : float
        By which depths are drawn larger than lengths; 1 is true.
    """

    along: NDArray[np.float64]
    pocket: NDArray[np.float64]
    plug: NDArray[np.float64]
    stand_off: float
    sanded_off: float = 0.0
    exaggeration: float = 1.0

    @classmethod
    def through(cls, cut: VirtualCut, line: ArrayLike, *, exaggeration: float = 1.0, points: int = 1200) -> CutSection:
        """Ask a virtual cut along a line between two points [mm]."""
        import numpy as np

        start, end = np.asarray(line, dtype=float)
        share = np.linspace(0.0, 1.0, points)
        pocket, plug = cut.section(start + share[:, None] * (end - start))
        return cls(
            along=share * float(np.hypot(*(end - start))),
            pocket=pocket,
            plug=plug,
            stand_off=cut.stand_off,
            sanded_off=cut.sanded_off,
            exaggeration=exaggeration,
        )
