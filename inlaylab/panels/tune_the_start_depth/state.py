"""What the panel of notebook 4 knows: the question, the fit, and the answer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import traitlets

from inlaylab.bench.coupons import Stroke
from inlaylab.bench.cuts import Cut
from inlaylab.bench.fields import specs
from inlaylab.errors import InputError
from inlaylab.findings.comparable_cuts import band_with_readings
from inlaylab.fitting.predict.likely_question import USUAL_CHANCE, coupon_strokes, usual_question
from inlaylab.panels.shared.drafts import Draft
from inlaylab.panels.shared.entries import ChoiceEntry, Form, Held, NumberEntry
from inlaylab.panels.shared.fit_box import FitState
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, change_unit
from inlaylab.services.desk import reader_unit
from inlaylab.services.what_moved import Moved, what_moved
from inlaylab.wording.panels import tune_the_start_depth as words
from inlaylab.wording.panels.log_and_fit import no_answers_yet

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.figures.glue_line import GlueBand
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.predict.question import Question

#: Strokes that are typed instead of taken from a coupon.
TYPED = words.TYPED


class TuneState(traitlets.HasTraits):
    """
    A question to the fit, and its answer.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    fit : FitState
    form : panels.shared.entries.Form
        The question.
    draft : panels.shared.drafts.Draft
        What was typed of it.
    advice : fitting.advice.start_depth.Advice or None
    earlier : fitting.advice.start_depth.Advice or None
        The answer to the same question before the log changed.
    band : figures.glue_line.GlueBand or None
    near : str
        Whose readings stand on the band.
    moved : services.what_moved.Moved or None
        What the log's last change did to the answer.
    asked : bool
        Whether the answer is to the question as it stands.
    """

    unit = traitlets.Unicode("mm")
    advice: Held[Advice | None] = Held()
    earlier: Held[Advice | None] = Held()
    band: Held[GlueBand | None] = Held()
    near = traitlets.Unicode()
    suspects = traitlets.Tuple()
    asked = traitlets.Bool(False)
    moved: Held[Moved | None] = Held()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.fit = FitState(self.path)
        self._settled: tuple[Advice, Fit, Shop] | None = None
        self.form = _question_form()
        self.draft = Draft(self.path, "tune_the_start_depth", entries=lambda: self.form.entries, state=self)
        self._list()
        self.unit = reader_unit(self.path, self.shop.habits.unit)
        self._begin()
        self.draft.begin()
        for entry in self.form.entries.values():
            entry.observe(self._changed, "value")
        self.fit.observe(self._fit_changed, ["fit", "shop"])

    @property
    def shop(self) -> Shop:
        """The records of the log."""
        return self.fit.shop

    def question(self) -> Question:
        """
        Give the question as it is typed.

        Raises
        ------
        InputError
            Where something is missing or wrong.
        """
        from inlaylab.fitting.predict.question import Question

        form = self.form
        if not form.whole:
            raise InputError(form.needs.rstrip("."))
        low, high = form["shallowest"].mm, form["deepest"].mm
        if (low is None) != (high is None):
            raise InputError(words.BETWEEN, allowed=words.BOTH_OR_NEITHER)
        return Question(
            bit=form["bit"].value,
            pair=form["pair"].value,
            strokes=self.strokes(),
            pocket_depth=form["pocket_depth"].mm,
            relief_depth=form["relief_depth"].mm,
            within=form["within"].mm,
            chance=form["chance"].value / 100,
            between=None if low is None else (low, high),
            path_angle_deg=form["path_angle_deg"].value,
            outline_offset=form["outline_offset"].mm or 0.0,
            pass_spacing=form["pass_spacing"].mm or 0.0,
            coupon=self.coupon,
        )

    @property
    def coupon(self) -> str | None:
        """Name of the coupon whose strokes are asked about."""
        chosen = self.form["strokes"].value
        return None if chosen in (None, TYPED) else self._coupons.get(chosen)

    def strokes(self) -> tuple[Stroke, ...]:
        """
        Give the strokes that are asked about.

        Raises
        ------
        InputError
            Where they are to be typed and are not.
        """
        if self.coupon is not None:
            return coupon_strokes(self.shop, self.coupon)
        widths, land = self.form["widths"].mm, self.form["land"].mm
        if not widths or land is None:
            raise InputError(words.WIDTHS_AND_LAND, remedy=words.TYPE_BOTH)
        return tuple(Stroke(stroke_width=width, land_width=land, unit=self.unit) for width in widths)

    def ask(self) -> None:
        """
        Ask the fit.

        Raises
        ------
        InputError
            Where the question is not whole or there is no fit of the log as it is.
        """
        from inlaylab.fitting.advice.start_depth import advise
        from inlaylab.fitting.review.suspects import suspects

        question, fit = self.question(), self.fit.fit
        if fit is None:
            raise InputError(no_answers_yet(len(self.shop.cuts)))
        advice = advise(fit, self.shop, question)
        self._compare(advice, fit)
        self.suspects = suspects(fit, self.shop)
        self.band, self.near = band_with_readings(fit, self.shop, advice, suspects=self.suspects)
        self.advice, self.asked = advice, True

    def _compare(self, advice: Advice, fit: Fit) -> None:
        """Put the answer beside that to the same question before the log changed."""
        self.earlier = self.moved = None
        if self._settled is not None and self._settled[0].question == advice.question:
            before, old_fit, old_shop = self._settled
            if old_fit.fingerprint == fit.fingerprint:
                return
            self.earlier = before
            self.moved = what_moved(
                start_depth=advice.start_depth, before=before.start_depth, fit=old_fit, earlier=old_shop, shop=self.shop
            )
        if not self.fit.early:
            self._settled = (advice, fit, self.shop)

    def _list(self) -> None:
        form, shop = self.form, self.shop
        form["bit"].options = tuple(bit.bit for bit in shop.bits)
        form["pair"].options = tuple(pair.pair for pair in shop.pairs)
        self._coupons: dict[str, str] = {}
        for name in (each.coupon for each in shop.coupons):
            short = f"coupon {name.removeprefix('coupon ')}"
            self._coupons[f"coupon {name}" if short in self._coupons else short] = name
        form["strokes"].options = (*self._coupons, TYPED)

    def _begin(self) -> None:
        """Start from the newest cut, which is what a maker most likely asks about."""
        form = self.form
        form["within"].set_mm(self.shop.habits.hairline_below)
        form["chance"].typed = f"{100 * USUAL_CHANCE:g}"
        form["strokes"].typed = TYPED
        if not self.shop.cuts:
            return
        usual = usual_question(self.shop)
        form["bit"].typed, form["pair"].typed = usual.bit, usual.pair
        if usual.coupon is not None:
            form["strokes"].typed = next(said for said, name in self._coupons.items() if name == usual.coupon)
        form["pocket_depth"].set_mm(usual.pocket_depth)
        form["relief_depth"].set_mm(usual.relief_depth)

    def _changed(self, change: traitlets.Bunch) -> None:
        self.asked = False

    def _fit_changed(self, change: traitlets.Bunch) -> None:
        if change["name"] == "shop":
            self._list()
            if self.form["bit"].value is None and self.form["pair"].value is None:
                with self.draft.by_itself():
                    self._begin()
        self.asked = False

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        asked = self.asked
        change_unit(self.form.entries.values(), self.unit)
        self.asked = asked


def _question_form() -> Form:
    angle = specs(Cut)["path_angle_deg"]
    return Form(
        pair=ChoiceEntry("species pair", required=True),
        bit=ChoiceEntry("bit", required=True),
        strokes=ChoiceEntry("strokes", required=True),
        widths=LengthsEntry.of(Stroke, "stroke_width", "stroke widths"),
        land=LengthEntry.of(Stroke, "land_width", words.LAND),
        pocket_depth=LengthEntry.of(Cut, "pocket_depth", required=True),
        relief_depth=LengthEntry("relief depth", highest=100.0, above=True, required=True),
        within=LengthEntry("glue line within", highest=5.0, above=True, required=True),
        chance=NumberEntry("chance", lowest=50, highest=99.5, unit="%", required=True),
        shallowest=LengthEntry.of(Cut, "start_depth", words.FROM),
        deepest=LengthEntry.of(Cut, "start_depth", words.TO),
        path_angle_deg=NumberEntry("path angle", lowest=angle.low, highest=angle.high, unit="°"),
        outline_offset=LengthEntry.of(Cut, "outline_offset"),
        pass_spacing=LengthEntry.of(Cut, "pass_spacing"),
    )
