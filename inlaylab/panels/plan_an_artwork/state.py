"""What the panel of notebook 5 knows: drawing, settings, the answer at once, and what a button works out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import traitlets

from inlaylab.bench.cuts import Cut
from inlaylab.errors import DrawingError, InputError
from inlaylab.figures.planned_artwork import GLUE, PlannedArtwork
from inlaylab.panels.plan_an_artwork.draft import plan_draft
from inlaylab.panels.plan_an_artwork.entries import plan_form
from inlaylab.panels.shared.entries import Held
from inlaylab.panels.shared.fit_box import FitState
from inlaylab.panels.shared.length_entries import change_unit
from inlaylab.services.desk import reader_unit
from inlaylab.services.jobs import Job, Progress, Stage
from inlaylab.services.planning.drawings import BITMAPS, SUFFIXES, drawings
from inlaylab.services.planning.filling import Chance, fill_chance, fill_limit, step_chance
from inlaylab.services.planning.plan import AtOnce, Drawing, Worked, at_once, picture_pixel, work_out
from inlaylab.services.planning.plan_settings import TURNS, Settings
from inlaylab.wording.panels import plan_an_artwork as words

if TYPE_CHECKING:
    from inlaylab.artwork.cutting.virtual_cut import VirtualCut
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.predict.artwork import Planned

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
    drawing, opened : Drawing or None, str
        What is planned, at its drawn size; its path.
    settings : Settings
        What the sliders say.
    quick : AtOnce or None
        The closed form's answer to the settings as they are.
    worked : Worked or None
        What was last worked out on the button.
    spread : fitting.predict.artwork.Planned or None
        What the fit expects of these settings.
    advice : fitting.advice.start_depth.Advice or None
    rough : artwork.cutting.virtual_cut.VirtualCut or None
        The cut that is being worked out, with coarse pixels.
    chance : callable
        Chance that a stroke of a finished width fills, from the fit where there is one. [mm]
    stage : services.jobs.Stage
        How far the work is; shown on the button.
    """

    unit = traitlets.Unicode("mm")
    drawing: Held[Drawing | None] = Held()
    settings: Held[Settings] = Held(Settings())
    quick: Held[AtOnce | None] = Held()
    worked: Held[Worked | None] = Held()
    spread: Held[Planned | None] = Held()
    advice: Held[Advice | None] = Held()
    rough: Held[VirtualCut | None] = Held()
    colour_by = traitlets.Unicode(GLUE)
    stage: Held[Stage] = Held(Stage())
    opened = traitlets.Unicode()

    def __init__(self, log: str | Path):
        super().__init__()
        self.fit = FitState(log)
        self.form = plan_form()
        self._asked: tuple[Drawing, Settings, float, float] | None = None
        self._chance_of: tuple[int, str] | None = None
        self._chance: Chance = step_chance(USUAL_LIMIT)
        self.draft = plan_draft(self)
        self.job = Job(self._work, tell=lambda stage: setattr(self, "stage", stage), name="inlaylab plan")
        self._list()
        self.unit = reader_unit(log, self.shop.habits.unit)
        for name in ("bit", "pair"):
            self.form[name].observe(self._take_bit, "value")
        self.form["limit"].observe(self._ask_closed_form, "value")
        self.fit.observe(self._fitted, "fit")
        self._begin()
        self.draft.begin()

    @property
    def shop(self) -> Shop:
        """The records of the log."""
        return self.fit.shop

    @property
    def drawing_path(self) -> Path:
        """Path of the drawing that is chosen."""
        chosen = self.form["drawing"].value
        if chosen is None:
            raise InputError(words.NOT_CHOSEN, allowed=words.ONE_OF_LIST)
        if chosen != words.OTHER_FILE:
            return drawings()[chosen]
        typed = self.form["file"].value
        if typed is None:
            raise InputError(words.FILE, allowed=words.NAME_OR_PATH)
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

        width, unit = self.form["width"].mm, self.form["drawing_unit"].value
        artwork = read_artwork(self.drawing_path, width=width, unit=unit or None)
        drawing = Drawing.of(artwork)
        self.stop()
        self.worked = self.rough = self.spread = self.advice = None
        self.drawing, self.settings = drawing, replace(self.settings, scale=1.0, rotation=0.0)
        self._line_across(drawing)
        self._ask_closed_form()
        self.opened = str(self.drawing_path)

    def take_in(self, name: str, content: bytes) -> None:
        """
        Put an uploaded drawing beside the notebook and open it.

        Parameters
        ----------
        name : str
            The file's name; folders in it are left out.
        content : bytes
            What it holds.

        Raises
        ------
        DrawingError
            Where it is no drawing, or another file has its name.
        """
        path = Path(Path(name.replace("\\", "/")).name)
        if path.suffix.lower() not in SUFFIXES:
            raise DrawingError(words.UNKNOWN_KIND, value=name, allowed=", ".join(SUFFIXES))
        if path.exists() and path.read_bytes() != content:
            raise DrawingError(words.NAME_TAKEN, value=path.name, allowed=words.OTHER_NAME)
        path.write_bytes(content)
        self.list_drawings()
        self.form["drawing"].typed = path.name

    def turn(self, **values: float) -> None:
        """Set one or more settings; the closed form answers at once. Lengths in mm, scale as a share."""
        unknown = set(values) - set(TURNS)
        if unknown:
            raise InputError(words.NO_SETTING, value=", ".join(sorted(unknown)), allowed=", ".join(TURNS))
        self.settings = replace(self.settings, **values)
        self._ask_closed_form()

    @property
    def limit(self) -> float:
        """Thin-stroke limit: typed, or from the fit, or the usual one [mm]."""
        typed = self.form["limit"].mm
        if typed is not None:
            return float(typed)
        return fill_limit(self.chance) if self.fit.fit is not None else USUAL_LIMIT

    @property
    def chance(self) -> Chance:
        """Chance that a stroke of a finished full width fills: by the limit that was typed, else as fitted."""
        typed, pair, fit = self.form["limit"], self.form["pair"], self.fit.fit
        if typed.mm is not None or fit is None or pair.value is None:
            return step_chance(USUAL_LIMIT if typed.mm is None else float(typed.mm))
        insert = self.shop.pair(pair.value).insert
        key = (id(fit), insert)
        if self._chance_of != key:
            self._chance_of, self._chance = key, fill_chance(fit, insert) or step_chance(USUAL_LIMIT)
        return self._chance

    @property
    def is_bitmap(self) -> bool:
        """Whether the chosen drawing is a picture without a size of its own."""
        chosen = self.form["drawing"].value
        return chosen not in (None, words.OTHER_FILE) and drawings()[chosen].suffix.lower() in BITMAPS

    @property
    def cut(self) -> VirtualCut | None:
        """The virtual cut of these settings, fine or still coarse; None where there is none."""
        if self.worked is not None and self.worked.settings == self.settings:
            return self.worked.cut
        return self.rough if self._asked and self._asked[:2] == (self.drawing, self.settings) else None

    @property
    def known(self) -> bool:
        """Whether a fit knows the chosen bit and pair."""
        fit, bit, pair = self.fit.fit, self.form["bit"].value, self.form["pair"].value
        return fit is not None and bit in fit.names.bits and pair in fit.names.pairs

    def planned(self) -> PlannedArtwork | None:
        """Give what the picture shows of the settings as they are."""
        if self.drawing is None or self.quick is None:
            return None
        sized, settings = self.drawing.scaled(self.settings.scale), self.settings
        if self.colour_by == GLUE:
            values = sized.where.glue_lines(settings, float(self.quick.seat.seat_level))
        else:
            values = sized.where.fill_chances(settings, self.chance)
        return PlannedArtwork(
            polygons=sized.artwork.polygons,
            patches=sized.where.patches,
            extent=sized.where.extent,
            values=values,
            told=self.colour_by,
            grain_from_x=-settings.rotation,
        )

    def start(self) -> None:
        """Begin to work out the virtual cut and all that goes with it, beside whatever else the notebook does."""
        if self.drawing is None:
            raise InputError(words.NO_DRAWING, remedy=words.OPEN_FIRST)
        border = self.form["border"].mm
        if border is None:
            raise InputError(words.BORDER, allowed=words.A_LENGTH)
        if self.job.running:
            return
        self.rough, self._asked = None, (self.drawing, self.settings, self.limit, border)
        self.job.start()

    def stop(self) -> None:
        """Ask the work to stop."""
        self.job.stop()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until the work is done."""
        self.job.wait(seconds)

    def _work(self, *, progress: Progress, stop: Callable[[], bool]) -> None:
        assert self._asked is not None
        drawing, settings, limit, border = self._asked
        worked = work_out(
            drawing,
            settings,
            limit=limit,
            border=border,
            pixel=picture_pixel(drawing, settings.scale),
            preview=lambda cut: setattr(self, "rough", cut),
            progress=progress,
            stop=stop,
        )
        if drawing is self.drawing:
            self.worked = worked

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
            raise InputError(words.NO_DRAWING, remedy=words.OPEN_FIRST)
        if self.fit.fit is None:
            raise InputError(words.NO_FIT, remedy=words.FIT_FIRST)
        bit, pair, within, chance = (self.form[name] for name in ("bit", "pair", "within", "chance"))
        if not all(entry.whole and entry.value is not None for entry in (bit, pair, within, chance)):
            raise InputError(words.WHOLE_QUESTION, allowed=words.ALL_FOUR)
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
        question = Question(strokes=strokes, within=within.mm, chance=chance.value / 100, **made)
        self.advice = advise(self.fit.fit, self.shop, question)
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
            raise InputError(words.SECTION_LINE, allowed=words.BOTH_ENDS)
        if ends[:2] == ends[2:]:
            raise InputError(words.NO_LENGTH, allowed=words.TWO_ENDS)
        return (ends[0], ends[1]), (ends[2], ends[3])

    def write(self) -> tuple[Path, ...]:
        """
        Write pocket, mirrored plug and depths into a folder of their own.

        Raises
        ------
        DrawingError
            Where a file is there already or cannot be written; nothing new is left behind.
        """
        from inlaylab.services.planning.plan_sheets import write_sheets
        from inlaylab.wording.artwork import answer

        if self.drawing is None or self.quick is None:
            raise InputError(words.NO_DRAWING, remedy=words.OPEN_FIRST)
        form, settings = self.form, self.settings
        bit, pair = (form[name].value for name in ("bit", "pair"))
        stand_off, mirror = float(self.quick.seat.stand_off), form["mirror"].value or "y"
        woods = self.shop.pair(pair) if pair else None
        return write_sheets(
            self.drawing.scaled(settings.scale).artwork,
            settings,
            stand_off=stand_off,
            lines=answer.page_lines(settings, self.unit, mirror=mirror, bit=bit, pair=woods),
            levels=answer.level_names(settings, stand_off, self.unit),
            folder=form["folder"].value,
            border=form["border"].mm or 10.0,
            mirror=mirror,
        )

    def list_drawings(self) -> None:
        """List the drawings of this folder and of the kit anew."""
        self.form["drawing"].options = (*drawings(), words.OTHER_FILE)

    def _list(self) -> None:
        form, shop = self.form, self.shop
        self.list_drawings()
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

    def _fitted(self, change: traitlets.Bunch) -> None:
        with self.draft.by_itself():
            self._take_bit()

    def _take_bit(self, change: traitlets.Bunch | None = None) -> None:
        """Take the chosen bit's angle and flat, from the fit where there is one."""
        from inlaylab.fitting.predict.likely_question import middle_values

        bit, pair = self.form["bit"].value, self.form["pair"].value
        if bit is None or pair is None:
            return
        known = middle_values(self.fit.fit, self.shop, bit=bit, pair=pair)
        taken = {name: value for name, value in known.items() if name in Settings.__dataclass_fields__}
        self.settings = replace(self.settings, **taken)
        self._ask_closed_form()

    def _ask_closed_form(self, change: traitlets.Bunch | None = None) -> None:
        if self.drawing is None:
            return
        self.quick = at_once(self.drawing, self.settings, self.chance)

    def _line_across(self, drawing: Drawing) -> None:
        """Lay the section level through the artwork's middle."""
        left, bottom, right, top = drawing.artwork.polygons.bounds
        middle, past = (bottom + top) / 2, 0.05 * (right - left)
        for name, value in (("x_a", left - past), ("y_a", middle), ("x_b", right + past), ("y_b", middle)):
            self.form[name].set_mm(round(value, 2))

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        change_unit(self.form.entries.values(), self.unit)
