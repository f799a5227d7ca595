"""
The readings of a whole coupon, typed in one pass: one field a station, Enter goes on to the next.

`station_entries` knows what may be typed; here it is laid out beside a picture of the coupon.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab import units
from inlaylab.panels.log_a_test_cut.station_entries import GridState
from inlaylab.panels.shared.controls import Words, button
from inlaylab.panels.shared.screen import SCREEN
from inlaylab.wording.panels import log_a_test_cut as words

if TYPE_CHECKING:
    from inlaylab.bench.coupons import Station
    from inlaylab.figures.style import Picture


class GridRow(ipywidgets.HBox):
    """
    One station's line.

    Attributes
    ----------
    box : ipywidgets.Text
    closed : ipywidgets.Button
    beside : Words
    """

    def __init__(self, number: int):
        self.box = ipywidgets.Text(continuous_update=False)
        self.box.style.description_width = "12em"
        self.box.layout.width = "20em"
        self.box.layout.max_width = "calc(100% - 8px)"
        self.closed = button("closed")
        self.closed.tabbable = False
        self.beside = Words()
        self.beside.layout.margin = "2px 0 2px 8px"
        self.beside.layout.flex = "1 1 12em"
        super().__init__([self.box, self.closed, self.beside])
        self.layout.flex_flow = "row wrap"
        self.layout.align_items = "center"
        self.add_class(f"inlaylab-station-{number}")


class StationGrid(ipywidgets.VBox):
    """
    The grid of a coupon's stations beside the coupon's picture.

    Parameters
    ----------
    state : GridState
        What is typed.

    Attributes
    ----------
    rows : list of GridRow
        One a station; built once and used again for the next coupon.
    picture : Words
        The coupon, with the station being typed marked by the browser itself.
    hint : Words
        What may be typed.
    """

    def __init__(self, state: GridState):
        self.state = state
        self.rows: list[GridRow] = []
        self.hint = Words()
        self.picture = Words()
        self.picture.layout.width = "100%"
        self._submitted: int | None = None
        self._filling = False
        super().__init__([self.hint, self.picture])
        self.add_class("inlaylab-grid")
        state.observe(self._rebuild, "entries")
        self._rebuild()
        SCREEN.tell(self)

    def _rebuild(self, change: traitlets.Bunch | None = None) -> None:
        entries = self.state.entries
        while len(self.rows) < len(entries):
            self._add_row()
        self._filling = True
        try:
            for line, entry in zip(self.rows, entries, strict=False):
                line.box.description = _station_label(entry.station, self.state.unit)
                line.box.value = entry.typed
        finally:
            self._filling = False
        for number, entry in enumerate(entries):
            entry.observe(lambda change, n=number: self._show(n), ["said", "shown", "typed"])
            self._show(number)
        self.hint.say(words.HOW_TO_TYPE if entries else words.NO_STATIONS, kind="hint")
        self.children = (self.hint, self.picture, *self.rows[: len(entries)])
        self._draw()

    def _add_row(self) -> None:
        number = len(self.rows)
        line = GridRow(number)
        line.box.observe(lambda change: self._typed(number, change["new"]), "value")
        line.box.on_msg(lambda widget, content, buffers: self._entered(number, content))
        line.closed.on_click(lambda _: self._close(number))
        self.rows.append(line)

    def _typed(self, number: int, text: str) -> None:
        if self._filling or number >= len(self.state.entries):
            return
        entry = self.state.entries[number]
        entry.typed = text
        if entry.said and self._submitted == number:
            self.rows[number].box.focus()
        self._submitted = None

    def _entered(self, number: int, content: dict[str, object]) -> None:
        if content.get("event") != "submit":
            return
        self._submitted = number
        if number + 1 < len(self.state.entries):
            self.rows[number + 1].box.focus()

    def _close(self, number: int) -> None:
        entry = self.state.entries[number]
        fill = (entry.value or {}).get("fill")
        entry.typed = f"c {fill[0]}" if fill in ("filled", "partly") else "c"
        if number + 1 < len(self.state.entries):
            self.rows[number + 1].box.focus()

    def _show(self, number: int) -> None:
        if number >= len(self.state.entries):
            return
        entry, line = self.state.entries[number], self.rows[number]
        if line.box.value != entry.typed:
            line.box.value = entry.typed
        line.closed.layout.display = "none" if entry.station.kind == "wedge" else None
        line.closed.tooltip = words.closed_at(entry.label)
        if entry.said:
            line.box.add_class("inlaylab-wrong")
            markup = f'<div role="alert" class="inlaylab-refusal">✗ {html.escape(entry.said)}</div>'
            line.beside.show_html(markup, text=entry.said)
        else:
            line.box.remove_class("inlaylab-wrong")
            line.beside.say(entry.shown, kind="understood")

    def fit(self) -> None:
        """Draw the coupon for the screen's width as it is now."""
        self._draw()

    def _draw(self) -> None:
        coupon = self.state.coupon
        if coupon is None or not coupon.stations:
            self.picture.say("")
            return
        from inlaylab.figures.coupon import coupon as draw

        picture = draw(coupon, unit=self.state.unit).fitted(SCREEN.room)
        names = [entry.label for entry in self.state.entries]
        self.picture.show_html(_marked(picture, names), text=picture.alt)


def _station_label(station: Station, unit: str) -> str:
    width = units.format_length(station.stroke_width, unit)
    kind = "wedge, " if station.kind == "wedge" else ""
    return f"{station.station} · {kind}{width} {station.grain}"


def _marked(picture: Picture, names: list[str]) -> str:
    """Lay one mark a station over the coupon's picture; the browser shows that of the field in use."""
    marks, rules = [], []
    for number, name in enumerate(names):
        if name not in picture.spots:
            continue
        left, top, width, height = (100 * share for share in picture.spots[name])
        marks.append(
            f'<span class="inlaylab-mark inlaylab-mark-{number}" aria-hidden="true" '
            f'style="left:{left:.2f}%;top:{top:.2f}%;width:{width:.2f}%;height:{height:.2f}%"></span>'
        )
        rules.append(
            f".inlaylab-grid:has(.inlaylab-station-{number} input:focus) .inlaylab-mark-{number}{{display:block}}"
        )
    return (
        "<style>.inlaylab-coupon{position:relative;display:inline-block;max-width:100%}"
        ".inlaylab-mark{display:none;position:absolute;box-sizing:border-box;border:3px solid #a33c00;"
        "outline:2px solid #fff;border-radius:4px}" + "".join(rules) + "</style>"
        f'<div class="inlaylab-coupon">{picture.html()}{"".join(marks)}</div>'
    )
