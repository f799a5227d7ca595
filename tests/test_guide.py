"""DEVELOPERS.md is short, and what it names is there."""

import importlib
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOUSE = ROOT / "inlaylab"
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TEN_MINUTES = 10_000


def resolve(dotted):
    """Tell whether a dotted name is a module, or something in one."""
    parts = dotted.split(".")
    for end in range(len(parts), 0, -1):
        place = HOUSE.joinpath(*parts[:end])
        if place.with_suffix(".py").is_file() or (place / "__init__.py").is_file():
            thing = importlib.import_module(".".join(["inlaylab", *parts[:end]]))
            for name in parts[end:]:
                if not hasattr(thing, name):
                    return False
                thing = getattr(thing, name)
            return True
    return False


def named():
    """Dotted names in backticks whose first word is a room or a module of the ground floor."""
    rooms = {path.stem for path in HOUSE.iterdir()}
    return sorted({name for name in re.findall(r"`((?:\w+\.)+\w+)`", GUIDE) if name.split(".")[0] in rooms})


def test_it_is_read_in_ten_minutes():
    assert len(GUIDE.encode()) <= TEN_MINUTES


def test_every_module_and_function_it_names_is_there():
    names = [name for name in named() if not name.endswith((".py", ".csv"))]
    assert len(names) > 20
    assert not [name for name in names if not resolve(name)]


def test_every_file_and_link_it_names_is_there():
    files = re.findall(r"`((?:tests|handbook|inlaylab)/[\w./]+?)/?`", GUIDE) + re.findall(r"\]\(([^)]+)\)", GUIDE)
    assert len(files) > 8
    assert not [name for name in files if not (ROOT / name).exists() and not (HOUSE / name).exists()]


def test_the_drawing_of_the_house_shows_every_room():
    rooms = {path.name for path in HOUSE.iterdir() if path.is_dir() and not path.name.startswith(("_", "."))}
    shown = set(re.findall(r"^  (\w+)/", GUIDE, re.MULTILINE))
    assert rooms == shown


def test_a_name_that_is_gone_is_seen():
    assert resolve("models.walls.wall_gap") and not resolve("models.walls.gone") and not resolve("attic.box")
