"""Where a panel finds its log: the maker's own, or the sample shop's in the notebook's folder."""

from __future__ import annotations

from pathlib import Path

from inlaylab.errors import LogError

#: Name of the log that is made from the sample shop's tables.
SAMPLE = "sample_shop.inlay"


def find_log(log: str | Path | None = None, *, make: bool = False) -> Path:
    """
    Give the path of a log that is there.

    Parameters
    ----------
    log : path, optional
        The maker's own log; without it the sample shop's, made in this folder where it is not there yet.
    make : bool
        Whether a maker's log that is not there is begun, blank.

    Returns
    -------
    path : Path

    Raises
    ------
    LogError
        Where there is no such log.
    """
    from inlaylab import share
    from inlaylab.log.store import Log
    from inlaylab.log.tables import import_export

    path = Path(SAMPLE if log is None else log)
    if path.exists():
        return path
    if log is None:
        import_export.import_folder(path, share.sample_shop())
    elif make:
        with Log.make(path):
            pass
    else:
        raise LogError(
            "there is no such log", value=str(path), allowed="the name of a log that you began in notebook 3"
        )
    return path
