"""Readings from a picture of the finished face: proposals that a maker takes or throws away, one by one or all."""

from __future__ import annotations

import html
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets
import traitlets

from inlaylab.errors import InputError
from inlaylab.panels.shared import controls
from inlaylab.panels.shared.entries import Held
from inlaylab.panels.shared.long_work import Task, TaskBox
from inlaylab.panels.shared.screen import SCREEN
from inlaylab.services import picture_readings
from inlaylab.wording.panels import log_a_test_cut as words

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np
    from numpy.typing import NDArray

    from inlaylab.bench.layouts import Layout
    from inlaylab.panels.log_a_test_cut.state import CutState
    from inlaylab.pictures.records import PictureReading, StationReading
    from inlaylab.services.jobs import Progress

    Pixels = NDArray[np.uint8]


class PictureState(traitlets.HasTraits):
    """
    What was read from a picture, and which of it is still to be judged.

    Parameters
    ----------
    cut : CutState
        The cut that is being typed; it gives the coupon and takes the readings.

    Attributes
    ----------
    reading : PictureReading or None
        What the picture says.
    waiting : tuple of str
        Stations whose proposal was neither taken nor thrown away.
    """

    reading: Held[PictureReading | None] = Held()
    waiting = traitlets.Tuple()

    def __init__(self, cut: CutState):
        super().__init__()
        self.cut = cut
        self.source: Path | bytes | None = None
        self.layout: Layout | None = None
        self.straight: Pixels | None = None
        self.small = b""
        self.task = Task(self._work)
        self.task.observe(self._done, "result")

    @property
    def folder(self) -> Path:
        """Where pictures are looked for: beside the log."""
        return self.cut.path.parent

    def read(self, source: Path | bytes) -> None:
        """
        Begin to read a picture.

        Raises
        ------
        InputError
            Where no coupon is chosen, or the log keeps no layout of it.
        """
        from inlaylab.bench.layouts import read_layout

        name = self.cut.form["coupon"].value
        if not name:
            raise InputError(words.CHOOSE_COUPON)
        text = self.cut.shop.coupon(name).layout
        if not text:
            raise InputError(words.NO_LAYOUT, value=name, allowed=words.A_LAYOUT)
        self.layout, self.source = read_layout(text), source
        self.task.start()

    def _work(self, progress: Progress, stop: Callable[[], bool]) -> tuple[PictureReading, Pixels, bytes]:
        from inlaylab.pictures.opening import decode, open_picture
        from inlaylab.pictures.read import read_picture

        def told(what: str, share: float) -> bool:
            progress(share, None, what)
            return bool(stop())

        source, layout = self.source, self.layout
        assert source is not None and layout is not None
        picture = decode(source) if isinstance(source, bytes) else open_picture(source)
        reading = read_picture(picture, layout, progress=told)
        straight = picture_readings.straightened(picture.colors, reading.frame, layout)
        return reading, straight, picture_readings.reduced(picture.colors)

    def _done(self, change: traitlets.Bunch) -> None:
        if change["new"] is None:
            return
        reading, self.straight, self.small = change["new"]
        self.waiting = tuple(one.station for one in reading.stations if _says_something(one))
        self.reading = reading

    def take(self, station: str) -> str:
        """Type one station's proposal into the form; it is saved with the cut, and not before."""
        reading, one = self._waiting(station)
        readings = picture_readings.readings_of(reading, "new", stations=frozenset({station}))
        entry = next((entry for entry in self.cut.grid.entries if entry.label == station), None)
        if entry is None:
            raise InputError(words.NO_SUCH_STATION, value=station)
        if entry.typed:
            self.cut.also_keep(readings)
            said = words.typed_stays(station)
        else:
            entry.type_readings(readings)
            said = words.proposal_taken(station, one, self.cut.unit)
        self._judged(station)
        return said

    def take_all(self) -> str:
        """Type every proposal that is left into the form."""
        stations = self.waiting
        with self.hold_trait_notifications():  # the list is told once, not once a station
            for station in stations:
                self.take(station)
        return words.all_taken(len(stations))

    def throw_away(self, station: str) -> str:
        """Leave one station's proposal out."""
        self._waiting(station)
        self._judged(station)
        return words.left_out(station)

    def keep_copy(self) -> str:
        """Keep a small copy of the picture beside the log, named by the cut once that is saved."""
        from inlaylab.log.kept_pictures import keep_picture

        if not self.small:
            raise InputError(words.NO_PICTURE)
        self.cut.picture = keep_picture(self.cut.path, self.small)
        return words.COPY_KEPT

    def _waiting(self, station: str) -> tuple[PictureReading, StationReading]:
        if self.reading is None or station not in self.waiting:
            raise InputError(words.NO_PROPOSAL, value=station)
        return self.reading, next(one for one in self.reading.stations if one.station == station)

    def _judged(self, station: str) -> None:
        self.waiting = tuple(name for name in self.waiting if name != station)


def _says_something(one: StationReading) -> bool:
    return one.glue_line is not None or one.fill is not None or one.wedge_stop is not None


class Face(controls.PictureBox):
    """
    The straightened face: a click on a station chooses it in the list beside, which is the way by keyboard.

    Attributes
    ----------
    names : tuple of str
        Stations in the list's order.
    """

    names: tuple[str, ...] = ()

    def fit(self) -> None:
        """Draw the face for the screen's width, with a place to click on over each station."""
        if self._picture is None:
            return
        fitted = self._picture.fitted(SCREEN.room)
        spots = [
            f'<span class="inlaylab-pick" data-inlaylab-pick="{self.names.index(name)}" aria-hidden="true" '
            f'title="{html.escape(name, quote=True)}" style="left:{left:.2%};top:{top:.2%};width:{wide:.2%};'
            f'height:{high:.2%}"></span>'
            for name, (left, top, wide, high) in fitted.spots.items()
            if name in self.names
        ]
        self.alt = fitted.alt
        self.value = f'<div class="inlaylab-picks-over">{fitted.html(dpi=self._dpi)}{"".join(spots)}</div>'


class FromPicture(controls.Fold):
    """
    The view of a `PictureState`: closed until a maker wants it.

    Attributes
    ----------
    state : PictureState
    which : ipywidgets.Dropdown
        Pictures in the log's folder.
    upload : ipywidgets.FileUpload
    task : TaskBox
    stations : ipywidgets.Select
        One line a station; arrow keys go through them and show each profile.
    take, throw, take_all, keep : ipywidgets.Button
    face : Face
    profile : PictureBox
    line : MessageLine
    """

    def __init__(self, cut: CutState):
        self.state = state = PictureState(cut)
        self.which = ipywidgets.Dropdown(description="picture", options=picture_readings.pictures_in(state.folder))
        self.upload = ipywidgets.FileUpload(description=words.OR_UPLOAD, accept=".png,.jpg,.jpeg,.tif,.tiff")
        self.again = controls.button(words.LOOK_AGAIN)
        self.task = TaskBox(state.task, words=words.READ, hint=words.READ_HINT, begin=self._read)
        self.stations = ipywidgets.Select(description="stations", options=(), rows=8, tooltip=words.OR_CLICK)
        self.stations.layout.width = "100%"
        self.stations.add_class("inlaylab-picks")
        self.take = controls.button(words.USE, hint=words.TAKE_HINT)
        self.throw = controls.button(words.LEAVE_OUT)
        self.take_all = controls.button(words.TAKE_ALL, hint=words.TAKE_ALL_HINT)
        self.keep = controls.button(words.KEEP_COPY, hint=words.KEEP_COPY_HINT)
        self.face, self.profile, self.line = Face(), controls.PictureBox(), controls.MessageLine()
        self.how, self.notes, self.trust = (controls.Words(kind="hint") for _ in range(3))
        self._filling = False
        self._listen()
        super().__init__(
            words.FROM_PICTURE,
            [
                self.how,
                controls.row(self.which, self.again, self.upload),
                self.task,
                self.notes,
                self.face,
                self.stations,
                controls.row(self.take, self.throw, self.take_all, self.keep),
                self.line,
                self.profile,
                self.trust,
            ],
        )
        self._show()

    def _listen(self) -> None:
        state, line = self.state, self.line
        self.again.on_click(controls.guarded(self.task.line, lambda _: self._look()))
        for button, act in (
            (self.take, lambda: state.take(self._chosen())),
            (self.throw, lambda: state.throw_away(self._chosen())),
            (self.take_all, state.take_all),
            (self.keep, state.keep_copy),
        ):
            button.on_click(controls.guarded(line, lambda _, act=act: line.done(act())))
        state.observe(lambda _: self._show(), "reading")
        state.observe(lambda _: self._list(), "waiting")
        state.cut.observe(lambda _: self._show(), ["unit", "shop"])
        state.cut.session.listen(self._trust)
        self.stations.observe(lambda _: None if self._filling else self._draw(), "value")

    def _look(self) -> None:
        self.which.options = picture_readings.pictures_in(self.state.folder)
        self.which.value = next(iter(self.which.options), None)
        self.task.line.done(words.pictures_found(len(self.which.options), self.state.folder.name))

    def _read(self) -> None:
        if self.upload.value:
            self.state.read(bytes(self.upload.value[0]["content"]))
        elif self.which.value:
            self.state.read(self.state.folder / self.which.value)
        else:
            raise InputError(words.CHOOSE_PICTURE, allowed=words.A_PICTURE)

    def _chosen(self) -> str:
        return str(self.stations.value or "")

    def _show(self) -> None:
        state = self.state
        reading: PictureReading | None = state.reading
        shown = reading is not None
        for part in (self.face, self.stations, self.take, self.throw, self.take_all, self.keep, self.profile):
            part.layout.display = None if shown else "none"
        self._trust()
        if reading is None:
            return
        self.notes.say("Note: " + "; ".join(reading.warnings) + ".", kind="hint")
        self._list()
        self._draw()

    def _list(self) -> None:
        """Write the list's lines anew; the pictures stay as they are."""
        state, chosen = self.state, self.stations.value
        if state.reading is None:
            return
        self._filling = True
        try:
            self.stations.options = [(self._line(one, state.cut.unit), one.station) for one in state.reading.stations]
            if chosen in {one.station for one in state.reading.stations}:
                self.stations.value = chosen
        finally:
            self._filling = False
        self._allow()

    def _allow(self) -> None:
        """Let the buttons be pressed that have something to do."""
        state = self.state
        self.take.disabled = self.throw.disabled = self._chosen() not in state.waiting
        self.take_all.disabled = not state.waiting

    def _trust(self) -> None:
        """Say how to take a picture, and how well pictures and loupe agree: the fit says so where it is of this log."""
        cut = self.state.cut
        found = picture_readings.agreement_of(cut.shop, fit=cut.session.opened.fit)
        self.how.say(words.picture_how(found), kind="hint")
        self.trust.say(words.picture_agreement(found, cut.unit), kind="hint")

    def _line(self, one: StationReading, unit: str) -> str:
        mark = "?" if one.station in self.state.waiting else " "
        return f"{mark} {one.station}: {words.picture_proposal(one, unit)}"

    def _draw(self) -> None:
        from inlaylab.figures.coupon_read import CouponRead, coupon_read, line_profile

        state = self.state
        if state.reading is None or state.layout is None or state.straight is None:
            return
        unit, chosen = state.cut.unit, self._chosen()
        sides = picture_readings.sides_of(state.reading, state.layout)
        self.face.names = tuple(one.station for one in state.reading.stations)
        read = CouponRead(
            straight=state.straight, layout=state.layout, reading=state.reading, sides=sides, chosen=chosen
        )
        self.face.show(coupon_read(read, unit=unit))
        one = next((one for one in state.reading.stations if one.station == chosen), None)
        if one is not None and one.curves:
            self.profile.show(line_profile(one, unit=unit))
        else:
            self.profile.say(words.NO_PROFILE if one else "")
        self._allow()
