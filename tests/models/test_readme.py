"""Every function that the rooms' READMEs name is there, and every picture they show."""

import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted((ROOT / "inlaylab").rglob("README.md"))
MODELS = ROOT / "inlaylab" / "models" / "README.md"


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.parent.name)
def test_pictures_are_where_the_page_says(page):
    for place in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / place).resolve().is_file(), place


def test_every_function_named_is_there():
    text = MODELS.read_text(encoding="utf-8")
    named = re.findall(r"`((?:\w+\.)+\w+)`", text)
    found = 0
    for each in named:
        module, _, name = each.rpartition(".")
        place = ROOT / "inlaylab" / "models" / Path(*module.split("."))
        if not place.with_suffix(".py").is_file():
            continue
        assert hasattr(importlib.import_module(f"inlaylab.models.{module}"), name), each
        found += 1
    assert found >= 19


def test_every_symbol_names_a_parameter_of_the_models():
    code = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "inlaylab" / "models").rglob("*.py"))
    table = MODELS.read_text(encoding="utf-8").split("| symbol |")[1].split("\n\n")[0]
    names = [name for row in table.splitlines()[2:] for name in re.findall(r"`([a-z_]{3,})`", row.split("|")[2])]
    assert len(names) >= 18
    for name in names:
        assert re.search(rf"\b{name}\b", code), name
