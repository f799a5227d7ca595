"""A new log that begins as a copy of another and appears only when all that was to be merged into it is there."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from inlaylab.errors import LogError
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.kept_pictures import copy_photo, copy_pictures
from inlaylab.log.store import Log


@contextmanager
def new_log(log_path: str | Path, new_path: str | Path, *, other_path: str | Path) -> Iterator[Path]:
    """
    Make a new log of a copy of this one.

    Parameters
    ----------
    log_path, new_path : path
        This log, and the one to make, which must not be there yet.
    other_path : path
        The log that is merged into the copy. The pictures of both and this log's photos are copied beside the new one;
        who merges copies the other's photos beside the copy.

    Yields
    ------
    copy : Path
        The copy, with its photos beside it, to be changed and closed. Whatever goes wrong or is killed before the
        end leaves nothing behind.

    Raises
    ------
    LogError
        Where there is a file of the new name, or its folder cannot be written.
    """
    new_path = Path(new_path)
    if new_path.exists():
        raise LogError("there is a file of this name already", value=str(new_path), allowed="a new name")
    with tempfile.TemporaryDirectory() as folder:
        copy = copy_log(log_path, Path(folder) / "new.inlay")
        with Log.open(copy) as log:
            for cut in log.shop().cuts:
                copy_photo(cut.photo, Path(log_path).resolve().parent, copy.parent)
        yield copy
        home = new_path.resolve().parent
        with Log.open(copy) as log:
            cuts = log.shop().cuts
            for cut in cuts:
                photo = copy_photo(cut.photo, copy.parent, home)
                if photo != cut.photo:
                    log.correct(cut, replace(cut, photo=photo))
        for source in (log_path, other_path):
            copy_pictures(cuts, Path(source).resolve().parent, home)
        copy_log(copy, new_path)
