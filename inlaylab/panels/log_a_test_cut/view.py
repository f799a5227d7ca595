"""The panel of notebook 3: log a test cut, station by station, and correct what was logged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import ipywidgets
import traitlets

from inlaylab.handbook.cautions import MACHINE
from inlaylab.panels.log_a_test_cut.from_picture import FromPicture
from inlaylab.panels.log_a_test_cut.state import CUT_READINGS, CutState
from inlaylab.panels.log_a_test_cut.station_grid import StationGrid
from inlaylab.panels.log_a_test_cut.suggestion import Suggestion
from inlaylab.panels.shared import cautions, controls, record_controls
from inlaylab.panels.shared.drafts import DraftLine
from inlaylab.services.find_log import find_log
from inlaylab.wording.lengths import count
from inlaylab.wording.panels import log_a_test_cut as words

_HINTS = {
    "pocket_depth": words.BLANK_HABIT,
    "relief_depth": words.BLANK_HABIT,
    "sanded_off": words.BLANK_HABIT,
    "path_angle_deg": words.BLANK_ANGLE,
    "outline_offset": words.NO_OFFSET,
    "pass_spacing": words.BLANK_SPACING,
    "path_length_m": words.METRES,
    "by": words.BY,
    "photo": words.PHOTO,
    "date": "2026-03-12",
}


class LogATestCut:
    """
    The view of a `CutState`.

    Parameters
    ----------
    log : path, optional
        The maker's log, begun where there is none; the sample shop without it.

    Attributes
    ----------
    state : CutState
    fields : dict of str to Field
        Every field by name.
    grid : StationGrid
    picture : FromPicture
    save : SaveUndo
    saved : SavedCuts
    unit : ipywidgets.Dropdown
    view : ipywidgets.VBox
        The whole panel.
    """

    def __init__(self, log: str | Path | None = None):
        self.state = CutState(find_log(log))
        state = self.state
        self.unit = controls.unit_choice(state, state.path)
        self.fields = self._make_fields()
        self.limit = controls.Field(state.limit, hint=words.LIMIT_HINT)
        self.grid = StationGrid(state.grid)
        self.picture = FromPicture(state)
        history = record_controls.UndoRedo(state.session, after=self._turned, by=lambda: state.form["by"].value or "")
        self.save = record_controls.SaveUndo(state.form, save=self._save, history=history, clear=self._clear)
        self.draft = DraftLine(state.draft)
        self.saved = SavedCuts(state, on_correct=self._correct, on_delete=self._delete)
        self.mode = controls.Words()
        seldom = ("path_angle_deg", "outline_offset", "pass_spacing", "path_length_m")
        self.more = controls.Fold(words.MORE, [self.fields[name] for name in seldom])
        self.suggestion = Suggestion(state)
        state.observe(self._show_mode, "correcting")
        self._show_mode()
        self.view = self._lay_out()

    def _make_fields(self) -> dict[str, controls.Field]:
        state, form = self.state, self.state.form
        adds = {what: record_controls.AddForm(new) for what, new in state.new.items()}
        self.adds = adds
        made: dict[str, controls.Field] = {}
        for name, entry in form.entries.items():
            if name == "readings":
                continue
            if name in adds or name == "outcome":
                made[name] = controls.Choice(entry, add=adds.get(name))
            elif name == "notes":
                made[name] = controls.LongField(entry, width="34em")
            else:
                made[name] = controls.Field(entry, hint="" if entry.required else _HINTS.get(name, ""))
        return made

    def _lay_out(self) -> ipywidgets.VBox:
        def part(heading: str, *names: str) -> list[ipywidgets.Widget]:
            return [controls.heading(heading), *(self.fields[name] for name in names)]

        return controls.panel(
            self.mode,
            self.draft,
            *part(words.WHAT, "pair", "bit", "coupon", "cut", "date", "by"),
            *part(words.DEPTHS),
            self.unit,
            self.fields["start_depth"],
            self.suggestion,
            *(self.fields[name] for name in ("pocket_depth", "relief_depth", "sanded_off")),
            self.more,
            *part(words.BEFORE, *(f"read_{kind}" for kind in CUT_READINGS)),
            *part(words.FACE, "outcome"),
            self.limit,
            self.picture,
            self.grid,
            self.fields["notes"],
            self.fields["photo"],
            self.save,
            self.save.line,
            self.save.history.line,
            *self.saved.parts,
            cautions.box_of_pair(self.state.form["pair"], lambda: self.state.shop, *MACHINE, "backer", "clamps"),
        )

    def _save(self, _: ipywidgets.Button) -> None:
        said = self.state.save()
        self.save.history.look()
        self.save.history.line.done("")
        self.saved.line.done("")
        self.saved.show()
        self.save.line.done(said)

    def _turned(self, said: str) -> None:
        self.state.after_turn()
        self.saved.show()
        self.saved.line.done("")
        self.save.line.done("")

    def _clear(self, _: ipywidgets.Button) -> None:
        self.state.draft.throw_away()
        self.save.line.done(words.CLEARED)

    def _correct(self, name: str) -> None:
        self.state.correct(name)
        self.saved.line.done(words.back_in_form(name))
        self.fields["start_depth"].box.focus()

    def _delete(self, name: str) -> None:
        said = self.state.delete(name)
        self.save.history.look()
        self.saved.show()
        self.save.line.done("")
        self.save.history.line.done("")
        self.saved.line.done(said)

    def _show_mode(self, change: traitlets.Bunch | None = None) -> None:
        name = self.state.correcting
        self.mode.say(words.mode(name), kind="heading")
        self.save.save.description = words.SAVE_CORRECTION if name else words.SAVE


class SavedCuts:
    """
    The cuts in the log, and the way back to each.

    Attributes
    ----------
    list : Words
        The table of cuts, newest first.
    which : ipywidgets.Dropdown
        The cut to correct or delete.
    correct, delete : ipywidgets.Button
    line : MessageLine
    """

    def __init__(self, state: CutState, *, on_correct: Callable[[str], None], on_delete: Callable[[str], None]):
        self.state = state
        self.list = controls.Words()
        self.list.layout.width = "100%"
        self.which = ipywidgets.Dropdown(description=words.SAVED_CUT)
        self.which.style.description_width = "10.5em"
        self.which.layout.width = "25em"
        self.correct = controls.button(words.CORRECT, hint=words.CORRECT_HINT)
        self.delete = controls.button(words.DELETE, hint=words.DELETE_HINT)
        self.line = controls.MessageLine()
        self.correct.on_click(controls.guarded(self.line, lambda _: on_correct(self._chosen())))
        self.delete.on_click(controls.guarded(self.line, lambda _: on_delete(self._chosen())))
        heading = controls.heading(words.CUTS)
        self.parts = (heading, controls.row(self.which, self.correct, self.delete), self.line, self.list)
        state.observe(lambda change: self.show(), ["unit", "shop", "suspects"])
        self.show()

    def show(self) -> None:
        """List the cuts as the log holds them now."""
        names = [cut.cut for cut in reversed(self.state.shop.cuts)]
        chosen = self.which.value
        self.which.options = names
        self.which.value = chosen if chosen in names else next(iter(names), None)
        self.correct.disabled = self.delete.disabled = not names
        rows = self.state.rows()
        self.list.show_html(controls.table(rows, caption=words.CUTS_TABLE), text=count(len(rows), "cut"))

    def _chosen(self) -> str:
        return str(self.which.value)
