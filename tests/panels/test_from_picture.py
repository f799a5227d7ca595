"""Proposals from a picture: taken, thrown away, kept beside a loupe reading, and never saved unseen."""

import pytest
from rendered_coupon import Scene, render

from inlaylab.artwork.sheets.coupon import design_coupon
from inlaylab.log.store import Log
from inlaylab.panels.log_a_test_cut.view import LogATestCut
from inlaylab.services.picture_readings import agreement_of


@pytest.fixture(scope="module")
def plan():
    return design_coupon(name="seen", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)


@pytest.fixture(scope="module")
def answer(plan):
    """What the panel's work gives for a rendered scan; read once."""
    from inlaylab.pictures.opening import decode
    from inlaylab.pictures.read import read_picture
    from inlaylab.services.picture_readings import reduced, straightened

    scene = Scene(host="tan", insert="pale", line=0.06, fills={"A1": 0.0}, seed=3)
    picture = decode(render(plan.layout, scene).file())
    reading = read_picture(picture, plan.layout)
    return reading, straightened(picture.colors, reading.frame, plan.layout), reduced(picture.colors)


@pytest.fixture
def panel(plan, tmp_path, sample_log):
    path = tmp_path / "shop.inlay"
    path.write_bytes(sample_log.read_bytes())
    with Log.open(path) as log:
        log.add(plan.coupon)
    panel = LogATestCut(path)
    form = panel.state.form
    form["pair"].typed, form["bit"].typed, form["coupon"].typed = "walnut-maple", "sixty", "seen"
    form["pocket_depth"].typed, form["relief_depth"].typed = "4.2 mm", "1.6 mm"
    form["start_depth"].typed = "3.4 mm"
    return panel


def show(panel, answer, plan):
    panel.picture.state.layout = plan.layout
    panel.picture.state._done({"new": answer})


def test_nothing_is_read_without_a_coupon_that_has_a_layout(panel):
    panel.state.form["coupon"].typed = panel.state.shop.coupons[0].coupon
    (panel.state.path.parent / "a.jpg").write_bytes(b"x")
    panel.picture.again.click()
    assert panel.picture.which.value == "a.jpg"
    panel.picture.task.start.click()
    assert "no drawing of this coupon" in panel.picture.task.line.text


def test_a_broken_picture_is_refused_in_the_panel(panel):
    panel.picture.state.read(b"not a picture")
    panel.picture.state.task.wait(60)
    assert panel.picture.state.task.state == "failed"
    assert "not a picture" in panel.picture.state.task.reason
    assert panel.picture.state.reading is None


@pytest.mark.long
def test_proposals_stand_in_the_form_and_are_saved_with_their_sd(panel, answer, plan):
    show(panel, answer, plan)
    picture, state = panel.picture, panel.state
    before = len(state.shop.readings)
    picture.stations.value = "A3"
    picture.take.click()
    picture.stations.value = "A4"
    picture.throw.click()
    assert "A4" not in picture.state.waiting and not state.grid.entries[3].typed
    picture.take_all.click()
    assert picture.state.waiting == ()
    assert len(state.shop.readings) == before
    cut = state.form["cut"].value
    panel.save.save.click()
    saved = state.shop.readings_of(cut)
    assert {reading.method for reading in saved if reading.kind == "glue_line"} == {"picture"}
    assert all(0 < reading.sd < 0.05 for reading in saved if reading.kind == "glue_line")
    assert "A4" not in {reading.station for reading in saved}
    assert {r.state for r in saved if r.station == "A1"} == {"missing"}


@pytest.mark.long
def test_a_loupe_reading_is_kept_beside_the_pictures(panel, answer, plan):
    show(panel, answer, plan)
    entry = next(entry for entry in panel.state.grid.entries if entry.label == "A5")
    entry.typed = "0.07 mm"
    panel.picture.stations.value = "A5"
    panel.picture.take.click()
    cut = panel.state.form["cut"].value
    panel.save.save.click()
    both = [r for r in panel.state.shop.readings_of(cut) if r.station == "A5" and r.kind == "glue_line"]
    assert sorted(str(reading.method) for reading in both) == ["None", "picture"]
    assert agreement_of(panel.state.shop).pairs == 1
    assert "1 line read both ways" in panel.picture.trust.text


@pytest.mark.long
def test_a_small_copy_is_kept_beside_the_log(panel, answer, plan):
    show(panel, answer, plan)
    panel.picture.keep.click()
    panel.picture.take_all.click()
    cut = panel.state.form["cut"].value
    panel.save.save.click()
    name = panel.state.shop.cut(cut).picture
    assert (panel.state.path.parent / name).stat().st_size < 1_000_000


@pytest.mark.long
def test_each_station_shows_its_profile(panel, answer, plan):
    show(panel, answer, plan)
    panel.picture.stations.value = "A6"
    assert "station A6" in panel.picture.profile.alt
    assert "A6" in panel.picture.face.alt


@pytest.mark.long
def test_each_station_has_a_place_to_click_on_in_the_lists_order(panel, answer, plan):
    show(panel, answer, plan)
    names = [value for _, value in panel.picture.stations.options]
    for number, name in enumerate(names):
        assert f'data-inlaylab-pick="{number}" aria-hidden="true" title="{name}"' in panel.picture.face.value
