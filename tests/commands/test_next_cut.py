"""The command that says what to measure next."""

import pytest

QUESTION = [
    "--bit", "bit1", "--pair", "pair1", "--pocket-depth", "4mm", "--relief-depth", "1.5mm",
    "--within", "0.15mm", "--chance", "0.5",
]  # fmt: skip


@pytest.mark.long
def test_next_cut_as_documented(asked):
    found = asked("next-cut", *QUESTION)
    assert found["measure"] in {"cut", "tip_flat", "groove", "depth_gauge"}
    assert isinstance(found["enough"], bool) and found["expected_gain"] >= 0
    assert {c["measure"] for c in found["candidates"]} == {"cut", "tip_flat", "groove", "depth_gauge"}
    told = asked("next-cut", *QUESTION, "--unit", "in", json_too=False)
    assert found["why"].split(",")[0] in told and " in " in told and "a test cut on ladder" in told
