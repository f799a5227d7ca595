"""The commands that tell what cuts taught, how bits wear, and who speaks."""

import pytest

from inlaylab.command_line import main

QUESTION = [
    "--bit", "bit1", "--pair", "pair1", "--pocket-depth", "4mm", "--relief-depth", "1.5mm",
    "--within", "0.15mm", "--chance", "0.5",
]  # fmt: skip


@pytest.mark.long
def test_taught_as_documented(asked):
    found = asked("taught", *QUESTION)
    assert [cut["cut"] for cut in found["cuts"]] == [f"k{n}" for n in range(1, 7)]
    told = asked("taught", *QUESTION, json_too=False)
    assert "Start depth with all cuts" in told and "k3" in told


def test_drift_with_and_without_a_question(asked):
    plain = asked("drift")
    assert plain["bits"][0]["bit"] == "bit1" and "retune" not in plain and plain["metres_per_cut"] is None
    found = asked("drift", *QUESTION, "--start-depth", "3.6mm")
    assert found["retune"]["start_depth"] == pytest.approx(3.6)
    told = asked("drift", *QUESTION, json_too=False)
    assert "Tune bit bit1 again" in told and "µm" in told


def test_a_start_depth_without_a_question_is_refused(fitted_log, capsys):
    assert main(["drift", str(fitted_log), "--start-depth", "3.6mm"]) == 2
    assert "without a question" in capsys.readouterr().err


def test_beliefs_as_documented(asked):
    found = asked("beliefs")["beliefs"]
    assert {row["speaks"] for row in found} == {"prior"}  # the draws are the prior's own
    assert "mostly the starting belief" in asked("beliefs", json_too=False)
