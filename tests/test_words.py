"""What must not stand in the project: addresses of registries, paths of one machine, outputs and logic in notebooks."""

import ast
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TEXTS = {
    ".py",
    ".md",
    ".toml",
    ".ipynb",
    ".csv",
    ".json",
    ".svg",
    ".wkt",
    ".txt",
    ".html",
    ".css",
    ".j2",
    ".sh",
    ".yaml",
    "",
}
NOT_OURS = {"__pycache__", "dist", "my_shop"}
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
AT_THE_TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "notebooks", "inlaylab", "data", "tests"}
MOST_CODE_CELLS = 10
LOGIC = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.For, ast.While, ast.If, ast.Try, ast.Lambda, ast.With)

# Written in pieces, so that this file does not find itself.
_HOSTS = "|".join(("py" + r"pi\.org", "python" + r"hosted\.org", "npm" + r"js\.com"))
_FOLDERS = "|".join(("ho" + "me", "ro" + "ot", "wo" + "rk", "Us" + "ers", "t" + "mp"))
FORBIDDEN = {
    "address of a package registry": re.compile(rf"(?i)\b(?:{_HOSTS})"),
    "index address for pip": re.compile("--(?:extra-)?index" + "-url|PIP_INDEX" + "_URL"),
    "path of one machine": re.compile(rf"(?<![\w.{{}}$-])/(?:{_FOLDERS})/\w|[A-Z]:\\(?:{_FOLDERS})"),
}


def texts():
    """Every file of words in the tree, without what tools leave behind."""
    files = (path for path in sorted(ROOT.rglob("*")) if path.is_file() and path.suffix in TEXTS)
    return [path for path in files if all(is_ours(part) for part in path.relative_to(ROOT).parts)]


def is_ours(name):
    return name not in NOT_OURS and (
        not name.startswith(".") or name in {".ci", ".gitignore", ".pre-commit-config.yaml"}
    )


def complaints(text):
    """Each forbidden thing found in a text, with its line."""
    for number, line in enumerate(text.splitlines(), start=1):
        for what, pattern in FORBIDDEN.items():
            if pattern.search(line):
                yield f"line {number}: {what}"


def test_no_forbidden_words():
    files = texts()
    found = [
        f"{path.relative_to(ROOT)} {what}"
        for path in files
        for what in complaints(path.read_text(encoding="utf-8", errors="replace"))
    ]
    assert len(files) > 300 and not found, "\n".join(found)


@pytest.mark.parametrize(
    "text",
    [
        "see https://py" + "pi.org/simple",
        "open('/ho" + "me/mara/log')",
        "pip install --index" + "-url x",
        "'/t" + "mp/a'",
    ],
)
def test_a_forbidden_word_is_seen(text):
    assert list(complaints(text))


def test_the_top_of_the_tree_stays_readable():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} - NOT_OURS
    assert found == AT_THE_TOP


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_thin(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert len(code) <= MOST_CODE_CELLS
    for cell in code:
        source = "".join(cell["source"])
        assert cell["execution_count"] is None, f"{path.name} was saved after a run"
        assert not cell["outputs"] or "# NBVAL_CHECK_OUTPUT" in source, f"{path.name} holds stored outputs"
        lines = (line for line in source.splitlines() if not line.lstrip().startswith(("%", "!")))
        logic = [type(node).__name__ for node in ast.walk(ast.parse("\n".join(lines))) if isinstance(node, LOGIC)]
        assert not logic, f"{path.name}: {', '.join(logic)} belongs into the library"


def test_there_are_notebooks():
    # the parametrized test above would pass over an empty folder
    assert {path.stem[0] for path in NOTEBOOKS} >= set("347")


def test_readme_opens_with_the_job_and_shows_two_commands():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    first = text.split("\n\n")[1]
    for word in ("inlay", "start depth", "glue line", "test cut"):
        assert word in first
    commands = [line for line in text.splitlines() if re.match(r"(python3|py) -m venv", line)]
    assert len(commands) == 4, "two commands, each in a POSIX and a Windows form"
    for posix, windows in zip(commands[::2], commands[1::2], strict=True):
        assert windows == posix.replace("python3 -m", "py -m").replace(".venv/bin/python", r".venv\Scripts\python")
    assert commands[0].endswith("notebooks my_shop") and commands[2].endswith("-m pytest")


def test_the_check_script_runs_the_readmes_own_command():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"grep -m1 -E '([^']+)' README\.md", script).group(1)
    found = [line for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines() if re.search(pattern, line)]
    assert len(found) == 1 and found[0].endswith('".[test]" && .venv/bin/python -m pytest')
    others = re.findall(r"pytest -.*", script.replace(pattern, ""))
    assert others == ["pytest -m long -n 3 tests"], "besides README's own command only the long tests are run"
