"""``fit --beliefs``: a fit begins from a file of starting beliefs, keeps it, and the next fit begins there too."""

import json
from dataclasses import replace

import pytest

from inlaylab.command_line import main
from inlaylab.fitting import fit as fitting
from inlaylab.fitting import stored_fit
from inlaylab.fitting.model.beliefs import KIT, Beliefs


@pytest.fixture
def asked(monkeypatch, sample_fit):
    """Catch what a fit would begin with; gives the sample shop's fit in its place."""
    seen = []

    def fit_shop(shop, *, beliefs=KIT, fingerprint="", **others):
        seen.append(beliefs)
        return replace(sample_fit, beliefs=beliefs, fingerprint=fingerprint)

    monkeypatch.setattr(fitting, "fit_shop", fit_shop)
    return seen


def pooled(path):
    priors = {**KIT.priors, "bias": replace(KIT.priors["bias"], centre=0.03, spread=0.02, shops=30)}
    beliefs = Beliefs(priors=priors, basis="pooled", shops=30, cuts=700, readings=6000)
    path.write_text(json.dumps(beliefs.record()), encoding="utf-8")
    return beliefs


@pytest.mark.long
def test_a_fit_begins_from_a_file_and_the_next_one_too(sample_log, asked, tmp_path, capsys):
    beliefs = pooled(tmp_path / "beliefs.json")
    assert main(["fit", str(sample_log), "--beliefs", str(tmp_path / "beliefs.json")]) == 0
    assert asked == [beliefs] and "what 30 shops know together" in capsys.readouterr().out
    assert stored_fit.read(sample_log).beliefs == beliefs
    assert main(["fit", str(sample_log)]) == 0
    assert len(asked) == 1 and "still good" in capsys.readouterr().out
    assert main(["fit", str(sample_log), "--force"]) == 0 and asked[-1] == beliefs
    assert main(["fit", str(sample_log), "--beliefs", "kit"]) == 0 and asked[-1] == KIT
    assert "the kit's own starting beliefs" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "can not be read"),
        ("[" * 10_000, "can not be read"),
        ("[]", "no starting beliefs"),
        ('{"format": 1, "priors": {}}', "is missing"),
        (json.dumps(KIT.record()).replace('"spread": 0.5', '"spread": -1'), "makes no sense"),
        (json.dumps(KIT.record()).replace('"bias"', '"moon"'), ""),
        (None, "can not be read"),
    ],
)
def test_a_broken_file_of_beliefs_is_refused(sample_log, tmp_path, capsys, text, words):
    path = tmp_path / "beliefs.json"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    assert main(["fit", str(sample_log), "--beliefs", str(path)]) == 2
    said = capsys.readouterr().err
    assert words in said and said.count("\n") == 1
    assert not stored_fit.path_of(sample_log).exists()
