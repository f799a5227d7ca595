"""Any valid log exports and imports equal, whatever was typed into it."""

import os
import tempfile
from dataclasses import replace
from pathlib import Path

import any_shop
import pytest
from hypothesis import HealthCheck, given, settings

from inlaylab.bench.bits import Bit
from inlaylab.bench.shop import Shop
from inlaylab.log.health import check_file
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import export_folder, import_folder, read_folder, write_folder

LONG = bool(os.environ.get("INLAYLAB_LONG"))
slow = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}


@pytest.mark.long
@given(any_shop.shops())
@settings(max_examples=3000 if LONG else 60, **slow)
def test_tables_read_back_equal(shop):
    with tempfile.TemporaryDirectory() as folder:
        tables = Path(folder) / "tables"
        write_folder(shop, tables, habits=shop.habits)
        assert read_folder(tables) == shop


@given(any_shop.shops())
@settings(max_examples=500 if LONG else 15, **slow)
def test_a_log_exports_and_imports_equal(shop):
    with tempfile.TemporaryDirectory() as folder:
        first, second, tables = (Path(folder) / name for name in ("first.db", "second.db", "tables"))
        with Log.make(first) as log:
            for group in (shop.bits, shop.grooves, shop.pairs, shop.coupons, shop.cuts, shop.readings, shop.forecasts):
                log.add(group, by="Ada")
            log.set_habits(shop.habits)
            assert log.shop() == shop
        export_folder(first, tables)
        import_folder(second, tables)
        with Log.open(second) as log:
            assert log.shop() == shop
            assert log.fingerprint() == shop.fingerprint()
        assert [p.what for p in check_file(first)] == [p.what for p in check_file(second)]
        again = import_folder(second, tables)
        assert not any(again.added.values())
        with Log.open(second) as log:
            assert log.shop() == shop


@given(any_shop.shops())
@settings(max_examples=500 if LONG else 20, **slow)
def test_the_fingerprint_sees_content_and_not_its_dress(shop):
    turned = replace(
        shop,
        cuts=tuple(replace(cut, notes="other", photo="", extra={}) for cut in reversed(shop.cuts)),
        readings=tuple(reversed(shop.readings)),
    )
    assert turned.fingerprint() == shop.fingerprint()
    if shop.cuts:
        cut = shop.cuts[0]
        deeper = replace(cut, start_depth=cut.start_depth / 2 + 1, typed={})
        changed = shop.with_cuts((deeper, *shop.cuts[1:]), shop.readings)
        assert (changed.fingerprint() == shop.fingerprint()) == (deeper.start_depth == cut.start_depth)


@pytest.mark.parametrize("unit", ["mm", "in", "thou"])
def test_what_was_typed_in_another_unit_survives(tmp_path, unit):
    bit = Bit(bit="b1", nominal_angle_deg=60, tip_flat=2.38125, unit=unit, typed={"tip_flat": "3/32 in"})
    write_folder(Shop(bits=(bit,)), tmp_path / "tables")
    assert "tip_flat=3/32 in" in (tmp_path / "tables" / "bits.csv").read_text()
    assert read_folder(tmp_path / "tables").bits == (bit,)
