"""What a folder of tables holds besides CSV files: forecasts and layouts, as JSON that is read as strictly."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from inlaylab.bench.coupons import Coupon
from inlaylab.bench.fields import as_values, specs
from inlaylab.bench.forecasts import Expected, Forecast
from inlaylab.bench.shop import Shop
from inlaylab.errors import RecordError, TableError
from inlaylab.log.references import Placed
from inlaylab.log.tables.csv_rows import read_text

FORECASTS = "forecasts.json"
LAYOUTS = "layouts.json"
ORIGINS = "origins.json"

_NAMED = {"bits": "bit", "pairs": "pair", "coupons": "coupon", "cuts": "cut"}
_OWNERS = {"grooves": ("bit", "bits"), "readings": ("cut", "cuts")}

_TOLD_ONLY = {"good", "read"}
"""What the command `forecasts` tells besides, taken from the readings and not kept twice."""


def read_nested(folder: Path, names: Iterable[str], placed: Placed, known: Shop) -> None:
    """
    Read the JSON files of a folder of tables: ``forecasts.json``, ``origins.json`` and every ``layout….json``.

    Parameters
    ----------
    folder : Path
        The folder.
    names : iterable of str
        Names of its files.
    placed : Placed
        What its tables hold; takes the forecasts, and gives its coupons their layouts.
    known : Shop
        What a log holds already: a layout may be of one of its coupons.

    Raises
    ------
    TableError
        Naming the file, the entry and what is wrong.
    """
    for name in sorted(names):
        if name == FORECASTS:
            placed.rows["forecasts"] = _forecasts(_json(folder / name), name)
        elif name.lower().startswith("layout") and name.lower().endswith(".json"):
            found = _json(folder / name)
            for number, layout in enumerate(found if isinstance(found, list) else [found], start=1):
                _place(layout, placed, known, name, number)
    if ORIGINS in names:
        _give_origins(_json(folder / ORIGINS), placed)


def _json(path: Path) -> Any:
    try:
        return json.loads(read_text(path))
    except (ValueError, RecursionError):
        raise TableError("this file is not JSON", file=path.name, allowed="JSON as `export` writes it") from None


def _forecasts(found: object, file: str) -> list[tuple[int, Forecast]]:
    entries = found.get("cuts") if isinstance(found, dict) else None
    if not isinstance(entries, list):
        raise TableError("there is no list of cuts", file=file, allowed='{"cuts": […]} as `export` writes it')
    return [(number, _forecast(entry, file, number)) for number, entry in enumerate(entries, start=1)]


def _forecast(entry: object, file: str, number: int) -> Forecast:
    values = _known_keys(entry, Forecast, {"stations"}, file, number)
    stations = values.pop("stations", [])
    if not isinstance(stations, list):
        raise TableError("stations is no list", file=file, row=number, column="stations")
    try:
        expected = tuple(Expected(**_known_keys(each, Expected, set(), file, number)) for each in stations)
        needed = {name: None for name, spec in specs(Forecast).items() if spec.needed}
        return Forecast(**{**needed, **values}, stations=expected)
    except (RecordError, TypeError) as fault:
        what, value, allowed = (
            (fault.what, fault.value, fault.allowed) if isinstance(fault, RecordError) else (str(fault), None, None)
        )
        column = fault.field if isinstance(fault, RecordError) else None
        raise TableError(what, value=value, file=file, row=number, column=column, allowed=allowed) from None


def _known_keys(
    entry: object, record_class: type[Forecast | Expected], more: set[str], file: str, number: int
) -> dict[str, Any]:
    if not isinstance(entry, dict):
        raise TableError("this entry is no object", file=file, row=number)
    known = set(specs(record_class)) | more
    strange = next((key for key in entry if key not in known | _TOLD_ONLY), None)
    if strange is not None:
        allowed = ", ".join(sorted(known))
        raise TableError("this key has no meaning here", value=strange, file=file, row=number, allowed=allowed)
    return {key: value for key, value in entry.items() if key in known}


def _place(layout: object, placed: Placed, known: Shop, file: str, number: int) -> None:
    name = layout.get("coupon") if isinstance(layout, dict) else None
    text = json.dumps(layout)
    rows: list[tuple[int, Coupon]] = placed.rows.get("coupons", [])
    try:
        for at, (row, coupon) in enumerate(rows):
            if coupon.coupon == name:
                rows[at] = (row, replace(coupon, layout=text))
                return
        for coupon in known.coupons:
            if coupon.coupon == name:
                rows.append((number, replace(coupon, layout=text)))
                placed.rows["coupons"] = rows
                return
    except RecordError as fault:
        raise TableError(
            fault.what, value=fault.value, file=file, row=number, column="layout", allowed=fault.allowed
        ) from None
    allowed = ", ".join(coupon.coupon for _, coupon in rows) or "a coupon of coupons.csv or of the log"
    raise TableError("a layout of no such coupon", value=name, file=file, row=number, column="coupon", allowed=allowed)


def write_nested(shop: Shop) -> dict[str, str]:
    """
    Write what the tables cannot hold.

    Parameters
    ----------
    shop : Shop
        The records.

    Returns
    -------
    texts : dict
        File name to JSON text; only of what there is.
    """
    texts = {}
    if shop.forecasts:
        cuts = [
            {**_given(forecast), "stations": [_given(each) for each in forecast.stations]}
            for forecast in shop.forecasts
        ]
        texts[FORECASTS] = json.dumps({"unit": "mm", "cuts": cuts}, ensure_ascii=False, indent=1) + "\n"
    layouts = [json.loads(coupon.layout) for coupon in shop.coupons if coupon.layout]
    if layouts:
        texts[LAYOUTS] = json.dumps(layouts, ensure_ascii=False) + "\n"
    origins = {table: found for table in (*_NAMED, *_OWNERS) if (found := _origins(shop, table))}
    if origins:
        texts[ORIGINS] = json.dumps(origins, ensure_ascii=False, indent=1) + "\n"
    return texts


def _origins(shop: Shop, table: str) -> dict[str, str | None]:
    """Say by name where records came from; readings and grooves by row, where it is not their cut's or bit's."""
    if table in _NAMED:
        return {getattr(record, _NAMED[table]): record.origin for record in getattr(shop, table) if record.origin}
    key, owners = _OWNERS[table]
    expected = _origins(shop, owners)
    rows = enumerate(getattr(shop, table), start=2)
    return {str(row): record.origin for row, record in rows if record.origin != expected.get(getattr(record, key))}


def _give_origins(found: object, placed: Placed) -> None:
    """Give each record of a folder the origin that ``origins.json`` states."""
    tables = found if isinstance(found, dict) else {}
    texts = [text for named in tables.values() for text in (named.values() if isinstance(named, dict) else (7,))]
    if not isinstance(found, dict) or not all(text is None or isinstance(text, str) for text in texts):
        raise TableError("this file states no origins", file=ORIGINS, allowed="origins as `export` writes them")
    try:
        for table, key in _NAMED.items():
            stated = tables.get(table, {})
            placed.rows[table] = [
                (row, _from(record, stated.get(getattr(record, key)))) for row, record in placed.rows.get(table, [])
            ]
        for table, (key, owners) in _OWNERS.items():
            stated, usual = tables.get(table, {}), tables.get(owners, {})
            placed.rows[table] = [
                (row, _from(record, stated.get(str(row), usual.get(getattr(record, key)))))
                for row, record in placed.rows.get(table, [])
            ]
    except RecordError as fault:
        raise TableError(fault.what, value=fault.value, file=ORIGINS, allowed=fault.allowed) from None


def _from(record: Any, origin: str | None) -> Any:
    if origin is None or record.origin == origin:
        return record
    if isinstance(record, Coupon):
        return replace(record, stations=tuple(replace(station, origin=origin) for station in record.stations))
    return replace(record, origin=origin)


def _given(record: Forecast | Expected) -> dict[str, object]:
    return {name: value for name, value in as_values(record).items() if name != "stations" and value is not None}
