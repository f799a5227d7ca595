"""The glossary against the code: each quantity has one unit, in the glossary and in every docstring."""

import ast
import re
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOUSE = ROOT / "inlaylab"
NONE, UNTOLD = "-", "untold"


def is_public(path):
    return not any(part.startswith("_") and part != "__init__.py" for part in path.relative_to(HOUSE).parts)


def documented(docstring):
    """The entries of a docstring's Parameters section as (name, type, words)."""
    section = re.search(r"^Parameters\n-{3,}\n(.*?)(?=^\w[\w ]*\n-{3,}|\Z)", docstring or "", re.DOTALL | re.MULTILINE)
    if not section:
        return
    entries = re.split(r"^(?=\S)", section.group(1), flags=re.MULTILINE)
    for entry in filter(str.strip, entries):
        head, _, words = entry.partition("\n")
        names, _, kind = head.partition(" : ")
        for name in re.split(r",\s*", names):
            yield name.strip(" *`"), kind.strip(), " ".join(words.split())


def unit_of(words):
    """Unit in square brackets at the end; a docstring that points to another one tells none of its own."""
    if re.match(r"(As|See|Taken|Same|The same)\b", words):
        return UNTOLD
    found = re.search(r"\[([^\]]+)\]\.?$", words)
    return found.group(1) if found else NONE


def parameters_of(node):
    """Names that a caller of a public function, or a maker of a public record, can give."""
    if isinstance(node, ast.ClassDef):
        is_record = any("dataclass" in ast.dump(each) for each in node.decorator_list)
        fields = [each.target.id for each in node.body if isinstance(each, ast.AnnAssign)]
        return [name for name in fields if is_record and not name.startswith("_")]
    names = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
    return [each.arg for each in names if each.arg not in ("self", "cls") and not each.arg.startswith("_")]


def public_nodes(tree):
    """Public functions, public classes, and the public methods of those."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node, ast.get_docstring(node)
            if isinstance(node, ast.ClassDef):
                for each in node.body:
                    if isinstance(each, ast.FunctionDef) and each.name == "__init__":
                        yield each, ast.get_docstring(node)
                    elif isinstance(each, ast.FunctionDef) and not each.name.startswith("_"):
                        yield each, ast.get_docstring(each)


def units_of_the_code():
    """Units that docstrings give each public parameter: {name: {unit: [where, ...]}}."""
    units = defaultdict(lambda: defaultdict(list))
    for path in sorted(HOUSE.rglob("*.py")):
        if not is_public(path):
            continue
        place = path.relative_to(HOUSE).with_suffix("").as_posix()
        for node, docstring in public_nodes(ast.parse(path.read_text(encoding="utf-8"))):
            told = {name: text for name, _, text in documented(docstring)}
            for name in parameters_of(node):
                units[name][unit_of(told[name]) if name in told else UNTOLD].append(f"{place}.{node.name}")
    return units


def glossary():
    """Rows of the table of quantities: {name: (unit, words)}."""
    section = (HOUSE / "GLOSSARY.md").read_text(encoding="utf-8").split("## Quantities")[1]
    rows = re.findall(r"^\| `(\w+)` \| ([^|]+) \| (.+) \|$", section, re.MULTILINE)
    assert len(rows) == len({name for name, *_ in rows}), "a quantity stands twice"
    return {name: (unit.strip(), words.strip()) for name, unit, words in rows}


def wrong_units(rows, code):
    """Every docstring that gives a quantity of the glossary another unit."""
    for name, (unit, _) in rows.items():
        for other, places in code[name].items():
            if other not in (unit, UNTOLD):
                yield f"{name}: {other} in {', '.join(places)}, {unit} in the glossary"


def test_each_quantity_has_the_glossarys_unit_in_every_docstring():
    found = list(wrong_units(glossary(), units_of_the_code()))
    assert not found, "\n".join(found)


def test_each_quantity_of_the_glossary_is_told_with_its_unit_somewhere():
    code = units_of_the_code()
    untold = [name for name, (unit, _) in glossary().items() if unit not in code[name]]
    assert not untold


def test_a_wrong_unit_is_seen():
    code = defaultdict(dict, {"start_depth": {"mm2": ["a.b"]}})
    assert list(wrong_units({"start_depth": ("mm", "")}, code)) == ["start_depth: mm2 in a.b, mm in the glossary"]
