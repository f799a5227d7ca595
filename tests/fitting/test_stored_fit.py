"""A fit: finds what was planted, is kept beside its log, and refuses what is not its own."""

import json
import pickle
from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest
import simulated_shop

from inlaylab.errors import FitMissing, NotConverged
from inlaylab.fitting import stored_fit
from inlaylab.fitting.fit import fit_shop
from inlaylab.fitting.model import priors
from inlaylab.fitting.sampling.diagnostics import Diagnostics
from inlaylab.fitting.stored_fit import load, path_of, read, save


def test_planted_values_lie_within_their_intervals(small_fit, planted):
    assert small_fit.converged
    checked = missed = 0
    for name in (
        "true_angle", "tip_flat", "wall_allowance", "crest_loss", "half_filled", "bias", "spread", "shortfall_mean",
        "loupe_sd", "feeler_sd", "gauge_sd", "host_zero_error", "insert_zero_error", "shortfall",
    ):  # fmt: skip
        low, high = np.quantile(small_fit.values[name], [0.005, 0.995], axis=0)
        outside = (planted.truth[name] < low) | (planted.truth[name] > high)
        checked, missed = checked + outside.size, missed + outside.sum()
    assert checked > 30 and missed <= 1  # 0.3 expected


def test_the_log_says_more_than_the_prior(small_fit, small_shop, made_fit):
    before = made_fit(small_shop)
    for name, share in (("true_angle", 0.8), ("tip_flat", 0.6), ("bias", 0.8), ("half_filled", 0.6)):
        assert (small_fit.values[name].std(axis=0) < share * before.values[name].std(axis=0)).all(), name


@pytest.mark.long
def test_outcomes_alone_teach(made_fit, question):
    # the least that is written down: bit, pair, depths, and how it came out
    from inlaylab.fitting.advice.start_depth import advise

    design = simulated_shop.small_design(gaps=(0.3, 0.25), coupons=False)
    shop = design.with_cuts([replace(cut, outcome="open", sanded_off=None, date=None) for cut in design.cuts])
    fit = fit_shop(shop)
    assert fit.converged
    after, before = (
        next(p.chance for p in advise(f, shop, question, draws=1200).curve if p.start_depth == 3.7)
        for f in (fit, made_fit(shop))
    )
    assert after < before - 0.1


def test_a_stored_fit_comes_back_whole(small_fit, tmp_path):
    log = tmp_path / "shop.inlay"
    fit = replace(small_fit, fingerprint="abc")
    path = save(fit, log)
    assert path == path_of(log) and [p.name for p in tmp_path.iterdir()] == [path.name]
    again = load(log, "abc")
    npt.assert_array_equal(again.draws, fit.draws)
    assert again.summary() == fit.summary()
    assert (again.names, again.diagnostics, again.versions) == (fit.names, fit.diagnostics, fit.versions)


def test_a_log_that_changed_wants_a_new_fit(small_fit, tmp_path):
    log = tmp_path / "shop.inlay"
    save(replace(small_fit, fingerprint="abc"), log)
    with pytest.raises(FitMissing, match=r"the log has changed since it was fitted.*run `inlaylab fit"):
        load(log, "abd")
    assert read(log).fingerprint == "abc"


def test_a_log_without_a_fit_says_what_to_do(tmp_path):
    with pytest.raises(FitMissing, match=r"no fit is stored beside the log.*run `inlaylab fit"):
        load(tmp_path / "shop.inlay", "")


class _Trap:
    def __reduce__(self):
        return (pytest.fail, ("a pickle was opened",))


def _whole(fit, **changed):
    """Arrays of a stored fit, some of them changed."""
    log_parts = {}
    with np.load(path_of(fit), allow_pickle=False) as stored:
        log_parts = {name: stored[name] for name in stored.files}
    record = json.loads(str(log_parts["record"]))
    record |= changed.pop("record", {})
    return log_parts | {"record": np.array(json.dumps(record))} | changed


DAMAGE = {
    "cut short": lambda whole, log: path_of(log).write_bytes(path_of(log).read_bytes()[:1000]),
    "empty": lambda whole, log: path_of(log).write_bytes(b""),
    "a text": lambda whole, log: path_of(log).write_text("bits: none"),
    "a pickle": lambda whole, log: path_of(log).write_bytes(pickle.dumps(_Trap())),
    "a pickle inside": lambda whole, log: np.savez(path_of(log), **whole() | {"draws": np.array([_Trap()], object)}),
    "another archive": lambda whole, log: np.savez(path_of(log), pictures=np.zeros(3)),
    "another format": lambda whole, log: np.savez(path_of(log), **whole(record={"format": 99})),
    "draws of another shop": lambda whole, log: np.savez(path_of(log), **whole(draws=np.zeros((2, 3, 4)))),
    "draws without a value": lambda whole, log: np.savez(path_of(log), **whole(draws=whole()["draws"] * np.nan)),
    "no record": lambda whole, log: np.savez(path_of(log), **whole() | {"record": np.array("{")}),
    "names missing": lambda whole, log: np.savez(path_of(log), **whole(record={"names": {}})),
    "a list for a record": lambda whole, log: np.savez(path_of(log), **whole() | {"record": np.array("[1]")}),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_or_foreign_file_is_no_fit(damage, small_fit, tmp_path):
    log = tmp_path / "shop.inlay"
    save(small_fit, log)
    DAMAGE[damage](lambda **changed: _whole(log, **changed), log)
    with pytest.raises(FitMissing, match=r"the stored fit can not be read.*run `inlaylab fit"):
        load(log, "")


def test_a_huge_file_is_not_opened(small_fit, tmp_path, monkeypatch):
    save(small_fit, tmp_path / "shop.inlay")
    monkeypatch.setattr(stored_fit, "LARGEST", 100)
    with pytest.raises(FitMissing, match="too large"):
        read(tmp_path / "shop.inlay")


def test_a_crash_while_saving_leaves_the_old_fit(small_fit, tmp_path, monkeypatch):
    log = tmp_path / "shop.inlay"
    save(replace(small_fit, fingerprint="old"), log)

    def crash(file, **parts):
        file.write(b"half")
        raise OSError("disk full")

    monkeypatch.setattr(stored_fit.np, "savez", crash)
    with pytest.raises(OSError, match="disk full"):
        save(replace(small_fit, fingerprint="new"), log)
    assert load(log, "old").seed == small_fit.seed
    assert len(list(tmp_path.iterdir())) == 1


def test_a_fit_that_did_not_converge_refuses_in_words(small_fit):
    bad = Diagnostics(worst_r_hat=1.31, smallest_ess=14.0, worst_name="wall_allowance", divergences=0, draws=800)
    fit = replace(small_fit, diagnostics=bad)
    with pytest.raises(NotConverged, match=r"do not agree yet about wall allowance.*1.310.*fit again") as refusal:
        fit.check()
    assert refusal.value.diagnostics is bad


def test_the_summary_is_what_the_command_promises(small_fit, small_shop):
    found = json.loads(json.dumps(small_fit.summary()))
    assert {"seed", "cuts", "readings", "seconds", "divergences", "worst_r_hat", "smallest_ess"} <= set(found)
    assert (found["cuts"], found["readings"]) == (6, len(small_shop.readings))
    assert set(found["bits"]) == {"bit1"} and set(found["bits"]["bit1"]) == {"true_angle_deg", "tip_flat"}
    assert set(found["pairs"]) == {"pair1", "pair2"}
    groups = [*found["bits"].values(), *found["pairs"].values(), *found["species"].values(), found["shop"]]
    for quantity in (q for group in groups for q in group.values()):
        assert quantity["q05"] < quantity["q50"] < quantity["q95"]


def test_a_fit_made_with_other_beliefs_is_not_read(small_fit, tmp_path, monkeypatch):
    # its draws are latents: with other beliefs they would stand for other millimetres
    save(small_fit, tmp_path / "shop.db")
    assert read(tmp_path / "shop.db").cuts == small_fit.cuts
    monkeypatch.setitem(priors.PRIORS, "wear_rate", replace(priors.PRIORS["wear_rate"], centre=0.01))
    with pytest.raises(FitMissing, match="made with other starting beliefs"):
        read(tmp_path / "shop.db")
