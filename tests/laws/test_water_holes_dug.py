"""Test holes: what is dug into water, rock or slow ground is told with figures that other reckoning gives too."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import dist
from typing import Any

import numpy as np
import pytest
import shapely

from lawbook.case import plan
from lynchet.core.findings import Finding, Verdict, worst
from lynchet.project import model as pm
from lynchet.project.things import Hole, Soakaway
from lynchet.stability.stage import stability
from lynchet.water.model import Water
from lynchet.water.stage import water
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
FAR = (200.0, 200.0)
"""Off the measured ground and farther than any hole tells: it counts everywhere, by depth alone."""


def _ground(x: Any, y: Any) -> Any:
    return 100.0 + 0.2 * y + 0.01 * x


@cache
def _case(holes: tuple[Hole, ...], pipe_from_m: float | None = None, weeps: bool = False) -> Any:
    brief = pm.Brief(terraces=5, weeps=weeps)
    readings = readings_over(OUTLINE, _ground, margin_m=4.0)
    return plan(*project_of(OUTLINE, readings, brief=brief, holes=holes, drain=pm.DrainWish(pipe_from_m=pipe_from_m)))


@cache
def _water(holes: tuple[Hole, ...], pipe_from_m: float | None = None, weeps: bool = False) -> Water:
    case = _case(holes, pipe_from_m, weeps)
    return water(case.project, case.ground, case.terraces, case.walls)


def _hole(at: tuple[float, float] | None = FAR, **found: Any) -> tuple[Hole, ...]:
    return (Hole("H", at, 2.5, "", **found),)


def _told(made: Water, code: str) -> dict[str, Finding]:
    return {one.place: one for one in made.findings if one.code == code}


def _deepest_m() -> float:
    """How deep under the old ground anything is dug, by fine points over outlines of stone, stone beds and pipes."""
    made, case = _water(()), _case(())
    deep = []
    shapes = [(one.outline_m, one.bottom_m) for one in made.stone]
    lowest: dict[str, list[Any]] = {}
    for run in case.walls.runs:
        lowest.setdefault(run.leg, []).append(run)
    for runs in lowest.values():
        for run in runs:
            under = [other for other in runs if other.bottom_m < run.bottom_m - 1e-6]
            if not any(shapely.area(shapely.intersection(run.polygon, other.polygon)) > 1e-6 for other in under):
                shapes.append((run.outline_m, run.bottom_m - 0.15))
    for outline, bottom in shapes:
        (x, y) = np.array(outline).T
        deep.append(float(np.max(_ground(x, y))) - bottom)
    return max(deep)


@pytest.mark.parametrize(("found", "code"), [("water_depth_m", "water.hole_water"),
                                             ("refusal_depth_m", "water.hole_refusal")])  # fmt: skip
def test_what_is_dug_below_what_a_hole_met_is_asked_about_with_its_figures(found: str, code: str) -> None:
    """Told just above the deepest underside, not below it; its depth is that of the outlines, to half a stone's width
    of slope; both depths stand in the words."""
    deep = _deepest_m()
    assert not _told(_water(_hole(**{found: deep + 0.02})), code)
    told = _told(_water(_hole(**{found: deep - 0.15})), code)["H"]
    assert told.verdict is Verdict.ASK and told.ask == "engineer"
    assert told.demand == pytest.approx(deep, abs=0.1) and told.capacity == pytest.approx(deep - 0.15)
    assert f"{deep - 0.15:.2f} m down" in told.text
    assert f"{1000.0 * (told.demand - told.capacity):.0f} mm" in told.text


def test_trenches_are_called_trenches_and_the_cure_names_its_key() -> None:
    """Where a pipe goes deepest, what else does is told by its trench (walls have no pipe's "those"); the pipe that is
    advised is told by its key unless the file has it."""
    for pipe_from in (None, 0.15):
        text = _told(_water(_hole(water_depth_m=0.02), pipe_from), "water.hole_water")["H"].text
        assert ("`pipe_from` under [drain]" in text) == (pipe_from is None)
        begins = "those of" if "The trench of wall" in text else "the trenches of"
        assert f"; so do {begins} " in text


def test_ground_water_that_pipes_do_not_reach_is_told_with_its_reason() -> None:
    """Asked for, a pipe lies behind some walls and not behind others: those are named with why, and no pipe is told as
    an answer to water that runs in dry weather."""
    asked = 0
    for pipe_from in (None, 0.15, 0.3):
        made = _water(_hole(water_depth_m=0.02), pipe_from)
        text = _told(made, "water.hole_water")["H"].text
        assert "sized for the rain" in text and "`cut_off = true` under [[spring]]" in text
        bare = {row.leg for row in made.levels if row.drained == "none"}
        told = text.partition("Have a pipe laid behind ")[2]
        told = told.partition(":" if pipe_from else " (")[0]
        assert set(told.replace(" and ", ", ").split(", ")) == bare
        if pipe_from is not None:
            asked += "mm lays none behind" in text and "no way out is found" in text
    assert asked == 2


def test_a_dry_hole_changes_nothing() -> None:
    """Dug to its depth without water, rock or a soak, it leaves water and findings as they are."""
    bare, dry = _water(()), _water(_hole((4.0, 3.0)))
    assert (dry.findings, dry.levels) == (bare.findings, bare.levels)


def test_shallower_water_never_makes_a_milder_word() -> None:
    """The worst word of water and walls grows as the water found rises; what stone drains shrinks."""
    words, stone = [], []
    for depth in (2.4, 0.3, 0.02):
        holes = _hole((4.0, 3.0), water_depth_m=depth)
        made, case = _water(holes), _case(holes)
        held = stability(case.project, case.ground, case.terraces, case.walls, made, 2)
        words.append(worst([*made.findings, *held.findings]))
        stone.append(sum(row.end_m - row.start_m for row in made.levels if row.drained == "stone"))
    assert words == sorted(words) and stone == sorted(stone, reverse=True)
    assert words[-1] >= Verdict.ASK and stone[0] > 0 and stone[-1] == 0


def test_stone_in_ground_water_drains_nothing() -> None:
    """Behind a trench that stands in it water stands to the top in every case; pipes and dry trenches stay."""
    made, bare = _water(_hole(water_depth_m=0.02)), _water(())
    for row, before in zip(made.levels, bare.levels, strict=True):
        if before.drained == "pipe":
            assert row == before
        else:
            assert row.drained == "none" and row.wet_m == row.one_shut_m == row.all_shut_m == before.all_shut_m


def test_a_hole_tells_of_ground_near_it() -> None:
    """With a dry hole beside, only stretches within 5 m of the wet one, or nearer to it than to the other, are wet."""
    wet, dry = (8.8, 5.8), (1.0, 1.0)
    holes = (Hole("wet", wet, 2.5, "", water_depth_m=0.02), Hole("dry", dry, 2.5))
    made, case = _water(holes), _case(holes)
    changed = [row for row, before in zip(made.levels, _water(()).levels, strict=True) if row != before]
    assert changed and len(changed) < len(made.levels)
    for row in changed:
        leg = case.walls.leg(row.leg)
        places = [leg.point_at(s) for s in np.linspace(row.start_m, row.end_m, 40)]
        assert any(dist(at, wet) < 5.6 or dist(at, wet) < dist(at, dry) + 0.6 for at in places)


@pytest.mark.parametrize("weeps", [False, True])
def test_slow_ground_makes_stone_alone_a_matter_of_care(weeps: bool) -> None:
    """Slower than an inch an hour, and only where stone alone drains; the way out is weep holes or a pipe."""
    slow, quick = 20 * 60.0, 5.9 * 60.0
    assert not _told(_water(_hole((4.0, 3.0), soak_min=quick), weeps=weeps), "water.hole_slow")
    made = _water(_hole((4.0, 3.0), soak_min=slow), weeps=weeps)
    told = _told(made, "water.hole_slow")["H"]
    assert told.verdict is Verdict.WATCH and "7.5 mm/h" in told.text and "pipe_from" in told.text
    assert ("Keep the weep holes" in told.text) == weeps
    legs = {row.leg for row in made.levels if row.drained == "stone"}
    assert legs and all(leg in told.text for leg in legs)
    assert not _told(made, "water.hole_soak")
    noted = _told(_water(_hole((4.0, 3.0), soak_min=quick), weeps=weeps), "water.hole_soak")["H"]
    assert noted.verdict is Verdict.OK and "changes nothing here: from 25 mm/h on stone alone drains" in noted.text
    piped = _water(_hole((4.0, 3.0), soak_min=slow), 0.01, weeps)
    if not any(row.drained == "stone" for row in piped.levels):
        assert not _told(piped, "water.hole_slow")
        assert "no wall near the hole is drained by stone alone" in _told(piped, "water.hole_soak")["H"].text


def test_a_water_test_that_a_soakaway_counts_on_is_not_told_to_change_nothing() -> None:
    """With a soakaway without a rate of its own the test is what it is sized by; with one it changes nothing."""
    case = _case(_hole((4.0, 3.0), soak_min=60.0))
    for rate, noted in ((None, False), (12.0, True)):
        pit = Soakaway("pit", (4.0, -8.0), None, 1.0, 1.0, 1.0, 0.3, rate)
        made = water(replace(case.project, soakaways=(pit,)), case.ground, case.terraces, case.walls)
        assert bool(_told(made, "water.hole_soak")) == noted
