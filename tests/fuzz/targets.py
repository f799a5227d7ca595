"""What is fuzzed: each target takes any bytes, and may only answer or refuse with one sentence."""

import functools
import math
import shutil
import tempfile
from pathlib import Path

from inlaylab.bench.bits import Bit
from inlaylab.errors import InputError
from inlaylab.log.file.rescue import recover_log
from inlaylab.log.health import check_file
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder, read_folder, write_folder
from inlaylab.units import UNITS, number_text, parse_length

HERE = Path(__file__).parent
TABLES = ("bits", "grooves", "pairs", "coupons", "cuts", "readings", "habits")
SOUND = {
    "bits": "bit,nominal_angle_deg,tip_flat,unit\nb1,60,0.1,mm\n",
    "grooves": "bit,date,depth,width,unit\nb1,2026-03-01,2,2.41,mm\n",
    "pairs": "pair,host,insert\np1,maple,walnut\n",
    "coupons": "coupon,station,kind,stroke_width,land_width,grain,unit\nc1,B1,bar,2,4,along,mm\n",
    "cuts": "cut,bit,pair,coupon,start_depth,pocket_depth,relief_depth,unit\nk1,b1,p1,c1,0.13,0.17,0.065,in\n",
    "readings": "cut,kind,station,value,limit,state,unit\nk1,glue_line,B1,,0.05,closed,mm\nk1,fill,B1,,,filled,\n",
    "habits": "pocket_depth,unit\n4.2,mm\n",
}


def said_well(fault):
    """A refusal is one printable sentence."""
    text = str(fault)
    assert text.endswith(".") and text.isprintable() and len(text) < 2000, text


def lengths(data):
    """Any text is a finite length that can be written and read again, or refused."""
    text = data.decode("utf-8", "surrogatepass" if len(data) % 2 else "replace") if _whole(data) else ""
    for unit in (None, *UNITS):
        try:
            length = parse_length(text, unit)
        except InputError as fault:
            said_well(fault)
        else:
            assert math.isfinite(length.mm)
            assert parse_length(number_text(length.mm, length.unit), length.unit).mm == length.mm


def _whole(data):
    try:
        data.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return False
    return True


def tables(data):
    """The first byte chooses a table, the rest is its file; what is taken reads back equal."""
    if not data:
        return
    with tempfile.TemporaryDirectory() as place:
        for table, text in SOUND.items():
            if table != "habits":
                (Path(place) / f"{table}.csv").write_text(text, encoding="utf-8")
        (Path(place) / f"{TABLES[data[0] % len(TABLES)]}.csv").write_bytes(data[1:])
        try:
            shop = read_folder(place)
        except InputError as fault:
            said_well(fault)
            return
        shutil.rmtree(place)
        write_folder(shop, place, habits=shop.habits)
        assert read_folder(place) == shop


@functools.cache
def _sound_log():
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "tables"
        folder.mkdir()
        for table, text in SOUND.items():
            (folder / f"{table}.csv").write_text(text, encoding="utf-8")
        import_folder(Path(place) / "shop.db", folder)
        return (Path(place) / "shop.db").read_bytes()


def logs(data):
    """Each four bytes say a place in a sound log and what stands there; it opens, is refused, and is recovered."""
    content = bytearray(_sound_log())
    for at in range(0, len(data) - 3, 4):
        content[int.from_bytes(data[at : at + 3], "big") % len(content)] = data[at + 3]
    with tempfile.TemporaryDirectory() as place:
        path, new = Path(place) / "shop.db", Path(place) / "new.db"
        path.write_bytes(content)
        for use in (check_file, lambda path: recover_log(path, new), _read_and_write):
            try:
                use(path)
            except InputError as fault:
                said_well(fault)
        if new.exists():
            with Log.open(new) as log:
                log.shop()


def _read_and_write(path):
    with Log.open(path) as log:
        log.shop()
        log.history()
        log.add(Bit(bit="new", nominal_angle_deg=60))
        log.undo()


def _drawing(data, ending):
    from inlaylab.artwork.reading.outlines import read_artwork

    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / f"artwork.{ending}"
        path.write_bytes(data)
        try:
            artwork = read_artwork(path)
        except InputError as fault:
            said_well(fault)
            return
        assert artwork.polygons.is_valid and not artwork.polygons.is_empty
        assert all(math.isfinite(edge) for edge in artwork.polygons.bounds)


def svg(data):
    """A drawing is read or refused; whatever is taken is a valid shape of finite size."""
    _drawing(data, "svg")


def dxf(data):
    """The same for DXF."""
    _drawing(data, "dxf")


TARGETS = {"tables": tables, "lengths": lengths, "logs": logs, "svg": svg, "dxf": dxf}
