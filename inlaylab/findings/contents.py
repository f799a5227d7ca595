"""What stands on a findings page, in which order, and how it becomes one file or an executed notebook."""

from __future__ import annotations

import base64
import html
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from string import Template
from typing import TYPE_CHECKING, Any

from inlaylab.wording.findings.page import DOCUMENT, HEADINGS, INTRODUCTION, PICTURES, TITLE

if TYPE_CHECKING:
    from inlaylab.findings.page import Page


@dataclass(frozen=True, kw_only=True)
class Section:
    """
    One section of a page.

    Parameters
    ----------
    heading, words : str
        Its heading, and a sentence below it.
    parts : tuple of str
        Methods of `page.Page` that give its parts, in order.
    kind : str
        Name by which `template/page.css` knows it.
    """

    heading: str
    words: str = ""
    parts: tuple[str, ...]
    kind: str = "part"


SECTIONS = (
    Section(heading=HEADINGS["question"], parts=("question",)),
    Section(heading=HEADINGS["answer"], parts=("answer",)),
    Section(heading=HEADINGS["sheet"], parts=("sheet",), kind="settings"),
    Section(
        heading=HEADINGS["rests on"],
        words=PICTURES,
        parts=("settings_picture", "worst_line_picture", "made_of_picture", "section_picture", "glue_line_picture"),
    ),
    Section(heading=HEADINGS["known"], parts=("known_bits", "known_pairs")),
    Section(heading=HEADINGS["cuts"], parts=("cuts",)),
    Section(heading=HEADINGS["forecasts"], parts=("forecasts", "forecasts_picture")),
    Section(heading=HEADINGS["suspects"], parts=("suspects", "residuals_picture")),
    Section(heading=HEADINGS["photos"], parts=("photos",)),
    Section(heading=HEADINGS["computed"], parts=("computed",)),
    Section(heading=HEADINGS["cautions"], parts=("cautions",)),
)
"""Every section of a page, in order."""

#: What a page may be made of; anything else in its parts is taken out.
TAGS = set(
    [
        "section",
        "p",
        "div",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "ul",
        "li",
        "h1",
        "h2",
        "h3",
        "strong",
        "em",
        "br",
        "span",
        "figure",
        "figcaption",
        "img",
        "code",
    ]
)
ATTRIBUTES = {
    "*": {"class", "id"},
    "img": {"src", "alt"},
    "th": {"scope"},
    "td": {"data-label"},
    "div": {"tabindex", "role", "aria-label"},
}
_HERE = Path(__file__).resolve().parent


class Rendered:
    """
    A page whose parts were worked out once, ready to become a file or a notebook.

    Parameters
    ----------
    page : Page
        The page.
    """

    def __init__(self, page: Page):
        self.page = page

    @cached_property
    def bundles(self) -> dict[str, tuple[dict[str, str], dict[str, Any]]]:
        """By part, its content and what is said about it, each by the content's kind, as Jupyter has it."""
        found = {}
        for section in SECTIONS:
            for name in section.parts:
                bundle = getattr(self.page, name)()._repr_mimebundle_()
                found[name] = bundle if isinstance(bundle, tuple) else (bundle, {})
        return found

    def html(self, data: str = "") -> str:
        """
        Give the page as one file that holds no program and asks for nothing.

        Parameters
        ----------
        data : str
            The tables that it carries, as `log.tables.page.data_block` writes them.

        Returns
        -------
        page : str
            HTML; its fingerprint is still blank.
        """
        import nh3

        body = nh3.clean(
            "".join(self._sections()), tags=TAGS, attributes=ATTRIBUTES, url_schemes={"data"}, link_rel=None
        )
        template = Template((_HERE / "template" / "page.html").read_text(encoding="utf-8"))
        css = (_HERE / "template" / "page.css").read_text(encoding="utf-8")
        return template.substitute(title=DOCUMENT, css=css, body=body, data=data)

    def _sections(self) -> Iterator[str]:
        yield f"<h1>{html.escape(TITLE)}</h1><p>{html.escape(INTRODUCTION)}</p>"
        for section in SECTIONS:
            yield f'<section class="{section.kind}">'
            yield f"<h2>{html.escape(section.heading)}</h2>"
            if section.words:
                yield f"<p>{html.escape(section.words)}</p>"
            for name in section.parts:
                content, said = self.bundles[name]
                if "image/png" in content:
                    alt = html.escape(str(said["image/png"]["alt"]), quote=True)
                    data = _joined(content["image/png"])
                    yield f'<figure><img alt="{alt}" src="data:image/png;base64,{data}"></figure>'
                else:
                    yield content["text/html"]
            yield "</section>"

    def notebook(self) -> str:
        """
        Give the page as an executed notebook.

        Returns
        -------
        notebook : str
            JSON, nbformat 4.5, each part below the call that makes it.
        """
        opening = (
            'from inlaylab.findings.write import open_page\n\npage = open_page("shop.inlay")  # the log\'s own name'
        )
        cells = [_words("title", f"# {TITLE}\n\n{INTRODUCTION}"), _code("open", 1, opening)]
        for number, section in enumerate(SECTIONS, start=2):
            words = f"\n\n{section.words}" if section.words else ""
            cells.append(_words(f"heading-{number}", f"## {section.heading}{words}"))
            outputs: list[dict[str, object]] = [
                {"output_type": "display_data", "data": self.bundles[name][0], "metadata": self.bundles[name][1]}
                for name in section.parts
            ]
            source = f"display({', '.join(f'page.{name}()' for name in section.parts)})"
            cells.append(_code(f"parts-{number}", number, source, outputs))
        kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
        metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
        made = {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
        return json.dumps(made, indent=1, ensure_ascii=False) + "\n"


def _words(name: str, source: str) -> dict[str, object]:
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": source}


def _code(name: str, number: int, source: str, outputs: Sequence[Mapping[str, object]] = ()) -> dict[str, object]:
    kind = {"cell_type": "code", "id": name, "metadata": {}}
    return {**kind, "execution_count": number, "source": source, "outputs": list(outputs)}


def _joined(data: str) -> str:
    """Base64 on one line, and nothing but base64."""
    return base64.b64encode(base64.b64decode(data)).decode("ascii")
