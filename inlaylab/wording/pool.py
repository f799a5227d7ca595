"""What many shops taught together, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from inlaylab.fitting.model.beliefs import KIT

if TYPE_CHECKING:
    from inlaylab.fitting.model.beliefs import Beliefs, Prior
    from inlaylab.services.pool import Pooled

NINE_IN_TEN = 1.6449
"""Standard deviations on either side that hold nine of ten."""


def pooled_lines(done: Pooled) -> list[str]:
    """
    Say what a pool learnt, and which files it could not use.

    Parameters
    ----------
    done : services.pool.Pooled
        What came of it.

    Returns
    -------
    lines : list of str
    """
    beliefs = done.beliefs
    lines = [
        f"Learnt from {beliefs.shops} shops with {beliefs.cuts} cuts and {beliefs.readings} readings: {done.fitted} "
        f"fitted now, {done.kept} from an earlier run, {done.stored} with a fit of their own.",
        "Middle, and the range that 9 of 10 shops are in; in brackets what the kit itself begins with:",
    ]
    lines += [f"  {line}" for line in _learnt(beliefs.priors)]
    if done.passed_over:
        lines.append(f"Passed over, {len(done.passed_over)}:")
        lines += [f"  {file}: {why}" for file, why in done.passed_over]
    return lines


def began_with(beliefs: Beliefs) -> str:
    """
    Say which starting beliefs a fit began with.

    Parameters
    ----------
    beliefs : fitting.model.beliefs.Beliefs
        The fit's.

    Returns
    -------
    line : str
    """
    if beliefs.basis == "pooled":
        return f"It began with what {beliefs.shops} shops know together ({beliefs.cuts} cuts)."
    return "It began with the kit's own starting beliefs, a judgement."


def _learnt(priors: object) -> Iterator[str]:
    for name, prior in dict(priors).items():  # type: ignore[call-overload]
        if prior.shops:
            yield f"{prior.meaning}: {_range(prior)} ({_range(KIT.priors[name])}); from {prior.shops} shops"
        else:
            yield f"{prior.meaning}: nothing to learn from, as before"


def _range(prior: Prior) -> str:
    middle = math.log(prior.centre) if prior.kind == "log" else prior.centre
    ends = (middle, middle - NINE_IN_TEN * prior.spread, middle + NINE_IN_TEN * prior.spread)
    told = [f"{_value(prior.kind, end):.3g}" for end in ends]
    unit = f" {prior.unit}" if prior.unit else ""
    return f"{told[0]}{unit}, {told[1]} to {told[2]}"


def _value(kind: str, straight: float) -> float:
    if kind == "log":
        return math.exp(straight)
    return 1 / (1 + math.exp(-straight)) if kind == "logit" else straight
