"""Sentences stand in the wording rooms, not beside the widgets, the axes or the tables that show them."""

import ast
import re

import pytest

ROOMS = ("figures", "findings", "panels", "commands")
"""Rooms that show what `wording` says; none of them holds a sentence or a label of its own."""
TERMS = (
    "start depth|pocket depth|relief depth|glue line|glue lines|tip flat|outline offset|path angle|true angle|"
    "nominal angle|stroke widths?|land width|sanded off|crests lost|floor gap|backer gap|wall allowance|species pair|"
    "thin-stroke limit|mirror line|stand-off|low side|high side|sink|chance to fill|glue line within|coupon|station|"
    "cut|bit|line|new|rests on"
)
"""Terms of the trade, which are said alike everywhere: keys of forms, of drafts and of axes."""
NAMES = (
    r"upper center|outside lower center|offset points|wide band|wood to dark|DejaVu Sans|Python 3 \(ipykernel\)|"
    r"Walnut, black|Maple, sugar \(hard\)|maple, sugar|wood handbook 4-2|inlaylab[ .].*|draft_.*|https?:.*|--.*|tuple.*"
)
"""Names that others gave: of places and looks in plots, of a kernel, of woods in the handbook; of files and options."""


def _texts(tree):
    """Every fixed text of a module, with gaps where values go; no docstrings or command lines."""
    passed_over = set()
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Assert)
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


def is_said(text):
    """Say whether a text is one for a maker: two words or more that are no term, number, style or sample."""
    bare = re.sub(r"<[^>]*>|\[?\{\}\]?|\[°\]", " ", text)
    words = re.findall(r"[A-Za-z’']{2,}", bare)
    plain = " ".join(bare.split()).strip(" :.")
    return (
        len(words) >= 2
        and len(plain.split()) >= 2
        and not re.fullmatch(f"{TERMS}|{NAMES}", plain)
        and not re.search(r"calc\(|\dpx|:has\(|import |solid var|row wrap|^\d+ \d+ \d+em$", bare)
        and not re.fullmatch(r"(?:[\d.]+ (?:mm|in)(?:; | or |$))+", plain)
    )


@pytest.mark.parametrize("room", ROOMS)
def test_sentences_and_labels_stand_with_the_others(root, room):
    found = [
        f"{path.relative_to(root)}: {text}"
        for path in sorted((root / "inlaylab" / room).rglob("*.py"))
        for text in _texts(ast.parse(path.read_text(encoding="utf-8")))
        if is_said(text)
    ]
    assert not found, "\n".join(found)


def test_a_sentence_is_seen():
    tree = ast.parse("""line = f"Added the groove {depth} deep." \nlabel = 'start depth'\nother = 'new log'""")
    assert [text for text in _texts(tree) if is_said(text)] == ["Added the groove {} deep.", "new log"]
