"""The generated index of calculators is true."""

from __future__ import annotations

from importlib.resources import files

from lynchet.calculators import make_index
from lynchet.calculators.checked import argument_schema, call
from lynchet.calculators.registry import entries, find


def test_index_is_what_the_modules_declare() -> None:
    """`make index` would change nothing."""
    stored = files("lynchet.calculators").joinpath("index.txt").read_text(encoding="utf-8")
    assert stored.splitlines() == make_index.lines()


def test_every_example_runs_and_every_docstring_says_enough() -> None:
    """The example of each declaration gives a result; its docstring has a line, and its source and kind are named."""
    for entry in entries():
        declared = find(entry.name)
        call(declared.function, declared.example)
        assert declared.source and declared.known in ("SEEN", "MEMORY", "DERIVED", "PRACTICE"), entry.name
        assert entry.line, entry.name
        assert argument_schema(declared.function)["properties"], entry.name
