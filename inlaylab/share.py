"""What travels with the kit: the notebooks and the invented data, in a checkout and in an installed wheel alike."""

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from inlaylab.errors import InputError

HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, kw_only=True)
class Copied:
    """What was put into a folder, and what already stood there and was left alone."""

    folder: Path
    new: tuple[Path, ...]
    kept: tuple[Path, ...]


def _root() -> Path:
    """Folder that holds ``notebooks`` and ``data``: inside a wheel, or the checkout around this package."""
    for root in (HERE / "_share", HERE.parent):
        if (root / "notebooks").is_dir() and (root / "data").is_dir():
            return root
    raise InputError("the notebooks and the data of this installation are missing", allowed="install inlaylab again")


def notebooks() -> Path:
    """Folder of the notebooks."""
    return _root() / "notebooks"


def data() -> Path:
    """Folder of the data that comes with the kit."""
    return _root() / "data"


def sample_shop() -> Path:
    """
    Folder of the sample shop's tables (invented).

    Examples
    --------
    >>> sorted(path.name for path in sample_shop().glob("c*.csv"))
    ['coupons.csv', 'cuts.csv']
    """
    return data() / "sample_shop"


def copy_into(folder: Path | str) -> Copied:
    """
    Put the notebooks and the data into a folder, never over a file that is there.

    Parameters
    ----------
    folder : path
        Made where it is missing.

    Returns
    -------
    copied : Copied
        The files that are new and the files that were kept.

    Raises
    ------
    InputError
        Where the folder's name belongs to a file.
    """
    folder = Path(folder)
    if folder.exists() and not folder.is_dir():
        raise InputError("folder for the notebooks", value=str(folder), allowed="a folder or a new name, not a file")
    new, kept = [], []
    for source, target in _pairs(folder):
        if os.path.lexists(target):
            kept.append(target)
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        with source.open("rb") as read, target.open("xb") as write:
            shutil.copyfileobj(read, write)
        new.append(target)
    return Copied(folder=folder, new=tuple(new), kept=tuple(kept))


def _pairs(folder: Path) -> list[tuple[Path, Path]]:
    """Each file that is shared, and where it goes."""
    pairs = [(path, folder / path.name) for path in sorted(notebooks().glob("*.ipynb"))]
    files = (path for path in sorted(data().rglob("*")) if path.is_file() and not path.name.startswith("."))
    return pairs + [(path, folder / "data" / path.relative_to(data())) for path in files]
