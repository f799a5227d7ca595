"""What many shops taught together, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from inlaylab.fitting.model.beliefs import KIT
from inlaylab.wording.chances import percent
from inlaylab.wording.lengths import between, count, fine, tiny

if TYPE_CHECKING:
    from inlaylab.fitting.model.beliefs import Beliefs, Prior
    from inlaylab.services.pool import Pooled

NINE_IN_TEN = 1.6449
"""Standard deviations on either side that hold nine of ten."""
SMALLEST = 0.005
"""Ranges that end below this are told in smaller units. [mm]"""


def pooled_lines(done: Pooled, unit: str) -> list[str]:
    """
    Say what a pool learnt, and which files it could not use.

    Parameters
    ----------
    done : services.pool.Pooled
        What came of it.
    unit : str
        The reader's unit.

    Returns
    -------
    lines : list of str
    """
    beliefs = done.beliefs
    lines = [
        f"Learned from {_learned_from(beliefs)}: {done.fitted} fitted now, {done.kept} from an earlier run, "
        f"{done.stored} with a fit of their own.",
        "Middle, and the range that 9 of 10 shops are in; in brackets what the kit itself begins with:",
    ]
    lines += [f"  {line}" for line in _learned(beliefs.priors, unit)]
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
        shops, cuts = count(beliefs.shops, "shop"), count(beliefs.cuts, "cut")
        return f"It began with what {shops} know together ({cuts})."
    return "It began with the kit's own starting beliefs, which are a judgement."


def _learned_from(beliefs: Beliefs) -> str:
    cuts, readings = count(beliefs.cuts, "cut"), count(beliefs.readings, "reading")
    return f"{count(beliefs.shops, 'shop')} with {cuts} and {readings}"


def _learned(priors: Mapping[str, Prior], unit: str) -> Iterator[str]:
    for name, prior in priors.items():
        if prior.shops:
            own, before = _range(prior, unit), _range(KIT.priors[name], unit)
            yield f"{prior.meaning}: {own} ({before}); from {count(prior.shops, 'shop')}"
        else:
            yield f"{prior.meaning}: nothing to learn from; as before"


def _range(prior: Prior, unit: str) -> str:
    middle = math.log(prior.centre) if prior.kind == "log" else prior.centre
    ends = (middle, middle - NINE_IN_TEN * prior.spread, middle + NINE_IN_TEN * prior.spread)
    values = [_value(prior.kind, end) for end in ends]
    if prior.unit == "mm" and max(map(abs, values)) >= SMALLEST:
        return f"{fine(values[0], unit)}, {between(values[1], values[2], unit, 'fine')}"
    if prior.unit == "mm":
        told = [tiny(value, unit) for value in values]
    elif prior.kind == "logit":
        told = [percent(value) for value in values]
    else:
        told = [f"{value:.2f}{'°' if prior.unit == 'degrees' else ''}" for value in values]
    return f"{told[0]}, {told[1]} to {told[2]}"


def _value(kind: str, straight: float) -> float:
    if kind == "log":
        return math.exp(straight)
    return 1 / (1 + math.exp(-straight)) if kind == "logit" else straight
