"""``import``, ``export`` and ``check`` through the command line: one sentence for what cannot be, nothing written."""

import json

import pytest

from inlaylab.command_line import main


@pytest.fixture
def run(capsys):
    def ask(*words):
        status = main([str(word) for word in words])
        shown = capsys.readouterr()
        return status, shown.out, shown.err

    return ask


def test_a_bad_row_is_named_and_no_log_is_made(run, tmp_path, sample_tables):
    folder = tmp_path / "tables"
    folder.mkdir()
    for path in sample_tables.iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    cuts = (folder / "cuts.csv").read_text(encoding="utf-8").replace("T02,2026-01-18,sixty", "T02,2026-01-18,fifty")
    (folder / "cuts.csv").write_text(cuts, encoding="utf-8")
    status, out, err = run("import", tmp_path / "shop.inlay", folder, "--json")
    assert status == 2 and out == "" and err.count("\n") == 1
    assert "cuts.csv, row 3, column bit" in err and "fifty" in err
    assert not (tmp_path / "shop.inlay").exists()


def test_importing_twice_adds_nothing(run, sample_log, sample_tables):
    status, out, _ = run("import", sample_log, sample_tables, "--json")
    record = json.loads(out)
    assert status == 0 and not any(record["added"].values()) and record["already"]["cuts"] == 26


def test_a_folder_that_holds_something_is_not_written_into(run, sample_log, tmp_path):
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine")
    status, out, err = run("export", sample_log, tmp_path / "full")
    assert status == 2 and out == "" and "not empty" in err
    assert [path.name for path in (tmp_path / "full").iterdir()] == ["mine.txt"]


def test_check_tells_and_copies(run, sample_log, tmp_path):
    status, out, _ = run("check", sample_log, "--copy", tmp_path / "copy.inlay")
    assert status == 0 and "is sound" in out and "T20, station B8" in out and "inlaylab fit" in out
    status, out, _ = run("check", tmp_path / "copy.inlay", "--json")
    record = json.loads(out)
    assert record["healthy"] is True and record["suspects"] == [] and record["fitted"] is False
    assert {"where", "what"} == set(record["problems"][0])


def test_a_damaged_log_is_told_and_recovered(run, sample_log, tmp_path):
    content = bytearray(sample_log.read_bytes())
    content[4096 * 3 : 4096 * 6] = b"\xa5" * (4096 * 3)
    sample_log.write_bytes(bytes(content))
    status, out, _ = run("check", sample_log, "--recover", tmp_path / "new.inlay", "--json")
    record = json.loads(out)
    assert status == 0 and record["healthy"] is False and record["problems"]
    assert record["recovered"]["kept"]["readings"] > 0
    assert sample_log.read_bytes() == bytes(content), "the damaged file is not touched"
    status, out, _ = run("check", tmp_path / "new.inlay", "--json")
    assert json.loads(out)["healthy"] is True


@pytest.mark.parametrize("command", ["check", "fit", "export"])
def test_a_file_that_is_no_log_is_refused(run, tmp_path, command):
    path = tmp_path / "photo.jpg"
    path.write_bytes(b"\xff\xd8" + b"no log" * 100)
    words = [command, path, *([tmp_path / "out"] if command == "export" else [])]
    status, out, err = run(*words)
    assert status == 2 and out == "" and err.count("\n") == 1 and "photo.jpg" in err
