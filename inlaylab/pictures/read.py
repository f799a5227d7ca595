"""Read a coupon from a picture: `read_picture` is the way in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from inlaylab.errors import PictureError, Stopped
from inlaylab.pictures import filling, profiles
from inlaylab.pictures.board import find_board
from inlaylab.pictures.lines import widths
from inlaylab.pictures.lines.joint_fit import Beliefs, Problem
from inlaylab.pictures.lines.noise import measure_noise
from inlaylab.pictures.records import TRIED, Curve, PictureReading, StationReading
from inlaylab.pictures.registration import register
from inlaylab.pictures.turn import find_turn
from inlaylab.units import in_both

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.pictures.opening import Picture
    from inlaylab.pictures.registration import Registration

    Floats = NDArray[np.float64]
    Progress = Callable[[str, float], bool | None]

THIN = 1.3  # drawn width below which both sides of a stroke are read as one [mm]
WIDE = 2.0  # drawn width from which the insert's colour is taken [mm]
FEWEST_PIXELS = 14.0  # pixels a mm: 400 dpi is 15.7
GOOD_PIXELS = 19.0
MOST_BLUR = 0.12  # [mm]
SHARP = "scan at 600 dpi, or hold the phone straight above, fill the frame, and let it focus"


def read_picture(picture: Picture, layout: Layout, *, progress: Progress | None = None) -> PictureReading:
    """
    Read the stations of a coupon from a picture of its finished face.

    Parameters
    ----------
    picture : Picture
        As `opening.open_picture` gives it.
    layout : Layout
        The drawing that the coupon was cut from.
    progress : callable, optional
        Called with a few words and the share done, 0 to 1; returns True to stop.

    Returns
    -------
    reading : PictureReading
        Every station of the layout, in its order; what cannot be read is None and says why.

    Raises
    ------
    PictureError
        Where the picture cannot be trusted as a whole.
    Stopped
        Where `progress` said so.
    """

    def told(words: str, share: float) -> None:
        if progress is not None and progress(words, share):
            raise Stopped("reading the picture was stopped; nothing was kept")

    told("finding the coupon", 0.0)
    corners = find_board(picture.colors)
    frame, contrast = find_turn(picture.colors, corners, layout)
    middle = np.array([[layout.length / 2, layout.width / 2]])
    per_mm = float(frame.scale(middle)[0])
    if per_mm < FEWEST_PIXELS:
        raise PictureError(
            "the picture is too coarse", value=f"{_dpi(per_mm)}; {_dpi(FEWEST_PIXELS)} are needed", remedy=SHARP
        )
    told("laying the drawing over it", 0.1)
    tied = register(picture.colors, frame, contrast, layout)
    told("looking along the strokes", 0.3)
    work = _Reading(picture, layout, tied, per_mm)
    told("fitting the glue lines", 0.4)
    return work.finish(lambda share: told("fitting the glue lines", 0.4 + 0.6 * share))


class _Reading:
    """The steps between a frame and the stations' answers."""

    def __init__(self, picture: Picture, layout: Layout, tied: Registration, per_mm: float) -> None:
        self.picture, self.layout, self.tied, self.per_mm = picture, layout, tied, per_mm
        rings = [p.polygon for p in layout.places] + [ring for shape in layout.other for ring in shape.rings]
        named = [(p.station, p.polygon) for p in layout.places if p.kind == "bar"]
        named += [("", shape.exterior) for shape in layout.other if not shape.interiors]
        self.bars = [bar for name, ring in named if (bar := profiles.bar_of(name, ring, rings)) is not None]
        self.shrink = self._first_shrink()
        self.woods, self.fillings = self._filling()
        self.profiles = self._profiles()

    def _first_shrink(self) -> float:
        """From the dots where there are any: no glue line lies beside them."""
        seen = self.tied.dot_profiles
        if not len(seen):
            return self.tied.shrink
        return float(np.median(seen[:, 2] - seen[:, 3])) / 2

    def _filling(self) -> tuple[filling.Woods, dict[int, filling.Filling]]:
        colors, frame = self.picture.colors, self.tied.frame
        along = [filling.bar_colors(colors, frame, bar, self.shrink) for bar in self.bars]
        wedges = [filling.wedge_colors(colors, frame, p, self.shrink) for p in self.layout.places if p.kind == "wedge"]
        self.wedges = {
            p.station: w for p, w in zip((q for q in self.layout.places if q.kind == "wedge"), wedges, strict=True)
        }
        width, hue = (
            np.concatenate(parts) if parts else np.zeros((0, *rest))
            for parts, rest in (([w for w, _ in wedges], ()), ([c for _, c in wedges], (3,)))
        )
        wide = [c for bar, c in zip(self.bars, along, strict=True) if bar.width >= WIDE] + [hue[width > WIDE]]
        if not sum(len(part) for part in wide):
            widest = max(range(len(self.bars)), key=lambda n: self.bars[n].width)
            wide = [along[widest]]
        thin = [c for bar, c in zip(self.bars, along, strict=True) if 0.3 <= bar.width - 2 * self.shrink < 1.3]
        hosts = [profiles.host_color(self.picture, frame, bar) for bar in self.bars]
        end = width < 1.3
        woods = filling.find_woods(
            np.concatenate(wide),
            hue[end],
            thin,
            host=np.median(hosts, axis=0),
            tip_widths=width[end],
            blur=1.4 / self.per_mm,
            likely=self._groove(),
        )
        return woods, {n: filling.filling_of(c, woods) for n, c in enumerate(along)}

    def _groove(self) -> Floats | None:
        """Colour of a groove that holds glue alone."""
        if self.layout.groove is None:
            return None
        bar = profiles.bar_of("", self.layout.groove.exterior, [self.layout.groove.exterior])
        if bar is None or bar.width - 2 * self.shrink < 0.25:
            return None
        return np.asarray(np.median(filling.bar_colors(self.picture.colors, self.tied.frame, bar, self.shrink), axis=0))

    def _profiles(self) -> list[profiles.Profile]:
        found: list[profiles.Profile] = []
        for n, bar in enumerate(self.bars):
            parts = self.fillings[n].parts
            filled = None if parts.all() else parts
            if self.fillings[n].state == "missing":
                continue
            found += profiles.bar_profiles(self.picture, self.tied.frame, bar, thin=THIN, filled=filled)
        for x, y, diameter, _ in self.tied.dot_profiles:
            found.append(profiles.dot_profile(self.picture, self.tied.frame, diameter, np.array([x, y])))
        if not any(p.kind != "dot" for p in found):
            raise PictureError("no filled stroke was found to read", remedy="check that the layout is this coupon's")
        return found

    def finish(self, progress: Callable[[float], None]) -> PictureReading:
        tied = self.tied
        off = np.array([np.hypot(*(tied.frame.pixels(p.middle) - tied.frame.middle)) for p in self.profiles])
        beliefs = Beliefs(blur=1.2 / self.per_mm, radius=1.4 / self.per_mm)
        problem = Problem(self.profiles, measure_noise(self.profiles), beliefs, off / tied.frame.reach)
        lines = widths.find_lines(problem, self.woods.glue, progress=progress)
        shared = lines.best.shared
        blur = float(np.exp(shared[0]))
        if blur > MOST_BLUR:
            raise PictureError("the picture is blurred", value=f"by {in_both(blur)}", remedy=SHARP)
        answers = tuple(self._station(name, lines) for name in (p.station for p in self.layout.places))
        return PictureReading(
            stations=answers,
            pixels_per_mm=self.per_mm,
            drawing_fit=tied.misfit,
            shrink=float(shared[4]),
            blur=blur,
            frame=tied.frame,
            warnings=self._warnings(lines),
        )

    def _warnings(self, lines: widths.Lines) -> tuple[str, ...]:
        found = [TRIED]
        if self.per_mm < GOOD_PIXELS:
            found.append(f"only {_dpi(self.per_mm)}: below {_dpi(20)} thin lines are read less well")
        if not self.layout.dots:
            found.append("the layout has no dots: the two sides of a line cannot be told apart, and lines read worse")
        if lines.faint:
            found.append("the glue line looks like one of the woods, so its width is not read")
        elif self.woods.glue is None:
            found.append(
                "no glue alone was seen, so the line's tone is a guess; a groove filled with glue would show it"
            )
        return tuple(found)

    def _station(self, name: str, lines: widths.Lines) -> StationReading:
        place = next(p for p in self.layout.places if p.station == name)
        if place.kind == "wedge":
            stop, why = filling.wedge_stop_of(*self.wedges[name], self.woods)
            if stop is not None:  # the joint fit knows better how much sanding took than the dots alone did
                stop = max(stop + 2 * (self.shrink - float(lines.best.shared[4])), 0.0)
            return StationReading(station=name, kind="wedge", wedge_stop=stop, why=why)
        number = next((n for n, bar in enumerate(self.bars) if bar.name == name), None)
        if number is None:
            return StationReading(station=name, kind="bar", why="its drawing is not a bar with parallel sides")
        fill = self.fillings[number]
        sides = {
            kind: (n, 1 if kind == "high" and p.kind == "both" else 0)
            for n, p in enumerate(self.profiles)
            if p.name == name
            for kind in (("low", "high") if p.kind == "both" else (p.kind,))
        }
        reasons = [fill.why] if fill.why else []
        answer: dict[str, float | None] = {}
        if fill.state == "missing":
            reasons.append("the stroke is missing, so it has no glue line")
        elif len(sides) < 2:
            reasons.append("too little of the stroke is filled to read its sides")
        else:
            width, sd, closed = widths.both_sides(lines, sides["low"], sides["high"])
            if lines.faint:
                reasons.append("the glue line looks like one of the woods")
            elif sd > widths.MOST_SD:
                reasons.append(f"the line could be read to {in_both(sd)} at best")
            else:
                answer = {
                    "glue_line": width,
                    "sd": sd,
                    "closed_chance": closed,
                    "low": float(lines.mean[sides["low"]]),
                    "high": float(lines.mean[sides["high"]]),
                }
        return StationReading(
            station=name,
            kind="bar",
            fill=fill.state,
            fill_chance=fill.chance if fill.state else None,
            why="; ".join(reasons),
            curves=self._curves(sides, lines),
            **answer,
        )

    def _curves(self, sides: dict[str, tuple[int, int]], lines: widths.Lines) -> tuple[Curve, ...]:
        curves = []
        for n in dict.fromkeys(row for row, _ in sides.values()):
            profile, own, shrink = self.profiles[n], lines.best.own[n], lines.best.shared[4]
            size = len(profile.x)
            begin = float(shrink + own[0])
            edges: tuple[float, ...] = (begin, begin + float(own[1]))
            if profile.kind == "both":
                end = float(profile.width - shrink - own[2])
                edges += (end - float(own[3]), end)
            curves.append(
                Curve(
                    kind=profile.kind,
                    x=profile.x,
                    seen=profile.luma,
                    edges=edges,
                    fitted=profile.luma - lines.best.residuals[n, :size],
                )
            )
        return tuple(curves)


def _dpi(per_mm: float) -> str:
    """Say how fine a picture is, as scanners and makers do."""
    return f"{25.4 * per_mm:.0f} dpi"
