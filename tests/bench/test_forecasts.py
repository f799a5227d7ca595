import pytest

from inlaylab.bench.forecasts import LEVELS, Expected, Forecast
from inlaylab.errors import RecordError

MADE = {"cut": "k1", "made": "2026-03-05T10:00:00+00:00", "within": 0.1, "known": 3}


def expected(station="B1", *, levels=(0.0, 0.01, 0.02, 0.04, 0.09)):
    return Expected(station=station, filled=0.9, **dict(zip(LEVELS, levels, strict=False)))


def test_a_forecast_says_what_was_expected_and_when():
    forecast = Forecast(**MADE, chance=0.8, stations=[expected(), expected("B2")])
    assert forecast.stations[0].q50 == 0.02
    assert (forecast.chance, forecast.known) == (0.8, 3)
    assert hash(forecast) == hash(Forecast(**MADE, chance=0.8, stations=[expected(), expected("B2")]))
    assert Expected(station="B1", filled=0.5).q50 is None, "a stroke too thin to read a line at"


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: expected(levels=(0.0, 0.02, 0.01, 0.04, 0.09)), "do not rise"),
        (lambda: expected(levels=(0.0, 0.02)), "some quantiles are missing"),
        (lambda: expected(levels=(-0.1, 0, 0, 0, 0)), "too small"),
        (lambda: Forecast(**{**MADE, "made": ""}), "made is not a date"),
        (lambda: Forecast(**{**MADE, "within": 0}), "too small"),
        (lambda: Forecast(**MADE, chance=1.2), "too large"),
        (lambda: Forecast(**MADE, stations=[expected(), expected()]), "stands twice"),
    ],
)
def test_what_no_forecast_can_be_is_refused(make, words):
    with pytest.raises(RecordError, match=words):
        make()
