from dataclasses import replace

import pytest

from inlaylab.errors import LogError
from inlaylab.log.health import check_file
from inlaylab.log.kept_pictures import LARGEST_PICTURE, copy_pictures, keep_picture
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import export_folder, import_folder

PICTURE = b"\xff\xd8\xff" + b"an invented picture" * 10


def with_picture(path):
    """Give cut k1 of a log a picture."""
    with Log.open(path) as log:
        cut = log.shop().cut("k1")
        log.correct(cut, replace(cut, picture=keep_picture(path, PICTURE)))
    return log.shop


def test_a_picture_is_kept_under_its_own_content(log_path, tmp_path):
    name = keep_picture(log_path, PICTURE)
    assert keep_picture(log_path, PICTURE) == name
    assert keep_picture(log_path, PICTURE + b"x") != name
    assert (tmp_path / name).read_bytes() == PICTURE
    assert len(list((tmp_path / "pictures").iterdir())) == 2


@pytest.mark.parametrize("data", [b"", b"GIF89a", PICTURE + bytes(LARGEST_PICTURE)])
def test_what_is_no_picture_is_not_kept(data, log_path, tmp_path):
    with pytest.raises(LogError, match="cannot be kept"):
        keep_picture(log_path, data)
    assert not (tmp_path / "pictures").exists()


def test_a_picture_travels_with_its_log(log_path, tmp_path):
    with_picture(log_path)
    export_folder(log_path, tmp_path / "tables_out")
    (tmp_path / "elsewhere").mkdir()
    second = tmp_path / "elsewhere" / "second.db"
    import_folder(second, tmp_path / "tables_out")
    with Log.open(second) as log, Log.open(log_path) as first:
        assert log.shop() == first.shop()
        assert (second.parent / log.shop().cut("k1").picture).read_bytes() == PICTURE
    assert check_file(second) == ()


def test_a_picture_that_is_gone_is_named(log_path, tmp_path):
    with_picture(log_path)
    for path in (tmp_path / "pictures").iterdir():
        path.unlink()
    found = check_file(log_path)
    assert found[0].where == "cut k1" and "its picture pictures/" in found[0].what


def test_a_strangers_folder_cannot_have_another_file_copied(small_shop, tmp_path):
    source, target = tmp_path / "source", tmp_path / "target"
    (source / "pictures").mkdir(parents=True)
    target.mkdir()
    (tmp_path / "secret.jpg").write_bytes(PICTURE)
    (source / "pictures" / "link.jpg").symlink_to(tmp_path / "secret.jpg")
    (source / "pictures" / "renamed.jpg").write_bytes(PICTURE)
    for name in ("pictures/link.jpg", "pictures/renamed.jpg", "pictures/none.jpg", "secret.jpg"):
        copy_pictures([replace(small_shop.cuts[0], picture=name)], source, target)
    assert list(target.iterdir()) == []
