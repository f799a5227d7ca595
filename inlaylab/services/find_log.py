"""
Which log a notebook works on: the line in the notebook, else the one named in its folder, else the sample shop's.

A folder names its log once, in the small text file `CHOICE`; notebook 0 writes it and every notebook there reads it.
"""

from __future__ import annotations

import os
from pathlib import Path

from inlaylab.errors import InputError, LogError

#: Name of the log that is made from the sample shop's tables.
SAMPLE = "sample_shop.inlay"
#: The file in which a folder names its log.
CHOICE = "which_log.txt"
#: How the name of a log ends.
ENDING = ".inlay"


def find_log(log: str | Path | None = None, *, folder: str | Path = ".") -> Path:
    """
    Give the path of a log that is there.

    Parameters
    ----------
    log : path, optional
        The maker's own log; without it the one that the folder names, else the sample shop's, which is made in the
        folder where it is not there yet.
    folder : path
        Where to look; a relative `log` starts there too.

    Returns
    -------
    path : Path

    Raises
    ------
    LogError
        Where there is no such log.
    """
    from inlaylab import share
    from inlaylab.log.tables import import_export

    if log is not None and not isinstance(log, (str, os.PathLike)):
        raise LogError(
            "the log in this notebook is not a name", value=log, allowed='None, or a name as "my_shop.inlay"'
        )
    chosen = chosen_log(folder) if log is None else Path(folder) / log
    path = Path(folder) / SAMPLE if chosen is None else chosen
    if path.is_dir():
        raise LogError("this is a folder, not a log", value=str(path), allowed="the name of a file")
    if not path.exists():
        if path != Path(folder) / SAMPLE:
            raise LogError("there is no such log", value=str(path), allowed="another log, or a new one of this name")
        import_export.import_folder(path, share.sample_shop())
    return path


def chosen_log(folder: str | Path = ".") -> Path | None:
    """
    Give the log that a folder names, whether or not it is there; None where it names none.

    Parameters
    ----------
    folder : path
        The folder of the notebooks.
    """
    try:
        named = (Path(folder) / CHOICE).read_text(encoding="utf-8-sig").strip()
    except (OSError, UnicodeDecodeError):
        return None
    return Path(folder) / named.splitlines()[0].strip() if named else None


def choose_log(name: str | Path, *, folder: str | Path = ".") -> Path:
    """
    Name the log of a folder, for every notebook in it.

    Parameters
    ----------
    name : path
        A log that is there, or `SAMPLE`; relative to the folder, or a whole path.
    folder : path
        The folder of the notebooks.

    Returns
    -------
    path : Path
        The log.

    Raises
    ------
    LogError
        Where there is no such log, or the file is none; the folder then names what it named before.
    """
    from inlaylab.log.store import Log

    path = find_log(name, folder=folder)
    with Log.open(path):
        pass  # a file that is no log is refused here
    fresh = Path(folder) / f".{CHOICE}.{os.getpid()}"
    try:
        fresh.write_text(f"{name}\n", encoding="utf-8")
        fresh.replace(Path(folder) / CHOICE)
    except OSError as fault:
        raise LogError("the folder can not be written", value=str(fault), allowed="a folder of your own") from None
    finally:
        fresh.unlink(missing_ok=True)
    return path


def begin_log(name: str, *, folder: str | Path = ".") -> Path:
    """
    Begin a new, empty log.

    Parameters
    ----------
    name : str
        A plain file name; ``.inlay`` is added where it is left out.
    folder : path
        The folder of the notebooks.

    Returns
    -------
    path : Path
        The log.

    Raises
    ------
    InputError
        Where the name is not one, or is taken.
    """
    from inlaylab.log.store import Log

    name = name.strip()
    plain = name and Path(name).name == name and not name.startswith(".") and name.isprintable() and "\\" not in name
    if not plain or len(name) > 100:
        raise InputError("name of the new log", value=name, allowed="a plain name, as my shop")
    path = Path(folder) / (name if name.lower().endswith(ENDING) else name + ENDING)
    with Log.make(path):
        pass
    return path


def logs_in(folder: str | Path = ".") -> tuple[str, ...]:
    """
    Give the names of the logs in a folder, the sample shop's last.

    Parameters
    ----------
    folder : path
        The folder of the notebooks.
    """
    names = sorted(path.name for path in Path(folder).glob(f"*{ENDING}") if path.is_file())
    return tuple(sorted(names, key=lambda name: name == SAMPLE))
