"""What the panel of notebook 5 knows: drawing, settings, the answer at once, and what a button works out."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import traitlets

from inlaylab import share
from inlaylab.bench.cuts import Cut
from inlaylab.errors import InlaylabError, InputError, Stopped
from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form, LengthEntry, NumberEntry
from inlaylab.panels.shared.fit_box import FitState
from inlaylab.services.plan import Drawing, at_once, drawn_from, picture_pixel, work_out
from inlaylab.services.plan_settings import TURNS, Settings

#: Choice of a drawing that is not one of the kit's.
MINE = "a file of mine"
#: Thin-stroke limit where no fit says better [mm]; common practice, no source.
USUAL_LIMIT = 0.6


class PlanState(traitlets.HasTraits):
    """
    A planned inlay.

    Parameters
    ----------
    log : path
        The log, for bits, pairs, habits and a fit.

    Attributes
    ----------
    fit : panels.shared.fit_box.FitState
    form : panels.shared.entries.Form
    drawing : Drawing or None
        What is planned, at its drawn size.
    settings : Settings
        What the sliders say.
    quick : AtOnce or None
        The closed form's answer to the settings as they are.
    worked : Worked or None
        What was last worked out on the button.
    spread : fitting.predict.artwork.Planned or None
        What the fit expects of these settings.
    advice : fitting.advice.start_depth.Advice or None
    pictures : tuple of artwork.cutting.virtual_cut.VirtualCut
        A handful of the fit's draws through the virtual cut.
    state : {"idle", "running", "stopped", "failed", "done"}
        State of the work; shown on the button; `done_share`, `doing` and `reason` tell more.
    """

    unit = traitlets.Unicode("mm")
    drawing = traitlets.Any(None, allow_none=True)
    settings = traitlets.Any(Settings())
    quick = traitlets.Any(None, allow_none=True)
    worked = traitlets.Any(None, allow_none=True)
    spread = traitlets.Any(None, allow_none=True)
    advice = traitlets.Any(None, allow_none=True)
    pictures = traitlets.Tuple()
    state = traitlets.Unicode("idle")
    done_share = traitlets.Float(0.0)
    doing = traitlets.Unicode()
    reason = traitlets.Unicode()

    def __init__(self, log: str | Path):
        super().__init__()
        self.fit = FitState(log)
        self.form = _form()
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._list()
        self.unit = self.shop.habits.unit
        for name in ("bit", "pair"):
            self.form[name].observe(self._take_bit, "value")
        self.form["limit"].observe(self._ask_closed_form, "value")
        self.fit.observe(self._take_bit, "fit")
        self._begin()

    @property
    def shop(self) -> Any:
        """The records of the log."""
        return self.fit.shop

    @property
    def drawing_path(self) -> Path:
        """Path of the drawing that is chosen."""
        chosen = self.form["drawing"].value
        if chosen is None:
            raise InputError("no drawing is chosen", allowed="one of the list")
        if chosen != MINE:
            return share.data() / "artwork" / chosen
        typed = self.form["file"].value
        if typed is None:
            raise InputError("the drawing's file", allowed="its name, or its path from this folder")
        return Path(typed).expanduser()

    def open_drawing(self) -> None:
        """
        Read the drawing.

        Raises
        ------
        DrawingError
            Where it cannot be used; the drawing before it stays.
        """
        from inlaylab.artwork.reading.outlines import read_artwork

        artwork = read_artwork(
            self.drawing_path, width=self.form["width"].mm, unit=self.form["drawing_unit"].value or None
        )
        drawing = Drawing.of(artwork)
        self.worked = self.spread = self.advice = None
        self.drawing = drawing
        self._line_across()
        self._ask_closed_form()

    def turn(self, **values: float) -> None:
        """Set one or more settings; the closed form answers at once. Lengths in mm, scale as a share."""
        from dataclasses import replace

        unknown = set(values) - set(TURNS)
        if unknown:
            raise InputError("no such setting", value=", ".join(sorted(unknown)), allowed=", ".join(TURNS))
        self.settings = replace(self.settings, **values)
        self._ask_closed_form()

    @property
    def limit(self) -> float:
        """Thin-stroke limit: typed, or from the fit, or the usual one [mm]."""
        typed = self.form["limit"].mm
        if typed is not None:
            return float(typed)
        return self.spread.limit(0.9) if self.spread is not None else USUAL_LIMIT

    def start(self) -> None:
        """Begin to work out the virtual cut and all that goes with it, beside whatever else the notebook does."""
        if self.state == "running":
            return
        if self.drawing is None:
            raise InputError("there is no drawing", allowed="open one first")
        border = self.form["border"].mm
        if border is None:
            raise InputError("the border around the artwork", allowed="a length")
        self._stop.clear()
        self.done_share, self.doing, self.reason, self.state = 0.0, "beginning", "", "running"
        work = (self.drawing, self.settings, self.limit, border)
        self._thread = threading.Thread(target=self._run, args=work, name="inlaylab plan", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ask the work to stop."""
        self._stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until the work is done."""
        if self._thread is not None:
            self._thread.join(seconds)

    def _run(self, drawing: Drawing, settings: Settings, limit: float, border: float) -> None:
        try:
            self.worked = work_out(
                drawing,
                settings,
                limit=limit,
                border=border,
                pixel=picture_pixel(drawing, settings.scale),
                progress=self._progress,
                stop=self._stop.is_set,
            )
            self.state = "done"
        except Stopped:
            self.state = "stopped"
        except InlaylabError as error:
            self.reason, self.state = str(error), "failed"
        except Exception as error:
            self.reason, self.state = f"{type(error).__name__}: {error}", "failed"

    def _progress(self, done_share: float, seconds_left: float | None, text: str = "") -> None:
        left = f", about {seconds_left:.0f} s left" if seconds_left else ""
        self.done_share, self.doing = done_share, f"{text}{left}"

    def ask_the_log(self) -> None:
        """
        Ask the fit what this artwork will show, and which start depth to use.

        Raises
        ------
        InputError
            Where there is no drawing, no fit of the log as it is, or no bit or pair chosen.
        """
        from inlaylab.fitting.advice.start_depth import advise
        from inlaylab.fitting.predict.artwork import planned
        from inlaylab.fitting.predict.question import Question

        if self.drawing is None:
            raise InputError("there is no drawing", allowed="open one first")
        if self.fit.fit is None:
            raise InputError("there is no fit of the log as it is now", allowed="fit it in notebook 4 first")
        bit, pair, within, chance = (self.form[name] for name in ("bit", "pair", "within", "chance"))
        if not all(entry.whole and entry.value is not None for entry in (bit, pair, within, chance)):
            raise InputError("bit, species pair, glue line within and chance", allowed="all four")
        settings, strokes = self.settings, self.drawing.scaled(self.settings.scale).strokes
        made = {
            "bit": bit.value,
            "pair": pair.value,
            "pocket_depth": settings.pocket_depth,
            "relief_depth": settings.relief_depth,
            "path_angle_deg": settings.path_angle,
            "outline_offset": settings.outline_offset,
        }
        cut = Cut(cut="planned", start_depth=settings.start_depth, sanded_off=settings.sanded_off, **made)
        spread = planned(self.fit.fit, self.shop, cut, strokes, within=within.mm)
        self.advice = advise(
            self.fit.fit,
            self.shop,
            Question(strokes=strokes, within=within.mm, chance=chance.value / 100, **made),
        )
        self.pictures = drawn_from(self.drawing, settings, spread.handful)
        self.spread = spread
        self._ask_closed_form()

    def line(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """
        Give both ends of the line of section [mm].

        Raises
        ------
        InputError
            Where one is missing or both are the same.
        """
        ends = [self.form[name].mm for name in ("x_a", "y_a", "x_b", "y_b")]
        if any(value is None for value in ends):
            raise InputError("the line of the section", allowed="x and y of both ends")
        if ends[:2] == ends[2:]:
            raise InputError("the line of the section has no length", allowed="two ends that differ")
        return (ends[0], ends[1]), (ends[2], ends[3])

    def write(self) -> list[Path]:
        """
        Write pocket, mirrored plug and depths into a folder of their own.

        Raises
        ------
        DrawingError
            Where a file is there already or cannot be written; nothing new is left behind.
        """
        from inlaylab.artwork.sheets.plan import depth_sheet, plug_sheet, pocket_sheet, write_plan
        from inlaylab.wording.plan import depth_lines

        if self.drawing is None:
            raise InputError("there is no drawing", allowed="open one first")
        settings, border = self.settings, self.form["border"].mm or 10.0
        sized = self.drawing.scaled(settings.scale)
        title = Path(sized.artwork.source).stem or "artwork"
        mirror = self.form["mirror"].value or "y"
        sheets = {
            "pocket": pocket_sheet(sized.artwork, border=border, title=f"{title}: pocket"),
            "plug": plug_sheet(
                sized.artwork,
                border=border,
                outline_offset=settings.outline_offset,
                rotation=settings.rotation,
                mirror=mirror,
                title=f"{title}: plug",
            ),
            "depths": depth_sheet(depth_lines(settings, self.unit, mirror=mirror), title=f"{title}: depths"),
        }
        return write_plan(Path(self.form["folder"].value or f"{title}_plan"), sheets)

    def _list(self) -> None:
        form, shop = self.form, self.shop
        kit = sorted(path.name for path in (share.data() / "artwork").iterdir())
        form["drawing"].options = (*kit, MINE)
        form["bit"].options = tuple(bit.bit for bit in shop.bits)
        form["pair"].options = tuple(pair.pair for pair in shop.pairs)

    def _begin(self) -> None:
        """Start from a drawing of the kit and the newest cut."""
        form, shop = self.form, self.shop
        form["within"].set_mm(shop.habits.hairline_below)
        form["drawing"].typed = "ornament.svg"
        if shop.cuts:
            newest = shop.cuts[-1]
            form["bit"].typed, form["pair"].typed = newest.bit, newest.pair
            depths = {"start_depth": newest.start_depth, "sanded_off": newest.sanded_off or shop.habits.sanded_off}
            depths["pocket_depth"] = shop.habits.pocket_depth or newest.pocket_depth
            depths["relief_depth"] = shop.habits.relief_depth or newest.relief_depth
            self.turn(**{name: float(value) for name, value in depths.items() if value})
        self.open_drawing()

    def _take_bit(self, change: Any = None) -> None:
        """Take the chosen bit's angle and flat, from the fit where there is one."""
        from dataclasses import replace

        from inlaylab.fitting.predict.likely_question import middle_values

        bit, pair = self.form["bit"].value, self.form["pair"].value
        if bit is None or pair is None:
            return
        known = middle_values(self.fit.fit, self.shop, bit=bit, pair=pair)
        taken = {name: value for name, value in known.items() if name in Settings.__dataclass_fields__}
        self.settings = replace(self.settings, **taken)
        self._ask_closed_form()

    def _ask_closed_form(self, change: Any = None) -> None:
        if self.drawing is None:
            return
        from inlaylab.artwork.axis.thin_strokes import step_chance

        chance = self.spread.chance if self.spread is not None else step_chance(self.limit)
        self.quick = at_once(self.drawing, self.settings, chance)

    def _line_across(self) -> None:
        """Lay the section level through the artwork's middle."""
        left, bottom, right, top = self.drawing.artwork.polygons.bounds
        middle, past = (bottom + top) / 2, 0.05 * (right - left)
        for name, value in (("x_a", left - past), ("y_a", middle), ("x_b", right + past), ("y_b", middle)):
            self.form[name].set_mm(round(value, 2))

    @traitlets.observe("unit")
    def _unit_changed(self, change: Any) -> None:
        for entry in self.form.entries.values():
            if isinstance(entry, LengthEntry):
                known = entry.mm
                entry.unit = self.unit
                if known is not None:
                    entry.set_mm(known)


def _form() -> Form:
    far: dict[str, Any] = {"lowest": -10_000.0, "highest": 10_000.0}
    return Form(
        drawing=ChoiceEntry("drawing", required=True),
        file=Entry("file"),
        width=LengthEntry("width of the picture", highest=5000.0, above=True),
        drawing_unit=ChoiceEntry("unit of the DXF", options=("mm", "cm", "m", "in", "ft")),
        bit=ChoiceEntry("bit"),
        pair=ChoiceEntry("species pair"),
        limit=LengthEntry("thin-stroke limit", highest=20.0, above=True),
        within=LengthEntry("glue line within", highest=5.0, above=True),
        chance=NumberEntry("chance", lowest=50, highest=99.5, unit="%", typed="90"),
        x_a=LengthEntry("A: x", **far),
        y_a=LengthEntry("A: y", **far),
        x_b=LengthEntry("B: x", **far),
        y_b=LengthEntry("B: y", **far),
        exaggeration=NumberEntry("depth drawn larger by", lowest=1, highest=20, unit="times", typed="1"),
        border=LengthEntry("border", highest=500.0, above=True, typed="10 mm"),
        pass_spacing=LengthEntry("spacing of passes", highest=50.0, above=True, typed="1 mm"),
        feed=LengthEntry("feed per minute", highest=10_000.0, above=True, typed="1000 mm"),
        film=LengthEntry("glue film", highest=2.0, typed="0.05 mm"),
        mirror=ChoiceEntry("mirror line along", options=("y", "x")),
        folder=Entry("folder"),
    )
