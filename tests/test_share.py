"""What travels with the kit, and how it is put into a folder."""

import pytest

from inlaylab import share
from inlaylab.errors import InputError


def test_the_sample_shop_and_the_notebooks_are_found():
    assert (share.sample_shop() / "cuts.csv").is_file()
    assert list(share.notebooks().glob("*.ipynb"))


def test_everything_is_copied_and_nothing_twice(tmp_path):
    first = share.copy_into(tmp_path / "new" / "shop")
    assert not first.kept and (first.folder / "data" / "sample_shop" / "cuts.csv").is_file()
    second = share.copy_into(first.folder)
    assert not second.new and set(second.kept) == set(first.new)


def test_a_file_that_is_there_is_never_written_over(tmp_path):
    name = next(share.notebooks().glob("*.ipynb")).name
    (tmp_path / name).write_text("mine")
    copied = share.copy_into(tmp_path)
    assert (tmp_path / name).read_text() == "mine" and tmp_path / name in copied.kept


def test_a_link_that_leads_nowhere_is_not_written_through(tmp_path):
    name = next(share.notebooks().glob("*.ipynb")).name
    (tmp_path / name).symlink_to(tmp_path / "elsewhere")
    share.copy_into(tmp_path)
    assert not (tmp_path / "elsewhere").exists()


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    (tmp_path / "shop").write_text("")
    with pytest.raises(InputError, match="folder for the notebooks"):
        share.copy_into(tmp_path / "shop")


def test_an_installation_without_them_says_so(monkeypatch, tmp_path):
    monkeypatch.setattr(share, "HERE", tmp_path / "inlaylab")
    with pytest.raises(InputError, match="are missing"):
        share.notebooks()
