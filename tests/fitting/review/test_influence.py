"""What past cuts taught: leaving one out against a fit without it, contacts against the seat, residuals."""

from dataclasses import replace

import numpy as np
import pytest

from inlaylab.errors import Stopped
from inlaylab.fitting.advice.start_depth import go_by
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.review.influence import contact_chances, taught
from inlaylab.models.contacts import CONTACTS


@pytest.fixture(scope="module")
def asked(question):
    return replace(question, chance=0.6)


@pytest.fixture(scope="module")
def lesson(small_fit, small_shop, asked):
    return taught(small_fit, small_shop, asked, draws=400)


def test_every_cut_is_told(lesson, small_shop):
    assert [cut.cut for cut in lesson.cuts] == [cut.cut for cut in small_shop.cuts]
    for cut in lesson.cuts:
        assert 0 <= cut.leverage < 1 and np.isfinite(cut.tail)
        assert sum(cut.contacts.values()) == pytest.approx(1.0)
        assert cut.contacts[cut.held_up_by] == max(cut.contacts.values())
        assert cut.moved == pytest.approx(lesson.advised - cut.advised_without)
    weights = [abs(cut.moved) for cut in lesson.by_weight]
    assert weights == sorted(weights, reverse=True)


@pytest.mark.long
def test_without_a_cut_it_advises_as_a_fit_without_it(lesson, small_shop, asked, short):
    gone = lesson.by_weight[0].cut
    kept = small_shop.with_cuts(
        [cut for cut in small_shop.cuts if cut.cut != gone], [r for r in small_shop.readings if r.cut != gone]
    )
    fit = fit_shop(kept, recipe=short)
    again = go_by(fit, kept, asked)[2]
    # The most telling cut of six, by weights of a short fit against another short fit: 0.05 mm did not hold with the
    # wider belief about local openings. How far two such fits part by chance alone has not been measured yet.
    assert lesson.by_weight[0].advised_without == pytest.approx(again, abs=0.15)


def test_contacts_against_the_seat_of_the_truth(planted, small_fit, small_shop):
    chances = contact_chances(small_fit, observe(small_shop))
    right = 0
    for n in range(len(small_shop.cuts)):
        held = np.ravel(planted.section(n)[1].held_up_by)[0]
        right += chances[n][list(CONTACTS).index(held)] > 0.2
    assert right >= len(small_shop.cuts) - 1
    assert chances.sum(axis=1) == pytest.approx(1.0)


def test_a_reading_that_does_not_fit_is_the_worst_of_its_cut(spoiled, asked):
    shop, row, fit = spoiled
    reading = shop.readings[row]
    found = next(cut for cut in taught(fit, shop, asked, draws=200).cuts if cut.cut == reading.cut)
    assert found.worst_reading == f"glue_line {reading.station}"
    assert found.worst_residual < 0 and found.residual > 1


def test_it_can_be_stopped_and_written_down(small_fit, small_shop, asked, lesson):
    import json

    with pytest.raises(Stopped, match="before all cuts"):
        taught(small_fit, small_shop, asked, draws=50, stop=lambda: True)
    record = json.loads(json.dumps(lesson.to_json(), allow_nan=False))
    assert record["advised"] == lesson.advised and len(record["cuts"]) == len(small_shop.cuts)
