import dataclasses

import pytest

from inlaylab.errors import LogError
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.merging.by_names import merge
from inlaylab.log.store import Log


@pytest.fixture
def other(sample_log, tmp_path):
    """A second maker's log, invented: the sample's first cuts with another bit of the same name and another habit."""
    path = tmp_path / "other.inlay"
    with Log.open(sample_log) as log:
        shop = log.shop()
    with Log.make(path) as log:
        log.set_habits(dataclasses.replace(shop.habits, sanded_off=0.5, tight_below=0.04))
        pairs = (dataclasses.replace(shop.pairs[0], pair="mine"), dataclasses.replace(shop.pairs[1], insert="holly"))
        log.add([*shop.bits, *pairs, *shop.coupons])
        for cut in shop.cuts[:3]:
            readings = shop.readings_of(cut)
            log.save_cut(dataclasses.replace(cut, pair="mine", sanded_off=None, typed={}), readings)
    return path


def shop_of(path):
    with Log.open(path) as log:
        return log.shop()


def test_both_are_in_the_new_log_and_neither_is_changed(sample_log, other, tmp_path):
    before = shop_of(sample_log), shop_of(other)
    merged = merge(sample_log, other, tmp_path / "both.inlay", prefix="Ola")
    assert (shop_of(sample_log), shop_of(other)) == before
    both = shop_of(merged.path)
    assert len(both.cuts) == len(before[0].cuts) + 3 and merged.cuts == 3
    cut = both.cut("Ola T01")
    assert cut.bit == "Ola sixty" and cut.coupon == "Ola ladder"
    assert cut.pair == before[0].pairs[0].pair, "the same two woods are one pair"
    assert cut.sanded_off == 0.5, "what the other log assumed is written down"
    assert len(both.readings_of("Ola T01")) == len(before[0].readings_of("T01"))
    assert both.pair(f"Ola {before[0].pairs[1].pair}").insert == "holly", "another pair of a name that is taken"
    assert "tight below is 0.05 mm in this log and 0.04 mm in the other" in merged.notes[0]
    assert both.habits == before[0].habits


def test_a_name_that_is_taken_is_refused(sample_log, other, tmp_path):
    with pytest.raises(LogError, match="a file of this name already"):
        merge(sample_log, other, other, prefix="Ola")
    with pytest.raises(LogError, match="prefix"):
        merge(sample_log, other, tmp_path / "both.inlay", prefix=" ")


def test_what_goes_wrong_leaves_nothing_behind(sample_log, other, tmp_path):
    first = merge(sample_log, other, tmp_path / "both.inlay", prefix="Ola").path
    with pytest.raises(LogError, match="in the log already"):
        merge(first, other, tmp_path / "again.inlay", prefix="Ola")
    assert not list(tmp_path.glob("again.inlay*"))


def test_both_makers_photos_are_beside_the_new_log(sample_log, other, tmp_path):
    photo = b"\xff\xd8\xff\xe0 invented "
    homes = {path: tmp_path / word for path, word in ((sample_log, "one"), (other, "two"))}
    paths = []
    for path, home in homes.items():
        home.mkdir()
        paths.append(copy_log(path, home / "shop.inlay"))
        (home / "k.jpg").write_bytes(photo + home.name.encode())
        with Log.open(paths[-1]) as log:
            cut = log.shop().cuts[0]
            log.correct(cut, dataclasses.replace(cut, photo="k.jpg"))
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / "k.jpg").write_bytes(photo + b"a stranger's")
    both = shop_of(merge(*paths, tmp_path / "new" / "both.inlay", prefix="Ola").path)
    names = {cut.cut: cut.photo for cut in both.cuts if cut.photo}
    assert {(tmp_path / "new" / name).read_bytes() for name in names.values()} == {photo + b"one", photo + b"two"}
    assert len(names) == 2 and (tmp_path / "new" / "k.jpg").read_bytes() == photo + b"a stranger's"
