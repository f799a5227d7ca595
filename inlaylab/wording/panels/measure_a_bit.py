"""What notebook 1 says of a bit, its grooves and its wear."""

from __future__ import annotations


def no_groove_yet(bit: str | None) -> str:
    """
    Say what to do where a bit was not measured yet.

    Examples
    --------
    >>> no_groove_yet(None)
    'Choose a bit first, or add a new one: the last line of the list.'
    """
    if bit is None:
        return "Choose a bit first, or add a new one: the last line of the list."
    return (
        f"No groove of {bit} is in the log yet. Cut at least two straight grooves at different depths (three or more "
        "are better) and type each above: depth as programmed, width across the top."
    )
