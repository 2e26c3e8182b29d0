"""What a program writes into a project file, in whatever form of TOML a person wrote its tables."""

from __future__ import annotations

import itertools
import tomllib
from typing import Any

import pytest

from by_command import command
from lynchet.project.edit import edited_text
from lynchet.project.overlay import Edit, apply_edits

HEAD = 'lynchet = 1\nunits = "metric"\n'
FORMS = {
    "tables": HEAD + '[ground]\nslope = { fall = "25 %" }\n[area]\nlength = "8 m"\ndepth = "5 m"\n',
    "with dots": HEAD + 'ground.slope.fall = "25 %"\narea.length = "8 m" # side\narea.depth = "5 m"\n'
    "brief.terraces = 3\ndrain.fall = 0.01\n",
    "on one line": HEAD + 'ground = { slope = { fall = "25 %" } }\narea = { length = "8 m", depth = "5 m" }\n'
    "brief = { terraces = 3 }\nsheet = {}\ndrain = {}\n",
    "no end of line": HEAD + '[ground]\nslope = "25 %"\n[area]\nlength = "8 m"\ndepth = "5 m"\n[brief]\nterraces = 3',
    "out of order": HEAD
    + '[area]\nlength = "8 m"\ndepth = "5 m"\n[[area.edges]]\nfrom = 1\ninset = 1\n[ground.slope]\n'
    'fall = "25 %"\n[[drain.outlet]]\nat = [1, 1]\n[ground]\nheld = "level"\n[[area.edges]]\nfrom = 2\n',
    "in quotes": HEAD + '[ "ground" ]\n"slope" = { fall = "25 %" }\n[\'area\']\nlength = "8 m"\ndepth = "5 m"\n',
    "lists on one line": HEAD + "steps = [{ line = [[1, 1], [1, 5]] }, { line = [[3, 1], [3, 5]] }]\n"
    'fixed = [{ kind = "tree", at = [1, 1] },\n  # a note\n { kind = "tree", at = [2, 1] },]\n[ground]\n'
    'slope = { fall = "25 %" }\n[area]\nlength = "8 m"\ndepth = "5 m"\nedges = [{ from = 0, finish = "bank" }]\n',
}
EDITS: list[Edit] = [
    ("brief.terraces", 4), ("brief.helps_off", ["pins"]), ("brief.terraces", None), ("ground.held", "level"),
    ("area.edges.1.inset", 0.3), ("area.edges.1.from", 0), ("area.length", None), ("drain.outlet.1.level", 1.5),
    ("sheet.paper", "A3"), ("stands.1.wall", "W3"), ("stands.1.readings", [{"at": 1.0, "level": 2.0}]),
    ("steps.1.line", [["1.000 m", "2 m"], ["3 m", "4 m"]]), ("timber.1.stock", [{"length": "2.4 m"}]),
    ("soil.class", "SM"), ("earth.spread.1.outline", [[0, 0], [1, 0], [1, 1]]), ("name", 'a "b" \\ c'),
]  # fmt: skip


def _filled(value: Any) -> Any:
    """Without empty tables, which mean nothing."""
    if isinstance(value, dict):
        return {key: _filled(part) for key, part in value.items() if _filled(part) not in ({}, [])}
    return [_filled(part) for part in value] if isinstance(value, list | tuple) else value


@pytest.mark.parametrize("form", FORMS)
def test_a_file_edited_holds_what_it_held_and_the_edits(form: str) -> None:
    """One edit and any two, in turn: the file read again, by the standard library, holds these and all it held."""
    text = FORMS[form]
    for edits in [(edit,) for edit in EDITS] + list(itertools.permutations(EDITS, 2)):
        found = tomllib.loads(edited_text(text, edits))
        assert _filled(found) == _filled(apply_edits(tomllib.loads(text), edits)), edits


@pytest.mark.parametrize("form", ["with dots"])
def test_a_cure_is_kept_in_every_form_of_file(form: str, tmp_path: Any) -> None:
    """A cure for an edge, kept with --write, leaves a file that can be planned; it was left broken."""
    file = tmp_path / "yard.toml"
    file.write_text(FORMS[form] + "lot_line = [{ line = [[-9, 5.1], [20, 5.1]] }]\n", encoding="utf-8")
    ran = command("plan", str(file), "--effort", "live", "--with", "area-inward", "--write", "--json")
    assert ran.status == 0, ran.err
    assert "inset" in str(tomllib.loads(file.read_text(encoding="utf-8"))["area"]["edges"])
    assert command("plan", str(file), "--effort", "live", "--json").status == 0
