"""A small invented shop, as records, as tables and as a log."""

import shutil

import pytest

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Station
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import write_folder


def _stations():
    spot = {"coupon": "c1", "land_width": 4.0, "grain": "along"}
    bars = [Station(station=f"B{i}", kind="bar", stroke_width=float(i), **spot) for i in (1, 2, 3)]
    return (*bars, Station(station="W1", kind="wedge", stroke_width=5.0, **spot))


def _readings(cut):
    return (
        Reading(cut=cut, kind="backer_gap", value=1.2, unit="mm"),
        Reading(cut=cut, kind="fill", station="B1", state="filled"),
        Reading(cut=cut, kind="glue_line", station="B2", value=0.08, limit=0.05, unit="mm"),
        Reading(cut=cut, kind="glue_line", station="B3", state="closed", limit=0.05, unit="mm"),
        Reading(cut=cut, kind="wedge_stop", station="W1", value=0.5, unit="mm"),
    )


@pytest.fixture(scope="session")
def small_shop():
    """Two bits, one pair, one coupon, two cuts with five readings each."""
    depths = {"pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4}
    return Shop(
        bits=(Bit(bit="b1", nominal_angle_deg=60, tip_flat=0.1), Bit(bit="b2", nominal_angle_deg=30)),
        grooves=(Groove(bit="b1", date="2026-03-01", depth=2.0, width=2.41),),
        pairs=(Pair(pair="p1", host="maple", insert="walnut"),),
        coupons=(Coupon(coupon="c1", stations=_stations()),),
        cuts=(
            Cut(cut="k1", bit="b1", date="2026-03-05", outcome="hairline", notes='said "tight", twice', **depths),
            Cut(cut="k2", bit="b2", date="2026-03-06", sanded_off=0.3, **depths),
        ),
        readings=(*_readings("k1"), *_readings("k2")),
    )


@pytest.fixture(scope="session")
def _tables_once(small_shop, tmp_path_factory):
    folder = tmp_path_factory.mktemp("small") / "tables"
    write_folder(small_shop, folder)
    return folder


@pytest.fixture
def tables(_tables_once, tmp_path):
    """The small shop as a folder of tables, to be spoiled."""
    return shutil.copytree(_tables_once, tmp_path / "tables")


@pytest.fixture(scope="session")
def _log_once(small_shop, tmp_path_factory):
    path = tmp_path_factory.mktemp("small") / "shop.db"
    with Log.make(path) as log, log.change("filled", by="Ada") as work:
        for group in ("bits", "grooves", "pairs", "coupons", "cuts", "readings"):
            for record in getattr(small_shop, group):
                work.add(record)
    return path


@pytest.fixture
def log_path(_log_once, tmp_path):
    """The small shop as a log's file; nobody has it open."""
    return shutil.copyfile(_log_once, tmp_path / "shop.db")


@pytest.fixture
def log(log_path):
    """The small shop as an open log."""
    with Log.open(log_path) as log:
        yield log
