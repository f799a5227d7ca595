from dataclasses import replace
from importlib import import_module

import pytest

from inlaylab.bench.readings import Reading
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.store import Log
from inlaylab.log.tables import page
from inlaylab.log.tables.import_export import import_folder
from inlaylab.panels.share_findings.view import ShareFindings, _page_name


@pytest.fixture
def panel(sample_log, monkeypatch):
    made = []
    module = import_module("inlaylab.panels.share_findings.view")
    monkeypatch.setattr(module, "write", lambda log, page, **options: made.append((log, page, options)))
    shown = ShareFindings(sample_log)
    shown.made = made
    return shown


def test_what_was_chosen_is_what_is_written(panel, sample_log):
    panel.left_out["notes"].value = panel.notebook.value = True
    panel.fields["bit"].box.value = "sixty"
    panel.write.click()
    ((log, page, options),) = panel.made
    assert log == sample_log and page.name == "findings.html" and page.parent == sample_log.resolve().parent
    assert options["leave_out"] == ("notes",) and options["notebook"].name == "findings.executed.ipynb"
    assert options["pdf"] is None and options["question"].bit == "sixty"
    assert options["question"].pocket_depth == pytest.approx(4.0), "the depths of that bit's newest cut"
    assert 'data-inlaylab-file="findings.html"' in panel.where.value and not panel.write.disabled


def test_a_name_without_an_ending_is_a_page():
    assert _page_name("my page") == "my page.html"


@pytest.mark.parametrize("name", ["../page.html", "page.exe", "/page.html", ".html"])
def test_a_page_is_only_written_beside_the_log(panel, name):
    panel.fields["page"].box.value = name
    assert "ends in .html" in panel.fields["page"].beside.text
    panel.write.click()
    assert not panel.made and "Please fix" in panel.line.text


def test_a_log_without_a_fit_is_refused_in_words(sample_log):
    panel = ShareFindings(sample_log)
    panel.write.click()
    assert "no fit is stored" in panel.line.text and not panel.write.disabled
    assert not list(sample_log.parent.glob("*.html"))


def test_two_logs_side_by_side_and_merged(fitted_log, sample_log, sample_tables, tmp_path):
    stranger = tmp_path / "stranger.inlay"
    import_folder(stranger, sample_tables)
    panel = ShareFindings(fitted_log)
    two = panel.two
    two.compare.click()
    assert "Still needed: the other log or page" in two.line.text
    two.fields["other"].box.value = "nowhere.inlay"
    assert "there is no such file" in two.fields["other"].beside.text
    two.fields["other"].box.value = str(sample_log)
    two.compare.click()
    assert two.table.text == "14 rows" and "bit sixty" in two.table.value
    two.fields["other"].box.value = str(stranger)
    two.merge.click()
    assert "both.inlay now holds both logs: 26 cuts" in two.line.text
    two.merge.click()
    assert "a file of this name already" in two.line.text


@pytest.fixture
def with_friend(sample_log, tmp_path):
    """Panel 7's two logs: one cut changed in both, one reading added by the other maker."""
    friend = copy_log(sample_log, tmp_path / "friend.inlay")
    for path, depth in ((sample_log, 2.5), (friend, 2.75)):
        with Log.open(path) as log:
            cut = log.shop().cut("T06")
            log.correct(cut, replace(cut, start_depth=depth, typed={}))
    with Log.open(friend) as log:
        log.add(Reading(cut="T01", kind="plug_depth", value=5.0, unit="mm"))
    two = ShareFindings(sample_log).two
    two.fields["other"].box.value = str(friend)
    return two


def test_nothing_is_merged_until_everything_both_changed_is_chosen(with_friend, sample_log):
    box, before = with_friend.box, sample_log.read_bytes()
    assert box.children == ()
    with_friend.merge.click()
    assert "1 reading added" in box.words.text and "1 record was changed in both" in box.words.text
    assert list(box.picks) == ["cut T06"] and box.take.disabled
    table = box.children[1].value
    assert "2.500 mm" in table and "2.750 mm" in table and "the other log" in table
    box.take.click()
    assert "not chosen whose to keep" in with_friend.line.text and sample_log.read_bytes() == before
    box.picks["cut T06"].value = "theirs"
    assert not box.take.disabled
    with Log.open(sample_log) as log:
        mine = log.shop()
    box.take.click()
    with Log.open(sample_log) as log:
        assert log.shop().cut("T06").start_depth == 2.75
        assert len(log.shop().readings) == len(mine.readings) + 1
    assert "1 cut corrected" in with_friend.line.text and box.children[0].children == (box.back,)
    box.back.click()
    with Log.open(sample_log) as log:
        assert log.shop() == mine
    assert box.children == () and "taken back" in with_friend.line.text


def test_a_log_that_was_changed_meanwhile_is_looked_at_again(with_friend, sample_log):
    box = with_friend.box
    with_friend.merge.click()
    box.picks["cut T06"].value = "mine"
    with Log.open(sample_log) as log:
        log.delete(log.shop().cut("T26"))
    box.take.click()
    assert "has changed since" in with_friend.line.text
    with_friend.merge.click()
    assert box.take.disabled, "what was chosen before is forgotten"
    box.picks["cut T06"].value = "mine"
    box.take.click()
    with Log.open(sample_log) as log:
        assert log.shop().cut("T06").start_depth == 2.5 and "T26" not in {cut.cut for cut in log.shop().cuts}
    with_friend.fields["other"].box.value = "nowhere.inlay"
    assert box.children == ()


def test_a_page_is_taken_into_this_log(sample_log, tmp_path):
    with Log.open(sample_log) as log:
        shop = log.shop()
    block = page.data_block(page.tables_of(shop, None), whose="Mara", written="2026-03", said={})
    (tmp_path / "friend.html").write_bytes(page.seal(block).encode("utf-8"))
    empty = tmp_path / "mine.inlay"
    with Log.make(empty):
        pass
    two = ShareFindings(empty).two
    two.fields["other"].box.value = str(tmp_path / "friend.html")
    two.merge.click()
    assert "press “Take the page into this log”" in two.line.text
    two.take.click()
    assert "26 cuts" in two.line.text
    with Log.open(empty) as log:
        assert log.shop().fingerprint() == shop.fingerprint()
    two.take.click()
    assert "taken before" in two.line.text


def test_what_was_typed_and_ticked_comes_back_until_it_is_thrown_away(panel, sample_log):
    panel.left_out["names"].value = panel.notebook.value = True
    panel.fields["page"].box.value = "oak.html"
    panel.two.fields["prefix"].box.value = "ann"
    again = ShareFindings(sample_log)
    assert "is back in the form" in again.draft.words.text and again.state.leave_out == ("names",)
    assert again.left_out["names"].value and again.notebook.value and not again.pdf.value
    assert again.fields["page"].box.value == "oak.html" and again.two.fields["prefix"].box.value == "ann"
    again.draft.throw_away.click()
    assert again.fields["page"].box.value == "findings.html" and not again.left_out["names"].value
    assert not ShareFindings(sample_log).draft.words.text
