"""The lists of places that are left out and of errors that no test can notice: each entry still meets something."""

import ast
import importlib
import re
import sys
from functools import cache
from pathlib import Path

import pytest

from house.source import modules

sys.path.insert(0, str(Path(__file__).parents[1]))
listed = importlib.import_module("mutant_steering")
planted = importlib.import_module("mutant_sites")
survivors = importlib.import_module("mutant_survivors")
reported = importlib.import_module("mutant_report")
ROOT = Path(__file__).parents[2]


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


@cache
def errors_of(module):
    """Every error that can be planted in a module."""
    return [one for many in planted.sites(modules()[module].path, module) for one in many]


@pytest.mark.parametrize("entry", survivors.survivors(), ids=lambda entry: f"{entry.module}-{entry.before}")
def test_every_survivor_is_one_error_of_the_draw(entry):
    """An entry tells its place of the source and an error that can be drawn there, with its kind and a reason; where
    a search is said to end at the same, the law that holds its end is named and stands among the tests."""
    there = [one for one in errors_of(entry.module) if entry.is_of(one)]
    assert len(there) == entry.places, f"{len(there)} places"
    assert entry.kind in survivors.KINDS and len(entry.reason) > 30
    assert entry.kind == "same" or (ROOT / entry.law).is_file()
    assert not entry.law or entry.law.startswith("tests/laws/")


def test_no_error_is_listed_twice():
    """Of one error there is one entry."""
    met = [id(one) for entry in survivors.survivors() for one in errors_of(entry.module) if entry.is_of(one)]
    assert len(met) == len(set(met))


def test_an_equals_sign_that_puts_the_same_back_is_seen():
    """Of two ways to keep the larger of two numbers the one with an equals sign is no error; others stay errors."""
    tree = ast.parse("if a > b:\n    b = a\nc = d if d < e else e\nif f > g:\n    h = f\n")
    seen = set(listed.puts_back(tree))
    assert seen == {("a > b", "a >= b"), ("d < e", "d <= e")}


def tried(number, caught, entry=None):
    """An error of a draw; one of the list of survivors, or none of it."""
    where = ("module", "function", "before", "after", "within")
    told = [getattr(entry, name) if entry else name for name in where]
    return reported.Tried(number, "works", *told, line=1, caught=caught, endless=False, seconds=1.0)


def test_the_goal_counts_what_can_change_a_result(capsys):
    """Of twenty errors one that lives leaves 95 %, two do not, unless one of them is listed; one that is listed but
    caught counts as caught; what lives and is not listed is printed."""
    entry = survivors.survivors()[0]
    caught = [tried(n, True) for n in range(18)]
    assert reported.report([*caught, tried(18, True), tried(19, False)]) == 0
    assert "NOT LISTED: module.function, line 1: before -> after" in capsys.readouterr().out
    assert reported.report([*caught, tried(18, False), tried(19, False)]) == 1
    assert reported.shares([*caught, tried(18, False), tried(19, False, entry)]) == (18, 20, 19)
    assert reported.shares([*caught, tried(18, True, entry)]) == (19, 19, 19)


def test_a_draw_goes_on_where_it_stopped(tmp_path):
    """What was tried is read back; the same draw goes on, another is refused; the last one is put between its marks."""
    path, asked = tmp_path / "draw.jsonl", reported.Drawn(7, 2, {"works": 10})
    first = reported.State(path)
    first.begin(asked)
    first.add(tried(1, False))
    again = reported.State(path)
    again.begin(asked)
    assert again.tried == first.tried
    with pytest.raises(SystemExit, match="another draw"):
        reported.State(path).begin(reported.Drawn(8, 2, {"works": 10}))
    page = tmp_path / "page.md"
    page.write_text(f"a\n{reported.BEGIN}\nold\n{reported.END}\nb\n")
    reported.put_into(page, reported.table(again))
    assert "| works | 10 | 1 | 0 | 0.0 % | 1 | 0.0 % |" in page.read_text() and "old" not in page.read_text()
