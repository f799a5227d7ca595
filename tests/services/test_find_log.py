import pytest

from inlaylab.errors import InputError, LogError
from inlaylab.services.find_log import CHOICE, SAMPLE, begin_log, choose_log, chosen_log, find_log, logs_in


def test_without_a_word_the_sample_is_made_and_never_over_a_file(tmp_path):
    path = find_log(folder=tmp_path)
    before = path.read_bytes()
    assert path.name == SAMPLE and find_log(folder=tmp_path).read_bytes() == before


def test_a_folder_names_its_log_once(tmp_path):
    begin_log("oak shop", folder=tmp_path)
    assert find_log(folder=tmp_path).name == SAMPLE
    choose_log("oak shop.inlay", folder=tmp_path)
    assert find_log(folder=tmp_path).name == "oak shop.inlay" == chosen_log(tmp_path).name
    assert (tmp_path / CHOICE).read_text() == "oak shop.inlay\n"
    assert find_log(SAMPLE, folder=tmp_path).name == SAMPLE, "the line in a notebook comes first"
    assert logs_in(tmp_path) == ("oak shop.inlay", SAMPLE)


@pytest.mark.parametrize("log", ["mine.inlay", ".", 7, ["a"]])
def test_what_is_no_log_is_refused_in_words(tmp_path, log):
    with pytest.raises(LogError, match=r"no such log|a folder|not a name"):
        find_log(log, folder=tmp_path)


def test_a_choice_that_cannot_be_opened_leaves_the_earlier_one(tmp_path):
    begin_log("oak", folder=tmp_path)
    choose_log("oak.inlay", folder=tmp_path)
    (tmp_path / "letter.txt").write_text("dear friend")
    for bad in ("letter.txt", "gone.inlay"):
        with pytest.raises(LogError):
            choose_log(bad, folder=tmp_path)
    assert chosen_log(tmp_path).name == "oak.inlay"


def test_the_named_log_may_be_gone(tmp_path):
    begin_log("oak", folder=tmp_path)
    choose_log("oak.inlay", folder=tmp_path)
    (tmp_path / "oak.inlay").unlink()
    with pytest.raises(LogError, match="no such log"):
        find_log(folder=tmp_path)


@pytest.mark.parametrize("name", ["", " ", "a/b", "..", ".hidden", "a\\b", "x" * 101, "a\nb"])
def test_only_a_plain_name_begins_a_log(tmp_path, name):
    with pytest.raises(InputError):
        begin_log(name, folder=tmp_path)
    assert not list(tmp_path.glob("*"))


def test_a_name_is_taken_only_once(tmp_path):
    begin_log("oak", folder=tmp_path)
    with pytest.raises(LogError, match="this name already"):
        begin_log("oak", folder=tmp_path)
