"""Readings to take again: named, with the reason, and with what to write into the file."""

from __future__ import annotations

import re

import numpy as np
import pytest

from lynchet.core.findings import Finding, Verdict
from lynchet.ground.stage import ground
from lynchet.project.keys import Table
from lynchet.project.keys_yard import GROUND
from lynchet.project.read import read_project_text

HEAD = 'lynchet = 1\nunits = "{}"\narea = {{ length = 9, depth = 6.5 }}\n[ground]\n'
LASER = """laser = {{ zero = "1.20 m", zero_name = "doorstep", check = "{} m", readings = [
 {{ name = "a", at = [-1, -1], rod = "2.6 m" }}, {{ name = "b", at = [10, -1], rod = "2.6 m" }},
 {{ name = "c", at = [10, 8], rod = "0.9 m" }}, {{ name = "d", at = [-1, 8], rod = "0.9 m" }},
 {{ name = "e", at = [4, 3], rod = "{} m" }}, {{ name = "f", at = [7, 5], rod = "1.47 m" }} ] }}
"""
SOURCES = {
    "slope": 'slope.fall = "25 %"\n{}',
    "steps": 'steps.each = [{{ rise = "30 cm", run = "2.4 m" }}, {{ rise = "60 cm", run = "2.4 m" }}, '
             '{{ rise = "30 cm", run = "2.4 m" }}]\n{}',
}  # fmt: skip


def _found(text: str, code: str) -> Finding:
    (found,) = (one for one in ground(read_project_text(text)).findings if one.code == code)
    return found


def _keys(text: str) -> set[str]:
    return set(re.findall(r"`(\w+)`", text))


def _all_keys(table: Table | None) -> set[str]:
    """Every key under a table, however deep."""
    keys = {} if table is None else table.keys
    return {*keys, *(name for key in keys.values() for name in _all_keys(key.table))}


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(("kind", "named"), [("slope", ("the drop", "the run")), ("steps", ("step 2",))])
@pytest.mark.parametrize("missed", ["60 mm", "150 mm", "900 mm"])
def test_what_does_not_close_names_its_readings_and_what_to_write(
    kind: str, named: tuple[str, ...], units: str, missed: str
) -> None:
    """Good enough or lost: the readings to begin with and why; the cure writes keys of that way of measuring."""
    text = HEAD.format(units) + 'held = "level"\n' + SOURCES[kind].format(f'misclosure = "{missed}"\n')
    found = _found(text, "ground.misclosure")
    assert all(name in found.text for name in named) and re.search(r"(these|instrument|round)", found.text)
    (cure,) = found.cures
    assert cure.edits == () and cure.name == "read-again" and all(name in cure.text for name in named)
    assert {"misclosure", kind} & _keys(cure.text) and _keys(cure.text) <= _all_keys(GROUND.table)


def test_a_laser_that_moved_is_read_again_at_its_mark() -> None:
    """The mark read again 9 cm off: mark and last reading are named; zero, check and rod are what is written."""
    found = _found(HEAD.format("metric") + 'held = "level"\n' + LASER.format("1.29", "1.84"), "ground.misclosure")
    assert found.verdict is Verdict.ASK and "doorstep" in found.text and " f;" in found.text
    assert _keys(found.cures[0].text) == {"zero", "check", "rod", "laser"}


def test_an_odd_reading_has_both_answers() -> None:
    """A rod misread by half a metre: either it is listed as sure, with its effect, or the new rod is written."""
    rods = {(x, y): 2.4 - 0.2 * y + 0.004 * ((3 * x + y) % 5) for x in range(-1, 12, 2) for y in range(-1, 10, 2)}
    rods[5, 3] += 0.5
    rows = ", ".join(f'{{ name = "n{x}.{y}", at = [{x}, {y}], rod = "{rod:.3f} m" }}' for (x, y), rod in rods.items())
    text = HEAD.format("metric") + f'held = "level"\nlaser = {{ zero = "1.20 m", readings = [{rows}] }}\n'
    found = _found(text, "ground.far-reading")
    assert found.place == "n5.3"
    sure, again = found.cures
    assert sure.edits == (("ground.sure", [found.place]),) and sure.effect
    assert f'"{found.place}"' in again.text and "rod" in _keys(again.text)


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.1, 3.9])
def test_the_tape_is_held_again_where_it_shows_most(turn: float) -> None:
    """Of all readings those named lie furthest apart up the slope, the lower first, wherever up lies."""
    up = np.array([np.cos(turn), np.sin(turn)])
    places = {f"p{n}": at for n, at in enumerate(np.random.default_rng(5).uniform(-6.0, 16.0, (14, 2)))}
    places |= {f"q{n}": np.array(at) for n, at in enumerate([(-3.0, -3.0), (13.0, -3.0), (13.0, 11.0), (-3.0, 11.0)])}
    rows = ", ".join(
        f'{{ name = "{name}", at = [{at[0]:.3f}, {at[1]:.3f}], level = "{10 + 0.3 * (at @ up):.4f} m" }}'
        for name, at in places.items()
    )
    found = _found(HEAD.format("metric") + f'held = "unknown"\npoints.readings = [{rows}]\n', "ground.held")
    low, high = re.findall(r'from "(\w+)" up to "(\w+)"', found.text)[0]
    along = {name: float(at @ up) for name, at in places.items()}
    assert (low, high) == (min(along, key=along.__getitem__), max(along, key=along.__getitem__))
    assert 'held = "level" or held = "ground" under [ground]' in found.text
