"""Logs of every earlier schema open, after a copy was put beside them; newer ones are never changed."""

import hashlib
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from inlaylab.errors import LogError
from inlaylab.log import health
from inlaylab.log.file import migrations, opening
from inlaylab.log.store import Log
from inlaylab.log.tables import import_export

OLD = sorted((Path(__file__).parents[2] / "data" / "old_logs").glob("version_*.sql"))
COLUMNS = {
    "bits": "id bit nominal_angle_deg tip_flat cutting_diameter notes deleted typed extra unit origin",
    "grooves": "id bit date depth width deleted typed extra unit origin",
    "pairs": "id pair host insert deleted typed extra unit origin",
    "coupons": "id coupon stations deleted typed extra unit layout",
    "cuts": "id cut date bit pair coupon start_depth pocket_depth relief_depth sanded_off path_angle_deg "
    "outline_offset pass_spacing path_length_m outcome notes photo deleted typed extra unit picture origin",
    "readings": "id cut kind station value limit state deleted typed extra unit method sd origin",
    "forecasts": "id cut made within chance known stations origin deleted",
    "changes": "id at by what undoes taken_back_by session merged",
    "history": "id change of_table row_id before after",
    "habits": "id pocket_depth relief_depth sanded_off tight_below hairline_below loupe_limit maker "
    "deleted typed extra unit",
}


def old_log(script, path):
    with closing(sqlite3.connect(path)) as made:
        made.executescript(script.read_text(encoding="utf-8"))
    return path


def content(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_there_is_a_fixture_for_every_earlier_version():
    assert [script.stem for script in OLD] == [f"version_{n}" for n in range(1, migrations.VERSION)]


def test_a_new_log_has_every_table_and_column(tmp_path):
    path = tmp_path / "new.db"
    Log.make(path).close()
    with closing(sqlite3.connect(path)) as made:
        names = {name for (name,) in made.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        assert names == set(COLUMNS)
        for table, columns in COLUMNS.items():
            assert [row[1] for row in made.execute(f"PRAGMA table_info({table})")] == columns.split()
        assert migrations.version_of(made) == migrations.VERSION
        assert made.execute("PRAGMA application_id").fetchone()[0] == migrations.APPLICATION_ID


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
def test_an_old_log_opens_with_all_it_held_and_a_copy_beside_it(script, tmp_path, small_shop):
    path = old_log(script, tmp_path / "shop.db")
    version = int(script.stem.removeprefix("version_"))
    assert health.check_file(path) == ()
    with Log.open(path) as log:
        assert log.shop() == small_shop
        assert len(log.history()) >= 1
        assert migrations.version_of(log._connection) == migrations.VERSION
    copy = tmp_path / f"shop.version-{version}.db"
    with closing(sqlite3.connect(copy)) as old:
        assert migrations.version_of(old) == version
        assert old.execute("SELECT count(*) FROM cuts").fetchone()[0] == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["shop.db", copy.name]
    with Log.open(path) as log:
        assert log.shop() == small_shop
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
def test_an_old_log_and_a_new_one_have_the_same_schema(script, tmp_path):
    path = old_log(script, tmp_path / "old.db")
    Log.open(path).close()
    Log.make(tmp_path / "new.db").close()
    schemas = []
    for each in (path, tmp_path / "new.db"):
        with closing(sqlite3.connect(each)) as opened:
            schemas.append(sorted(opened.execute("SELECT type, name, sql FROM sqlite_master").fetchall()))
    assert schemas[0] == schemas[1]


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
@pytest.mark.parametrize("statement", ["CREATE TABLE cuts (id)", "no statement", "INSERT INTO nowhere VALUES (1)"])
def test_a_migration_that_fails_leaves_the_old_file_as_it_was(script, statement, tmp_path, monkeypatch, small_shop):
    path = old_log(script, tmp_path / "shop.db")
    before = content(path)
    with monkeypatch.context() as patch:
        patch.setattr(migrations, "STEPS", (*migrations.STEPS, (statement,)))
        patch.setattr(migrations, "VERSION", migrations.VERSION + 1)
        with pytest.raises(LogError, match="nothing was saved"):
            Log.open(path)
    assert content(path) == before
    with Log.open(path) as log:
        assert log.shop() == small_shop


def test_a_copy_is_never_written_over(tmp_path):
    path = old_log(OLD[0], tmp_path / "shop.db")
    (tmp_path / "shop.version-1.db").write_text("mine")
    Log.open(path).close()
    assert (tmp_path / "shop.version-1.db").read_text() == "mine"
    assert (tmp_path / "shop.version-1-2.db").exists()


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
def test_an_old_log_that_cannot_be_written_is_read_as_it_is(script, tmp_path, monkeypatch, small_shop):
    path = old_log(script, tmp_path / "shop.db")
    before = content(path)
    monkeypatch.setattr(opening, "may_be_written", lambda path: False)
    with Log.open(path) as log:
        assert log.read_only
        assert log.shop() == small_shop
    assert content(path) == before
    assert [p.name for p in tmp_path.iterdir()] == ["shop.db"]


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
def test_what_an_old_log_remembers_can_still_be_taken_back(script, tmp_path, small_shop):
    path = old_log(script, tmp_path / "shop.db")
    with Log.open(path) as log:
        while log.undo():
            pass
        assert log.shop().cuts == ()
        first = log.history()[-1]
        log.redo()
        assert first.what == "filled" and log.shop() == small_shop


@pytest.mark.parametrize("script", OLD, ids=lambda script: script.stem)
def test_an_extra_column_whose_name_has_a_meaning_by_now_is_kept_under_another(script, tmp_path, small_shop):
    path = old_log(script, tmp_path / "shop.db")
    with closing(sqlite3.connect(path)) as old:
        old.execute(
            """UPDATE readings SET extra = '{"method": "caliper", "sd": "0.1", "light": "raking"}' WHERE id = 1"""
        )
        old.execute("""UPDATE cuts SET extra = '{"picture": "k1.jpg"}' WHERE id = 1""")
        old.commit()
    assert health.check_file(path) == ()
    with Log.open(path) as log:
        shop = log.shop()
    assert shop.readings[0].extra == {"method (as noted)": "caliper", "sd (as noted)": "0.1", "light": "raking"}
    assert (shop.readings[0].method, shop.cuts[0].picture) == (None, "")
    assert shop.cuts[0].extra == {"picture (as noted)": "k1.jpg"}
    assert shop.fingerprint() == small_shop.fingerprint()


def newer(path):
    with closing(sqlite3.connect(path)) as log:
        log.execute(f"PRAGMA user_version = {migrations.VERSION + 7}")
        log.execute("PRAGMA journal_mode = DELETE")
    return path


@pytest.mark.parametrize(
    "use",
    [
        lambda path, folder: Log.open(path),
        lambda path, folder: health.check_file(path),
        lambda path, folder: import_export.export_folder(path, folder / "out"),
        lambda path, folder: import_export.import_folder(path, folder / "tables"),
    ],
    ids=["open", "check", "export", "import"],
)
def test_a_newer_log_is_refused_by_name_and_never_changed(use, log_path, tables, tmp_path):
    path = newer(log_path)
    before = content(path)
    with pytest.raises(LogError, match=f"newer inlaylab.*version: {migrations.VERSION + 7}.*allowed: up to version"):
        use(path, tmp_path)
    assert content(path) == before
    assert not (tmp_path / "out").exists()


def test_a_newer_version_that_stands_only_in_the_wal_is_noticed(log_path):
    with closing(sqlite3.connect(log_path)) as other:
        other.execute(f"PRAGMA user_version = {migrations.VERSION + 1}")
        with pytest.raises(LogError, match="newer inlaylab"):
            Log.open(log_path)
