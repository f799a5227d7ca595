"""
What a findings page shows, part by part; the findings notebook calls these in order.

Every foreign word is escaped where it enters the markup; pictures carry their words.
"""

from __future__ import annotations

import html
import json
import platform
import unicodedata
from functools import cached_property
from pathlib import Path
from typing import Any

from inlaylab import units
from inlaylab.bench.coupons import Stroke
from inlaylab.wording.advice import answer_lines
from inlaylab.wording.lengths import both

#: Said on every page, whoever it comes from.
CAUTIONS = (
    "This is what one shop's readings show, with its bits, woods and machine. Make a test cut of your own first.",
    "A chance of 90 % means that one piece in ten turns out worse.",
    "A bit that turns cuts hands: follow your machine's manual, clamp the work, keep clear until the bit stands still, "
    "and wear eye and ear protection.",
    "Wood dust harms lungs, and some woods sensitise skin: use extraction and a mask; follow local rules.",
    "Where this page and your machine's manual, the glue's instructions or local rules differ, they are right.",
)


class Part:
    """Markup whose foreign words are escaped, and the same as plain words."""

    def __init__(self, markup: str, words: str):
        self.markup, self.words = markup, words

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        return {"text/html": self.markup, "text/plain": self.words}


class Page:
    """
    A findings page in the making.

    Parameters
    ----------
    folder : path
        Holds the copied log, its fit and ``page.json`` with the choices.
    """

    def __init__(self, folder: str | Path = "."):
        from inlaylab.fitting import stored_fit
        from inlaylab.fitting.predict.question import Question
        from inlaylab.log.store import Log

        self.folder = Path(folder)
        choices = json.loads((self.folder / "page.json").read_text(encoding="utf-8"))
        self.unit, self.leave_out = choices["unit"], set(choices["leave_out"])
        self.written = choices["written"]
        with Log.open(self.folder / "log.inlay") as log:
            self.shop, fingerprint = log.shop(), log.fingerprint()
        self.fit = stored_fit.load(self.folder / "log.inlay", fingerprint)
        asked = choices["question"]
        strokes = tuple(Stroke(**stroke) for stroke in asked.pop("strokes"))
        between = tuple(asked.pop("between") or ()) or None
        self.asked = Question(**asked, strokes=strokes, between=between)

    @cached_property
    def advice(self) -> Any:
        """The answer."""
        from inlaylab.fitting.advice.start_depth import advise

        return advise(self.fit, self.shop, self.asked)

    @cached_property
    def doubted(self) -> tuple[Any, ...]:
        """Readings that the fit believes are mistakes."""
        from inlaylab.fitting.review.suspects import suspects

        return tuple(suspects(self.fit, self.shop))

    def question(self) -> Part:
        """Say what was asked."""
        asked, unit = self.asked, self.unit
        pair, bit = self.shop.pair(asked.pair), self.shop.bit(asked.bit)
        widths = sorted({stroke.stroke_width for stroke in asked.strokes})
        strokes = (
            f"strokes from {both(widths[0], unit)} to {both(widths[-1], unit)} wide" if widths else "a usual piece"
        )
        rows = {
            "bit": f"{bit.bit}, sold as {bit.nominal_angle_deg:g}°",
            "species pair": f"{pair.insert} into {pair.host}",
            "artwork": strokes,
            "pocket depth": both(asked.pocket_depth, unit),
            "relief depth": both(asked.relief_depth, unit),
            "good enough": f"every glue line within {both(asked.within, unit)}, with a chance of {asked.chance:.0%}",
        }
        maker = self.shop.habits.maker
        if maker:
            rows["from"] = maker
        rows["log"] = f"{len(self.shop.cuts)} test cuts, {len(self.shop.readings)} readings; written {self.written}"
        return _pairs(rows, "The question: which start depth?")

    def answer(self) -> Part:
        """Say the answer, how sure it is, and why."""
        first, *rest = answer_lines(self.advice, self.unit)
        body = "".join(f"<p>{html.escape(line)}</p>" for line in rest)
        return Part(f'<div class="answer"><h3>{html.escape(first)}</h3>{body}</div>', "\n".join([first, *rest]))

    def chance_picture(self) -> Any:
        """Draw the chance against start depth."""
        from inlaylab.figures.chance_curve import chance_curve

        return chance_curve(self.advice, unit=self.unit, asked=self.asked.chance)

    def section_picture(self) -> Any:
        """Draw the section at the advised settings and the fit's middle values."""
        from inlaylab.figures.section import Section, section
        from inlaylab.fitting.predict.likely_question import middle_values

        asked = self.asked
        halves = asked.half_widths
        widths = sorted({2 * stroke for stroke, _ in halves})
        depth = self.advice.start_depth if self.advice.start_depth is not None else asked.span[0]
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

    def glue_line_picture(self) -> Any:
        """Draw the glue lines to be expected, with the readings of comparable cuts."""
        from inlaylab.figures.glue_line import glue_line
        from inlaylab.findings.comparable_cuts import band_with_readings

        band, near = band_with_readings(self.fit, self.shop, self.advice, suspects=self.doubted)
        return glue_line(band, unit=self.unit, title=near)

    def settings_picture(self) -> Any:
        """Draw what turning the settings would gain."""
        from inlaylab.figures.settings import settings

        return settings(self.advice, unit=self.unit)

    def known(self) -> Part:
        """Tabulate what the log knows of its bits and pairs."""
        summary, unit = self.fit.summary(), self.unit
        rows = []
        for name, bit in summary["bits"].items():
            rows.append(
                {
                    "what": f"bit {name}",
                    "cuts": sum(cut.bit == name for cut in self.shop.cuts),
                    "true angle": _spread(bit["true_angle_deg"], lambda value: f"{value:.2f}°"),
                    "tip flat": _spread(bit["tip_flat"], lambda value: units.format_length(value, unit)),
                    "wall allowance": "",
                }
            )
        for name, pair in summary["pairs"].items():
            rows.append(
                {
                    "what": f"pair {name}",
                    "cuts": sum(cut.pair == name for cut in self.shop.cuts),
                    "true angle": "",
                    "tip flat": "",
                    "wall allowance": _spread(pair["wall_allowance"], lambda v: units.format_length(v, unit)),
                }
            )
        return _table(rows, "Middle value, and the interval that holds it nine times in ten")

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
                f"widest line read [{unit}]": units.format_number(worst, unit, style="fine"),
                "closed": f"{sum(r.state == 'closed' for r in lines)} of {len(lines)}" if lines else "",
                "outcome": cut.outcome or "",
                "suspect": "yes" if cut.cut in doubted else "",
            }
            if "notes" not in self.leave_out:
                row["notes"] = cut.notes
            rows.append(row)
        return _table(rows, "Test cuts, in the order in which they were logged")

    def suspects(self) -> Part:
        """Tabulate the readings that look like mistakes."""
        rows = [
            {
                "cut": suspect.cut,
                "reading": suspect.kind.replace("_", " "),
                "station": suspect.station or "",
                "chance of a mistake": f"{suspect.chance:.0%}",
                "what it looks like": suspect.cure,
            }
            for suspect in self.doubted
        ]
        return _table(rows, "Readings that the fit believes are mistakes; they were kept from bending the answer")

    def residuals_picture(self) -> Any:
        """Draw every reading against what the fit expected."""
        from inlaylab.figures.residuals import Residual, residuals

        return residuals(Residual.all_of(self.fit, self.shop, self.doubted), unit=self.unit)

    def photos(self) -> Part:
        """Show the photos of cuts, made small and without the data that cameras add."""
        from inlaylab.findings.photos import photo_markup

        if "photos" in self.leave_out:
            return Part("<p>Photos were left out.</p>", "Photos were left out.")
        shown = [(cut, self.folder / "photos" / cut.photo) for cut in self.shop.cuts if cut.photo]
        parts = [photo_markup(cut.cut, path) for cut, path in shown]
        return Part("".join(parts) or "<p>There are none.</p>", f"{len(parts)} photos")

    def computed(self) -> Part:
        """Say how the answer was computed, so that someone else can compute it again."""
        fit = self.fit
        rows = {
            "fingerprint of the log": fit.fingerprint,
            "seed": fit.seed,
            "learnt from": f"{fit.cuts} cuts, {fit.readings} readings, in {fit.seconds:.0f} s",
            "chains agree to": f"R-hat {fit.worst_r_hat:.3f}; at least {fit.smallest_ess:.0f} independent draws; "
            f"{fit.divergences} divergences",
            "versions": ", ".join(f"{name} {version}" for name, version in fit.versions.items())
            + f", Python {platform.python_version()}",
            "again": "inlaylab fit LOG --seed " + str(fit.seed) + ", then inlaylab findings LOG --out FILE.html",
        }
        return _pairs(rows, "How it was computed")

    def cautions(self) -> Part:
        """Say what to be careful of."""
        own = [*self.advice.warnings, *CAUTIONS]
        items = "".join(f"<li>{html.escape(line)}</li>" for line in own)
        return Part(f"<ul>{items}</ul>", "\n".join(own))


def safe_words(text: str) -> str:
    r"""
    Take out what turns the direction of reading or cannot be seen; line ends become blanks.

    Examples
    --------
    >>> safe_words("oak\u202e on\nash")
    'oak on ash'
    """
    return "".join(c for c in " ".join(text.split()) if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co"))


def _spread(quantiles: dict[str, float], write: Any) -> str:
    return f"{write(quantiles['q50'])} ({write(quantiles['q05'])} to {write(quantiles['q95'])})"


def _pairs(rows: dict[str, Any], caption: str) -> Part:
    body = "".join(
        f'<tr><th scope="row">{html.escape(name)}</th><td>{html.escape(safe_words(str(value)))}</td></tr>'
        for name, value in rows.items()
    )
    words = "\n".join(f"{name}: {value}" for name, value in rows.items())
    return Part(f"<table><caption>{html.escape(caption)}</caption><tbody>{body}</tbody></table>", words)


def _table(rows: list[dict[str, Any]], caption: str) -> Part:
    """Give rows as a table; pandas escapes every word of it."""
    import pandas as pd

    if not rows:
        return Part(f"<p>{html.escape(caption)}: none.</p>", f"{caption}: none")
    frame = pd.DataFrame([{key: safe_words(str(value)) for key, value in row.items()} for row in rows])
    body = frame.to_html(index=False, escape=True, border=0, na_rep="").replace("<th>", '<th scope="col">')
    body = body.replace('<tr style="text-align: right;">', "<tr>")
    head, _, rest = body.partition(">")
    markup = f'<div class="scroll" tabindex="0">{head}><caption>{html.escape(caption)}</caption>{rest}</div>'
    return Part(markup, f"{caption}: {len(rows)} rows")
