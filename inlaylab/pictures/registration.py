"""Tie the drawing to the picture: outlines of the strokes, labels, and above all the drilled dots."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import PictureError
from inlaylab.pictures.frame import Frame, sample
from inlaylab.pictures.lines.light import LUMA
from inlaylab.units import in_both

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Dot, Layout, Ring
    from inlaylab.pictures.turn import Contrast

    Floats = NDArray[np.float64]

SPACING = 1.2  # between points of an outline at which its edge is sought [mm]
STEP = 0.04  # along the normal [mm]
KERNEL = 0.32  # of the step filter, to each side [mm]
DOT_SD = 0.01  # how well the middle of a dot is found [mm]
EDGE_SD = 0.03  # how well one point of an outline is found [mm]
MOST_MISFIT = 0.08  # middle distance of outlines from the drawing that is still a match [mm]


@dataclass(frozen=True, kw_only=True)
class Registration:
    """
    The drawing, tied to the picture.

    Parameters
    ----------
    frame : Frame
        Maps the host's drawing to the picture.
    shrink : float
        How far outlines lie inside the drawing: sanding narrows strokes. [mm]
    misfit : float
        Median distance of outlines from where the frame has them. [mm]
    dot_profiles : array of shape (n, 4)
        For each dot found its x and y as seen, its diameter as drawn and as seen. [mm]
    """

    frame: Frame
    shrink: float
    misfit: float
    dot_profiles: Floats


@dataclass(frozen=True, kw_only=True)
class _Edges:
    """Points of outlines with their outward normals. [mm]."""

    points: Floats
    normals: Floats

    @property
    def tangents(self) -> Floats:
        return np.stack([-self.normals[:, 1], self.normals[:, 0]], axis=1)


def register(picture: NDArray[np.uint8], frame: Frame, contrast: Contrast, layout: Layout) -> Registration:
    """
    Refine the frame until the outlines and the dots of the drawing lie on those of the picture.

    Parameters
    ----------
    picture : array of shape (rows, columns, 3)
        Red, green, blue code values.
    frame : Frame
        A start, right to half a mm.
    contrast : Contrast
        What tells insert from host.
    layout : Layout
        The drawing.

    Returns
    -------
    registration : Registration
        The frame with what it rests on.

    Raises
    ------
    PictureError
        Where outlines or dots are not where the drawing has them.

    Notes
    -----
    All inserts share one translation, which is the plug's; without the dots nothing would tell it from a translation
    of the frame, and both sides of a stroke would read alike.
    """
    edges = _edges_of([p.polygon for p in layout.places] + [r for s in layout.other for r in s.rings])
    terms = np.zeros(5)  # lens, shrink, plug's shift in x and y, and one spare
    seen_dots: list[tuple[Dot, Floats]] = []
    for reach in (1.1, 0.6, 0.4, 0.4):
        offset, strong = _edge_offsets(picture, frame, edges, contrast, reach)
        if strong.mean() < 0.5:
            raise PictureError(
                "the outlines of the strokes are not where the drawing has them",
                remedy="check that the layout belongs to this coupon, and take a sharp picture",
            )
        seen_dots = _find_dots(picture, frame, layout.dots, reach)
        frame, terms, rest = _adjust(frame, edges, offset, strong, seen_dots)
    misfit = float(np.median(np.abs(rest[strong])))
    if misfit > MOST_MISFIT:
        raise PictureError(
            "the drawing fits the picture badly",
            value=f"{in_both(misfit)} off",
            remedy="check that the layout belongs to this coupon, and hold the phone straight above",
        )
    if layout.dots and len(seen_dots) < len(layout.dots) - 1:
        raise PictureError(
            "the drilled dots are not where the drawing has them",
            value=f"{len(seen_dots)} of {len(layout.dots)} found",
            remedy="check that the layout belongs to this coupon and that all dots can be seen",
        )
    seen_dots = _find_dots(picture, frame, layout.dots, 0.4)
    profiles = np.array(
        [(dot.x + found[0], dot.y + found[1], dot.diameter, found[2]) for dot, found in seen_dots]
    ).reshape(-1, 4)
    return Registration(
        frame=frame,
        shrink=float(terms[1]),
        misfit=misfit,
        dot_profiles=profiles,
    )


def _edges_of(rings: list[Ring]) -> _Edges:
    points, normals = [], []
    for ring in rings:
        corners = np.array(ring)
        following = np.roll(corners, -1, axis=0)
        area = float((corners[:, 0] * following[:, 1] - following[:, 0] * corners[:, 1]).sum())
        for start, end in zip(corners, following, strict=True):
            length = float(np.hypot(*(end - start)))
            if length < 0.2:
                continue
            along = (end - start) / length
            outward = np.array([along[1], -along[0]]) * np.sign(area)
            free = min(0.8, 0.3 * length) if len(ring) < 10 else 0.0
            count = max(1, int((length - 2 * free) / SPACING))
            for share in (np.arange(count) + 0.5) / count:
                points.append(start + along * (free + share * (length - 2 * free)))
                normals.append(outward)
    return _Edges(points=np.array(points), normals=np.array(normals))


def _edge_offsets(
    picture: NDArray[np.uint8], frame: Frame, edges: _Edges, contrast: Contrast, reach: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """How far outside the drawing each edge is seen [mm], and which of them are plain to see."""
    half = round(KERNEL / STEP)
    across = np.arange(-round(reach / STEP) - half, round(reach / STEP) + half + 1) * STEP
    values = np.zeros((len(edges.points), len(across)))
    beside = (-0.4, -0.2, 0.0, 0.2, 0.4)
    for along in beside:
        middle = edges.points + along * edges.tangents
        where = middle[:, None] + across[None, :, None] * edges.normals[:, None]
        values += contrast.of(sample(picture, frame, where)) / len(beside)
    totals = np.cumsum(np.clip(values, -0.5, 1.5), axis=1)
    totals = np.pad(totals, ((0, 0), (1, 0)))
    inner = totals[:, half:-half] - totals[:, : -2 * half]
    outer = totals[:, 2 * half :] - totals[:, half:-half]
    step = (inner - outer) / half
    places = across[0] - STEP / 2 + (np.arange(step.shape[1]) + half) * STEP
    return _peaks(step, places)


def _peaks(step: Floats, places: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Place of the highest response of each row, by a parabola; strong ones."""
    best = np.clip(step.argmax(axis=1), 1, step.shape[1] - 2)
    rows = np.arange(len(step))
    left, peak, right = (step[rows, best + n] for n in (-1, 0, 1))
    bow = np.minimum(left - 2 * peak + right, -1e-9)
    offset = places[best] + np.clip(0.5 * (left - right) / bow, -1, 1) * (places[1] - places[0])
    return offset, peak > 0.45


def _find_dots(
    picture: NDArray[np.uint8], frame: Frame, dots: tuple[Dot, ...], reach: float
) -> list[tuple[Dot, Floats]]:
    """For each dot that stands out: offset in x and y from where the frame has it, and its diameter. [mm]."""
    turns = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    rays = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    half = round(KERNEL / STEP)
    found = []
    for dot in dots:
        middle, reach_now, diameter, strong = np.zeros(2), max(reach, 0.4), dot.diameter, np.zeros(48, bool)
        for _ in range(4):
            radii = np.arange(
                max(STEP, dot.diameter / 2 - reach_now - KERNEL), dot.diameter / 2 + reach_now + KERNEL, STEP
            )
            where = np.array([dot.x, dot.y]) + middle + radii[None, :, None] * rays[:, None]
            dark = sample(picture, frame, where) @ LUMA
            totals = np.pad(np.cumsum(dark, axis=1), ((0, 0), (1, 0)))
            step = (totals[:, 2 * half :] - 2 * totals[:, half:-half] + totals[:, : -2 * half]) / half
            places = radii[0] - STEP / 2 + (np.arange(step.shape[1]) + half) * STEP
            edge, _ = _peaks(step, places)
            strong = step.max(axis=1) > 10.0
            if strong.sum() < 24:
                break
            keep = strong
            for _ in range(3):
                design = np.column_stack([np.ones(keep.sum()), rays[keep]])
                (radius, dx, dy), *_ = np.linalg.lstsq(design, edge[keep], rcond=None)
                off = np.abs(edge - radius - rays @ [dx, dy])
                keep = strong & (off < max(2.5 * float(np.median(off[strong])), 0.02))
                if keep.sum() < 12:
                    break
            middle, reach_now, diameter = middle + np.array([dx, dy]), 0.3, 2 * float(radius)
        if strong.sum() >= 24 and abs(diameter / dot.diameter - 1) < 0.25 and np.hypot(*middle) < reach + 0.6:
            found.append((dot, np.array([*middle, diameter])))
    return found


def _adjust(
    frame: Frame, edges: _Edges, offset: Floats, strong: NDArray[np.bool_], dots: list[tuple[Dot, Floats]]
) -> tuple[Frame, Floats, Floats]:
    """One robust fit of homography, lens, shrink and the plug's shift."""
    from scipy.optimize import least_squares

    points, normals = edges.points[strong], edges.normals[strong]
    seen = frame.pixels(points + offset[strong, None] * normals)
    scale = frame.scale(points)
    ahead = frame.pixels(points + 0.05 * normals) - frame.pixels(points - 0.05 * normals)
    ahead /= np.hypot(ahead[:, 0], ahead[:, 1])[:, None]
    holes = np.array([(dot.x, dot.y) for dot, _ in dots]).reshape(-1, 2)
    holes_seen = frame.pixels(holes + np.array([found[:2] for _, found in dots]).reshape(-1, 2))
    holes_scale = frame.scale(holes) if len(holes) else np.zeros(0)
    middle, size = points.mean(axis=0), max(float(np.ptp(points)) / 2, 1.0)
    to_unit = np.array([[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]])
    start = frame.matrix @ np.linalg.inv(to_unit)
    start = start / start[2, 2]
    steps = np.array([*([float(scale.mean())] * 6), 0.01, 0.01])  # so that each unknown is of the order of a mm

    def frame_of(x: Floats) -> Frame:
        matrix = (start.ravel() + np.append(x[:8] * steps, 0)).reshape(3, 3) @ to_unit
        return replace(frame, matrix=matrix, bend=frame.bend + x[8] * 0.01)

    def residuals(x: Floats) -> Floats:
        now = frame_of(x)
        moved = points - x[9] * normals + x[10:12]
        off = ((now.pixels(moved) - seen) * ahead).sum(axis=1) / scale
        dotted = (now.pixels(holes) - holes_seen) / holes_scale[:, None]
        priors = [x[8] / 1.0, x[9] / 0.3, x[10] / 0.1, x[11] / 0.1]
        return np.concatenate([off / EDGE_SD, dotted.ravel() / DOT_SD, priors])

    fit = least_squares(residuals, np.zeros(12), loss="soft_l1", f_scale=2.0)
    rest = np.full(len(edges.points), np.nan)
    rest[strong] = residuals(fit.x)[: len(points)] * EDGE_SD
    return frame_of(fit.x), fit.x[8:12], rest
