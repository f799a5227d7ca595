"""
The glossary in DEVELOPERS.md against the code: every public parameter and field, and the unit that docstrings give.

Run as a script it brings the glossary up to date: rows that stand are kept as they were worded, what is gone from the
code is taken out, and what is new gets a row with the words of its docstring, to be read and bettered.
"""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
HOUSE = ROOT / "inlaylab"
TITLE = "## Glossary of parameters"
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


def of_the_code():
    """Every public parameter: {name: {unit: [where, ...]}} and {name: words of one docstring}."""
    units, words = defaultdict(lambda: defaultdict(list)), {}
    for path in sorted(HOUSE.rglob("*.py")):
        if not is_public(path):
            continue
        place = path.relative_to(HOUSE).with_suffix("").as_posix()
        for node, docstring in public_nodes(ast.parse(path.read_text(encoding="utf-8"))):
            told = {name: text for name, _, text in documented(docstring)}
            for name in parameters_of(node):
                if name in told:
                    units[name][unit_of(told[name])].append(f"{place}.{node.name}")
                    if not told[name].startswith("["):
                        words.setdefault(name, told[name])
                else:
                    units[name][UNTOLD].append(f"{place}.{node.name}")
    return units, words


def of_the_glossary(text):
    """Rows of the glossary: {name: (unit, words)}."""
    section = text.split(TITLE)[1].split("\n## ")[0]
    rows = {}
    for name, unit, words in re.findall(r"^\| `(\w+)` \| ([^|]+) \| (.+) \|$", section, re.MULTILINE):
        assert name not in rows, f"{name} stands twice in the glossary"
        rows[name] = (unit.strip(), words.strip())
    return rows


def in_words(name):
    """What the docstring says of a parameter in its first sentence, or its own name where it says nothing."""
    sentences = [part.strip(" .;:|") for part in re.split(r"(?<=[.;:])\s|\s*\[", WORDS.get(name, ""))]
    sentences = [part for part in sentences if len(part) > 3 and not part.startswith("Shape")]
    first = sentences[0] if sentences else name.replace("_", " ")
    return first[0].lower() + first[1:].replace("|", "or")


def written(text):
    """Put the glossary of the code as it is now into the text of DEVELOPERS.md."""
    rows = of_the_glossary(text)
    for name in CODE:
        told = {unit for unit in CODE[name] if unit != UNTOLD} or {NONE}
        unit = " or ".join(sorted(told, key=lambda each: (each == NONE, each)))
        rows[name] = (unit, rows[name][1] if name in rows else in_words(name))
    lines = ["", "| name | unit | meaning and sign |", "|---|---|---|"]
    lines += [f"| `{name}` | {rows[name][0]} | {rows[name][1]} |" for name in sorted(rows) if name in CODE]
    before, after = text.split(TITLE)
    head = after.split("\n| name |")[0].split("\n## ")[0].strip("\n")
    return f"{before}{TITLE}\n\n{head}\n" + "\n".join(lines) + "\n\n## " + after.split("\n## ", 1)[1]


CODE, WORDS = of_the_code()
GLOSSARY = of_the_glossary((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))


def test_every_public_parameter_is_in_the_glossary():
    missing = sorted(set(CODE) - set(GLOSSARY))
    assert not missing, f"missing: {', '.join(missing)}; `python tests/test_glossary.py` writes their rows"


def test_every_row_says_what_it_is():
    assert not [name for name, (_, words) in GLOSSARY.items() if not words.strip(" ?")]


def test_nothing_in_the_glossary_is_gone_from_the_code():
    assert not sorted(set(GLOSSARY) - set(CODE))


@pytest.mark.parametrize("name", sorted(set(CODE) & set(GLOSSARY)))
def test_one_name_has_one_unit_in_the_glossary_and_in_every_docstring(name):
    allowed = {*GLOSSARY[name][0].split(" or "), UNTOLD}
    other = {unit: where for unit, where in CODE[name].items() if unit not in allowed}
    assert not other, f"the glossary says {GLOSSARY[name][0]}"


def test_a_quantity_of_the_model_has_one_unit():
    # A name that is a length in one place and something else in another is two names.
    for name in (
        "start_depth",
        "pocket_depth",
        "relief_depth",
        "tip_flat",
        "outline_offset",
        "stand_off",
        "seat_level",
    ):
        assert GLOSSARY[name][0] == "mm" and len(CODE[name]["mm"]) >= 2
    for name in ("path_angle", "true_angle"):
        assert GLOSSARY[name][0] == "degrees" and len(CODE[name]["degrees"]) >= 2


def test_a_missing_and_a_gone_name_are_seen():
    table = "| name | unit | meaning and sign |\n| `gone_name` | mm | once here |"
    text = f"start\n{TITLE}\n\nhead\n\n{table}\n\n## Next\nend\n"
    new = of_the_glossary(written(text))
    assert "gone_name" not in new and set(new) == set(CODE)
    assert new["start_depth"][0] == "mm"


if __name__ == "__main__":
    page = ROOT / "DEVELOPERS.md"
    page.write_text(written(page.read_text(encoding="utf-8")), encoding="utf-8")
