"""The ``coupon`` command from the outside: files, text and JSON."""

import json

from inlaylab.command_line import main


def test_coupon_writes_drawings_and_table(tmp_path, capsys):
    words = ["coupon", str(tmp_path / "out"), "--bit-angle", "60", "--pocket-depth", "4.2mm", "--relief-depth", "1.6mm"]
    assert main([*words, "--json"]) == 0
    told = capsys.readouterr()
    record = json.loads(told.out)
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "host.svg", "host.dxf", "host.pdf", "insert.svg", "insert.dxf", "insert.pdf", "coupons.csv", "LAYOUT.json"
    }  # fmt: skip
    assert len(record["stations"]) >= 10
    assert record["length"] == 120.0
    assert main(words) == 2
    assert "there already" in capsys.readouterr().err


def test_inch_and_millimetre_words_give_the_same_coupon(tmp_path, capsys):
    words = ["--bit-angle", "90", "--json"]
    metric = ["--pocket-depth", "4.318mm", "--relief-depth", "1.651mm", "--length", "152.4mm", "--width", "101.6mm"]
    inches = ["--pocket-depth", "0.17in", "--relief-depth", "65thou", "--length", "6in", "--width", "4in"]
    records = []
    for name, lengths in (("mm", metric), ("in", inches)):
        assert main(["coupon", str(tmp_path / name), *words, *lengths]) == 0
        records.append(json.loads(capsys.readouterr().out))
    for record in records:
        record.pop("files")
    assert records[0] == records[1]
