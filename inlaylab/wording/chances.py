"""Chances in words: never surer than a simulation can be."""

MOST, FEWEST = 0.995, 0.005
"""Beyond these no figure is said."""


def percent(chance: float) -> str:
    """
    Say a chance as a figure from 1 to 99%, or that it lies beyond.

    Examples
    --------
    >>> percent(0.934), percent(1.0), percent(0.001)
    ('93%', 'over 99%', 'under 1%')
    """
    if chance >= MOST:
        return "over 99%"
    if chance < FEWEST:
        return "under 1%"
    return f"{min(99, max(1, round(100 * chance)))}%"


def chance_that(chance: float, what: str) -> str:
    """
    Say how likely something is.

    Examples
    --------
    >>> chance_that(0.934, "every line is tight")
    'a 93% chance that every line is tight'
    >>> chance_that(1.0, "every line is tight")
    'almost certain that every line is tight'
    """
    if chance >= MOST:
        return f"almost certain that {what}"
    if chance < FEWEST:
        return f"almost no chance that {what}"
    figure = percent(chance)
    article = "an" if figure in ("11%", "18%") or figure.startswith("8") else "a"
    return f"{article} {figure} chance that {what}"
