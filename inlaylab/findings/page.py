"""
What a findings page shows, part by part; `contents` says in which order.

Every foreign word is escaped where it enters the markup; pictures carry their words.
"""

from __future__ import annotations

import platform
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inlaylab import units
from inlaylab.findings.markup import Part, bullets, escaped, pairs, table
from inlaylab.wording.answers.start_depth import answer_lines
from inlaylab.wording.answers.suspects import looks_like
from inlaylab.wording.chances import percent
from inlaylab.wording.findings import page as words
from inlaylab.wording.lengths import angle_spread, both, count, spread
from inlaylab.wording.names import named

if TYPE_CHECKING:
    from inlaylab.bench.shop import Shop
    from inlaylab.figures.style import Picture
    from inlaylab.fitting.advice.start_depth import Advice
    from inlaylab.fitting.fit import Fit
    from inlaylab.fitting.predict.question import Question
    from inlaylab.fitting.review.suspects import Suspect


class Page:
    """
    A findings page in the making.

    Parameters
    ----------
    shop : bench.shop.Shop
        The log's records, without what is left out.
    fit : fitting.fit.Fit
        The fit of the whole log.
    question : fitting.predict.question.Question
        What is answered.
    unit : str
        The reader's unit.
    leave_out : set of str
        Words of `left_out.LEAVE_OUT`.
    written : str
        The day.
    home : path
        The log's folder, where its photos lie.
    size : (float, float), optional
        Width and height of the artwork, where they are known. [mm]
    """

    def __init__(
        self,
        shop: Shop,
        fit: Fit,
        question: Question,
        *,
        unit: str,
        leave_out: frozenset[str] = frozenset(),
        written: str = "",
        home: Path = Path(),
        size: tuple[float, float] | None = None,
    ):
        self.shop, self.fit, self.asked, self.unit = shop, fit, question, unit
        self.leave_out, self.written, self.home, self.size = leave_out, written, home, size

    @cached_property
    def advice(self) -> Advice:
        """The answer."""
        from inlaylab.fitting.advice.start_depth import advise

        return advise(self.fit, self.shop, self.asked)

    @cached_property
    def doubted(self) -> tuple[Suspect, ...]:
        """Readings that the fit believes are mistakes."""
        from inlaylab.fitting.review.suspects import suspects

        return tuple(suspects(self.fit, self.shop))

    def question(self) -> Part:
        """Say what was asked."""
        asked, unit = self.asked, self.unit
        pair, bit = self.shop.pair(asked.pair), self.shop.bit(asked.bit)
        widths = sorted({stroke.stroke_width for stroke in asked.strokes})
        narrowest, widest = (widths[0], widths[-1]) if widths else (None, None)
        rows = {
            "bit": words.sold_as(bit.bit, bit.nominal_angle_deg),
            "species pair": f"{pair.insert} into {pair.host}",
            "artwork": words.strokes(narrowest, widest, unit),
            "pocket depth": both(asked.pocket_depth, unit),
            "relief depth": both(asked.relief_depth, unit),
            words.GOOD_ENOUGH: words.good_enough(asked.within, unit),
            words.CHANCE_ASKED: percent(asked.chance),
        }
        maker = self.shop.habits.maker
        if maker:
            rows["from"] = maker
        rows["log"] = words.log_holds(len(self.shop.cuts), len(self.shop.readings), self.written)
        return pairs(rows, words.QUESTION)

    def answer(self) -> Part:
        """Say the answer, how sure it is, and why."""
        first, *rest = answer_lines(self.advice, self.unit)
        body = "".join(f"<p>{escaped(line)}</p>" for line in rest)
        return Part(f'<div class="answer"><h3>{escaped(first)}</h3>{body}</div>', "\n".join([first, *rest]))

    def sheet(self) -> Part:
        """Give the settings as a sheet to lay beside the machine."""
        from inlaylab.findings.settings_sheet import settings_sheet

        return settings_sheet(self.advice, self.shop, unit=self.unit, size=self.size)

    def worst_line_picture(self) -> Picture:
        """Draw the worst glue line against start depth."""
        from inlaylab.figures.worst_line import worst_line

        return worst_line(self.advice, unit=self.unit)

    def made_of_picture(self) -> Picture:
        """Draw what the expected worst glue line is made of."""
        from inlaylab.figures.made_of import made_of

        return made_of(self.advice.made_of, unit=self.unit)

    def section_picture(self) -> Picture:
        """Draw the section at the advised settings and the fit's middle values."""
        from inlaylab.figures.section import section
        from inlaylab.fitting.predict.likely_question import middle_values
        from inlaylab.services.by_hand.section import Section

        asked = self.asked
        halves = asked.half_widths
        widths = sorted({2 * stroke for stroke, _ in halves})
        depth = self.advice.start_depth
        settings: dict[str, Any] = middle_values(self.fit, self.shop, bit=asked.bit, pair=asked.pair)
        settings |= {"path_angle": asked.path_angle_deg} if asked.path_angle_deg else {}
        result = Section.seated(
            start_depth=depth,
            pocket_depth=asked.pocket_depth,
            relief_depth=asked.relief_depth,
            outline_offset=asked.outline_offset,
            stroke_widths=tuple(dict.fromkeys((widths[0], widths[-1]))),
            land_width=max(1.0, 2 * min(land for _, land in halves)),
            **settings,
        )
        return section(result, unit=self.unit, words=True)

    def glue_line_picture(self) -> Picture:
        """Draw the glue lines to be expected, with the readings of comparable cuts."""
        from inlaylab.figures.glue_line import glue_line
        from inlaylab.findings.comparable_cuts import band_with_readings

        band, near = band_with_readings(self.fit, self.shop, self.advice, suspects=self.doubted)
        return glue_line(band, unit=self.unit, title=near)

    def settings_picture(self) -> Picture:
        """Draw what turning the settings would gain."""
        from inlaylab.figures.settings import settings

        return settings(self.advice, unit=self.unit)

    def known_bits(self) -> Part:
        """Tabulate what the log knows of its bits."""
        rows = [
            {
                "bit": name,
                "cuts": sum(cut.bit == name for cut in self.shop.cuts),
                "true angle": angle_spread(bit["true_angle_deg"]),
                f"tip flat [{self.unit}]": spread(bit["tip_flat"], self.unit),
            }
            for name, bit in self.fit.summary()["bits"].items()
        ]
        return table(rows, words.BITS)

    def known_pairs(self) -> Part:
        """Tabulate what the log knows of its species pairs."""
        rows = [
            {
                "species pair": name,
                "cuts": sum(cut.pair == name for cut in self.shop.cuts),
                f"wall allowance [{self.unit}]": spread(pair["wall_allowance"], self.unit),
            }
            for name, pair in self.fit.summary()["pairs"].items()
        ]
        return table(rows, words.PAIRS)

    def cuts(self) -> Part:
        """Tabulate the test cuts."""
        unit, rows = self.unit, []
        doubted = {suspect.cut for suspect in self.doubted}
        for cut in self.shop.cuts:
            lines = [r for r in self.shop.readings_of(cut) if r.kind == "glue_line"]
            worst = max((r.value for r in lines if r.value is not None), default=None)
            row = {
                "cut": cut.cut,
                "date": cut.date or "",
                "bit": cut.bit,
                "pair": cut.pair,
                f"start depth [{unit}]": units.format_number(cut.start_depth, unit),
                f"pocket depth [{unit}]": units.format_number(cut.pocket_depth, unit),
                words.widest_read(unit): units.format_number(worst, unit, style="fine"),
                "closed": f"{sum(r.state == 'closed' for r in lines)} of {len(lines)}" if lines else "",
                "outcome": cut.outcome or "",
                "suspect": "yes" if cut.cut in doubted else "",
            }
            if "notes" not in self.leave_out:
                row["notes"] = cut.notes
            rows.append(row)
        filled = {name for row in rows for name, value in row.items() if value}
        rows = [{name: value for name, value in row.items() if name in filled} for row in rows]
        return table(rows, words.CUTS, wide=True)

    def suspects(self) -> Part:
        """Tabulate the readings that look like mistakes."""
        rows = [
            {
                "cut": suspect.cut,
                "reading": named(suspect.kind),
                "station": suspect.station or "",
                words.CHANCE_OF_MISTAKE: percent(suspect.chance),
                words.LOOKS_LIKE: looks_like(suspect, self.unit),
            }
            for suspect in self.doubted
        ]
        return table(rows, words.SUSPECTS)

    def residuals_picture(self) -> Picture:
        """Draw every reading against what the fit expected."""
        from inlaylab.figures.residuals import residuals
        from inlaylab.fitting.review.residuals import residuals_of

        return residuals(residuals_of(self.fit, self.shop, doubted=[s.row for s in self.doubted]), unit=self.unit)

    def forecasts(self) -> Part:
        """Say how often the kit was right in this shop."""
        from inlaylab.services.forecasts import kept_score
        from inlaylab.wording.answers.forecasts import forecast_lines

        return bullets(forecast_lines(kept_score(self.shop), self.unit))

    def forecasts_picture(self) -> Picture | Part:
        """Draw what was forecast against what was read."""
        from inlaylab.figures.forecasts import forecasts
        from inlaylab.services.forecasts import kept_score

        score = kept_score(self.shop)
        return forecasts(score, unit=self.unit) if score.lines else Part("", "")

    def photos(self) -> Part:
        """Show the photos of cuts, made small and without the data that cameras add."""
        from inlaylab.findings.photos import photo_markup, photo_of

        if "photos" in self.leave_out:
            return Part(f"<p>{words.PHOTOS_LEFT_OUT}</p>", words.PHOTOS_LEFT_OUT)
        parts = [photo_markup(cut.cut, photo_of(cut.photo, self.home)) for cut in self.shop.cuts if cut.photo]
        return Part("".join(parts) or f"<p>{words.NO_PHOTOS}</p>", count(len(parts), "photo"))

    def computed(self) -> Part:
        """Say how the answer was computed, so that someone else can compute it again."""
        from inlaylab.log.tables.page import BLANK

        fit = self.fit
        rows = {
            words.OF_PAGE: BLANK,
            words.OF_LOG: fit.fingerprint,
            "seed": fit.seed,
            "versions": ", ".join(f"{name} {version}" for name, version in self.versions.items()),
        }
        return pairs(rows | words.computed(fit), words.HEADINGS["computed"])

    @property
    def versions(self) -> dict[str, str]:
        """Versions of the programs that made the fit and the page, by name."""
        return {**self.fit.versions, "Python": platform.python_version()}

    def cautions(self) -> Part:
        """Say what to be careful of."""
        odds = words.odds(self.advice.question.chance)
        return bullets([*self.advice.warnings, words.CAUTIONS[0], odds, *words.CAUTIONS[1:]])
