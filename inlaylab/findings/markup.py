"""Pieces of a page: every foreign word is escaped where it enters the markup, and each piece has its plain words."""

from __future__ import annotations

import html
import unicodedata
from collections.abc import Iterable, Mapping, Sequence


class Part:
    """
    Markup whose foreign words are escaped, and the same as plain words.

    Parameters
    ----------
    markup : str
        HTML.
    words : str
        What it says, without markup.
    """

    def __init__(self, markup: str, words: str):
        self.markup, self.words = markup, words

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        return {"text/html": self.markup, "text/plain": self.words}


def safe_words(text: str) -> str:
    r"""
    Take out what turns the direction of reading or cannot be seen; line ends become blanks.

    Parameters
    ----------
    text : str
        Whatever a maker typed.

    Returns
    -------
    words : str
        One line.

    Examples
    --------
    >>> safe_words("oak\u202e on\nash")
    'oak on ash'
    """
    return "".join(c for c in " ".join(text.split()) if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Co"))


def escaped(value: object) -> str:
    """
    Make a foreign word safe to stand in markup.

    Parameters
    ----------
    value : object
        Shown as its text.

    Returns
    -------
    markup : str
        One line, escaped.

    Examples
    --------
    >>> escaped("<b> & c")
    '&lt;b&gt; &amp; c'
    """
    return html.escape(safe_words(str(value)))


def pairs(rows: Mapping[str, object], caption: str) -> Part:
    """
    Give names with their values, one below the other.

    Parameters
    ----------
    rows : mapping of str to object
        Value by name.
    caption : str
        What the table shows.

    Returns
    -------
    part : Part
        A table of two columns.
    """
    body = "".join(
        f'<tr><th scope="row">{escaped(name)}</th><td>{escaped(value)}</td></tr>' for name, value in rows.items()
    )
    words = "\n".join(f"{name}: {value}" for name, value in rows.items())
    return Part(f'<table class="pairs"><caption>{escaped(caption)}</caption><tbody>{body}</tbody></table>', words)


def table(rows: Sequence[Mapping[str, object]], caption: str, *, wide: bool = False) -> Part:
    """
    Give rows as a table.

    Parameters
    ----------
    rows : sequence of mapping
        Cells by column; all rows have the same columns.
    caption : str
        What the table shows.
    wide : bool
        A table of many columns is moved sideways on a narrow screen; of one with few each row becomes a small card.

    Returns
    -------
    part : Part
        A sentence where there are no rows.
    """
    if not rows:
        return Part(f"<p>{escaped(caption)}: none.</p>", f"{caption}: none")
    head = "".join(f'<th scope="col">{escaped(column)}</th>' for column in rows[0])
    body = "".join(f"<tr>{_cells(row)}</tr>" for row in rows)
    kind = "wide" if wide else "cards"
    inner = (
        f'<table class="{kind}"><caption>{escaped(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )
    markup = f'<div class="scroll" tabindex="0" role="group">{inner}</div>' if wide else inner
    return Part(markup, f"{caption}: {len(rows)} rows")


def _cells(row: Mapping[str, object]) -> str:
    return "".join(
        f'<td data-label="{html.escape(safe_words(column), quote=True)}"{_long(value)}>{escaped(value)}</td>'
        for column, value in row.items()
    )


def _long(value: object) -> str:
    """Mark a cell of many words, which may be broken into lines."""
    return ' class="long"' if len(str(value)) > 40 else ""


def bullets(lines: Iterable[str]) -> Part:
    """
    Give lines as a list.

    Parameters
    ----------
    lines : iterable of str
        One item each.

    Returns
    -------
    part : Part
        A list.
    """
    lines = list(lines)
    return Part("<ul>" + "".join(f"<li>{escaped(line)}</li>" for line in lines) + "</ul>", "\n".join(lines))
