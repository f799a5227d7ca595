"""What of a planned artwork is kept as a draft: its fields, the drawing that is open, and the sliders."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.panels.shared.drafts import Draft, Kept
from inlaylab.services.planning.plan_settings import TURNS, Settings

if TYPE_CHECKING:
    from inlaylab.panels.plan_an_artwork.state import PlanState

#: What says which drawing is opened; it comes first, since a drawing brings its own line of section and scale.
_WHICH = ("drawing", "file", "width", "drawing_unit")


def plan_draft(state: PlanState) -> Draft:
    """
    Make the draft of a plan.

    Parameters
    ----------
    state : PlanState
        With its form; its settings and drawing may change later.

    Returns
    -------
    draft : Draft
        Not begun yet.
    """

    def open_again(drawing: str) -> str:
        state.open_drawing()
        return state.opened

    def turn_back(kept: dict[str, float]) -> Settings:
        state.turn(**{name: float(value) for name, value in kept.items()})
        return state.settings

    opened = Kept(state, "opened", read=open_again)
    turned = Kept(state, "settings", write=lambda now: {name: getattr(now, name) for name in TURNS}, read=turn_back)
    colour = Kept(state, "colour_by")
    form = state.form.entries
    which = {name: form[name] for name in _WHICH}
    rest = {name: entry for name, entry in form.items() if name not in _WHICH}
    entries = {**which, "opened": opened, **rest, "settings": turned, "colour_by": colour}
    return Draft(state.fit.path, "plan_an_artwork", entries=lambda: entries, state=state)
