"""Photos for a page: made small, drawn anew, so that nothing a camera wrote beside the picture goes along."""

from __future__ import annotations

import base64
import html
import io
from pathlib import Path

#: Longer side of a photo on a page. [pixels]
LONGEST_SIDE = 900


def photo_markup(cut: str, path: Path) -> str:
    """
    Give a photo as a figure that holds its own data; a photo that cannot be read is named in words.

    Parameters
    ----------
    cut : str
        Name of the cut it shows.
    path : Path
        The photo.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    words = f"Photo of cut {cut}"
    try:
        with Image.open(path) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
            picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            held = io.BytesIO()
            picture.save(held, "JPEG", quality=80)
    except (OSError, UnidentifiedImageError, Image.DecompressionBombError, ValueError):
        return f"<p>{html.escape(words)}: not found beside the log, or no photo.</p>"
    data = base64.b64encode(held.getvalue()).decode("ascii")
    safe = html.escape(words, quote=True)
    return f'<figure><img alt="{safe}" src="data:image/jpeg;base64,{data}"><figcaption>{safe}</figcaption></figure>'
