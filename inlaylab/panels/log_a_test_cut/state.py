"""What the panel of notebook 3 knows: the cut being typed, and the cuts in the log."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import traitlets

from inlaylab import units
from inlaylab.bench.cuts import OUTCOMES, Cut
from inlaylab.bench.fields import specs
from inlaylab.bench.readings import Reading
from inlaylab.errors import InputError, StaleError
from inlaylab.panels.log_a_test_cut.station_entries import GridState
from inlaylab.panels.shared.drafts import Draft
from inlaylab.panels.shared.entries import ChoiceEntry, DateEntry, Entry, Form, Held, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, typed_with_unit
from inlaylab.panels.shared.new_things import NewThing
from inlaylab.services.desk import reader_unit
from inlaylab.services.forecasts import forecast_of
from inlaylab.services.log_session import LogSession
from inlaylab.wording.panels import log_a_test_cut as words

if TYPE_CHECKING:
    from inlaylab.bench.coupons import Coupon
    from inlaylab.bench.shop import Shop
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.review.suspects import Suspect

#: Readings of a whole cut, in the order in which they are made at the bench.
CUT_READINGS = {
    "pocket_depth": words.POCKET_MEASURED,
    "plug_depth": words.PLUG_MEASURED,
    "backer_gap": "backer gap",
    "floor_gap": words.FLOOR_GAP,
}
_DEPTHS = ("start_depth", "pocket_depth", "relief_depth", "sanded_off", "outline_offset", "pass_spacing")


class CutState(traitlets.HasTraits):
    """
    A test cut being typed, corrected or taken back.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    form : panels.shared.entries.Form
        Every field of the cut, with the station grid as ``readings``.
    shop : bench.shop.Shop
        What the log holds.
    correcting : str
        Name of the cut being corrected; empty while a new one is typed.
    """

    shop: Held[Shop] = Held()
    unit = traitlets.Unicode("mm")
    correcting = traitlets.Unicode()
    suspects = traitlets.Tuple()

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self.session = LogSession(self.path)
        self.limit = LengthEntry.of(Reading, "limit", words.LIMIT)
        self.grid = GridState(limit=self.limit)
        self.form = self._make_form()
        self.mark = Entry(words.BEING_CORRECTED)
        self.new = {
            what: NewThing(what, self.form[what], self.session, by=lambda: self._by)
            for what in ("pair", "bit", "coupon")
        }
        self._based_on: Cut | None = None
        self._before: tuple[Reading, ...] | None = None
        self._kept: tuple[Reading, ...] = ()
        self.picture = ""
        self._stored: dict[str, tuple[str, Cut | Reading]] = {}
        self._fit: Fit | None = None
        self.reload()
        self.unit = reader_unit(self.path, self.shop.habits.unit)
        self.start_new()
        self.form["coupon"].observe(self._coupon_changed, "value")
        self.form["bit"].observe(self._bit_changed, "value")
        self.mark.observe(self._marked, "typed")
        self.draft = Draft(self.path, "log_a_test_cut", entries=self._entries, empty=self.start_new, state=self)
        self.draft.begin()
        self.grid.observe(lambda _: self.draft.watch(), "entries")
        self.session.listen(self._heard)

    def reload(self) -> None:
        """Take the log as it is now; what is typed stays."""
        shop = self.session.shop
        form, habits = self.form, shop.habits
        form["bit"].options = tuple(bit.bit for bit in shop.bits)
        form["pair"].options = tuple(pair.pair for pair in shop.pairs)
        form["coupon"].options = tuple(coupon.coupon for coupon in shop.coupons)
        form["pocket_depth"].required = habits.pocket_depth is None
        form["relief_depth"].required = habits.relief_depth is None
        fit = self.session.opened.fit
        if fit is not self._fit:
            self._fit, self.suspects = fit, _suspects(fit, shop)
        self.shop = shop

    def _heard(self) -> None:
        if self.session.shop is not self.shop or self.session.opened.fit is not self._fit:
            self.reload()

    def _marked(self, change: traitlets.Bunch) -> None:
        """Go back to the correction that a draft belongs to, if its cut is still there."""
        name = self.mark.typed
        if name and name != self.correcting and name in {cut.cut for cut in self.shop.cuts}:
            self.correct(name)

    def _entries(self) -> dict[str, Entry]:
        """Every field that a draft keeps, in the order in which one calls for the next."""
        found = {"correcting": self.mark, **{name: e for name, e in self.form.entries.items() if e is not self.grid}}
        found["limit"] = self.limit
        found |= {f"station {entry.label}": entry for entry in self.grid.entries}
        for new in self.new.values():
            found |= new.entries()
        return found

    def start_new(self) -> None:
        """Empty the form for the next cut; bit, pair, coupon and depths of a shop stay, they seldom change."""
        form = self.form
        kept = {name: form[name].typed for name in ("bit", "pair", "coupon", "pocket_depth", "relief_depth", "by")}
        self.correcting, self._based_on, self._before, self._kept = "", None, None, ()
        self._saved = ""
        self._stored, self.picture = {}, ""
        self.mark.typed = ""
        form.clear()
        for name, typed in kept.items():
            form[name].typed = typed
        habits = self.shop.habits
        for name in ("pocket_depth", "relief_depth"):
            if not form[name].typed:
                form[name].set_mm(getattr(habits, name))
        self.limit.set_mm(habits.loupe_limit)
        form["cut"].typed = next_name([cut.cut for cut in self.shop.cuts])
        form["date"].typed = datetime.date.today().isoformat()
        self.grid.show(self._coupon())
        self.grid.clear()

    def correct(self, name: str) -> None:
        """Type a stored cut back into the form."""
        self.session.updates.look()
        self.reload()
        cut, form = self.shop.cut(name), self.form
        form.clear()
        self._stored = {}
        for field in ("cut", "bit", "pair", "coupon", "date", "outcome", "notes", "photo"):
            form[field].typed = str(getattr(cut, field) or "")
        for field in _DEPTHS:
            self._type_length(form[field], cut, field)
            self._stored[field] = (form[field].typed, cut)
        for field in ("path_angle_deg", "path_length_m"):
            value = getattr(cut, field)
            form[field].typed = "" if value is None else f"{value:.12g}"
        readings = self.shop.readings_of(name)
        self.grid.show(self._coupon())
        self.grid.clear()
        rest = list(self.grid.type_readings([r for r in readings if r.station is not None]))
        stations = {entry.label for entry in self.grid.entries}
        rest += [r for r in readings if r.station is not None and r.station not in stations]
        for kind in CUT_READINGS:
            mine = [r for r in readings if r.kind == kind]
            if mine:
                self._type_length(form[f"read_{kind}"], mine[0], "value")
                self._stored[f"read_{kind}"] = (form[f"read_{kind}"].typed, mine[0])
            rest += mine[1:]
        self._kept, self._based_on, self._before, self.correcting = tuple(rest), cut, readings, name
        self.picture = cut.picture
        self.mark.typed = name

    def save(self) -> str:
        """
        Put the cut with its readings into the log, all of it or nothing.

        Returns
        -------
        said : str
            What was done.

        Raises
        ------
        InputError
            Where the record is not whole.
        """
        if not self.form.whole:
            if self._saved and not self.draft.touched:
                return words.nothing_since(self._saved)
            raise InputError(self.form.needs.rstrip(".") or words.NOT_COMPLETE)
        cut = self.record()
        if not self.correcting and cut.cut in {known.cut for known in self.shop.cuts}:
            raise InputError(words.NAME_TAKEN, value=cut.cut, allowed=words.NEW_NAME)
        readings = self.readings(cut.cut)
        expected = None if self._before else forecast_of(self.path, cut, shop=self.shop, fit=self.session.opened.last)
        try:
            with self.session.write() as log:
                log.save_cut(
                    cut, readings, by=self._by, based_on=self._based_on, readings_before=self._before, forecast=expected
                )
        except StaleError as stale:
            self._meet(stale)
            raise
        what = "Corrected" if self.correcting else "Saved"
        self.reload()
        self.start_new()
        self.draft.settle()
        self._saved = words.kept(what, cut.cut, len(readings))
        return self._saved

    def _meet(self, stale: StaleError) -> None:
        """Let a second save win over what somebody else saved meanwhile; what is typed stays typed."""
        self.reload()
        name = self.correcting
        if name in {cut.cut for cut in self.shop.cuts}:
            self._based_on, self._before = self.shop.cut(name), self.shop.readings_of(name)

    def delete(self, name: str) -> str:
        """Take a cut with its readings out of the log; undo brings it back."""
        cut = self.shop.cut(name)
        with self.session.write() as log:
            log.delete(cut, by=self._by)
        self.reload()
        self._saved = ""
        if self.correcting == name:
            self.start_new()
        return words.deleted(name)

    def after_turn(self) -> None:
        """Take the log as undo or redo has left it; a correction of a cut that is gone or changed ends."""
        self.reload()
        self._saved = ""
        name = self.correcting
        there = {cut.cut: cut for cut in self.shop.cuts}
        if name and there.get(name) != self._based_on:
            self.start_new()
            self.draft.settle()

    def record(self) -> Cut:
        """Give the cut as it is typed."""
        form, habits = self.form, self.shop.habits
        values: dict[str, Any] = {name: form[name].value for name in ("cut", "bit", "pair", "coupon", "outcome")}
        values |= {name: form[name].value or "" for name in ("notes", "photo")}
        values |= {name: form[name].value for name in ("path_angle_deg", "path_length_m")}
        values |= {name: form[name].mm for name in _DEPTHS}
        typed = {name: typed_with_unit(form[name].value) for name in _DEPTHS if form[name].value is not None}
        for name, (text, cut) in self._stored.items():
            if name in typed and form[name].typed == text:
                values[name] = getattr(cut, name)
                typed = {key: text for key, text in typed.items() if key != name}
                typed |= {name: cut.typed[name]} if name in cut.typed else {}
        for name in ("pocket_depth", "relief_depth"):
            if values[name] is None:
                values[name] = getattr(habits, name)
        values["date"] = form["date"].value.isoformat() if form["date"].value else None
        extra = dict(self._based_on.extra) if self._based_on is not None else {}
        unit = self._based_on.unit if self._based_on is not None else self.unit
        return Cut(**values, picture=self.picture, unit=unit, typed=typed, extra=extra)

    def also_keep(self, readings: Iterable[Reading]) -> None:
        """Save readings with this cut beside what is typed at their stations."""
        self._kept += tuple(readings)

    def readings(self, cut: str) -> tuple[Reading, ...]:
        """Give everything that was read as records of a cut."""
        found: list[Reading] = []
        for kind in CUT_READINGS:
            entry = self.form[f"read_{kind}"]
            length, (text, stored) = entry.value, self._stored.get(f"read_{kind}", ("", None))
            if isinstance(stored, Reading) and entry.typed == text:
                found.append(replace(stored, cut=cut))
            elif length is not None:
                typed = {"value": length.typed}
                found.append(Reading(cut=cut, kind=kind, value=length.mm, unit=length.unit, typed=typed))
        return (*found, *self.grid.readings(cut), *(replace(kept, cut=cut) for kept in self._kept))

    def rows(self) -> list[dict[str, str]]:
        """Give the saved cuts as a maker would list them, newest first."""
        unit = self.unit
        doubted: dict[str, list[str]] = {}
        for suspect in self.suspects:
            doubted.setdefault(suspect.cut, []).append(
                f"{suspect.kind.replace('_', ' ')} {suspect.station or ''}".strip()
            )
        return [
            {
                "cut": cut.cut,
                "date": cut.date or "",
                "bit": cut.bit,
                "pair": cut.pair,
                "coupon": cut.coupon or "",
                f"start depth [{unit}]": units.format_number(cut.start_depth, unit),
                f"pocket depth [{unit}]": units.format_number(cut.pocket_depth, unit),
                f"relief depth [{unit}]": units.format_number(cut.relief_depth, unit),
                "readings": str(len(self.shop.readings_of(cut))),
                "outcome": cut.outcome or "",
                "suspect": "; ".join(doubted.get(cut.cut, [])),
            }
            for cut in reversed(self.shop.cuts)
        ]

    @property
    def _by(self) -> str:
        return self.form["by"].value or self.shop.habits.maker or ""

    def _coupon(self) -> Coupon | None:
        name = self.form["coupon"].value
        return self.shop.coupon(name) if name else None

    def _coupon_changed(self, change: traitlets.Bunch) -> None:
        self.grid.show(self._coupon())

    def _bit_changed(self, change: traitlets.Bunch) -> None:
        """Take pocket and relief depth from the bit's newest cut, where they are still blank."""
        last = next((cut for cut in reversed(self.shop.cuts) if cut.bit == change["new"]), None)
        for name in ("pocket_depth", "relief_depth"):
            if last is not None and not self.form[name].typed and not self.correcting:
                self._type_length(self.form[name], last, name)

    def _type_length(self, entry: LengthEntry, record: Cut | Reading, field: str) -> None:
        value = getattr(record, field)
        typed = record.typed.get(field, "")
        unit = record.unit or "mm"
        if value is None:
            entry.typed = ""
        elif typed:
            entry.typed = typed if not typed[-1].isdigit() else f"{typed} {unit}"
        else:
            entry.typed = f"{units.number_text(value, unit)} {unit}"

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        self.grid.unit = self.unit
        for new in self.new.values():
            new.set_unit(self.unit)
        for entry in (*self.form.entries.values(), self.limit):
            if isinstance(entry, LengthEntry):
                entry.unit = self.unit

    def _make_form(self) -> Form:
        lengths = {name: LengthEntry.of(Cut, name, required=name == "start_depth") for name in _DEPTHS}
        measured = {f"read_{kind}": LengthEntry.of(Reading, "value", label) for kind, label in CUT_READINGS.items()}
        angle, path = specs(Cut)["path_angle_deg"], specs(Cut)["path_length_m"]
        return Form(
            pair=ChoiceEntry("species pair", required=True, can_add=True),
            bit=ChoiceEntry("bit", required=True, can_add=True),
            coupon=ChoiceEntry("coupon", can_add=True),
            cut=Entry(words.NAME, required=True),
            date=DateEntry("date"),
            by=Entry(words.TYPED_BY),
            **lengths,
            path_angle_deg=NumberEntry("path angle", lowest=angle.low, highest=angle.high, unit="°"),
            path_length_m=NumberEntry(words.PATH_CUT, lowest=path.low, highest=path.high, unit="m"),
            **measured,
            outcome=ChoiceEntry("outcome", options=OUTCOMES),
            notes=Entry("notes"),
            photo=Entry("photo"),
            readings=self.grid,
        )


def next_name(names: Iterable[str]) -> str:
    """
    Give the name that follows the last one.

    Examples
    --------
    >>> next_name(["T01", "T09"]), next_name([]), next_name(["first", "oak"])
    ('T10', 'cut 1', 'cut 3')
    """
    kept = list(names)
    match = re.fullmatch(r"(.*?)(\d+)", kept[-1]) if kept else None
    stem, number, width = (match[1], int(match[2]), len(match[2])) if match else ("cut ", len(kept), 1)
    while True:
        number += 1
        name = f"{stem}{number:0{width}d}"
        if name not in kept:
            return name


def _suspects(fit: Fit | None, shop: Shop) -> tuple[Suspect, ...]:
    """Give the readings that the fit believes are mistakes; none where there is no fit of the log as it is."""
    from inlaylab.fitting.review import suspects

    return () if fit is None else tuple(suspects.suspects(fit, shop))
