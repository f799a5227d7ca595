import dataclasses
import json
import re
from html.parser import HTMLParser

import nbformat
import pytest

from inlaylab import findings
from inlaylab.bench.bits import Groove
from inlaylab.bench.cuts import Cut
from inlaylab.bench.shop import Shop
from inlaylab.errors import FitMissing, InputError
from inlaylab.findings.left_out import without
from inlaylab.findings.photos import photo_markup, photo_of
from inlaylab.log.store import Log
from inlaylab.log.tables.page_import import import_page

HOSTILE = (
    "<script>alert(1)</script>",
    '<img src=x onerror="alert(1)">',
    '<meta http-equiv="refresh" content="0; url=http://example.invalid">',
    "</td></table></main><style>*{display:none}</style>",
    "$x^2$ [link](javascript:alert(1)) \u202etxet",
    '{{ 7 * 7 }} {% include "x" %} <svg/onload=alert(1)>',
)


@pytest.fixture(scope="module")
def pages(_sample_log_once, _sample_fit_once, tmp_path_factory):
    """One page of everything and one with things left out, each written once; the log has hostile notes in it."""
    from inlaylab.fitting import stored_fit
    from inlaylab.log.file.rescue import copy_log

    folder = tmp_path_factory.mktemp("pages")
    log_path = copy_log(_sample_log_once, folder / "shop.inlay")
    with Log.open(log_path) as log:
        for cut, note in zip(log.shop().cuts, HOSTILE, strict=False):
            log.correct(cut, dataclasses.replace(cut, notes=note, photo=f"photos/{cut.cut}.png"))
        log.set_habits(dataclasses.replace(log.shop().habits, maker="Mara & Theo <b>"))
        habits_matter = log.fingerprint() == _sample_fit_once.fingerprint
    assert habits_matter, "notes, photos and names are no matter of the fit"
    (folder / "photos").mkdir()
    _photo(folder / "photos" / "T01.png")
    stored_fit.save(_sample_fit_once, log_path)
    whole = findings.write(log_path, folder / "whole.html", notebook=folder / "whole.ipynb")
    bare = findings.write(log_path, folder / "bare.html", leave_out=("names", "notes", "photos", "days"), unit="in")
    return {"whole": whole.read_text(encoding="utf-8"), "bare": bare.read_text(encoding="utf-8"), "folder": folder}


def _photo(path):
    from PIL import Image
    from PIL.PngImagePlugin import PngInfo

    said = PngInfo()
    said.add_text("Comment", "51.5N taken at my home")
    Image.new("RGB", (1600, 900), "#a05020").save(path, pnginfo=said)


@pytest.mark.long
@pytest.mark.parametrize(
    "part",
    [
        "Start depth ",
        "chance asked for",
        "Floor gap needed",
        "Why: ",
        "Test cuts, in the order",
        "looks like inches typed as millimetres",
        "fingerprint of the log",
        "R-hat",
        "versions",
        "numpy ",
        "Your machine's manual",
        "from",
    ],
)
def test_a_page_says_what_someone_else_needs(pages, part):
    assert part in pages["whole"]


class Seen(HTMLParser):
    """What a browser would make of a page: its tags with their attributes, and its words."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.words = [], ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words += data


def test_a_page_holds_no_program_and_asks_for_nothing(pages):
    for name in ("whole", "bare"):
        seen = Seen(pages[name])
        tags = {tag for tag, _ in seen.tags}
        assert [given for tag, given in seen.tags if tag == "script" and given.get("type") != "application/json"] == []
        assert not tags & {"iframe", "object", "embed", "link", "form", "svg", "base"}
        for _, given in seen.tags:
            assert not [key for key in given if key.startswith("on")]
            for key in ("src", "href"):
                assert given.get(key, "data:image/").startswith("data:image/")
        policy = [given["content"] for tag, given in seen.tags if given.get("http-equiv") == "Content-Security-Policy"]
        assert len(policy) == 1 and policy[0].startswith("default-src 'none'")


def test_hostile_notes_stay_text(pages):
    seen = Seen(pages["whole"])
    for note in HOSTILE[:4]:
        assert note in seen.words
    assert "{{ 7 * 7 }}" in seen.words and "\u202e" not in pages["whole"]
    assert [tag for tag, _ in seen.tags].count("style") == 1
    assert [given.get("http-equiv") for tag, given in seen.tags if tag == "meta"].count("refresh") == 0
    assert "Mara & Theo <b>" in seen.words


def test_every_picture_says_what_is_to_be_seen(pages):
    words = re.findall(r'<img alt="([^"]*)"', pages["whole"]) or re.findall(r'alt="([^"]*)"', pages["whole"])
    assert len(words) >= 5 and all(len(each) > 10 for each in words)


def test_what_is_left_out_is_not_there(pages):
    bare, whole = pages["bare"], pages["whole"]
    assert "Mara" in whole and "Mara" not in bare and "Theo" not in re.sub('base64,[^"]*', "", bare)
    assert "alert(1)" in whole and "alert(1)" not in bare
    assert "image/jpeg" in whole and "image/jpeg" not in bare and "Photos were left out" in bare


def test_the_unit_can_be_chosen(pages):
    assert re.search(r"Start depth \d\.\d\d mm", pages["whole"]) and re.search(
        r"Start depth 0\.\d{3} in", pages["bare"]
    )


def test_a_page_is_small(pages):
    assert len(pages["bare"]) < 600_000


def test_the_executed_notebook_holds_the_same_answer(pages):
    cells = json.loads((pages["folder"] / "whole.ipynb").read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    nbformat.validate(nbformat.from_dict(json.loads((pages["folder"] / "whole.ipynb").read_text(encoding="utf-8"))))
    assert len(code) <= 12 and not any(o["output_type"] == "error" for cell in code for o in cell["outputs"])
    told = "".join("".join(o.get("data", {}).get("text/plain", "")) for cell in code for o in cell["outputs"])
    depth = re.search(r"Start depth (\d\.\d\d mm)", pages["whole"]).group(1)
    assert f"Start depth {depth}" in told


def test_a_photo_loses_what_the_camera_wrote(tmp_path):
    _photo(tmp_path / "a.png")
    markup = photo_markup("T<01>", tmp_path / "a.png")
    assert "my home" not in markup and "T&lt;01&gt;" in markup and markup.count("data:image/jpeg") == 1
    assert "not found" in photo_markup("T02", photo_of("b.png", tmp_path))
    assert (
        photo_of("../a.png", tmp_path / "in") is None and photo_of("a.png", tmp_path) == (tmp_path / "a.png").resolve()
    )


def test_a_photo_outside_the_logs_folder_stays_there(tmp_path):
    with pytest.raises(InputError, match="leads out of the log's folder"):
        Cut(cut="k", bit="b", pair="p", start_depth=1, pocket_depth=2, relief_depth=1, photo="../secret.png")


def test_a_log_without_a_fit_is_refused_and_nothing_is_written(sample_log, tmp_path):
    with pytest.raises(FitMissing, match="no fit is stored"):
        findings.write(sample_log, tmp_path / "page.html")
    assert not (tmp_path / "page.html").exists()


@pytest.mark.parametrize(
    ("name", "options", "words"),
    [
        ("page.txt", {}, "ends in .html"),
        ("nowhere/page.html", {}, "a folder that is there"),
        ("page.html", {"leave_out": ["money"]}, "names, notes, photos, days"),
    ],
)
def test_refusals(sample_log, tmp_path, name, options, words):
    with pytest.raises(InputError, match=words):
        findings.write(sample_log, tmp_path / name, **options)


def test_a_pdf_is_printed_where_there_is_a_browser(pages, tmp_path):
    from inlaylab.findings.write import find_browser, print_page

    browser = find_browser()
    if browser is None:
        pytest.skip("no Chromium to print with")
    print_page(pages["folder"] / "bare.html", tmp_path / "page.pdf", browser=browser)
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")


def test_the_tables_it_carries_are_the_log_but_for_what_was_left_out(pages, tmp_path):
    for name in ("whole", "bare"):
        import_page(tmp_path / f"{name}.inlay", pages["folder"] / f"{name}.html")
    with Log.open(pages["folder"] / "shop.inlay") as log:
        shop = log.shop()
    with Log.open(tmp_path / "whole.inlay") as log:
        assert log.fingerprint() == shop.fingerprint() and log.shop().habits.maker == "Mara & Theo <b>"
        assert [cut.notes for cut in log.shop().cuts] == [cut.notes for cut in shop.cuts]
    with Log.open(tmp_path / "bare.inlay") as log:
        bare = log.shop()
    assert not bare.habits.maker and not any(cut.notes or cut.photo for cut in bare.cuts)
    assert {len(cut.date) for cut in bare.cuts} == {7}
    kept = ("kind", "station", "value", "limit", "state", "cut")
    assert [[getattr(r, k) for k in kept] for r in bare.readings] == [
        [getattr(r, k) for k in kept] for r in shop.readings
    ]


@pytest.mark.parametrize(("page", "first"), [("whole", "mm"), ("bare", "in")])
def test_the_sheet_gives_each_setting_in_both_units(pages, page, first):
    sheet = re.search(r'<div class="sheet">.*?</div>', pages[page], re.DOTALL).group(0)
    cell = re.search(r"insert: start depth</th><td>([\d.]+) (mm|in) *<br>([\d.]+) (mm|in)</td>", sheet)
    values = {cell[2]: float(cell[1]), cell[4]: float(cell[3])}
    assert cell[2] == first and values["in"] * 25.4 == pytest.approx(values["mm"], abs=0.007)
    for said in ("mirror the plug left to right", "thick or more", "outline grown by", "path angle, both boards"):
        assert said in sheet
    assert "eye protection" in sheet, "cautions stand on it"


@pytest.mark.long
def test_an_old_pdf_with_names_does_not_outlive_its_page(fitted_log, tmp_path):
    page, pdf, own = tmp_path / "page.html", tmp_path / "page.pdf", tmp_path / "other.pdf"
    pdf.write_bytes(b"%PDF-1.4 /Title (Findings of test cuts: which start depth) Mara")
    own.write_bytes(b"%PDF-1.4 my own")
    (tmp_path / "page.executed.ipynb").write_text("{}", encoding="utf-8")
    findings.write(fitted_log, page, leave_out=("names",))
    assert not pdf.exists() and own.exists()
    assert (tmp_path / "page.executed.ipynb").exists(), "a file that findings did not write is left alone"


def test_setups_of_one_month_stay_apart_without_their_days():
    dates = ("2026-02-03", "2026-02-03", "2026-02-20", "2026-03-01", None)
    grooves = tuple(Groove(bit="b", date=day, depth=1, width=1.2, unit="mm") for day in dates)
    left = without(Shop(grooves=grooves), frozenset({"days"})).grooves
    assert [each.date for each in left] == ["2026-02-01", "2026-02-01", "2026-02-02", "2026-03", None]
