"""The house's rules, read from the source: imports go down, no circle, heavy libraries late, sizes bounded."""

import ast
from functools import cache
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent / "inlaylab"
MODULES = sorted(path for path in HOUSE.rglob("*.py") if "_share" not in path.parts)

# The floors of DEVELOPERS.md, from the ground up. A room may import rooms on lower floors and itself.
FLOORS = (
    {"units", "errors", "share", "__init__"},
    {"bench", "handbook"},
    {"models", "artwork", "pictures"},
    {"log", "fitting"},
    {"services", "wording"},
    {"figures"},
    {"findings", "panels", "commands", "command_line", "__main__"},
)
# Rooms of one floor that stand in an order: each may use the ones named before it.
ORDERS = (
    ("bench", "handbook"),
    ("services", "wording"),
    ("findings", "panels", "commands", "command_line", "__main__"),
)
HEAVY = {
    "jax", "numba", "numpyro", "matplotlib", "ipywidgets", "shapely", "ezdxf", "svgelements", "pyvoronoi", "pandas",
    "scipy", "nbconvert", "nbformat", "IPython", "PIL", "contourpy", "nh3", "jupyterlab", "playwright", "cv2",
    "skimage", "dask", "distributed", "voila",
}  # fmt: skip
# Files that show widgets may name the widget library at their top: nothing light imports them.
WELCOME = {("panels", "ipywidgets")}
LONGEST_FILE, LONGEST_FUNCTION = 400, 75
FILES_SIDE_BY_SIDE, CATALOGUES = 12, {"figures"}


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


@cache
def tree_of(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(path):
    """Every module of the house that a file imports, as dotted names below ``inlaylab``, with the line."""
    package = ["inlaylab", *path.relative_to(HOUSE).parent.parts]
    for node in ast.walk(tree_of(path)):
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


def for_types_only(path):
    """Lines that only a type checker reads."""
    lines = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            lines.update(range(node.lineno, node.end_lineno + 1))
    return lines


def complaint(room, imported):
    """Say what is wrong with a room that imports a module, or nothing."""
    other = room_of(imported)
    if other == room:
        return None
    here, there = floor_of(room), floor_of(other)
    if there is None:
        return f"{imported} is on no floor"
    for order in ORDERS:
        if room in order and other in order:
            if order.index(other) < order.index(room):
                return None
            return f"{room} stands before {other} on floor {here}"
    if there == here and here > 0:
        return f"{room} must never know {imported}"
    return f"floor {here} imports from floor {there}" if there > here else None


def circle_in(edges):
    """One way that comes back to where it began, as a list of names, or nothing."""
    state, way = {}, []

    def visit(node):
        state[node] = "open"
        way.append(node)
        for other in sorted(edges.get(node, ())):
            if state.get(other) == "open":
                return [*way[way.index(other) :], other]
            if other not in state and (found := visit(other)):
                return found
        state[node] = "done"
        way.pop()
        return None

    for node in sorted(edges):
        if node not in state and (found := visit(node)):
            return found
    return None


def module_edges():
    """Which module imports which, late imports too; not what only a type checker reads."""
    edges = {}
    for path in MODULES:
        types = for_types_only(path)
        found = {other for other, line in imports_of(path) if line not in types and other != "__init__"}
        edges[name_of(path)] = found - {name_of(path)}
    return edges


def test_imports_only_go_down():
    found = []
    for path in MODULES:
        room = room_of(name_of(path))
        if floor_of(room) is None:
            found.append(f"{name_of(path)} stands on no floor: give its room one in DEVELOPERS.md and here")
            continue
        found += [
            f"{name_of(path)} line {line}: {why}" for other, line in imports_of(path) if (why := complaint(room, other))
        ]
    assert not found, "\n".join(found)


def test_no_module_comes_back_to_itself():
    way = circle_in(module_edges())
    assert way is None, " -> ".join(way)


def folder_of(name):
    """Room that a module lies in, as a dotted name; a room's own entry file lies in the room."""
    is_file = HOUSE.joinpath(*name.split(".")).with_suffix(".py").is_file()
    return name.rpartition(".")[0] if is_file else name


def test_no_room_comes_back_to_itself_through_a_room_beside_it():
    edges = {}
    for module, others in module_edges().items():
        here = folder_of(module)
        for there in {folder_of(other) for other in others}:
            inside = f"{here}.".startswith(f"{there}.") or f"{there}.".startswith(f"{here}.")
            if here and there and not inside:
                edges.setdefault(here, set()).add(there)
    way = circle_in(edges)
    assert way is None, " -> ".join(way)


def test_a_circle_is_seen():
    assert circle_in({"a": {"b"}, "b": {"c"}, "c": {"a"}}) == ["a", "b", "c", "a"]
    assert circle_in({"a": {"b", "c"}, "b": {"c"}}) is None


def test_heavy_libraries_load_where_they_are_needed():
    found = []
    for path in MODULES:
        top = tree_of(path).body
        names = {alias.name.split(".")[0] for node in top if isinstance(node, ast.Import) for alias in node.names}
        names |= {(n.module or "").split(".")[0] for n in top if isinstance(n, ast.ImportFrom) and not n.level}
        heavy = {name for name in names & HEAVY if (room_of(name_of(path)), name) not in WELCOME}
        if heavy:
            found.append(f"{name_of(path)} imports {', '.join(sorted(heavy))} at its top")
    assert not found, "\n".join(found)


def test_files_and_functions_stay_within_their_sizes():
    found = []
    for path in MODULES:
        lines = path.read_text(encoding="utf-8").count("\n")
        if lines > LONGEST_FILE:
            found.append(f"{name_of(path)} has {lines} lines")
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                size = node.end_lineno - node.lineno + 1
                if size > LONGEST_FUNCTION:
                    found.append(f"{name_of(path)}.{node.name} has {size} lines")
    assert not found, "\n".join(found)


def test_few_files_stand_side_by_side():
    rooms = {}
    for path in MODULES:
        if path.name != "__init__.py":
            rooms.setdefault(path.parent.relative_to(HOUSE).as_posix(), []).append(path.name)
    crowded = {room: len(files) for room, files in rooms.items() if len(files) > FILES_SIDE_BY_SIDE}
    assert not {room: count for room, count in crowded.items() if room not in CATALOGUES}


@pytest.mark.parametrize(
    "room, imported, words",
    [
        ("models", "log.store", "floor 2 imports from floor 3"),
        ("log", "fitting.fit", "log must never know"),
        ("artwork", "models.walls", "artwork must never know"),
        ("models", "attic", "on no floor"),
        ("panels", "command_line", "panels stands before command_line"),
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
