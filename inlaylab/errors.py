"""
Named errors, all with one shape of message: what, the value, where, what is allowed.

``InputError`` is for everything a maker (or a file) can put right; ``FitError`` for a fit that has no answer.
"""

from __future__ import annotations

import unicodedata
from typing import Any

_LONGEST_VALUE = 60


def shown(value: object, longest: int = _LONGEST_VALUE) -> str:
    r"""
    Text of a value that is safe to print: short, on one line, nothing that turns the reading direction.

    Parameters
    ----------
    value : object
        Anything; a text is put in quotes.
    longest : int
        Characters kept of a longer text: its first third and its end, where the name of a file stands.

    Returns
    -------
    text : str
        The value as it may stand in a message.

    Examples
    --------
    >>> print(shown("a\tb"), shown(1.50))
    "a\tb" 1.5
    """
    text = value if isinstance(value, str) else str(value)
    if len(text) > longest:
        text = text[: longest // 3] + "…" + text[len(text) - (longest - longest // 3) :]
    text = "".join(_visible(letter) for letter in text)
    return f'"{text}"' if isinstance(value, str) else text


def _visible(letter: str) -> str:
    group = unicodedata.category(letter)
    if group in ("Cf", "Zs"):
        return "" if group == "Cf" else " "
    return letter if letter.isprintable() else letter.encode("unicode_escape").decode("ascii")


class InlaylabError(Exception):
    """Anything that inlaylab raises on purpose."""


class InputError(InlaylabError, ValueError):
    """
    What was given cannot be used; the message says what, the value, where, and what is allowed.

    Parameters
    ----------
    what : str
        What is wrong, in a few words.
    value : object, optional
        The value that was given.
    where : str, optional
        The field, file or control it was given in.
    allowed : str, optional
        What would be accepted.
    remedy : str, optional
        What to do about it.

    Examples
    --------
    >>> print(InputError("the start depth is too large", value="900 mm", where="cut k1", allowed="0 to 100 mm"))
    the start depth is too large: "900 mm" at cut k1; allowed: 0 to 100 mm.
    >>> print(InputError("there is no drawing", remedy="open one first"))
    there is no drawing: open one first.
    """

    def __init__(
        self,
        what: str,
        *,
        value: object = None,
        where: str | None = None,
        allowed: str | None = None,
        remedy: str | None = None,
    ) -> None:
        self.what, self.value, self.where, self.allowed, self.remedy = what, value, where, allowed, remedy
        super().__init__(what)

    def __str__(self) -> str:
        value = "" if self.value is None else f": {shown(self.value)}"
        where = f" at {_plain(self.where)}" if self.where else ""
        allowed = f"; allowed: {_plain(self.allowed)}" if self.allowed else ""
        remedy = f": {_plain(self.remedy)}" if self.remedy else ""
        return f"{_plain(self.what)}{value}{where}{allowed}{remedy}".rstrip(".") + "."


def _plain(text: str) -> str:
    return shown(text, 400)[1:-1]


class LengthError(InputError):
    """A text that is not a length, or a length that can be read two ways."""


class RecordError(InputError):
    """
    A record of the bench that cannot be: ``field`` names the part at fault.

    Parameters
    ----------
    what, value, where, allowed
        As in `InputError`.
    field : str
        Name of the record's field, which is also its column in a table.
    """

    def __init__(self, what: str, *, field: str = "", **parts: Any) -> None:
        super().__init__(what, **parts)
        self.field = field


class TableError(InputError):
    """
    A table that cannot be taken: names file, row (the header is row 1) and column.

    Parameters
    ----------
    what, value, allowed
        As in `InputError`.
    file, row, column : str, int, str, optional
        Where in the tables; they make up ``where``.
    """

    def __init__(
        self,
        what: str,
        *,
        value: object = None,
        file: str = "",
        row: int | None = None,
        column: str | None = None,
        allowed: str | None = None,
    ) -> None:
        self.file, self.row, self.column = file, row, column
        places = [file, f"row {row}" if row else "", f"column {column}" if column else ""]
        super().__init__(what, value=value, where=", ".join(filter(None, places)) or None, allowed=allowed)


class DrawingError(InputError):
    """An artwork that cannot be read or is not what a drawing must be."""


class PictureError(InputError):
    """
    A picture that cannot be read, or cannot be trusted as a whole.

    Parameters
    ----------
    what, value
        As in `InputError`.
    remedy : str
        What to do about it; it ends the sentence.
    """

    def __init__(self, what: str, *, value: object = None, remedy: str) -> None:
        super().__init__(what, value=value, remedy=remedy)

    def __str__(self) -> str:
        value = "" if self.value is None else f" ({shown(self.value)})"
        return f"{_plain(self.what)}{value}: {_plain(self.remedy or '')}."


class LogError(InputError):
    """A log that cannot be opened, read or written as asked; nothing was changed."""


class StaleError(LogError):
    """
    An edit was made on rows that somebody else has changed since; neither version is lost.

    Parameters
    ----------
    what, value, where, allowed
        As in `InputError`.
    mine, theirs : object
        The record that was to be saved, and the one that is in the log now (None: deleted).
    """

    def __init__(self, what: str, *, mine: object, theirs: object, **parts: Any) -> None:
        super().__init__(what, **parts)
        self.mine, self.theirs = mine, theirs


class FitError(InlaylabError):
    """A fit that cannot answer."""


class NotConverged(FitError):  # noqa: N818 - the word says it
    """
    The sampler's chains do not agree, so no advice is taken from them.

    Parameters
    ----------
    message : str
        What did not agree and what to do about it.
    diagnostics : object, optional
        What was measured, so that it can still be shown.
    """

    def __init__(self, message: str, diagnostics: Any = None) -> None:
        super().__init__(message)
        self.diagnostics = diagnostics


class Stopped(FitError):  # noqa: N818 - the word says it
    """The fit was stopped by the maker."""


class FitMissing(FitError, InputError):  # noqa: N818 - the word says it
    """There is no stored fit for the log as it is now."""
