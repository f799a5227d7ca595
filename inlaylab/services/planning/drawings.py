"""Where a maker's drawings lie: those of this folder and those of the kit."""

from __future__ import annotations

from pathlib import Path

from inlaylab import share
from inlaylab.artwork.reading.outlines import BITMAPS, SUFFIXES

__all__ = ["BITMAPS", "SUFFIXES", "drawings"]

_MOST = 200  # of one folder; more are reached by their path
_NOT_DRAWINGS = {".txt"}  # may hold anything; such a file can still be opened by its path


def drawings(folder: str | Path = ".") -> dict[str, Path]:
    """
    List the drawings of a folder and, after them, those of the kit.

    Parameters
    ----------
    folder : path
        The maker's folder; what lies in folders inside it is not listed.

    Returns
    -------
    drawings : dict of str to Path
        By their names; a drawing of the folder hides one of the kit with the same name.
    """
    kinds = set(SUFFIXES) - _NOT_DRAWINGS
    own = sorted(path for path in Path(folder).iterdir() if path.suffix.lower() in kinds and path.is_file())
    found = {path.name: path for path in own[:_MOST] if not path.name.startswith(".")}
    kit = sorted((share.data() / "artwork").iterdir())
    return found | {path.name: path for path in kit if path.name not in found}
