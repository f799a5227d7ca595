"""The table of outside checks names tests that are there."""

import ast

from outside_checks import CHECKS, ROOT


def test_every_check_names_a_test_that_is_there():
    for check in CHECKS:
        place, _, name = check.test.partition("::")
        tree = ast.parse((ROOT / place).read_text(encoding="utf-8"))
        assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}, check.test


def test_every_check_says_its_source_and_basis():
    bases = ("publication", "library", "definition", "from memory", "common practice")
    assert all(check.basis.startswith(bases) and check.source and check.tolerance for check in CHECKS)
    assert len({check.test for check in CHECKS}) == len(CHECKS)
