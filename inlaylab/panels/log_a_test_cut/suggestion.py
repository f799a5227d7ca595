"""The start depth to go by for the cut that is being typed, said beside its field."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.panels.shared import controls
from inlaylab.wording.answers.start_depth import suggestion

if TYPE_CHECKING:
    import traitlets

    from inlaylab.panels.log_a_test_cut.state import CutState

FEW_DRAWS = 800
"""Enough for a hint; the answer of notebook 4 takes more."""
ASKS = ("bit", "pair", "coupon", "pocket_depth", "relief_depth", "path_angle_deg", "outline_offset", "pass_spacing")
"""Entries of the form that the start depth depends on."""


class Suggestion(controls.Words):
    """
    A line that follows the form; blank while the log has no fit or the form says too little.

    Parameters
    ----------
    state : CutState
        The cut that is typed.
    """

    def __init__(self, state: CutState):
        super().__init__(kind="hint")
        self.state = state
        for name in ASKS:
            state.form[name].observe(self.follow, "value")
        state.observe(self.follow, ["shop", "unit"])
        self.follow()

    def follow(self, change: traitlets.Bunch | None = None) -> None:
        """Ask the fit again and say what it answers."""
        from inlaylab.errors import InlaylabError

        try:
            depth = self._depth()
        except InlaylabError:  # a name that is not in the fit's log yet, or a fit that did not settle
            depth = None
        self.say("" if depth is None else suggestion(depth, self.state.unit), kind="hint")

    def _depth(self) -> float | None:
        from inlaylab.fitting.advice.start_depth import go_by
        from inlaylab.fitting.predict.likely_question import coupon_strokes
        from inlaylab.fitting.predict.question import Question

        state, form = self.state, self.state.form
        fit, habits, coupon = state.session.opened.fit, state.shop.habits, form["coupon"].value
        pocket, relief = (form[name].mm or getattr(habits, name) for name in ("pocket_depth", "relief_depth"))
        bit, pair = form["bit"].value, form["pair"].value
        if fit is None or not (bit and pair and pocket and relief):
            return None
        fit.check()
        question = Question(
            bit=bit,
            pair=pair,
            strokes=coupon_strokes(state.shop, coupon) if coupon else (),
            pocket_depth=pocket,
            relief_depth=relief,
            within=habits.hairline_below,
            path_angle_deg=form["path_angle_deg"].value,
            outline_offset=form["outline_offset"].mm or 0.0,
            pass_spacing=form["pass_spacing"].mm or 0.0,
        )
        return float(go_by(fit, state.shop, question, draws=FEW_DRAWS)[2])
