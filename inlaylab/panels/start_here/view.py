"""The panel of notebook 0: an inlay in section, what the shop knows, and what is worth doing next."""

from __future__ import annotations

import dataclasses
import html
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.errors import InputError, Stopped
from inlaylab.figures.known import KnownShop
from inlaylab.fitting.predict.likely_question import coupon_strokes, middle_values, usual_question
from inlaylab.fitting.review.residuals import residuals_of
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.fit_box import FitBox, FitState
from inlaylab.panels.shared.long_work import Task, TaskBox
from inlaylab.services.by_hand.section import Section
from inlaylab.services.desk import reader_unit
from inlaylab.services.find_log import find_log
from inlaylab.wording.answers.forecasts import HEADING, forecast_lines
from inlaylab.wording.answers.next_cut import why
from inlaylab.wording.answers.suspects import suspect_line
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import count
from inlaylab.wording.panels import start_here as words
from inlaylab.wording.panels.log_and_fit import first_steps, no_answers_yet

if TYPE_CHECKING:
    from collections.abc import Callable

    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.next.next_cut import NextCut
    from inlaylab.fitting.review.forecast_score import ForecastScore
    from inlaylab.fitting.review.influence import Taught
    from inlaylab.fitting.review.suspects import Suspect
    from inlaylab.services.jobs import Progress

_LAST = 20
"""Cuts that the kept score looks back on. Our choice: enough for a share, and still this year's work."""
_QUICK = 2400
"""Predictive draws for a table of many answers; the tune notebook takes more."""


class StartState(traitlets.HasTraits):
    """
    The shop at a glance.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    fit : FitState
    answers : Task
        A start depth for each bit and pair that was cut.
    next : Task
        The next measurement worth making.
    taught : Task
        What each cut taught.
    replay : Task
        Forecasts of past cuts, each from the cuts before it.
    """

    unit = traitlets.Unicode("mm")

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.fit = FitState(self.path)
        self._suspects: tuple[Fit | None, tuple[Suspect, ...]] = (None, ())
        self.unit = reader_unit(self.path, self.fit.shop.habits.unit)
        self.answers = Task(self._answer_each)
        self.next = Task(self._next)
        self.taught = Task(self._taught)
        self.replay = Task(self._replay)

    @property
    def shop(self) -> Shop:
        """The records of the log."""
        return self.fit.shop

    def section(self) -> Section:
        """Seat a plug at the newest cut's depths, with what is known of its bit."""
        shop = self.shop
        if not shop.cuts:
            return Section.seated(
                start_depth=3.6,
                pocket_depth=4.0,
                relief_depth=1.5,
                stroke_widths=(1.2, 6.0),
                land_width=3.5,
                path_angle=60.0,
                true_angle=60.0,
                tip_flat=0.1,
                crest_loss=0.2,
            )
        cut = shop.cuts[-1]
        values = middle_values(self.fit.fit, shop, bit=cut.bit, pair=cut.pair)
        return Section.seated(
            start_depth=cut.start_depth,
            pocket_depth=cut.pocket_depth,
            relief_depth=max(0.3, cut.relief_depth),
            stroke_widths=(1.2, 7.0),
            land_width=3.5,
            **{**values, "path_angle": cut.path_angle(shop.bit(cut.bit))},
        )

    def counts(self) -> str:
        """Say what the log holds; what to do first where it holds no cut."""
        shop = self.shop
        if not shop.cuts:
            return "\n".join(first_steps(bits=len(shop.bits), coupons=len(shop.coupons)))
        return words.holds(
            cuts=len(shop.cuts),
            readings=len(shop.readings),
            bits=len(shop.bits),
            pairs=len(shop.pairs),
            coupons=len(shop.coupons),
        )

    def suspects(self) -> tuple[Suspect, ...]:
        """Give the readings that the fit believes are mistakes; none without a fit."""
        from inlaylab.fitting.review.suspects import suspects

        if self.fit.fit is None:
            return ()
        if self._suspects[0] is not self.fit.fit:
            self._suspects = (self.fit.fit, tuple(suspects(self.fit.fit, self.shop)))
        return self._suspects[1]

    def doubts(self) -> list[str]:
        """Say what looks like a mistake, and what contradicts what."""
        from inlaylab.log.health import problems

        lines = [suspect_line(suspect, self.unit) for suspect in self.suspects()]
        return lines + [f"{problem.where}: {problem.what}" for problem in problems(self.shop, unit=self.unit)]

    def _fitted(self) -> Fit:
        if self.fit.fit is None:
            raise InputError(no_answers_yet(len(self.shop.cuts)))
        return self.fit.fit

    def _answer_each(self, *, progress: Progress, stop: Callable[[], bool]) -> list[dict[str, str]]:
        from inlaylab.fitting.advice.start_depth import advise

        fit, shop, rows = self._fitted(), self.shop, []
        newest = {(cut.bit, cut.pair): cut for cut in shop.cuts}
        for number, ((bit, pair), cut) in enumerate(sorted(newest.items())):
            if stop():
                raise Stopped("stopped")
            progress(number / len(newest), None, f"{bit} on {pair}")
            question = dataclasses.replace(
                usual_question(shop),
                bit=bit,
                pair=pair,
                pocket_depth=cut.pocket_depth,
                relief_depth=max(0.1, cut.relief_depth),
                coupon=cut.coupon,
                strokes=coupon_strokes(shop, cut.coupon) if cut.coupon else (),
            )
            advice = advise(fit, shop, question, draws=_QUICK)
            count = sum((other.bit, other.pair) == (bit, pair) for other in shop.cuts)
            rows.append(self._row(advice, bit, pair, count))
        return rows

    def _row(self, advice: Advice, bit: str, pair: str, cuts: int) -> dict[str, str]:
        unit = self.unit
        low, high = (units.format_number(end, unit) for end in (advice.low, advice.high))
        return {
            "bit": bit,
            "pair": pair,
            "cuts": str(cuts),
            words.with_unit("pocket depth", unit): units.format_number(advice.question.pocket_depth, unit),
            words.with_unit("start depth", unit): units.format_number(advice.start_depth, unit),
            words.with_unit(words.LIKELY, unit): f"{low} to {high}",
            words.with_unit(words.FLOOR_GAP_NEEDED, unit): units.format_number(advice.floor_gap_needed, unit),
            words.with_unit(words.WORST_LINE, unit): units.format_number(advice.worst_glue_line.expected, unit, "fine"),
            words.CHANCE: percent(advice.chance),
            words.WORTH_CHANGING: ", ".join(turn.what for turn in advice.settings.turns) or words.NOTHING,
        }

    def _next(self, *, progress: Progress, stop: Callable[[], bool]) -> NextCut:
        from inlaylab.fitting.next.next_cut import next_cut

        return next_cut(self._fitted(), self.shop, usual_question(self.shop), progress=progress, stop=stop)

    def _taught(self, *, progress: Progress, stop: Callable[[], bool]) -> Taught:
        from inlaylab.fitting.review.influence import taught

        return taught(self._fitted(), self.shop, usual_question(self.shop), progress=progress, stop=stop)

    def score(self) -> ForecastScore:
        """Hold forecasts against what was read: those worked out afterwards if that was asked, else the kept ones."""
        from inlaylab.services.forecasts import kept_score

        return self.replay.result or kept_score(self.shop, last=_LAST)

    def _replay(self, *, progress: Progress, stop: Callable[[], bool]) -> ForecastScore:
        from inlaylab.services.forecasts import replayed_score

        return replayed_score(self.shop, progress=progress, stop=stop)


class StartHere:
    """
    The view of a `StartState`.

    Parameters
    ----------
    log : path, optional
        The maker's log; the sample shop without it.

    Attributes
    ----------
    state : StartState
    fit : FitBox
    section, known, others, residuals, filling, taught, wear, forecasts : PictureBox
    counts, doubts, answers, next, wear_words, forecast_words : Words
    answers_box, next_box, taught_box, replay_box : TaskBox
    view : ipywidgets.VBox
    """

    def __init__(self, log: str | Path | None = None):
        self.state = StartState(find_log(log))
        state = self.state
        self.line = controls.MessageLine()
        self.unit = controls.unit_choice(state, state.path, words=words.UNIT)
        self.fit = FitBox(state.fit)
        self.section, self.known, self.residuals, self.filling = (controls.PictureBox() for _ in range(4))
        self.taught, self.wear, self.others = (controls.PictureBox() for _ in range(3))
        self.forecasts, self.forecast_words = controls.PictureBox(), controls.Words()
        self.replay_box = TaskBox(state.replay, words=words.REPLAY, hint=words.REPLAY_HINT)
        self.wear_words = controls.Words()
        self.counts, self.doubts, self.answers, self.next = (controls.Words() for _ in range(4))
        self.answers_box = TaskBox(state.answers, words=words.ANSWERS, hint=words.SECONDS_EACH)
        self.next_box = TaskBox(state.next, words=words.WHICH_CUT, hint=words.SECONDS)
        self.taught_box = TaskBox(state.taught, words=words.TAUGHT, hint=words.SECONDS)
        for part in (self.counts, self.doubts, self.answers, self.next):
            part.layout.width = "100%"
        self.asked_words = (self.answers, self.next, self.taught)
        self.fitted_words = (self.known, self.others, self.filling, self.wear_words, self.wear, self.residuals)
        self.section_title = controls.heading(words.SECTION)
        self.with_cuts = self._lay_out_rest()
        self.view = self._lay_out()
        self._drawn = False
        state.fit.observe(controls.guarded(self.line, lambda _: self._log_changed()), ["fit", "shop"])
        state.observe(controls.guarded(self.line, lambda _: self.show()), "unit")
        state.answers.observe(controls.guarded(self.line, lambda _: self._show_answers()), "result")
        state.taught.observe(controls.guarded(self.line, lambda _: self._show_taught()), "result")
        state.replay.observe(controls.guarded(self.line, lambda _: self._show_forecasts()), "result")
        state.next.observe(controls.guarded(self.line, lambda _: self._show_next()), "result")
        self.show()

    def _lay_out(self) -> ipywidgets.VBox:
        return controls.panel(
            self.section_title,
            self.section,
            controls.Words(words.SECTION_HINT, kind="hint"),
            controls.heading(words.YOUR_SHOP),
            self.unit,
            self.counts,
            self.fit,
            self.line,
            controls.heading(words.KNOWN),
            self.known,
            self.with_cuts,
        )

    def _lay_out_rest(self) -> ipywidgets.VBox:
        """Stack what says nothing before the first cut."""
        return ipywidgets.VBox(
            [
                controls.heading(words.BESIDE),
                self.others,
                controls.heading(words.FILLING),
                self.filling,
                controls.heading(words.WHICH_DEPTH),
                self.answers_box,
                self.answers,
                controls.heading(HEADING),
                self.forecast_words,
                self.forecasts,
                self.replay_box,
                controls.heading(words.NEXT),
                self.next_box,
                self.next,
                controls.heading(words.TAUGHT_TITLE),
                self.taught_box,
                self.taught,
                controls.heading(words.WEAR),
                self.wear_words,
                self.wear,
                controls.heading(words.MISTAKES),
                self.doubts,
                self.residuals,
            ]
        )

    def _log_changed(self) -> None:
        for shown in self.asked_words:
            controls.set_stale(shown, True)
        self.show()

    def show(self) -> None:
        """Draw everything that needs no long work."""
        from inlaylab.figures.beside_others import beside_others as beside
        from inlaylab.figures.fill_share import fill_share
        from inlaylab.figures.known import known
        from inlaylab.figures.residuals import residuals
        from inlaylab.figures.section import section
        from inlaylab.fitting.predict.fills import fill_curve
        from inlaylab.fitting.review.beside_others import beside_others

        state, unit = self.state, self.state.unit
        self.section.show(section(state.section(), unit=unit, words=True))
        self.section_title.say(words.SECTION if state.shop.cuts else words.EXAMPLE_SECTION, kind="heading")
        self.with_cuts.layout.display = None if state.shop.cuts else "none"
        self.counts.say(state.counts())
        self._show_forecasts()
        lines = state.doubts()
        markup = "".join(f"<li>{html.escape(line)}</li>" for line in lines)
        self.doubts.show_html(f"<ul>{markup}</ul>" if lines else words.NOTHING_SO_FAR, text="\n".join(lines))
        earlier = state.fit.fit is None and self._drawn and bool(state.shop.cuts)
        for shown in self.fitted_words:
            controls.set_stale(shown, earlier)
        if state.fit.fit is None:
            if not earlier:
                for picture in (self.known, self.filling):
                    picture.say(no_answers_yet(len(state.shop.cuts)))
                self.wear_words.say("")
                self.wear.say("")
                self.residuals.say("")
                self.others.say("")
            return
        self._drawn = True
        self._show_wear(state.fit.fit)
        insert = state.shop.pair(state.shop.cuts[-1].pair).insert
        self.filling.show(fill_share(fill_curve(state.fit.fit, state.shop, insert), unit=unit))
        self.known.show(known(KnownShop.of(state.fit.fit.summary(), state.shop), unit=unit))
        self.others.show(beside(beside_others(state.fit.fit), unit=unit))
        self.residuals.show(
            residuals(residuals_of(state.fit.fit, state.shop, doubted=[s.row for s in state.suspects()]), unit=unit)
        )

    def _show_forecasts(self) -> None:
        from inlaylab.figures.forecasts import forecasts

        score = self.state.score()
        self.forecast_words.say("\n".join(forecast_lines(score, self.state.unit)))
        if score.lines:
            self.forecasts.show(forecasts(score, unit=self.state.unit))
        else:
            self.forecasts.say("")

    def _show_wear(self, fit: Fit) -> None:
        from inlaylab.figures.drift import drift as draw
        from inlaylab.fitting.review.wear import drift

        worn = drift(fit, self.state.shop)
        self.wear_words.say("\n".join(f"{bit.bit}: {bit.words}" for bit in worn.bits))
        self.wear.show(draw(worn, unit=self.state.unit))

    def _show_taught(self) -> None:
        from inlaylab.figures.taught import taught

        found = self.state.taught.result
        controls.set_stale(self.taught, False)
        if found is not None:
            self.taught.show(taught(found, unit=self.state.unit))

    def _show_answers(self) -> None:
        rows = self.state.answers.result or []
        controls.set_stale(self.answers, False)
        caption = words.ANSWERS_TABLE
        self.answers.show_html(controls.table(rows, caption=caption), text=count(len(rows), "answer"))

    def _show_next(self) -> None:
        found, unit = self.state.next.result, self.state.unit
        controls.set_stale(self.next, False)
        if found is None:
            return
        lines = [why(found, unit)]
        start, pocket, relief = found.start_depth, found.pocket_depth, found.relief_depth
        if start is not None and pocket is not None and relief is not None and not found.enough:
            lines.append(words.depths_line(start, pocket, relief, unit, coupon=found.coupon or ""))
        body = "".join(f"<p>{html.escape(line)}</p>" for line in lines)
        self.next.show_html(f'<div class="inlaylab-answer">{body}</div>', text="\n".join(lines))
