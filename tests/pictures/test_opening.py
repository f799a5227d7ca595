"""Files that are no picture, or ask for more memory than a picture may."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from inlaylab.errors import PictureError
from inlaylab.pictures.opening import decode, open_picture


def encoded(values, kind, **options):
    stream = io.BytesIO()
    Image.fromarray(values).save(stream, kind, **options)
    return stream.getvalue()


def chunk(kind, body):
    """A chunk of a PNG, its checksum right."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png_that_claims(columns, rows):
    """A whole PNG of a few hundred bytes whose header claims any size."""
    head = struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_the_three_formats_give_colours_and_brightness(kind):
    values = np.zeros((500, 600, 3), np.uint8)
    values[:, 300:] = (200, 100, 50)
    picture = decode(encoded(values, kind))
    assert picture.colors.shape == (500, 600, 3) and picture.luma.shape == (500, 600)
    assert np.abs(picture.colors[250, 500].astype(int) - (200, 100, 50)).max() <= 3
    # 0.299 R + 0.587 G + 0.114 B, ITU-R BT.601, from memory.
    assert abs(int(picture.luma[250, 500]) - 124) <= 2


TURNS = {  # what undoes each orientation of EXIF 2.32, table 6 (from memory)
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.swapaxes(0, 1),
    6: lambda a: a.swapaxes(0, 1)[::-1],
    7: lambda a: a.swapaxes(0, 1)[::-1, ::-1],
    8: lambda a: a.swapaxes(0, 1)[:, ::-1],
}


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
@pytest.mark.parametrize("orientation", TURNS)
def test_a_camera_that_was_held_any_way_shows_the_same(kind, orientation):
    upright = np.full((500, 600, 3), 90, np.uint8)
    upright[:100, :200] = (200, 100, 50)
    exif = Image.Exif()
    exif[0x0112] = orientation
    how = {"tiffinfo": {274: orientation}} if kind == "TIFF" else {"exif": exif.tobytes()}
    picture = decode(encoded(np.ascontiguousarray(TURNS[orientation](upright)), kind, **how))
    assert picture.colors.shape == upright.shape and picture.luma.shape == (500, 600)
    assert np.abs(picture.colors.astype(int) - upright)[::7, ::7].max() <= 40  # a JPEG's blocks cross the corner's edge
    assert np.abs(picture.colors.astype(int) - upright).mean() < 1


def odd(kind):
    """The same grey picture as files of other makes."""
    grey = np.tile(np.linspace(40, 220, 600).astype(np.uint8), (500, 1))
    color = np.repeat(grey[..., None], 3, axis=2)
    makes = {
        "alpha": lambda: encoded(np.dstack([color, np.full_like(grey, 255)]), "PNG"),
        "alpha TIFF": lambda: encoded(np.dstack([color, np.full_like(grey, 255)]), "TIFF"),
        "grey": lambda: encoded(grey, "PNG"),
        "grey JPEG": lambda: encoded(grey, "JPEG"),
        "16 bit": lambda: encoded(grey.astype(np.uint16) * 257, "PNG"),
        "progressive": lambda: encoded(color, "JPEG", progressive=True),
        "packed TIFF": lambda: encoded(color, "TIFF", compression="tiff_lzw"),
    }
    if kind == "CMYK":
        stream = io.BytesIO()
        Image.fromarray(color).convert("CMYK").save(stream, "JPEG", quality=95)
        return stream.getvalue(), color
    return makes[kind](), color


@pytest.mark.parametrize(
    "kind", ["alpha", "alpha TIFF", "grey", "grey JPEG", "16 bit", "CMYK", "progressive", "packed TIFF"]
)
def test_files_of_other_makes_show_the_same(kind):
    data, color = odd(kind)
    picture = decode(data)
    assert picture.colors.shape == color.shape
    assert np.abs(picture.colors.astype(int) - color).mean() < 2.5
    assert np.abs(picture.luma.astype(int) - color[..., 0]).mean() < 2.5


@pytest.mark.parametrize("kind", ["GIF", "WEBP", "BMP"])
def test_other_formats_are_refused(kind):
    frames = [Image.fromarray(np.full((600, 600, 3), level, np.uint8)) for level in (40, 90)]
    stream = io.BytesIO()
    frames[0].save(stream, kind, **({"save_all": True, "append_images": frames[1:]} if kind == "GIF" else {}))
    with pytest.raises(PictureError, match="PNG, JPEG or TIFF"):
        decode(stream.getvalue(), name="face.png")


@pytest.mark.parametrize("size", [(10_000, 10_000), (60_000, 60_000), (52_000, 1000), (2**31 - 1, 2**31 - 1)])
def test_a_png_that_claims_too_much_is_refused_before_it_is_decoded(size):
    with pytest.raises(PictureError, match=r"megapixels|can be read"):
        decode(png_that_claims(*size))


@pytest.mark.parametrize("kind", [b"zTXt", b"iTXt"])
def test_a_text_chunk_that_swells_is_refused(kind):
    plain = encoded(np.full((600, 600, 3), 90, np.uint8), "PNG")
    swollen = zlib.compress(bytes(200_000_000), 9)
    body = b"note\0\0" + swollen if kind == b"zTXt" else b"note\0\1\0\0\0" + swollen
    after_header = 8 + 25
    data = plain[:after_header] + chunk(kind, body) + plain[after_header:]
    assert len(data) < 400_000
    with pytest.raises(PictureError, match="can be read") as refusal:
        decode(data, name="face.png")
    assert "face.png" in str(refusal.value) and "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    "data", [b"", b"not a picture", b"\xff\xd8\xff\xe0", b"\x89PNG\r\n\x1a\n", b"II*\0\0\0\0\0", b"%PDF-1.4"]
)
def test_what_is_no_picture_is_refused_in_one_sentence(data):
    with pytest.raises(PictureError) as refusal:
        decode(data, name="face.png")
    assert "face.png" in str(refusal.value) and "\n" not in str(refusal.value)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_picture_cut_short_is_refused(kind):
    data = encoded(np.random.default_rng(1).integers(0, 255, (600, 600, 3), np.uint8), kind)
    with pytest.raises(PictureError):
        decode(data[: len(data) // 2])


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(PictureError, match="cannot be read"):
        open_picture(tmp_path / "nothing.jpg")
