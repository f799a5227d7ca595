"""Sentences stand in the wording rooms, not beside the widgets, the axes or the tables that show them."""

import ast
import re

import pytest

WORDS = 4
"""A text of so many words is a sentence; shorter ones are labels."""
MAY_STAND_OUTSIDE = {"figures": 0, "findings": 4, "panels": 20, "commands": 0}
"""Texts of that length that are no sentences: samples of what to type, cells of tables, markup around sentences."""


def _texts(tree):
    """Every fixed text of a module, with gaps where values go; no docstrings, raised errors or command lines."""
    passed_over = set()
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Raise | ast.Assert)
            or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
            or (isinstance(node, ast.keyword) and node.arg == "examples")
        ):
            passed_over.update(id(part) for part in ast.walk(node))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            passed_over.update(id(part) for part in node.values)
            if id(node) not in passed_over:
                yield "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed_over:
            yield node.value


def is_sentence(text):
    """Say whether a text is long enough to be one; markup and styles are not counted."""
    bare = re.sub(r"<[^>]*>", " ", text)
    words = re.findall(r"[A-Za-z’']{2,}", bare)
    return len(bare.split()) >= WORDS and len(words) >= 2 and not re.search(r"calc\(|\dpx|:has\(|import ", bare)


@pytest.mark.parametrize("room", MAY_STAND_OUTSIDE)
def test_sentences_stand_with_the_others(root, room):
    found = [
        f"{path.relative_to(root)}: {text}"
        for path in sorted((root / "inlaylab" / room).rglob("*.py"))
        for text in _texts(ast.parse(path.read_text(encoding="utf-8")))
        if is_sentence(text)
    ]
    assert len(found) <= MAY_STAND_OUTSIDE[room], "\n".join(found)


def test_a_sentence_is_seen():
    tree = ast.parse("""line = f"Added the groove {depth} deep." \nlabel = 'start depth'""")
    assert [text for text in _texts(tree) if is_sentence(text)] == ["Added the groove {} deep."]
