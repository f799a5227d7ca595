"""
Pictures and photos beside the log; a cut names its own by a path.

Pictures that stations were read from are kept here under names made from their content. Photos are the maker's own
files under the maker's own names; they are only copied where a merge brings their cuts to another log.
"""

from __future__ import annotations

import hashlib
import os
import uuid
from collections.abc import Iterable
from itertools import chain, count
from pathlib import Path, PurePosixPath

from inlaylab.bench.cuts import Cut
from inlaylab.errors import LogError

FOLDER = "pictures"

LARGEST_PICTURE = 10_000_000
"""Size of the largest picture that is kept. Our choice: a reduced picture of a coupon is well below 1 MB. [bytes]"""

LARGEST_PHOTO = 100_000_000
"""Size of the largest photo that is copied. Our choice. [bytes]"""

_PHOTO_STARTS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF8", b"II*\0", b"MM\0*", b"BM")
"""JPEG, PNG, GIF, TIFF and BMP; WebP and HEIF say it further in (`_is_photo`)."""

_KINDS = {b"\xff\xd8\xff": ".jpg", b"\x89PNG\r\n\x1a\n": ".png"}


def keep_picture(log_path: str | Path, data: bytes) -> str:
    """
    Keep a picture beside a log under a name made from its content, so that none is ever written over.

    Parameters
    ----------
    log_path : path
        The log.
    data : bytes
        A JPEG or PNG file, already reduced and without the camera's data.

    Returns
    -------
    path : str
        For `Cut.picture`, relative to the log's folder. A file that no cut names does no harm.

    Raises
    ------
    LogError
        If it is no such picture, too large, or the folder cannot be written.
    """
    ending = next((ending for start, ending in _KINDS.items() if data.startswith(start)), None)
    if ending is None or len(data) > LARGEST_PICTURE:
        allowed = f"a JPEG or PNG of up to {LARGEST_PICTURE // 1_000_000} MB"
        raise LogError("this picture cannot be kept", value=f"{len(data)} bytes", allowed=allowed)
    name = hashlib.sha256(data).hexdigest()[:20] + ending
    folder = Path(log_path).resolve().parent / FOLDER
    temporary = folder / f".{name}.{uuid.uuid4().hex[:8]}.new"
    try:
        folder.mkdir(exist_ok=True)
        if not (folder / name).is_file():
            with temporary.open("wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            temporary.replace(folder / name)
    except OSError as fault:
        what = f"the picture cannot be kept ({fault.strerror})"
        raise LogError(what, value=str(folder), allowed="a folder that may be written, on a drive with room") from fault
    finally:
        temporary.unlink(missing_ok=True)
    return f"{FOLDER}/{name}"


def copy_pictures(cuts: Iterable[Cut], source: Path, target: Path) -> None:
    """
    Copy kept pictures from one folder to another; one that is missing, or no picture, is passed over.

    Parameters
    ----------
    cuts : iterable of Cut
        The cuts whose pictures are wanted.
    source, target : Path
        The folders that their paths start from. Nothing is read outside of the one or written over in the other.

    Raises
    ------
    LogError
        If the target cannot be written.
    """
    source = source.resolve()
    for name in dict.fromkeys(cut.picture for cut in cuts if cut.picture.startswith(f"{FOLDER}/")):
        found = (source / name).resolve()
        if source not in found.parents or not found.is_file() or found.stat().st_size > LARGEST_PICTURE:
            continue
        data = found.read_bytes()
        if f"{FOLDER}/{hashlib.sha256(data).hexdigest()[:20]}{found.suffix}" == name:
            keep_picture(target / "log", data)


def copy_photo(name: str, source: Path, target: Path) -> str:
    """
    Copy a maker's own photo from one log's folder to another's.

    Parameters
    ----------
    name : str
        Its path, relative to the folder that it is in.
    source, target : Path
        The two folders. Nothing is read outside of the one or written over in the other.

    Returns
    -------
    name : str
        Its path in the target: with a number where another file has its name there. As given where it is missing,
        no photo, or too large; then nothing is copied.

    Raises
    ------
    LogError
        If the target cannot be written.
    """
    source, target = source.resolve(), target.resolve()
    found = (source / name).resolve()
    if source not in found.parents or not found.is_file() or not _is_photo(found):
        return name
    data, plain = found.read_bytes(), PurePosixPath(name)
    more = (str(plain.with_name(f"{plain.stem} {number}{plain.suffix}")) for number in count(2))
    for called in chain((name,), more):
        place = target / called
        if target not in place.resolve().parents:
            return name
        if not place.exists():
            _write_new(place, data)
            return called
        if place.is_file() and place.read_bytes() == data:
            return called
    return name  # never reached: the numbers do not end


def _is_photo(path: Path) -> bool:
    with path.open("rb") as stream:
        start = stream.read(12)
    known = start.startswith(_PHOTO_STARTS) or start[8:12] == b"WEBP" or start[4:8] == b"ftyp"
    return known and path.stat().st_size <= LARGEST_PHOTO


def _write_new(place: Path, data: bytes) -> None:
    """Write a file whole or not at all, never over another."""
    temporary = place.with_name(f".{place.name}.{uuid.uuid4().hex[:8]}.new")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with temporary.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.rename(place)
    except OSError as fault:
        what = f"the photo cannot be copied ({fault.strerror})"
        allowed = "a folder that may be written, on a drive with room"
        raise LogError(what, value=str(place), allowed=allowed) from fault
    finally:
        temporary.unlink(missing_ok=True)
