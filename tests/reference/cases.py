"""Cases of a test of which only a few are quick enough for every run."""

import pytest


def few_of(cases, *, quick=2):
    """All cases as parameters; those after the first few are marked long."""
    return [pytest.param(case, id=str(case), marks=[pytest.mark.long] * (n >= quick)) for n, case in enumerate(cases)]
