"""The whole job by command line in a fresh folder: import, fit, ask, check, share; nothing is taken from the tree."""

import json

import pytest

STROKES = "stroke_width,land_width,unit\n0.8,2.0,mm\n3.0,3.0,mm\n0.28,0.24,in\n"
ASKED = ("--pair", "walnut-maple", "--pocket-depth", "2.5mm", "--relief-depth", "1.2mm", "--within", "0.1mm")


@pytest.fixture
def ask(inlaylab):
    """Run a command with --json; returns its one object."""

    def run(*words):
        done = inlaylab(*words, "--json")
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run


def test_a_log_without_a_fit_asks_for_one(ask, inlaylab, sample_tables, tmp_path):
    log = tmp_path / "shop.inlay"
    assert ask("import", log, sample_tables)["added"]["cuts"] == 26
    (tmp_path / "strokes.csv").write_text(STROKES)
    refused = inlaylab("advise", log, "--bit", "ninety", *ASKED, "--strokes", tmp_path / "strokes.csv", "--json")
    assert refused.returncode == 2 and refused.stdout == ""
    assert "inlaylab fit" in refused.stderr and refused.stderr.count("\n") == 1


@pytest.mark.long
def test_a_fit_is_kept_until_the_log_changes(ask, inlaylab, fitted_log, tmp_path):
    fitted = ask("fit", fitted_log)
    assert fitted["cuts"] == 26 and fitted["readings"] == 314 and fitted["seed"] == 1
    assert fitted["worst_r_hat"] <= 1.05 and fitted["smallest_ess"] >= 100
    # The planted truth lies at the top of tests/make_sample_shop.py; the much used bit is the best known one.
    sixty = fitted["bits"]["sixty"]
    assert sixty["true_angle_deg"]["q05"] - 0.2 <= 60.7 <= sixty["true_angle_deg"]["q95"] + 0.2
    assert sixty["tip_flat"]["q05"] - 0.02 <= 0.11 <= sixty["tip_flat"]["q95"] + 0.02
    assert ask("fit", fitted_log)["seconds"] == fitted["seconds"], "a log that has not changed is not fitted again"
    (tmp_path / "strokes.csv").write_text(STROKES)
    question = ("advise", fitted_log, "--bit", "ninety", *ASKED, "--strokes", tmp_path / "strokes.csv")
    assert inlaylab(*question).returncode == 0
    more = tmp_path / "more"
    more.mkdir()
    columns = "cut,bit,pair,start_depth,pocket_depth,relief_depth,outcome,unit"
    (more / "cuts.csv").write_text(f"{columns}\nT27,ninety,walnut-maple,2.3,2.5,1.2,tight,mm\n")
    assert ask("import", fitted_log, more)["added"]["cuts"] == 1
    stale = inlaylab(*question)
    assert stale.returncode == 2 and "has changed" in stale.stderr and "inlaylab fit" in stale.stderr


def test_export_imports_back_equal(ask, sample_log, tmp_path):
    ask("export", sample_log, tmp_path / "tables")
    ask("import", tmp_path / "again.inlay", tmp_path / "tables")
    ask("export", tmp_path / "again.inlay", tmp_path / "tables again")
    for path in (tmp_path / "tables").iterdir():
        assert path.read_bytes() == (tmp_path / "tables again" / path.name).read_bytes()


def test_advice_says_depth_chance_reason_and_settings(ask, inlaylab, fitted_log, tmp_path):
    (tmp_path / "strokes.csv").write_text(STROKES)
    words = ("advise", fitted_log, "--bit", "ninety", *ASKED, "--strokes", tmp_path / "strokes.csv", "--chance", "0.9")
    answer = ask(*words)
    assert 0.5 <= answer["start_depth"] <= 3.0 and answer["chance"] >= 0.9
    assert answer["low"] <= answer["start_depth"] <= answer["high"]
    assert answer["floor_gap_needed"] == pytest.approx(2.5 - answer["start_depth"])
    assert answer["held_up_by"] in {"wall", "floor", "nose", "crest", "backer", "land"} and answer["why"]
    depths = [point["start_depth"] for point in answer["curve"]]
    chances = [point["chance"] for point in answer["curve"]]
    assert depths == sorted(depths) and all(0 <= chance <= 1 for chance in chances)
    for name in ("now", "turned"):
        assert set(answer["settings"][name]) >= {"path_angle_deg", "outline_offset", "worst_glue_line", "start_depth"}
    told = inlaylab(*words, "--unit", "in").stdout
    assert "Start depth" in told and " in " in told and "Why:" in told and "Floor gap needed" in told


@pytest.mark.long
def test_a_narrower_limit_is_never_easier(ask, fitted_log, tmp_path):
    (tmp_path / "strokes.csv").write_text(STROKES)
    words = ["advise", fitted_log, "--bit", "sixty", "--pair", "walnut-maple", "--strokes", tmp_path / "strokes.csv"]
    words += ["--pocket-depth", "4mm", "--relief-depth", "1.5mm", "--within"]
    wide, narrow = ask(*words, "0.15mm")["curve"], ask(*words, "0.10mm")["curve"]
    assert all(one["chance"] >= other["chance"] for one, other in zip(wide, narrow, strict=True))


def test_predictions_cover_the_stations_of_a_new_cut(ask, fitted_log, tmp_path):
    folder = tmp_path / "planned"
    folder.mkdir()
    (folder / "cuts.csv").write_text(
        "cut,bit,pair,coupon,start_depth,pocket_depth,relief_depth,sanded_off,unit\n"
        "N1,ninety,walnut-maple,ladder,2.3,2.5,1.2,0.3,mm\nN2,ninety,walnut-maple,ladder,2.6,2.5,1.2,0.3,mm\n"
    )
    answer = ask("predict", fitted_log, "--cuts", folder)
    lines = {(row["cut"], row["station"]): row for row in answer["glue_lines"]}
    assert {station for cut, station in lines if cut == "N1"} == {f"B{n}" for n in range(1, 10)}
    levels = ("q05", "q10", "q25", "q50", "q75", "q90", "q95")
    for row in lines.values():
        quantiles = [row[level] for level in levels]
        assert quantiles == sorted(quantiles) and quantiles[0] >= 0 and 0 <= row["closed_chance"] <= 1
    # N2 starts deeper than the floor allows: the plug stands on it and every line opens by about 0.3 mm times T.
    assert lines["N2", "B8"]["q50"] - lines["N1", "B8"]["q50"] > 0.1
    assert len(answer["backer_gaps"]) == 2 and answer["fills"]


def test_check_names_the_planted_unit_slips(ask, fitted_log):
    answer = ask("check", fitted_log)
    assert answer["healthy"] is True and answer["fitted"] is True
    named = {(each["cut"], each["kind"], each["station"]) for each in answer["suspects"] if each["chance"] > 0.5}
    assert {("T05", "backer_gap", None), ("T20", "glue_line", "B8")} <= named
    assert len(named) <= 4, "sound readings must not be called mistakes"


@pytest.mark.long
def test_findings_are_one_page_without_a_network(inlaylab, fitted_log, tmp_path):
    page = tmp_path / "findings.html"
    done = inlaylab("findings", fitted_log, "--out", page)
    assert done.returncode == 0, done.stderr
    text = page.read_text(encoding="utf-8")
    assert text.lstrip().lower().startswith("<!doctype html") and "Content-Security-Policy" in text
    assert text.lower().count("<script") == 1 and '<script type="application/json"' in text, "only its tables"
    assert 'src="http' not in text and 'href="http' not in text
