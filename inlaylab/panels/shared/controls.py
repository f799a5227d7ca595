"""
The controls that every panel is built from.

A control shows one entry of `entries` and nothing more: words go in, the entry reads them, and what it made of them
stands beside the field. Every widget is a named attribute, so that a test can set and read it.
"""

from __future__ import annotations

import functools
import html
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.errors import InlaylabError
from inlaylab.figures.style import Picture
from inlaylab.panels.shared.entries import ADD_NEW, NOTHING, ChoiceEntry, Entry, InUnit
from inlaylab.panels.shared.screen import SCREEN, width_box
from inlaylab.services.desk import keep_unit
from inlaylab.wording.panels import shared as words


def style_sheet() -> ipywidgets.HTML:
    """
    Give the style of all panels, to stand first in each.

    Notes
    -----
    The script that runs once the style is there lets lists be used by keyboard and gives sliders their names.
    """
    here = Path(__file__).parent
    css = (here / "panel.css").read_text(encoding="utf-8")
    script = html.escape((here / "panel.js").read_text(encoding="utf-8"), quote=True)
    return ipywidgets.HTML(f'<style onload="{script}">{css}</style>')


def panel(*parts: ipywidgets.Widget) -> ipywidgets.VBox:
    """Stack the parts of a panel under the common style."""
    box = ipywidgets.VBox([style_sheet(), width_box(), *parts])
    box.add_class("inlaylab-panel")
    return box


def row(*parts: ipywidgets.Widget) -> ipywidgets.HBox:
    """Put parts side by side; they wrap where the screen is narrow."""
    return ipywidgets.HBox(list(parts), layout={"flex_flow": "row wrap", "align_items": "flex-start"})


def button(words: str, *, hint: str = "", main: bool = False) -> ipywidgets.Button:
    """Make a button that says what it does."""
    made = ipywidgets.Button(description=words, tooltip=hint or None, layout={"width": "auto", "height": "auto"})
    if main:
        made.add_class("inlaylab-main")
    return made


class Words(ipywidgets.HTML):
    """
    A place for words; what is put in is shown as text, never as markup.

    Attributes
    ----------
    text : str
        What is shown, without marks.
    """

    def __init__(self, text: str = "", *, kind: str = ""):
        super().__init__()
        self.text = ""
        self.say(text, kind=kind)

    def say(self, text: str, *, kind: str = "") -> None:
        """Show a text; `kind` is "", "hint", "understood", "heading" or "caution"."""
        self.text = text
        lines = html.escape(text).split("\n")
        safe = "".join(f"<p>{line}</p>" for line in lines) if len(lines) > 1 else lines[0]
        shapes = {"heading": f"<h3>{safe}</h3>", "caution": f'<div class="inlaylab-caution">{safe}</div>'}
        self.value = shapes.get(kind, f'<div class="inlaylab-{kind}">{safe}</div>' if kind else safe) if text else ""

    def show_html(self, markup: str, *, text: str) -> None:
        """Show markup made by the kit, in which every foreign word is already escaped."""
        self.text = text
        self.value = markup


def heading(text: str) -> Words:
    """Make a heading."""
    return Words(text, kind="heading")


def set_stale(shown: ipywidgets.DOMWidget, stale: bool) -> None:
    """Grey an answer that no longer belongs to the question or to the log, and say so above it; or take that back."""
    (shown.add_class if stale else shown.remove_class)("inlaylab-stale")


class MessageLine(Words):
    """
    The line that says what was done or why not; read out by a screen reader.

    Attributes
    ----------
    error : Exception or None
        The last failure shown, kept so that a test can see it.
    """

    def __init__(self) -> None:
        super().__init__()
        self.error: Exception | None = None

    def done(self, text: str) -> None:
        """Say what was done."""
        self.error = None
        self.text = text
        self.value = f'<div role="status">✓ {html.escape(text)}</div>' if text else ""

    def refuse(self, text: str, error: Exception | None = None) -> None:
        """Say what is wrong, with a mark and in words."""
        self.error = error
        self.text = text
        self.value = f'<div role="alert" class="inlaylab-refusal">✗ {html.escape(text)}</div>'


def guarded(line: MessageLine, action: Callable[..., object]) -> Callable[..., object]:
    """
    Wrap a callback so that whatever it raises is shown in words.

    Parameters
    ----------
    line : MessageLine
        Where to show it.
    action : callable
        The callback.

    Notes
    -----
    A notebook swallows what a callback raises; the maker would see a button that does nothing.
    """

    @functools.wraps(action)
    def safe(*args: object) -> object:
        try:
            return action(*args)
        except InlaylabError as error:
            line.refuse(str(error), error)
        except Exception as error:
            line.refuse(words.fault(error), error)
        return None

    return safe


class Field(ipywidgets.HBox):
    """
    A text field with its entry's verdict beside it.

    Parameters
    ----------
    entry : Entry
        What the field holds.
    hint : str
        Grey words inside the empty field.

    Attributes
    ----------
    box : ipywidgets.Text
        Where the maker types.
    beside : Words
        What was understood, or why not.
    """

    def __init__(self, entry: Entry, *, hint: str = "", width: str = "25em", label_width: str = "10.5em"):
        self.entry = entry
        self.box = self._make_box(hint)
        self.box.layout.width = width
        self.box.layout.max_width = "calc(100% - 8px)"
        self.box.style.description_width = label_width
        self.beside = Words()
        self.beside.layout.margin = "2px 0 2px 8px"
        self.beside.layout.flex = "1 1 12em"
        super().__init__([self.box, self.beside])
        self.add_class("inlaylab-field")
        self.layout.flex_flow = "row wrap"
        self._listen()
        entry.observe(self._show, ["said", "shown", "required", "value"])
        self._show()

    def _make_box(self, hint: str) -> ipywidgets.Widget:
        given = {"value": self.entry.typed, "description": self.entry.label, "placeholder": hint}
        if self.entry.offers:
            return ipywidgets.Combobox(options=self.entry.offers, continuous_update=False, **given)
        return ipywidgets.Text(continuous_update=False, **given)

    def _listen(self) -> None:
        self.box.observe(lambda change: setattr(self.entry, "typed", change["new"]), "value")
        self.entry.observe(lambda change: setattr(self.box, "value", change["new"]), "typed")

    def _show(self, change: traitlets.Bunch | None = None) -> None:
        entry = self.entry
        if entry.said:
            self.box.add_class("inlaylab-wrong")
            self.beside.text = entry.said
            self.beside.value = f'<div role="alert" class="inlaylab-refusal">✗ {html.escape(entry.said)}</div>'
            return
        self.box.remove_class("inlaylab-wrong")
        self.beside.say(entry.shown or (words.NEEDED if entry.missing else ""), kind="understood")


class LongField(Field):
    """A field for notes, of several lines."""

    def _make_box(self, hint: str) -> ipywidgets.Widget:
        return ipywidgets.Textarea(
            value=self.entry.typed, description=self.entry.label, placeholder=hint, continuous_update=False, rows=2
        )


class Choice(Field):
    """
    A list to choose from; its last line may be "add new", which opens a form of its own.

    Parameters
    ----------
    entry : ChoiceEntry
        What is chosen.
    add : record_controls.AddForm, optional
        The form that "add new" opens.
    **sizes : str
        `width` and `label_width`, as a `Field` takes them.

    Attributes
    ----------
    box : ipywidgets.Dropdown
        The list.
    """

    entry: ChoiceEntry

    def __init__(self, entry: ChoiceEntry, *, add: ipywidgets.DOMWidget | None = None, **sizes: str):
        self.add = add
        self._filling = False
        super().__init__(entry, **sizes)
        if add is not None:
            self.children = (self.box, self.beside, add)
            add.layout.display = "none"
        entry.observe(self._fill, ["options", "can_add"])
        self._fill()

    def _make_box(self, hint: str) -> ipywidgets.Widget:
        return ipywidgets.Dropdown(options=[NOTHING], description=self.entry.label)

    def _listen(self) -> None:
        self.box.observe(self._chosen, "value")
        self.entry.observe(self._follow, "typed")

    def _fill(self, change: traitlets.Bunch | None = None) -> None:
        last = (ADD_NEW,) if self.entry.can_add else ()
        self._filling = True
        try:
            self.box.options = (NOTHING, *self.entry.options, *last)
        finally:
            self._filling = False
        self._follow()

    def _chosen(self, change: traitlets.Bunch) -> None:
        if not self._filling:
            self.entry.typed = "" if change["new"] in (None, NOTHING) else change["new"]

    def _follow(self, change: traitlets.Bunch | None = None) -> None:
        wanted = self.entry.typed or NOTHING
        if wanted in self.box.options and self.box.value != wanted:
            self.box.value = wanted
        if self.add is not None:
            self.add.layout.display = "flex" if self.entry.adding else "none"


class Fold(ipywidgets.VBox):
    """
    Fields that are seldom needed, behind a box to tick.

    Attributes
    ----------
    tick : ipywidgets.Checkbox
    inside : ipywidgets.VBox
    """

    def __init__(self, words: str, parts: Sequence[ipywidgets.Widget]):
        self.tick = ipywidgets.Checkbox(description=words, indent=False)
        self.tick.layout.width = "auto"
        self.inside = ipywidgets.VBox(parts)
        self.inside.layout.display = "none"
        self.tick.observe(self._turn, "value")
        super().__init__([self.tick, self.inside])

    def _turn(self, change: traitlets.Bunch) -> None:
        self.inside.layout.display = None if change["new"] else "none"


def unit_choice(state: InUnit, log: str | Path, *, words: str = words.BARE) -> ipywidgets.Dropdown:
    """
    Make the list of units for a state with a `unit`; numbers typed without a unit, and answers, are in it.

    What is chosen is kept beside the log for the other panels.
    """
    box = ipywidgets.Dropdown(options=list(units.UNITS), value=state.unit, description=words)
    box.style.description_width = "15em"
    box.layout.width = "24em"
    box.layout.max_width = "calc(100% - 8px)"
    box.observe(lambda change: setattr(state, "unit", change["new"]), "value")
    box.observe(lambda change: keep_unit(log, change["new"]), "value")
    state.observe(lambda change: setattr(box, "value", change["new"]), "unit")
    return box


class PictureBox(ipywidgets.HTML):
    """
    A place for one picture, drawn again in place, and again for a screen that is narrower or wider.

    Attributes
    ----------
    alt : str
        The words of the picture that is shown.
    """

    def __init__(self) -> None:
        super().__init__()
        self.alt = ""
        self._picture: Picture | None = None
        self._dpi = 120
        self.layout.width = "100%"
        SCREEN.tell(self)

    def show(self, picture: Picture, *, dpi: int = 120) -> None:
        """Show a picture of `figures`, drawn for the room it gets."""
        self._picture, self._dpi = picture, dpi
        self.fit()

    def fit(self) -> None:
        """Draw what is shown for the screen's width as it is now."""
        if self._picture is None:
            return
        fitted = self._picture.fitted(SCREEN.room)
        self.alt = fitted.alt
        self.value = fitted.html(dpi=self._dpi)

    def say(self, words: str) -> None:
        """Show words where there is no picture yet."""
        self._picture = None
        self.alt = words
        self.value = f'<p class="inlaylab-hint">{html.escape(words)}</p>' if words else ""


def file_links(paths: Iterable[Path]) -> str:
    """
    Give links to files that lie beside the notebook, as markup with every name escaped.

    Parameters
    ----------
    paths : iterable of Path
        The files.

    Notes
    -----
    The address of a file hangs on the page around the panel; ``panel.js`` puts it in when the link is used.
    """
    names = [html.escape(path.name, quote=True) for path in paths]
    items = (f'<li><a href="#" data-inlaylab-file="{name}" target="_blank">{name}</a></li>' for name in names)
    return f"<ul>{''.join(items)}</ul>"


def table(rows: Sequence[Mapping[str, object]], *, caption: str) -> str:
    """
    Give rows of plain values as an HTML table, every word escaped.

    Parameters
    ----------
    rows : list of dict
        One a row; the keys of the first name the columns.
    caption : str
        What the table shows.
    """
    if not rows:
        return f"<p>{html.escape(words.none_yet(caption))}</p>"
    head = "".join(f'<th scope="col">{html.escape(str(name))}</th>' for name in rows[0])
    body = "".join(f'<tr role="row">{"".join(_cell(*each) for each in line.items())}</tr>' for line in rows)
    return (
        f'<div class="inlaylab-scroll" tabindex="0" role="region" aria-label="{html.escape(caption, quote=True)}">'
        f'<table role="table"><caption>{html.escape(caption)}</caption><thead><tr>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table></div>"
    )


def _cell(name: str, value: object) -> str:
    """One cell; it carries its column's name, which a narrow screen shows before it."""
    named = html.escape(str(name), quote=True)
    return f'<td role="cell" data-column="{named}">{html.escape("" if value is None else str(value))}</td>'
