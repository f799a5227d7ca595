"""Entries in, lines out: the state of one question of notebook 6, testable without a screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import traitlets

from inlaylab.errors import InputError
from inlaylab.panels.shared.entries import Form, Held
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, change_unit
from inlaylab.wording.panels.around_the_cut import woods as words

Given = dict[str, Any]
"""What was typed of a question, by entry: lengths in mm, None where blank."""


@dataclass(frozen=True, kw_only=True)
class Result:
    """
    An answer: what is said, and what is drawn.

    Parameters
    ----------
    lines : tuple of str
        One sentence or more each.
    warning : str
        What must not be overlooked; empty where nothing.
    figure : str
        Name of a picture in ``figures.FIGURES``; empty where none.
    drawn : object
        What that picture is drawn from.
    woods : tuple of str
        Woods whose cautions belong beside it.
    """

    lines: tuple[str, ...]
    warning: str = ""
    figure: str = ""
    drawn: object = None
    woods: tuple[str, ...] = ()


class Reckoning(traitlets.HasTraits):
    """
    One question and its answer, reckoned anew whenever an entry changes.

    Parameters
    ----------
    title : str
        Title of its page.
    form : panels.shared.entries.Form
        Its entries.
    reckon : callable
        Takes the entries' values by name (lengths in mm) and the unit, and gives a `Result`.
    cautions : tuple of str
        Topics shown with it.
    unit : str
        The maker's unit.

    Attributes
    ----------
    result : Result or None
        The answer.
    said : str
        Why there is none.
    """

    unit = traitlets.Unicode("mm")
    result: Held[Result | None] = Held()
    said = traitlets.Unicode()

    def __init__(
        self,
        title: str,
        form: Form,
        reckon: Callable[[Given, str], Result],
        *,
        cautions: tuple[str, ...] = (),
        unit: str = "mm",
    ):
        super().__init__()
        self.title, self.form, self.cautions, self._reckon_it = title, form, cautions, reckon
        change_unit(form.entries.values(), unit)
        self.unit = unit
        for entry in form.entries.values():
            entry.observe(self.reckon, ["value", "said"])
        self.reckon()

    def values(self) -> Given:
        """Give every entry's value by name: lengths in mm, None where blank."""
        lengths = (LengthEntry, LengthsEntry)
        return {n: e.mm if isinstance(e, lengths) else e.value for n, e in self.form.entries.items()}

    def reckon(self, change: traitlets.Bunch | None = None) -> None:
        """Answer the question as it stands."""
        if not self.form.whole:
            self.said, self.result = self.form.needs, None
            return
        try:
            result = self._reckon_it(self.values(), self.unit)
        except InputError as refusal:
            self.said, self.result = str(refusal), None
            return
        self.said, self.result = "", result

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        change_unit(self.form.entries.values(), self.unit)
        self.reckon()


def read_temperature(text: str) -> float:
    """
    Read a temperature of the air.

    Parameters
    ----------
    text : str
        In degrees C, or with an F behind it in degrees F.

    Returns
    -------
    temperature : float
        [degrees C]

    Raises
    ------
    InputError
        For anything that no workshop's air is at.

    Examples
    --------
    >>> read_temperature("20"), read_temperature("68 °F")
    (20.0, 20.0)
    """
    from inlaylab.units import parse_number

    bare = text.strip().rstrip("CcFf").rstrip("° ").strip()
    number = parse_number(bare)
    celsius = (number - 32) / 1.8 if text.strip().casefold().endswith("f") else number
    if not -20 <= celsius <= 60:
        raise InputError(words.TEMPERATURE, value=text, allowed=words.TEMPERATURES)
    return celsius
