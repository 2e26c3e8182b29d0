"""Numbers without a unit that cannot be meant as feet or metres are asked back; a written unit is always obeyed.

Yards are invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from by_command import YARDS, command
from lynchet.core.errors import InputError
from lynchet.project.keys import Table
from lynchet.project.keys_build import FILE
from lynchet.project.read import read_project_text

PLAIN = (YARDS / "plain.toml").read_text(encoding="utf-8")
INCH = 0.0254
ASKED = [
    ("access", "gate = {}", "access.gate", 38),
    ("access", "passage = {}", "access.passage", 30),
    ("access", "passage = {}", "access.passage", 38),
    ("brief", "highest_wall = {}", "brief.highest_wall", 24),
    ("brief", "embedment = {}", "brief.embedment", 6),
    ("brief", "least_bed = {}", "brief.least_bed", 36),
    ("brief", "path_strip = {}", "brief.path_strip", 12),
    ("brief", "longest_piece = {}", "brief.longest_piece", 48),
    ("brief", "reach = {}", "brief.reach", 24),
    ("drain", "stone = {}", "drain.stone", 6),
    ("drain", "stone = {}", "drain.stone", 12),
    ("site", "frost_depth = {}", "site.frost_depth", 12),
    ("[steps]", "line = [[4, 0], [4, 12]]\nwidth = {}", "steps.1.width", 30),
    ("[path]", "line = [[4, -20], [4, -9]]\nwidth = {}", "path.1.width", 36),
    ("[fixed]", 'kind = "tree"\nat = [-30, 40]\nstem = {}', "fixed.1.stem", 10),
    ("[hole]", "at = [4, 4]\ndepth = {}", "hole.1.depth", 24),
]


def _with(table: str, lines: str) -> str:
    """The plain yard with lines put under a table, and the line they stand on found."""
    if table == "brief":
        return PLAIN + lines + "\n"
    return f"{PLAIN}\n[{table}]\n{lines}\n"


@pytest.mark.parametrize(("table", "lines", "key", "number"), ASKED)
@pytest.mark.parametrize("quoted", [False, True])
def test_a_number_meant_in_inches_is_asked_back(table, lines, key, number, quoted):
    """A plain number that is absurd in feet names file, line, key, what was found, and the same number in inches."""
    text = _with(table, lines.format(f'"{number}"' if quoted else number))
    line = next(n for n, row in enumerate(text.splitlines(), 1) if row.endswith((f"= {number}", f'= "{number}"')))
    with pytest.raises(InputError) as wrong:
        read_project_text(text, "yard.toml")
    (fault,) = wrong.value.faults
    assert (fault.file, fault.line, fault.key) == ("yard.toml", line, key)
    assert f"without a unit, which is {number} ft here; {number} in?" in fault.found
    assert fault.accepted.startswith("a length ") and f'"{number} in"' in fault.accepted


@pytest.mark.parametrize(("written", "metres"), [("38 in", 38 * INCH), ("38 ft", 456 * INCH), ("12", 144 * INCH)])
def test_a_written_unit_is_obeyed(written, metres):
    """A gate of "38 ft" is 38 feet, of "38 in" 38 inches; a plain number that may be feet is feet."""
    project = read_project_text(_with("access", f'gate = "{written}"'), "yard.toml")
    assert project.access.gate_m == pytest.approx(metres)


def test_centimetres_are_offered_in_a_metric_file():
    """A plain 95 for a gate of a metric file is 95 m, beyond the range: centimetres are asked about."""
    text = PLAIN.replace('units = "us"', 'units = "metric"') + "[access]\ngate = 95\n"
    with pytest.raises(InputError) as wrong:
        read_project_text(text, "yard.toml")
    (fault,) = wrong.value.faults
    assert "which is 95 m here; 95 cm?" in fault.found and "up to 20.00 m" in fault.accepted


def test_the_command_refuses_it(tmp_path):
    """Through the command line: status 2, the way out, no traceback, nothing written."""
    file = tmp_path / "yard.toml"
    file.write_text(_with("access", "gate = 38"), encoding="utf-8")
    ran = command("plan", str(file), "--out", str(tmp_path / "out"))
    assert ran.status == 2 and "access.gate" in ran.err and "38 in?" in ran.err and "Traceback" not in ran.err
    assert list(tmp_path.iterdir()) == [Path(file)]


def _limits(table: Table, path: str = "") -> Iterator[tuple[str, float, float | None, float | None]]:
    for name, key in table.keys.items():
        where = f"{path}{name}"
        if key.table is not None:
            yield from _limits(key.table, f"{where}.")
        elif key.most_bare_ft is not None:
            yield where, key.most_bare_ft, key.low, key.high


def test_what_is_asked_back_lies_in_the_range():
    """Every such limit is under the key's own greatest value, so that a written unit can still go beyond it."""
    limits = list(_limits(FILE))
    assert len(limits) >= 20
    for where, most_ft, low, high in limits:
        assert high is not None and (low or 0.0) < most_ft * 12 * INCH < high, where
