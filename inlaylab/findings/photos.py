"""Photos for a page: made small, drawn anew, so that nothing a camera wrote beside the picture goes along."""

from __future__ import annotations

import base64
import html
import io
from pathlib import Path

from inlaylab.wording.findings.page import no_photo, photo_named

#: Longer side of a photo on a page. [pixels]
LONGEST_SIDE = 900
#: A file larger than this is not opened as a photo. [bytes]
LARGEST = 50_000_000


def photo_of(photo: str, home: Path) -> Path | None:
    """
    Find the photo of a cut in the log's own folder.

    Parameters
    ----------
    photo : str
        Its path as the log has it.
    home : Path
        The log's folder.

    Returns
    -------
    path : Path or None
        None where it leads out of the folder, is not there or is too large.
    """
    home = home.resolve()
    path = (home / photo).resolve()
    return path if path.is_relative_to(home) and path.is_file() and path.stat().st_size < LARGEST else None


def photo_markup(cut: str, path: Path | None) -> str:
    """
    Give a photo as a figure that holds its own data; a photo that cannot be read is named in words.

    Parameters
    ----------
    cut : str
        Name of the cut it shows.
    path : Path or None
        The photo; None where there is none.

    Returns
    -------
    markup : str
        HTML.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        if path is None:
            raise ValueError("photo")
        with Image.open(path) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
            picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            held = io.BytesIO()
            picture.save(held, "JPEG", quality=80)
    except (OSError, UnidentifiedImageError, Image.DecompressionBombError, ValueError):
        return f"<p>{html.escape(no_photo(cut))}</p>"
    data = base64.b64encode(held.getvalue()).decode("ascii")
    safe = html.escape(photo_named(cut), quote=True)
    return f'<figure><img alt="{safe}" src="data:image/jpeg;base64,{data}"><figcaption>{safe}</figcaption></figure>'
