"""Outlets the file names: used where a pipe reaches them in reason, else told why not; none over a wall's own stone."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest
import shapely

from lawbook.case import Case, plan
from lynchet.core.findings import Verdict
from lynchet.project import model as pm
from lynchet.water.model import Outlet, Stone, Water
from lynchet.water.outlet_checks import over_stone_findings
from lynchet.water.settings import settings_of
from lynchet.water.stage import water
from lynchet.water.yard import Yard
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
Point = tuple[float, float]


@cache
def _made(places: tuple[Point, ...] = (), levels: tuple[float, ...] = ()) -> tuple[Case, Water]:
    readings = readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y + 0.01 * x, margin_m=9.0)
    drain = pm.DrainWish(outlets_m=places, outlet_levels_m=levels)
    case = plan(*project_of(OUTLINE, readings, brief=pm.Brief(terraces=3), drain=drain))
    return case, water(case.project, case.ground, case.terraces, case.walls)


def _why(made: Water) -> str:
    return next(one.text for one in made.findings if one.code == "water.outlet_unused")


@pytest.mark.parametrize("further_m", [1.0, 2.5])
def test_a_named_place_somewhat_further_on_is_used(further_m: float) -> None:
    """Where water would come to daylight, a place named further down the same way takes it all the same."""
    _, plain = _made()
    free = min((one for one in plain.outlets if one.kind == "daylight"), key=lambda one: one.invert_m)
    x, y = free.point_m
    _, made = _made(((x, y - further_m),))
    assert any(one.kind == "given" for one in made.outlets)
    assert not any(one.code == "water.outlet_unused" for one in made.findings)


def test_why_a_named_place_is_not_used_is_told() -> None:
    """Too high: by how much at least; off the readings: that; and where both are named, each has its own reason."""
    case, made = _made(((4.0, -3.0),), (104.0,))
    told = re.search(r"it lies (\d+) mm too high", _why(made))
    assert told is not None
    highest = max(node.ceiling_m for chain in made.chains for node in chain.nodes)
    assert int(told[1]) / 1000.0 >= 104.0 - highest - 0.001
    _, off = _made(((400.0, -3.0),))
    assert "1 under [drain] is not used: its ground is not measured" in _why(off)
    _, both = _made(((4.0, -3.0), (400.0, -3.0)), (104.0,))
    assert re.search(r"1, it lies \d+ mm too high.*; 2, its ground is not measured", _why(both))
    assert case.project.drain.outlets_m


def _beside(stone: Stone, away_m: float, over_m: float) -> Outlet:
    """An outlet so far before the middle of a stone's longest side, so far over its top."""
    line = shapely.Polygon(stone.outline_m).buffer(away_m).exterior
    at = line.interpolate(0.5, normalized=True)
    ground = max(stone.top_start_m, stone.top_end_m) + over_m
    return Outlet("x/1/outlet", "daylight", (at.x, at.y), (0.0, -1.0), ground + 0.05, ground, 0.5, ("x/1",))


@pytest.mark.parametrize(("away_m", "over_m", "own", "asked"), [
    (1.0, 0.5, False, True), (2.9, 0.2, False, True), (3.2, 0.5, False, False), (1.0, -0.3, False, False),
    (1.0, 0.5, True, False),
])  # fmt: skip
def test_water_let_out_over_another_walls_stone_is_asked_about(
    away_m: float, over_m: float, own: bool, asked: bool
) -> None:
    """Nearer than 3 m and higher than the stone's top, unless it is its own; wall and distance are told."""
    case, made = _made()
    yard = Yard(case.project, case.ground, case.terraces, case.walls, settings_of(case.project.drain))
    stone = made.stone[0]
    outlet = _beside(stone, away_m, over_m)
    far = replace(stone, id="far", outline_m=tuple((x + 40.0, y) for x, y in stone.outline_m))
    found = over_stone_findings(yard, [outlet], [stone, far], {"x/1": stone.chain if own else "other"})
    assert bool(found) == asked, "whatever other stone the wall has farther off"
    for one in found:
        assert one.verdict is Verdict.ASK and f"{away_m:.2f} m from the stone of wall {stone.leg}" in one.text
        assert not over_stone_findings(yard, [replace(outlet, kind="soakaway")], [stone], {})
