"""Broken and hostile drawings: each is refused in one sentence, soon, and without reading anything else."""

import os
import random
import struct
import time
import zlib

import pytest

from inlaylab.artwork.reading.outlines import read_artwork
from inlaylab.errors import DrawingError

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
SHEET = 'width="100mm" height="60mm" viewBox="0 0 100 60"'


def svg(body, size=SHEET):
    return f"{HEAD}{size}>{body}</svg>".encode()


def many_uses():
    groups = [f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 12)]
    return svg('<defs><rect id="u0" width="1" height="1"/>' + "".join(groups) + '</defs><use href="#u11"/>')


def huge_png(width, height):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 999)) + chunk(b"IEND", b"")
    )


BROKEN = {
    "entities.svg": b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>' + svg("<text>&b;</text>"),
    "outside entity.svg": b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + svg("<text>&a;</text>"),
    "many uses.svg": many_uses(),
    "uses itself.svg": svg('<g id="u"><use href="#u"/></g>'),
    "deep.svg": svg("<g>" * 5000 + '<rect width="3" height="3"/>' + "</g>" * 5000),
    "only text.svg": svg("<text>oak</text>"),
    "only a picture.svg": svg('<image href="file:///etc/passwd" width="3" height="3"/>'),
    "nothing.svg": svg(""),
    "empty.svg": b"",
    "not closed.svg": b"<svg><rect></svg>",
    "another root.svg": b"<html></html>",
    "packed.svg": b"\x1f\x8b\x08abc",
    "noise.svg": random.Random(1).randbytes(4000),
    "no size.svg": svg('<rect width="5" height="5"/>', 'viewBox="0 0 9 9"'),
    "per cent.svg": svg('<rect width="5" height="5"/>', 'width="100%" height="100%" viewBox="0 0 9 9"'),
    "size below zero.svg": svg('<rect width="5" height="5"/>', 'width="-5mm" height="5mm" viewBox="0 0 5 5"'),
    "size of nothing.svg": svg('<rect width="5" height="5"/>', 'width="0mm" height="0mm" viewBox="0 0 5 5"'),
    "no length.svg": svg('<rect width="5" height="5"/>', 'width="wide" height="5mm" viewBox="0 0 5 5"'),
    "flat view.svg": svg('<rect width="5" height="5"/>', 'width="5mm" height="5mm" viewBox="0 0 0 5"'),
    "three numbers.svg": svg('<rect width="5" height="5"/>', 'width="5mm" height="5mm" viewBox="0 0 5"'),
    "no number.svg": svg('<path d="M0 0 L 1e400 3 L 3 3z"/>'),
    "no path.svg": svg('<path d="M0 0 L banana"/>'),
    "no transform.svg": svg('<g transform="banana(3)"><rect width="5" height="5"/></g>'),
    "far.svg": svg('<g transform="scale(1e200)"><rect width="5" height="5"/></g>'),
    "flat.svg": svg('<g transform="scale(0)"><rect width="5" height="5"/></g>'),
    "too large.svg": svg('<rect width="1e7" height="5"/>'),
    "circle too large.svg": svg('<circle r="1e12"/>'),
    "open line.wkt": b"LINESTRING (0 0, 4 4)",
    "point.wkt": b"POINT (1 1)",
    "empty polygon.wkt": b"POLYGON EMPTY",
    "nan.wkt": b"POLYGON ((0 0, nan 1, 2 2, 0 0))",
    "inf.wkt": b"POLYGON ((0 0, inf 1, 2 2, 0 0))",
    "deep.wkt": b"GEOMETRYCOLLECTION (" * 100_000 + b"POINT (0 0)" + b")" * 100_000,
    "deep open.wkt": b"GEOMETRYCOLLECTION(" * 100_000,
    "words.wkt": b"hello",
    "open ring.wkt": b"POLYGON ((0 0, 4 0, 4 4))",
    "too large.wkt": b"POLYGON ((0 0, 1e7 0, 1e7 1e7, 0 0))",
    "far.wkt": b"POLYGON ((1e9 0, 1000000010 0, 1000000010 10, 1e9 0))",
    "tiny.wkt": b"POLYGON ((0 0, 1e-5 0, 1e-5 1e-5, 0 0))",
    "noise.wkt": random.Random(2).randbytes(300),
    "curve.wkt": b"CURVEPOLYGON (CIRCULARSTRING (0 0, 2 2, 4 0, 2 -2, 0 0))",
    "flat.wkt": b"POLYGON ((0 0, 4 0, 8 0, 0 0))",
    "two and a word.wkt": b"POLYGON ((0 0, 4 0, 4 4, 0 0))\nbanana\n",
    "words.dxf": b"hello world",
    "noise.dxf": random.Random(3).randbytes(3000),
    "cut short.dxf": b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n",
    "binary.dxf": b"AutoCAD Binary DXF\r\n\x1a\x00abc",
    "unit is a word.dxf": b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\nbanana\n0\nENDSEC\n0\nEOF\n",
    "no numbers.dxf": b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n"
    b"8\n0\n10\nabc\n20\n0\n40\nxx\n0\nENDSEC\n0\nEOF\n",
    "not a picture.png": b"\x89PNG\r\n\x1a\n1234",
    "words.png": b"hello",
    "too many pixels.png": huge_png(60_000, 60_000),
    "still too many.png": huge_png(9_000, 9_000),
    "cut short.png": huge_png(600, 600),
    "a pixel.png": huge_png(1, 1),
    "drawing.xyz": b"POLYGON ((0 0, 4 0, 4 4, 0 0))",
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_drawing_is_refused_in_one_sentence(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(BROKEN[name])
    began = time.monotonic()
    with pytest.raises(DrawingError) as refused:
        read_artwork(path, width=80.0 if name.endswith(".png") else None)
    assert time.monotonic() - began < 10
    message = str(refused.value)
    assert 15 < len(message) < 500 and "\n" not in message and message.endswith(".")


def test_a_file_that_is_no_file_is_refused(tmp_path):
    (tmp_path / "folder.svg").mkdir()
    os.mkfifo(tmp_path / "pipe.svg")
    for name in ("folder.svg", "pipe.svg"):
        with pytest.raises(DrawingError, match="not a file"):
            read_artwork(tmp_path / name)
    for name in ("missing.svg", "no\0name.svg"):
        with pytest.raises(DrawingError, match="cannot be opened"):
            read_artwork(tmp_path / name)


def test_a_file_beyond_bounds_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "long.svg"
    with path.open("wb") as file:
        file.truncate(30_000_000)
    with pytest.raises(DrawingError, match=r"too large: \"30.0 MB\""):
        read_artwork(path)


def test_a_bitmap_without_a_width_and_a_drawing_with_one_are_refused(tmp_path):
    (tmp_path / "a.png").write_bytes(huge_png(40, 40))
    with pytest.raises(DrawingError, match="no size of its own"):
        read_artwork(tmp_path / "a.png")
    (tmp_path / "a.wkt").write_text("POLYGON ((0 0, 4 0, 4 4, 0 0))")
    with pytest.raises(DrawingError, match="own size"):
        read_artwork(tmp_path / "a.wkt", width=50)
    for width in (-3, 0, float("nan"), 1e9):
        with pytest.raises(DrawingError, match="width is out of range"):
            read_artwork(tmp_path / "a.png", width=width)


def test_nothing_but_the_file_is_opened(tmp_path, monkeypatch):
    import builtins

    (tmp_path / "other.svg").write_bytes(svg('<rect id="a" width="50" height="50"/>'))
    body = '<use href="other.svg#a"/><image href="other.svg" width="9" height="9"/><rect width="3" height="3"/>'
    path = tmp_path / "mine.svg"
    path.write_bytes(svg(body))
    read_artwork(path)  # modules that are loaded late are loaded now
    opened = []
    for module in (builtins, __import__("io")):
        real = module.open
        monkeypatch.setattr(module, "open", lambda *a, real=real, **k: (opened.append(str(a[0])), real(*a, **k))[1])
    assert read_artwork(path).area == pytest.approx(9)
    assert opened and set(opened) <= {str(path)}, opened
