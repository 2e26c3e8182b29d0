"""No edge of a landing on open ground is left standing: soil is banked against it, counted and told."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
import shapely

from demo_plans import demo
from lawbook.whole import whole
from lynchet.core.standing import Standing
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import end_words
from lynchet.earth import finishes
from lynchet.earth.finishes import BANK, finishes_of
from lynchet.earth.solids import Owners
from lynchet.ground.surface import level_at
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Brief
from lynchet.project.things import StepsWish
from lynchet.terraces.model import Flight, Landing
from lynchet.walls.bank import BANK_SLOPE
from random_yards import realistic
from yards import project_of

OUT_M, LEFT_M = 0.02, 0.06
"""How far beside an edge one looks, and what may stand there without soil."""


def _ends(plan: Plan) -> Iterator[tuple[Flight, Landing]]:
    for flight in plan.terraces.flights:
        for landing in flight.landings:
            if landing.stone:
                yield flight, landing


def _free_places(landing: Landing) -> list[tuple[float, float]]:
    """Places just outside the edges of a landing's stone, but for the edge at the steps."""
    whole_ring = shapely.union_all([shapely.Polygon(one.outline_m) for one in landing.stone], grid_size=1e-5)
    ring = np.array(whole_ring.convex_hull.exterior.coords)
    found, middle = [], np.array(whole_ring.centroid.coords[0])
    for a, b in pairwise(ring):
        out = np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))
        out = out if np.dot(out, a - middle) > 0 else -out
        found += [tuple(a + share * (b - a) + OUT_M * out) for share in (0.1, 0.5, 0.9)]
    return [(float(x), float(y)) for x, y in found]


def _level_there(plan: Plan, at: tuple[float, float]) -> float | None:
    """Finished level at a place: of the bank over it, else of the ground; None where something else is built."""
    point = shapely.Point(at)
    things = [*(face.polygon for face in plan.terraces.faces), *(run.polygon for run in plan.walls.runs)]
    things += [shapely.Polygon(tread.outline_m) for flight in plan.terraces.flights for tread in flight.treads]
    things += [shapely.Polygon(one.outline_m) for _, end in _ends(plan) for one in end.stone]
    things += [shapely.Polygon(house.outline_m) for house in plan.project.houses]
    if any(thing.distance(point) < OUT_M - 1e-3 for thing in things):
        return None
    ground = float(level_at(plan.ground.surface, [at], 2.0)[0])
    found = finishes_of(plan.project, plan.terraces, Owners(plan.terraces, plan.walls, plan.water), plan.walls.shaped)
    banks = [f.level[0] * at[0] + f.level[1] * at[1] + f.level[2] for f in found
             if f.kind == BANK and f.raised > 0 and shapely.Polygon(f.rings[0]).intersects(point)]  # fmt: skip
    return max([ground, *banks])


@pytest.mark.parametrize("name", ["l_garden", "side_yard", 18, 68, 107])
def test_no_edge_of_a_landing_stands_free(name: str | int) -> None:
    """Beside every free edge of stone the finished ground lies at most 6 cm under its top, and the sheets say so."""
    plan = demo(name) if isinstance(name, str) else whole(*realistic(name)).plan
    seen = 0
    for flight, landing in _ends(plan):
        for at in _free_places(landing):
            level = _level_there(plan, at)
            if level is not None:
                seen += 1
                assert level >= landing.level_m - LEFT_M, (flight.id, landing.where, at)
        corners = [point for one in landing.stone for point in one.outline_m]
        over = landing.level_m - float(np.nanmin(level_at(plan.ground.surface, corners, 2.0)))
        told = "; ".join(end_words(plan, flight, Figures(plan.project.units)))
        assert (Figures(plan.project.units).small_words(over) in told) == (over > 0.03) or over < 0.06
    assert seen


def _plane(fall: float) -> Plan:
    outline = [(0.0, 0.0), (8.0, 0.0), (8.0, 5.0), (0.0, 5.0)]
    readings = [(x, y, 100.0 + fall * y) for x in (-4.0, 4.0, 12.0) for y in (-6.0, 0.0, 6.0, 12.0)]
    steps = (StepsWish("way", ((4.0, -3.0), (4.0, 4.0)), 1.2),)
    return plan_on(*project_of(outline, readings, brief=Brief(terraces=2), steps=steps), Standing(), LIVE, _silent)


def _silent(stage: str) -> None:
    """Nobody watches."""


@pytest.mark.parametrize("fall", [0.15, 0.25])
def test_the_soil_banked_is_that_of_the_sum_by_hand(fall: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """On ground that falls evenly: a prism before the far edge and two wedges beside, by hand within 6 percent."""
    plan = _plane(fall)
    (flight,) = {one.id: one for one, end in _ends(plan) if end.where == "foot"}.values()
    landing = next(end for end in flight.landings if end.where == "foot")
    ring = np.array([point for one in landing.stone for point in one.outline_m])
    ground = level_at(plan.ground.surface, ring, 2.0)
    far, near = landing.level_m - float(ground.min()), landing.level_m - float(ground.max())
    deep = float(ring[:, 1].max() - ring[:, 1].min())
    assert far - near == pytest.approx(fall * deep, abs=1e-6)
    before = 1.2 * far**2 / (2.0 * (BANK_SLOPE - fall))
    start = max(near, 0.0)
    beside = (far**3 - start**3) / (3.0 * fall) / (2.0 * BANK_SLOPE)
    monkeypatch.setattr(finishes, "_graded", lambda *_: ())
    more = _raised_m3(plan, flight.id) - _raised_m3(_plane(fall), flight.id)
    assert more == pytest.approx(before + 2.0 * beside, rel=0.06)


def _raised_m3(plan: Plan, place: str) -> float:
    """Soil put down at a place less topsoil taken off it."""
    signs = {"fill": 1.0, "topsoil back": 1.0, "topsoil off": -1.0}
    return sum(signs.get(move.kind, 0.0) * move.volume_m3 for move in plan.earth.moves if move.place == place)


@pytest.mark.parametrize("fall", [0.15, 0.25])
def test_the_ground_of_a_landing_is_told_in_one_sentence(fall: float) -> None:
    """Depth of the stone, where the ground lies to its top and what is dug stand together: the ground of the corners,
    worked out from the fall alone, is what is told."""
    plan = _plane(fall)
    figures = Figures(plan.project.units)
    flight, landing = next((flight, end) for flight, end in _ends(plan) if end.where == "foot")
    told = [line for line in end_words(plan, flight, figures) if "foot" in line]
    levels = [100.0 + fall * y for one in landing.stone for _, y in one.outline_m]
    thick = max(one.top_m - one.bottom_m for one in landing.stone)
    under = landing.level_m - min(levels)
    assert len(told) == 1 and "The ground there" not in " ".join(end_words(plan, flight, figures))
    assert f"up to {figures.small_words(thick)} of stone" in told[0] and "dig" in told[0]
    assert (f"{figures.small_words(under)} below" in told[0]) == (under > 0.005)
