"""What the panel of notebook 2 knows: the coupon being drawn."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import traitlets

from inlaylab import units
from inlaylab.errors import InputError
from inlaylab.panels.shared.drafts import Draft
from inlaylab.panels.shared.entries import ChoiceEntry, Entry, Form, Held, NumberEntry
from inlaylab.panels.shared.length_entries import LengthEntry, LengthsEntry, change_unit
from inlaylab.panels.shared.new_things import NewThing
from inlaylab.services.desk import reader_unit
from inlaylab.services.log_session import LogSession
from inlaylab.wording.panels import make_a_coupon as words

if TYPE_CHECKING:
    from inlaylab.artwork.sheets.coupon import CouponPlan
    from inlaylab.bench.shop import Shop

MIRRORS = {
    words.SIDEWAYS: "y",
    words.LENGTHWAYS: "x",
}
GROOVES = {
    words.NO_GROOVE: False,
    words.GLUE_GROOVE: True,
}
#: Finished widths between which thin strokes usually begin to fill, where no fit says better. [mm] Ours.
THIN = (0.4, 0.9)


BLANK_PARTS = ("length", "width", "border")
USUAL_BLANK = {"mm": ("120 mm", "80 mm", "10 mm"), "in": ("5 in", "3 1/4 in", "3/8 in")}
USUAL_BLANK["thou"] = USUAL_BLANK["in"]
"""What a blank begins with in each unit; our choice, for round numbers on the ruler at hand."""


class CouponState(traitlets.HasTraits):
    """
    A coupon being drawn.

    Parameters
    ----------
    log : path
        The log.

    Attributes
    ----------
    form : panels.shared.entries.Form
        What it is drawn for.
    plan : artwork.sheets.coupon.CouponPlan or None
        The coupon.
    said : str
        Why there is none.
    thin : tuple of float
        Widths between which thin strokes are spread. [mm]
    thin_from_fit : bool
        Whether a fit of the log says so.
    """

    unit = traitlets.Unicode("mm")
    shop: Held[Shop] = Held()
    plan: Held[CouponPlan | None] = Held()
    said = traitlets.Unicode()
    thin = traitlets.Tuple(THIN)
    thin_from_fit = traitlets.Bool(False)

    def __init__(self, log: str | Path):
        super().__init__()
        self.path = Path(log)
        self._drafting = False
        self.session = LogSession(self.path)
        self.form = _coupon_form()
        self.new = {what: NewThing(what, self.form[what], self.session) for what in ("bit", "pair")}
        self.reload()
        self.unit = reader_unit(self.path, self.shop.habits.unit)
        self._begin()
        self.form["bit"].observe(self._bit_changed, "value")
        self.form["pair"].observe(self._look_at_fit, "value")
        for entry in self.form.entries.values():
            entry.observe(self._draw, ["value", "said"])
        self._look_at_fit()
        self._draw()
        self.draft = Draft(self.path, "make_a_coupon", entries=self._entries, empty=self._empty, state=self)
        self._drafting = True
        self.draft.begin()
        self.session.listen(self._heard)

    def reload(self) -> None:
        """Take the log as it is now; what is typed stays."""
        self.shop = self.session.shop
        self.form["bit"].options = tuple(bit.bit for bit in self.shop.bits)
        self.form["pair"].options = tuple(pair.pair for pair in self.shop.pairs)

    def write(self) -> str:
        """
        Write the drawings and the table into the folder that is typed.

        Raises
        ------
        InputError
            Where there is no coupon, or the folder holds such files already.
        """
        from inlaylab.artwork.sheets.coupon import write_coupon

        if self.plan is None:
            raise InputError(self.said or words.NOTHING_TO_WRITE)
        folder = self.form["folder"].value or self.plan.coupon.coupon
        files = write_coupon(self.plan, folder, mirror=MIRRORS[self.form["mirror"].value])
        return words.written(folder, (path.name for path in files))

    def add_to_log(self) -> str:
        """
        Put the coupon with its stations into the log.

        Raises
        ------
        InputError
            Where there is no coupon, or the log has one of this name.
        """
        if self.plan is None:
            raise InputError(self.said or words.NOTHING_TO_ADD)
        coupon = self.plan.coupon
        if any(known.coupon == coupon.coupon for known in self.shop.coupons):
            raise InputError(words.TAKEN, value=coupon.coupon, allowed=words.OTHER_NAME)
        with self.session.write() as log:
            log.add(coupon)
        self.reload()
        return words.added(coupon.coupon, len(coupon.stations))

    def _heard(self) -> None:
        if self.session.shop is not self.shop or self.session.opened.fit is not self._fit:
            self.reload()
            self._look_at_fit()
            self._draw()

    def _entries(self) -> dict[str, Entry]:
        """Every field that a draft keeps; the bit comes before the angle that it brings."""
        return {**self.form.entries, **self.new["bit"].entries(), **self.new["pair"].entries()}

    def _begin(self) -> None:
        form, shop, habits = self.form, self.shop, self.shop.habits
        last = shop.cuts[-1] if shop.cuts else None
        form["name"].typed = _free_name({coupon.coupon for coupon in shop.coupons})
        for name in ("pocket_depth", "relief_depth", "sanded_off"):
            value = getattr(habits, name) if getattr(habits, name) is not None else last and getattr(last, name)
            form[name].set_mm(value if value is not None else {"pocket_depth": 4.2, "relief_depth": 1.6}.get(name, 0.3))
        if last is not None:
            form["bit"].typed, form["pair"].typed = last.bit, last.pair
        self._bit_changed()

    def _empty(self) -> None:
        """Put every field back to how it stood at first."""
        for name in ("widths", "folder"):
            self.form[name].clear()
        for name, size in zip(BLANK_PARTS, USUAL_BLANK[self.unit], strict=True):
            self.form[name].typed = size
        self._begin()

    def _bit_changed(self, change: traitlets.Bunch | None = None) -> None:
        bit = next((bit for bit in self.shop.bits if bit.bit == self.form["bit"].value), None)
        if bit is not None:
            self.form["angle"].typed = f"{bit.nominal_angle_deg:g}"

    def _look_at_fit(self, change: traitlets.Bunch | None = None) -> None:
        """Ask a fit of this log which thin widths it is still unsure of, for the insert of the chosen pair."""
        self.thin, self.thin_from_fit, self._fit = THIN, False, self.session.opened.fit
        pair = next((pair for pair in self.shop.pairs if pair.pair == self.form["pair"].value), None)
        if pair is None:
            return
        if self._fit is None:
            return
        summary = self._fit.summary()
        width = summary.get("species", {}).get(pair.insert, {}).get("half_filled_width")
        if width and width["q95"] > max(0.1, width["q05"]):
            self.thin = (max(0.2, 0.9 * width["q05"]), max(0.5, 1.3 * width["q95"]))
            self.thin_from_fit = True

    def _draw(self, change: traitlets.Bunch | None = None) -> None:
        from inlaylab.artwork.sheets.coupon import design_coupon

        form = self.form
        self.plan, self.said = None, ""
        if not form.whole:
            self.said = form.needs
            return
        try:
            self.plan = design_coupon(
                name=form["name"].value,
                path_angle=form["angle"].value,
                pocket_depth=form["pocket_depth"].mm,
                relief_depth=form["relief_depth"].mm,
                length=form["length"].mm,
                width=form["width"].mm,
                border=form["border"].mm,
                widths=form["widths"].mm or None,
                thin_from=self.thin[0],
                thin_to=self.thin[1],
                sanded_off=form["sanded_off"].mm,
                unit=self.unit,
                glue_groove=GROOVES[form["groove"].value],
            )
        except InputError as refusal:
            self.said = str(refusal)

    @traitlets.observe("unit")
    def _unit_changed(self, change: traitlets.Bunch) -> None:
        for new in self.new.values():
            new.set_unit(self.unit)
        parts = [self.form[name] for name in BLANK_PARTS]
        usual = [part.typed for part in parts] in [list(sizes) for sizes in USUAL_BLANK.values()]
        with self.draft.by_itself() if self._drafting else nullcontext():
            change_unit(self.form.entries.values(), self.unit)
            if usual:
                for part, size in zip(parts, USUAL_BLANK[self.unit], strict=True):
                    part.typed = size
        self._draw()


def _coupon_form() -> Form:
    form = Form(
        name=Entry(words.NAME, required=True),
        bit=ChoiceEntry("bit"),
        angle=NumberEntry("path angle", lowest=5, highest=170, unit="°", required=True, typed="60"),
        pair=ChoiceEntry(words.PAIR),
        pocket_depth=LengthEntry("pocket depth", required=True, above=True, highest=50.0),
        relief_depth=LengthEntry("relief depth", required=True, above=True, highest=50.0),
        sanded_off=LengthEntry("sanded off", required=True, highest=5.0),
        length=LengthEntry(words.ALONG, required=True, above=True, highest=2000.0, typed=USUAL_BLANK["mm"][0]),
        width=LengthEntry(words.ACROSS, required=True, above=True, highest=2000.0, typed=USUAL_BLANK["mm"][1]),
        border=LengthEntry(words.BORDER, required=True, highest=200.0, typed=USUAL_BLANK["mm"][2]),
        widths=LengthsEntry("stroke widths"),
        groove=ChoiceEntry(words.GROOVE, options=GROOVES, required=True),
        mirror=ChoiceEntry(words.TURNED, options=MIRRORS, required=True),
        folder=Entry(words.FOLDER),
    )
    form["groove"].typed, form["mirror"].typed = next(iter(GROOVES)), next(iter(MIRRORS))
    return form


def _free_name(taken: set[str]) -> str:
    return next(name for n in range(1, 10_000) if (name := f"coupon {n}") not in taken)


def station_rows(state: CouponState) -> list[dict[str, str]]:
    """
    Give the coupon's stations, as a table shows them.

    Parameters
    ----------
    state : CouponState
        With or without a plan.

    Returns
    -------
    rows : list of dict
        Lengths in the maker's unit.
    """
    if state.plan is None:
        return []
    return [
        {
            "station": station.station,
            "kind": station.kind,
            "stroke": units.format_length(station.stroke_width, state.unit),
            "land": units.format_length(station.land_width, state.unit),
            "grain": station.grain,
            words.REACHES: "yes" if station.stroke_width > state.plan.floor_width else "no",
        }
        for station in state.plan.coupon.stations
    ]
