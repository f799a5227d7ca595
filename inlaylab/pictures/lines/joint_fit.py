"""One least-squares fit of all profiles: what the picture shares, and what belongs to each side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.pictures.lines import light
from inlaylab.pictures.profiles import STEP, Profile

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.pictures.lines.noise import Noise

    Floats = NDArray[np.float64]

PAD = 10  # steps beyond both ends of a profile, so that sharpening sees its surroundings
FAR = 90.0  # where the far side of a wide stroke lies, out of sight [mm]
SHARED = ("log_blur", "field", "log_sharpening", "log_radius", "shrink", "dot_shift")
OWN = (
    "edge_low",
    "line_low",
    "edge_high",
    "line_high",
    "host_low",
    "insert",
    "host_high",
    "slope_low",
    "slope",
    "slope_high",
)
LINES = (1, 3)  # places of the lines' widths in OWN
OVERLAP = 0.006  # how far below zero a line's width may stray [mm]
FIRST_WIDTHS = (0.02, 0.08, 0.18, 0.35)  # widths that each side is begun from [mm]
STEPS = 25  # of a fit, at most
FROZEN = 1e-5  # sd of an unknown that a profile does not have


@dataclass(frozen=True, kw_only=True)
class Beliefs:
    """
    What is believed of the unknowns before the profiles speak.

    Parameters
    ----------
    blur, blur_factor : float
        Middle of the blur [mm] and sd of its logarithm.
    radius : float
        Of the camera's sharpening. [mm]
    edge : float
        Sd of the host's edge about the drawing less the shrink. [mm]
    line, line_spread : float
        Middle and sd of glue lines: weak. [mm]
    dot : float
        Sd of the dots' shrink about that of the strokes. [mm]
    """

    blur: float
    blur_factor: float = 0.3
    radius: float = 0.06
    edge: float = 0.012
    line: float = 0.05
    line_spread: float = 0.2
    dot: float = 0.005


@dataclass(frozen=True, kw_only=True)
class Fit:
    """
    Where the fit came to rest for one tone of the glue line.

    Parameters
    ----------
    shared : array of shape (6,)
        In the order of `SHARED`.
    own : array of shape (n, 10)
        In the order of `OWN`, a row a profile.
    cost : float
        Half the sum of squares, beliefs included.
    log_evidence : float
        Laplace's approximation, up to a constant.
    line_covariance : array of shape (2 n, 2 n)
        Of the widths on the low and the high side of each profile. [mm2]
    residuals : array of shape (n, m)
        Seen less fitted; NaN where a profile has no value. [code values]
    """

    shared: Floats
    own: Floats
    cost: float
    log_evidence: float
    line_covariance: Floats
    residuals: Floats


class Problem:
    """
    The profiles of one picture, made ready for fits at several tones of the glue line.

    Parameters
    ----------
    profiles : list of Profile
        Sides, thin strokes and dots.
    noise : Noise
        How wood scatters.
    beliefs : Beliefs
        Before the profiles speak.
    off_axis : array of shape (n,)
        Distance of each profile from the picture's middle, as a share of half its diagonal.
    """

    def __init__(self, profiles: list[Profile], noise: Noise, beliefs: Beliefs, off_axis: Floats) -> None:
        self.profiles, self.noise, self.beliefs, self.off_axis = profiles, noise, beliefs, off_axis
        longest = max(len(p.x) for p in profiles)
        count = len(profiles)
        self.x = np.stack([p.x[0] + STEP * np.arange(-PAD, longest + PAD) for p in profiles])
        self.seen = np.full((count, longest), np.nan)
        self.whiten = np.zeros((count, longest, longest))
        for row, profile in enumerate(profiles):
            size = len(profile.x)
            self.seen[row, :size] = profile.luma
            self.whiten[row, :size, :size] = noise.whitening(profile)
        self.host = light.decode([p.color_host for p in profiles])
        self.insert = light.decode([p.color_insert for p in profiles])
        self.kinds = np.array([p.kind for p in profiles])
        self.widths = np.array([p.width for p in profiles])
        self.own_sd, self.own_mean = self._own_beliefs()
        b = beliefs
        self.shared_mean = np.array([np.log(b.blur), 0.0, np.log(0.2), np.log(b.radius), 0.1, 0.0])
        self.shared_sd = np.array([b.blur_factor, 0.2, 0.7, 0.2, 0.2, b.dot])

    def _own_beliefs(self) -> tuple[Floats, Floats]:
        b, count = self.beliefs, len(self.profiles)
        dot, both = self.kinds == "dot", self.kinds == "both"
        sd = np.tile([b.edge, b.line_spread, FROZEN, FROZEN, 0.15, 0.15, FROZEN, 0.2, 0.2, FROZEN], (count, 1))
        mean = np.zeros((count, len(OWN)))
        mean[:, 1] = b.line
        sd[dot, 0], sd[dot, 1], mean[dot, 1] = b.dot, FROZEN, 0.0
        sd[both, 2], sd[both, 3], sd[both, 6], sd[both, 9] = b.edge, b.line_spread, 0.15, 0.2
        mean[both, 3] = b.line
        return sd, mean

    @property
    def freedom(self) -> int:
        """Values seen less unknowns."""
        return max(1, int(np.isfinite(self.seen).sum()) - int((self.own_sd > FROZEN).sum()) - len(SHARED))

    def first_shared(self) -> Floats:
        """Shared unknowns from the dots alone, whose rims have no line; beliefs where there are no dots."""
        dots = [n for n, kind in enumerate(self.kinds) if kind == "dot"]
        if not dots:
            return self.shared_mean.copy()
        alone = Problem([self.profiles[n] for n in dots], self.noise, self.beliefs, self.off_axis[dots])
        return alone.fit(np.zeros(3), alone.start(0.0)).shared

    def model(self, shared: Floats, own: Floats, tone: Floats) -> Floats:
        """Brightness at the places of the profiles, shape (n, m)."""
        sigma = np.exp(shared[0] + shared[1] * self.off_axis**2)
        dot, both = self.kinds == "dot", self.kinds == "both"
        low = shared[4] + own[:, 0] + np.where(dot, shared[5] + sigma**2 / np.maximum(self.widths, 0.1), 0.0)
        high = np.where(both, self.widths - shared[4] - own[:, 2], FAR)
        edges = np.stack([low, low + own[:, 1], high - np.where(both, own[:, 3], 0.0), high], axis=1)
        off = self.x[..., None]
        half = (self.widths / 2)[:, None, None]

        def tones(color: Floats, level: Floats, slope: Floats, about: Floats | float) -> Floats:
            return color[:, None] * np.exp(
                level[:, None, None] + slope[:, None, None] * np.clip(off - about, -1.2, 1.2)
            )

        glue = np.broadcast_to(tone, (*self.x.shape, 3))
        insert = tones(self.insert, own[:, 5], own[:, 8], np.where(both[:, None, None], half, 0.5))
        bands = np.stack(
            [
                tones(self.host, own[:, 4], own[:, 7], -0.4),
                glue,
                insert,
                glue,
                tones(self.host, own[:, 6], own[:, 9], 2 * half + 0.4),
            ],
            axis=1,
        )
        values = light.brightness(light.blurred(self.x, edges, bands, sigma))
        values = light.sharpened(
            values,
            strength=float(np.exp(shared[2])),
            radius=float(np.exp(shared[3])) / STEP,
        )
        return values[:, PAD:-PAD]

    def whitened(self, shared: Floats, own: Floats, tone: Floats) -> Floats:
        """Seen less modelled, in standard deviations, shape (n, m)."""
        off = np.nan_to_num(self.seen - self.model(shared, own, tone))
        return np.einsum("nij,nj->ni", self.whiten, off)

    def cost(self, shared: Floats, own: Floats, tone: Floats) -> tuple[float, Floats]:
        """Half the sum of squares with beliefs, and the part that each profile has in it."""
        parts = 0.5 * (self.whitened(shared, own, tone) ** 2).sum(axis=1)
        parts = parts + 0.5 * (((own - self.own_mean) / self.own_sd) ** 2).sum(axis=1)
        parts = parts + 0.5 * ((np.minimum(own[:, LINES], 0) / OVERLAP) ** 2).sum(axis=1)
        return float(parts.sum() + 0.5 * (((shared - self.shared_mean) / self.shared_sd) ** 2).sum()), parts

    def start(self, line: float) -> tuple[Floats, Floats]:
        """Beliefs' middle, with all lines at one width."""
        own = self.own_mean.copy()
        own[:, 1] = np.where(self.own_sd[:, 1] > FROZEN, line, 0.0)
        own[:, 3] = np.where(self.own_sd[:, 3] > FROZEN, line, 0.0)
        return self.shared_mean.copy(), own

    def settle(self, shared: Floats, tone: Floats) -> Floats:
        """Own unknowns for given shared ones: each side is begun at several widths and keeps the best."""
        best: Floats | None = None
        for width in FIRST_WIDTHS:
            own = self.start(width)[1]
            parts, damping = self.cost(shared, own, tone)[1], np.full(len(own), 1e-2)
            for _ in range(6):
                inner, _, _, pull, _ = self._system(shared, own, tone)
                inner = inner * (1 + damping[:, None, None] * np.eye(len(OWN)))
                new = own + np.clip(np.linalg.solve(inner, pull[..., None])[..., 0], -0.2, 0.2)
                tried = self.cost(shared, new, tone)[1]
                better = tried < parts
                own, parts = np.where(better[:, None], new, own), np.where(better, tried, parts)
                damping = np.where(better, damping / 5, damping * 10)
            if best is None:
                best, least = own, parts
            else:
                best, least = np.where((parts < least)[:, None], own, best), np.minimum(parts, least)
        assert best is not None
        return best

    def derivatives(self, shared: Floats, own: Floats, tone: Floats) -> tuple[Floats, Floats, Floats]:
        """Whitened residuals and their derivatives by shared (n, m, 6) and own unknowns (n, m, 10)."""
        here = self.whitened(shared, own, tone)
        by_shared = np.empty((*here.shape, len(SHARED)))
        by_own = np.empty((*here.shape, len(OWN)))
        for n in range(len(SHARED)):
            moved = shared.copy()
            moved[n] += 1e-5
            by_shared[..., n] = (self.whitened(moved, own, tone) - here) / 1e-5
        for n in range(len(OWN)):
            if self.own_sd[:, n].max() <= FROZEN:
                by_own[..., n] = 0.0
                continue
            changed = own.copy()
            changed[:, n] += 1e-5
            by_own[..., n] = (self.whitened(shared, changed, tone) - here) / 1e-5
        return here, by_shared, by_own

    def fit(self, tone: Floats, start: tuple[Floats, Floats]) -> Fit:
        """
        Levenberg and Marquardt's method on the arrowhead that shared and own unknowns make.

        Parameters
        ----------
        tone : array of shape (3,)
            Light of the glue line.
        start : tuple of arrays
            Shared and own unknowns to begin from.

        Returns
        -------
        fit : Fit
        """
        shared, own = start
        cost, _ = self.cost(shared, own, tone)
        damping = 1e-3
        for _ in range(STEPS):
            system = self._system(shared, own, tone)
            for _ in range(6):
                step_shared, step_own = _solve(system, damping)
                new = shared + step_shared, own + np.clip(step_own, -0.3, 0.3)
                tried, _ = self.cost(*new, tone)
                if tried < cost:
                    break
                damping = min(damping * 6, 1e6)
            else:
                break
            gain, cost, (shared, own), damping = cost - tried, tried, new, max(damping / 8, 1e-9)
            if gain < 1e-3:
                break
        return self._finished(shared, own, tone, cost)

    def _system(self, shared: Floats, own: Floats, tone: Floats) -> tuple[Floats, ...]:
        here, by_shared, by_own = self.derivatives(shared, own, tone)
        both = np.einsum("nmi,nmj->nij", by_own, by_shared)
        inner = np.einsum("nmi,nmj->nij", by_own, by_own)
        inner[:, range(len(OWN)), range(len(OWN))] += self.own_sd**-2
        outer = np.einsum("nmi,nmj->ij", by_shared, by_shared) + np.diag(self.shared_sd**-2)
        below = (own[:, LINES] < 0) * OVERLAP**-2
        inner[:, LINES, LINES] += below
        pull_own = -np.einsum("nmi,nm->ni", by_own, here) - (own - self.own_mean) * self.own_sd**-2
        pull_own[:, LINES] -= below * own[:, LINES]
        pull = -np.einsum("nmi,nm->i", by_shared, here) - (shared - self.shared_mean) * self.shared_sd**-2
        return inner, both, outer, pull_own, pull

    def _finished(self, shared: Floats, own: Floats, tone: Floats, cost: float) -> Fit:
        inner, both, outer, *_ = self._system(shared, own, tone)
        turned = np.linalg.inv(inner)
        carried = turned @ both
        core = outer - np.einsum("nij,nik->jk", both, carried)
        spread = np.linalg.inv(core)
        lines = carried[:, (1, 3)].reshape(-1, len(SHARED))
        covariance = lines @ spread @ lines.T
        count = len(self.profiles)
        for n in range(count):
            covariance[2 * n : 2 * n + 2, 2 * n : 2 * n + 2] += turned[n][np.ix_((1, 3), (1, 3))]
        bend = float(np.linalg.slogdet(inner)[1].sum() + np.linalg.slogdet(core)[1])
        return Fit(
            shared=shared,
            own=own,
            cost=cost,
            log_evidence=-cost - 0.5 * bend,
            line_covariance=covariance,
            residuals=self.seen - self.model(shared, own, tone),
        )


def _solve(system: tuple[Floats, ...], damping: float) -> tuple[Floats, Floats]:
    """One damped step, the own unknowns eliminated first."""
    inner, both, outer, pull_own, pull = system
    inner = inner + damping * np.einsum("nii->ni", inner)[:, :, None] * np.eye(len(OWN))
    outer = outer + damping * np.diag(np.diag(outer))
    solved = np.linalg.solve(inner, np.concatenate([both, pull_own[..., None]], axis=2))
    core = outer - np.einsum("nij,nik->jk", both, solved[..., :-1])
    step = np.linalg.solve(core, pull - np.einsum("nij,ni->j", both, solved[..., -1]))
    return step, solved[..., -1] - solved[..., :-1] @ step
