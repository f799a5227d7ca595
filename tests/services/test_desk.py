"""Notes beside a log: the unit a maker reads it in."""

from inlaylab.services.desk import desk_of, keep_unit, reader_unit, write_note


def test_a_chosen_unit_is_kept_for_its_log_alone(tmp_path):
    mine, other = tmp_path / "mine.inlay", tmp_path / "other.inlay"
    assert reader_unit(mine, "mm") == "mm"
    keep_unit(mine, "in")
    assert (reader_unit(mine, "mm"), reader_unit(other, "mm")) == ("in", "mm")


def test_a_unit_that_is_none_is_passed_over(tmp_path):
    write_note(desk_of(tmp_path / "mine.inlay") / "unit.json", {"unit": "cubit"})
    assert reader_unit(tmp_path / "mine.inlay", "thou") == "thou"
