"""How wide the screen is that a panel is shown on: the browser tells it, pictures are drawn for it."""

from __future__ import annotations

import weakref
from typing import Protocol

import ipywidgets


class Fitting(Protocol):
    """Something that can be drawn again for another width."""

    def fit(self) -> None:
        """Draw it for the width as it is now."""


class Screen:
    """
    The screen of this kernel's notebook.

    Attributes
    ----------
    room : float or None
        Width that a picture gets in the panel; None until the browser has told it. [CSS pixels]
    """

    def __init__(self) -> None:
        self.room: float | None = None
        self._told: weakref.WeakSet[Fitting] = weakref.WeakSet()

    def tell(self, picture: Fitting) -> None:
        """Have a picture drawn again whenever the room changes."""
        self._told.add(picture)

    def resize(self, pixels: float) -> None:
        """Take the panel's width and draw its pictures anew where that matters."""
        if pixels < 100 or pixels == self.room:
            return
        self.room = pixels
        for picture in list(self._told):
            picture.fit()


#: One notebook has one kernel and one panel, so there is one screen.
SCREEN = Screen()


def width_box() -> ipywidgets.Text:
    """Make the unseen field into which the panel's script writes how wide the panel is."""
    box = ipywidgets.Text(continuous_update=False)
    box.add_class("inlaylab-width")
    box.layout.display = "none"
    box.observe(lambda change: SCREEN.resize(float(change["new"])) if change["new"].isdigit() else None, "value")
    return box
