"""The house's floors: every import goes down; a module on no floor fails. Read from the source, nothing is imported."""

import ast
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent / "inlaylab"
MODULES = sorted(path for path in HOUSE.rglob("*.py") if "_share" not in path.parts)

# The floors of DEVELOPERS.md, from the ground up. A room may import rooms on lower floors and itself.
FLOORS = (
    {"units", "errors", "share", "__init__"},
    {"bench"},
    {"models", "artwork"},
    {"log", "fitting"},
    {"figures"},
    {"panels", "findings", "commands", "command_line", "__main__"},
)
FORBIDDEN = {("artwork", "models.walls"), ("artwork", "models.seating"), ("log", "fitting"), ("fitting", "log")}
# On the top floor the rooms stand in this order, each may use the ones before it.
TOP_ORDER = ("findings", "panels", "commands", "command_line", "__main__")
HEAVY = {
    "jax", "numpyro", "matplotlib", "ipywidgets", "shapely", "ezdxf", "svgelements", "pyvoronoi", "pandas", "scipy",
    "nbconvert", "nbformat", "IPython", "PIL", "contourpy", "nh3", "jupyterlab", "playwright",
}  # fmt: skip
# Files that show widgets may name the widget library at their top: nothing light imports them.
WELCOME = {("panels", "ipywidgets")}
LONGEST_FILE, LONGEST_FUNCTION = 400, 75


def name_of(path):
    parts = path.relative_to(HOUSE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 1 else parts)


def room_of(name):
    return name.split(".")[0]


def floor_of(room):
    for height, rooms in enumerate(FLOORS):
        if room in rooms:
            return height
    return None


def imports_of(path):
    """Every module of the house that a file imports, as dotted names below ``inlaylab``, with the line."""
    package = ["inlaylab", *path.relative_to(HOUSE).parent.parts]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.split(".")[0] == "inlaylab":
                    yield alias.name.removeprefix("inlaylab").lstrip(".") or "__init__", node.lineno
        elif isinstance(node, ast.ImportFrom):
            base = (node.module or "").split(".") if node.module else []
            if node.level:
                base = package[: len(package) - node.level + 1] + base
            if base[:1] != ["inlaylab"]:
                continue
            for alias in node.names:
                whole = [*base[1:], alias.name]
                yield ".".join(whole if is_module(whole) else base[1:]) or "__init__", node.lineno


def is_module(parts):
    place = HOUSE.joinpath(*parts)
    return place.with_suffix(".py").is_file() or (place / "__init__.py").is_file()


def complaint(room, imported):
    """Say what is wrong with a room that imports a module, or nothing."""
    other = room_of(imported)
    if other == room:
        return None
    here, there = floor_of(room), floor_of(other)
    if there is None:
        return f"{imported} is on no floor"
    if any(room == who and (imported == what or imported.startswith(what + ".")) for who, what in FORBIDDEN):
        return f"{room} must never know {imported}"
    if here == there == len(FLOORS) - 1 and TOP_ORDER.index(other) < TOP_ORDER.index(room):
        return None
    if there > here or (there == here and here > 0):
        return f"floor {here} imports from floor {there}"
    return None


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_imports_only_go_down(path):
    name = name_of(path)
    room = room_of(name)
    assert floor_of(room) is not None, f"{name} stands on no floor: give its room one in DEVELOPERS.md and here"
    found = [f"line {line}: {complaint(room, other)}" for other, line in imports_of(path) if complaint(room, other)]
    assert not found, f"{name}: " + "; ".join(found)


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_heavy_libraries_load_where_they_are_needed(path):
    top = [node for node in ast.parse(path.read_text(encoding="utf-8")).body]
    names = {alias.name.split(".")[0] for node in top if isinstance(node, ast.Import) for alias in node.names}
    names |= {(node.module or "").split(".")[0] for node in top if isinstance(node, ast.ImportFrom) and not node.level}
    heavy = {name for name in names & HEAVY if (room_of(name_of(path)), name) not in WELCOME}
    assert not heavy, f"{name_of(path)} imports {', '.join(sorted(heavy))} at its top"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_sizes(path):
    text = path.read_text(encoding="utf-8")
    lines = text.count("\n")
    assert lines <= LONGEST_FILE, f"{name_of(path)} has {lines} lines"
    functions = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))
    long = {node.name: node.end_lineno - node.lineno + 1 for node in functions}
    long = {name: size for name, size in long.items() if size > LONGEST_FUNCTION}
    assert not long, f"{name_of(path)}: {long}"


@pytest.mark.parametrize(
    "room, imported, words",
    [
        ("models", "log.store", "floor 2 imports from floor 3"),
        ("log", "fitting.advice", "log must never know"),
        ("artwork", "models.walls", "artwork must never know"),
        ("models", "attic", "on no floor"),
        ("panels", "command_line", "floor 5 imports from floor 5"),
    ],
)
def test_an_import_that_goes_up_is_seen(room, imported, words):
    assert words in complaint(room, imported)


@pytest.mark.parametrize(
    "room, imported",
    [
        ("log", "bench.cuts"),
        ("log", "log.store"),
        ("command_line", "findings"),
        ("errors", "units"),
        ("__main__", "command_line"),
    ],
)
def test_an_import_that_goes_down_is_let_through(room, imported):
    assert complaint(room, imported) is None
