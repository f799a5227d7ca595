"""A pool of logs, folders and pages: each shop once, broken ones named, finished ones kept, stopped runs taken up."""

import json
import shutil
from dataclasses import replace

import numpy as np
import pytest

from inlaylab.command_line import main
from inlaylab.errors import InputError, NotConverged, Stopped
from inlaylab.fitting.model.beliefs import KIT, SHOP, Beliefs
from inlaylab.fitting.pool.evidence import ALONE, Evidence
from inlaylab.log.store import Log
from inlaylab.log.tables import page
from inlaylab.log.tables.import_export import export_folder, import_folder
from inlaylab.services.pool import pool

CALLS = []


def work(shop, fingerprint, seed):
    """Stands for a fit: what it says follows from the shop alone."""
    CALLS.append(fingerprint)
    if any(cut.start_depth == 0.777 for cut in shop.cuts):
        raise NotConverged("the chains do not agree")
    bits = len(shop.bits)
    members = (bits, len(shop.pairs), 2, 2)
    size = len(ALONE) + sum(members)
    values = np.random.default_rng(int(fingerprint[:8], 16)).standard_normal(size)
    return Evidence(
        fingerprint=fingerprint,
        cuts=len(shop.cuts),
        readings=len(shop.readings),
        members=members,
        precision=9 * np.eye(size),
        pull=9 * values,
        left=np.full(len(SHOP), 0.1),
        angle_precision=np.full(bits, 9.0),
        angle_pull=np.full(bits, 4.0),
        began=KIT.figures(),
    )


@pytest.fixture(scope="module")
def client():
    distributed = pytest.importorskip("distributed")
    how = {"n_workers": 2, "threads_per_worker": 1, "processes": False, "dashboard_address": None}
    with distributed.LocalCluster(**how) as cluster, distributed.Client(cluster) as client:
        yield client


@pytest.fixture
def shops(small_tables, tmp_path):
    """A log, a folder and a page of three shops, the page's again, one whose fit fails, and two broken files."""
    folder = tmp_path / "shops"
    folder.mkdir()
    made = []
    for n, depth in enumerate((2.0, 2.1, 2.2, 0.777)):
        log = folder / f"{n}.inlay"
        import_folder(log, small_tables)
        with Log.open(log) as opened:
            cut = opened.shop().cuts[0]
            opened.correct(cut, replace(cut, start_depth=depth, typed={}))
            files = page.tables_of(opened.shop(), None)
        made.append((log, files))
    export_folder(made[1][0], folder / "tables")
    text = page.seal(page.data_block(made[2][1], whose="", written="2026-03", said={}))
    (folder / "page.html").write_text(text, encoding="utf-8", newline="")
    (folder / "edited.html").write_text(text + " ", encoding="utf-8", newline="")
    (folder / "no.inlay").write_text("not a log", encoding="utf-8")
    names = ("0.inlay", "tables", "page.html", "2.inlay", "3.inlay", "edited.html", "no.inlay", "nowhere.inlay")
    CALLS.clear()
    return [folder / name for name in names]


@pytest.fixture(scope="module")
def small_tables(sample_tables, tmp_path_factory):
    """The sample shop with its first cuts alone."""
    folder = tmp_path_factory.mktemp("small") / "tables"
    shutil.copytree(sample_tables, folder)
    lines = (folder / "readings.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "readings.csv").write_text("".join(lines[:20]), encoding="utf-8")
    return folder


@pytest.mark.long
def test_each_shop_once_and_what_is_broken_is_named(shops, client, tmp_path):
    said = []
    done = pool(shops, tmp_path / "b.json", client=client, work=work, progress=lambda *words: said.append(words))
    assert (done.fitted, done.kept, done.beliefs.shops) == (3, 0, 3) and len(CALLS) == 4
    why = {file.rsplit("/", 1)[1]: reason for file, reason in done.passed_over}
    assert "same shop" in why["2.inlay"] and "do not agree" in why["3.inlay"]
    assert "changed after" in why["edited.html"] and set(why) == {f.name for f in shops[3:]}
    assert Beliefs.read(tmp_path / "b.json") == done.beliefs
    shares = [words[0] for words in said]
    assert shares == sorted(shares) and shares[-1] == 1.0


def test_nothing_of_a_single_shop_is_in_the_file(shops, client, tmp_path):
    pool(shops, tmp_path / "b.json", client=client, work=work)
    record = json.loads((tmp_path / "b.json").read_text(encoding="utf-8"))
    assert set(record) == {"format", "basis", "made_by", "shops", "cuts", "readings", "priors"}
    text = json.dumps(record)
    for word in ("ladder", "sixty", "T01", "walnut", 'inlay"', "page.html"):
        assert word not in text


def test_a_run_goes_on_where_it_was_stopped_and_gives_the_same(shops, client, tmp_path):
    fits = tmp_path / "b.json.fits"  # the shop whose fit fails may be the first to end: then nothing is kept yet
    with pytest.raises(Stopped, match=r"1 fits are kept in b\.json\.fits"):
        pool(shops, tmp_path / "b.json", client=client, work=work, stop=fits.exists)
    assert not (tmp_path / "b.json").exists() and len(list((tmp_path / "b.json.fits").iterdir())) == 1
    done = pool(shops, tmp_path / "b.json", client=client, work=work)
    assert done.kept + done.fitted == 3 and done.kept >= 1
    pool(shops[::-1], tmp_path / "c.json", client=client, work=work)
    assert (tmp_path / "c.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    spoiled = next((tmp_path / "b.json.fits").iterdir())
    spoiled.write_text("{}", encoding="utf-8")
    again = pool(shops, tmp_path / "b.json", client=client, work=work)
    assert (again.kept, again.fitted) == (2, 1), "what is kept but broken is made again"


def test_the_fit_stored_beside_a_log_is_taken(fitted_log, shops, client, tmp_path):
    done = pool([fitted_log, *shops[:1]], tmp_path / "b.json", client=client, work=work)
    assert (done.stored, done.fitted) == (1, 1)


def test_refusals(shops, tmp_path, capsys):
    with pytest.raises(InputError, match="two at least"):
        pool([shops[-1]], tmp_path / "b.json")
    assert main(["pool", str(shops[0]), "--out", str(tmp_path / "b.txt")]) == 2
    assert "ends in .json" in capsys.readouterr().err
    with pytest.raises(InputError, match="no Dask scheduler answers"):
        pool(shops[:3], tmp_path / "b.json", dask="nonsense://x")
