"""The list of places where planted errors change nothing: each entry still meets something and tells why."""

import ast
import importlib
import re
import sys
from pathlib import Path

import pytest

from house.source import modules

sys.path.insert(0, str(Path(__file__).parents[1]))
listed = importlib.import_module("mutant_steering")
planted = importlib.import_module("mutant_sites")


@pytest.mark.parametrize("entry", listed.STEERED, ids=lambda entry: f"{entry.module}-{entry.function}")
def test_every_entry_meets_a_place(entry):
    """The module, the function and the expression of an entry stand in the package, and a reason beside them."""
    tree = modules()[entry.module].tree
    names = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.ClassDef)}
    assert not entry.function or entry.function in names
    found = [ast.unparse(node) for place in listed._within(tree, entry.function) for node in ast.walk(place)
             if isinstance(node, ast.expr | ast.stmt)]  # fmt: skip
    assert any(re.fullmatch(entry.pattern, text) for text in found) if entry.pattern else found
    assert len(entry.reason) > 20


@pytest.mark.parametrize("entry", listed.HARMLESS, ids=lambda entry: f"{entry.module}-{entry.before}")
def test_every_harmless_error_meets_a_place(entry):
    """What an error replaces stands in its module, and its reason beside it."""
    texts = [ast.unparse(node) for node in ast.walk(modules()[entry.module].tree) if isinstance(node, ast.expr)]
    assert entry.before in texts and entry.reason


def test_an_equals_sign_that_puts_the_same_back_is_seen():
    """Of two ways to keep the larger of two numbers the one with an equals sign is no error; others stay errors."""
    tree = ast.parse("if a > b:\n    b = a\nc = d if d < e else e\nif f > g:\n    h = f\n")
    seen = set(listed._puts_back(tree))
    assert seen == {("a > b", "a >= b"), ("d < e", "d <= e")}
