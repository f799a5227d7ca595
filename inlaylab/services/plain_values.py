"""A record as plain JSON values: what is not a finite number becomes null."""

from __future__ import annotations

import math
from typing import Any


def plain_values(value: object) -> Any:
    """
    Turn a record into plain JSON values.

    Parameters
    ----------
    value : object
        Dictionaries, lists, tuples, arrays, numbers and texts.

    Returns
    -------
    plain : object
        Arrays are lists, numpy numbers are numbers, what is not finite is None.

    Examples
    --------
    >>> plain_values({"depths": (1.5, float("nan"))})
    {'depths': [1.5, None]}
    """
    if isinstance(value, dict):
        return {str(key): plain_values(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain_values(each) for each in value]
    if hasattr(value, "tolist"):
        return plain_values(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value
