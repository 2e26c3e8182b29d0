"""Houses, roofs, springs, soakaways, lot lines: the checks round the drains, with figures worked by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from math import dist, pi
from typing import Any

import numpy as np
import pytest

from lawbook.case import plan
from lynchet.core.findings import Finding, Verdict
from lynchet.ground.surface import level_at
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.terraces.model import HOUSE, Level
from lynchet.units.format import area, length, volume
from lynchet.water.model import Water
from lynchet.water.stage import water
from yards import project_of, readings_over, timber

IN = 0.0254
OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]


def _slope(x: float, y: float) -> float:
    return 100.0 + 0.2 * y + 0.01 * x


def _plan(level: Any = _slope, outline: Any = OUTLINE, margin_m: float = 4.0, **parts: Any) -> tuple[Any, Water]:
    parts.setdefault("brief", pm.Brief(terraces=3))
    case = plan(*project_of(outline, readings_over(outline, level, margin_m=margin_m), **parts))
    return case, water(case.project, case.ground, case.terraces, case.walls)


def _of(made: Water, code: str) -> list[Finding]:
    return [finding for finding in made.findings if finding.code == code]


def _house(**more: Any) -> things.House:
    return things.House("house", ((-0.5, 6.0), (9.5, 6.0), (9.5, 10.0), (-0.5, 10.0)), **more)


def _top_bench_m() -> float:
    """Level of the bench beside the house."""
    case, _ = _plan(houses=(_house(),), timber=timber(5.5 * IN, 5.5 * IN))
    return max(face.level_m for face in case.terraces.beds)


def test_siding_three_inches_clear_is_a_stop_and_one_course_lower_cures_it() -> None:
    """Siding 3 in over the bench is under the 6 in asked; one course of 5 1/2 in lower leaves 8 1/2 in."""
    house = _house(siding="wood", siding_lowest_m=_top_bench_m() + 3 * IN, footing_depth_m=3.0)
    _, made = _plan(houses=(house,), timber=timber(5.5 * IN, 5.5 * IN))
    (finding,) = _of(made, "water.siding")
    assert finding.verdict is Verdict.STOP and finding.withholds == ("all",)
    assert finding.capacity == pytest.approx(3 * IN) and finding.demand == pytest.approx(6 * IN)
    cure = next(c for c in finding.cures if c.name == "bench-one-course-lower")
    assert f"{8.5 * IN * 1000:.0f} mm" in cure.text and "one course lower" in cure.text
    (check,) = [c for c in made.house_checks if c.what == "siding clear"]
    assert check.measured == pytest.approx(3 * IN) and not check.ok


@pytest.mark.parametrize(("inches", "siding", "stops"), [(6.0, "wood", 0), (5.9, "wood", 1), (1.0, "brick", 0)])
def test_siding_limit_belongs_to_the_passing_side(inches: float, siding: str, stops: int) -> None:
    """Exactly 6 in passes, a little less does not, and brick is not wood."""
    house = _house(siding=siding, siding_lowest_m=_top_bench_m() + inches * IN, footing_depth_m=3.0)
    _, made = _plan(houses=(house,), timber=timber(5.5 * IN, 5.5 * IN))
    assert len(_of(made, "water.siding")) == stops


def test_trench_under_the_line_from_the_footing_is_a_stop() -> None:
    """8 in from a footing 24 in deep, 32 in are allowed (24 + 8): what lies deeper is told with both depths."""
    case, made = _plan(houses=(_house(footing_depth_m=24 * IN),), timber=timber(5.5 * IN, 5.5 * IN))
    checks = [c for c in made.house_checks if c.what == "trench"]
    house = case.project.houses[0]
    import shapely

    shape = shapely.Polygon(house.outline_m)
    for check in checks:
        body = next(
            (shapely.Polygon(b.outline_m) for b in made.bodies if b.id == check.face),
            None,
        ) or next(run.polygon for run in case.walls.runs if run.id == check.face)
        assert check.needed == pytest.approx(24 * IN + shape.distance(body))
        assert check.ok == (check.measured <= check.needed + 1e-9)
    shallow = _plan(houses=(_house(footing_depth_m=4 * IN),), timber=timber(5.5 * IN, 5.5 * IN))[1]
    assert [f.verdict for f in _of(shallow, "water.trench_at_house")] == [Verdict.STOP]


@pytest.mark.parametrize(("gap_m", "asked"), [(0.0, True), (0.25, True), (0.6, False)])
def test_digging_at_a_deep_footing_is_asked_about(gap_m: float, asked: bool) -> None:
    """The sheets forbid digging beside a footing without asking: where walls reach it, the plan asks; of walls that
    stay more than 1 ft away it says nothing."""
    far = things.House("house", ((9.0 + gap_m, -1.0), (12.0, -1.0), (12.0, 6.5), (9.0 + gap_m, 6.5)),
                       footing_depth_m=3.0)  # fmt: skip
    _, made = _plan(houses=(far,), timber=timber(5.5 * IN, 5.5 * IN))
    found = _of(made, "water.at_footing")
    assert (
        ["wall A" in finding.text for finding in found] == [True]
        if asked
        else not any("wall" in finding.text for finding in found)
    )  # a pipe on its way out may pass nearer than the walls
    assert all(finding.verdict is Verdict.ASK and finding.ask for finding in found)


def test_unknown_footing_asks_instead_of_stopping() -> None:
    """Nobody looked at the footing: a question, not a stop, and not silence."""
    _, made = _plan(houses=(_house(),))
    assert {f.verdict for f in _of(made, "water.trench_at_house")} <= {Verdict.ASK}


def test_level_bench_beside_a_house_must_be_shaped_to_fall() -> None:
    """A bench about 2 m deep needs 5 % of its depth (the wall is the barrier), told in the finding."""
    case, made = _plan(houses=(_house(),))
    (finding,) = _of(made, "water.fall_from_house")
    top = max(case.terraces.beds, key=lambda f: f.level_m)
    ys = [y for _, y in top.outline_m]
    assert finding.demand == pytest.approx(0.05 * (6.0 - min(ys)), rel=1e-6)
    assert any(HOUSE in (s.left, s.right) for line in case.terraces.lines for s in line.sides)
    assert isinstance(top.finish, Level)


def test_roof_water_runs_in_its_own_pipe() -> None:
    """A downspout at the side gets a solid pipe and outlet of its own that no drain joins; C = 1."""
    house = things.House("shed", ((9.6, 4.0), (12.0, 4.0), (12.0, 7.0), (9.6, 7.0)), roof_area_m2=36.0,
                         downspouts_m=((9.55, 3.95),))  # fmt: skip
    _, made = _plan(houses=(house,))
    (roof,) = made.roof_pipes
    assert roof.flow_l_s == pytest.approx(36.0 * 100.0 / 3600.0)
    assert all(drain.into != roof.outlet for drain in made.drains)
    assert all(solid.into != roof.id for solid in made.solids)
    outlet = next(o for o in made.outlets if o.id == roof.outlet)
    assert outlet.drains == (roof.id,)
    falls = [a - b for a, b in zip(roof.inverts_m, roof.inverts_m[1:], strict=False)]
    assert min(falls) >= -1e-9


def test_spring_without_cut_off_drain_is_a_stop_and_with_one_gets_its_own_outlet() -> None:
    """Ground water is never left to the wall drain."""
    line = ((1.0, 6.6), (9.6, 6.6))
    _, bare = _plan(springs=(things.Spring("seep", line, 0.05),))
    (finding,) = _of(bare, "water.spring")
    assert finding.verdict is Verdict.STOP and finding.cures
    _, made = _plan(springs=(things.Spring("seep", line, 0.05, cut_off=True),))
    assert not _of(made, "water.spring")
    (cut_off,) = made.cut_offs
    outlet = next(o for o in made.outlets if o.id == cut_off.outlet)
    assert outlet.flow_l_s == pytest.approx(0.05) and outlet.drains == (cut_off.id,)
    assert min(a - b for a, b in zip(cut_off.inverts_m, cut_off.inverts_m[1:], strict=False)) >= -1e-9


@pytest.mark.parametrize("line", [((1.0, 6.6), (9.6, 6.6)), ((9.6, 6.6),)])
def test_a_cut_off_drain_lies_in_stone_and_fabric(line: tuple[tuple[float, float], ...]) -> None:
    """Along a spring, or the first metre from one place, by hand from the ground and the inverts: a trench 0.3 m wide,
    stone from 2 in (0.05 m) under the pipe (International Residential Code R405.1) to 0.15 m under the ground, fabric
    once round it and 0.3 m more (PRACTICE). The parts lie end to end from the spring on; told are their sums."""
    case, made = _plan(springs=(things.Spring("seep", line, 0.05, cut_off=True),))
    (finding,) = _of(made, "water.cut_off_stone")
    (cut,) = made.cut_offs
    long = 8.6 if len(line) > 1 else 1.0
    ends = [cut.stone[0].start_m, cut.stone[-1].end_m]
    assert sum(dist(one.start_m, one.end_m) for one in cut.stone) == pytest.approx(long)
    assert all(a.end_m == b.start_m for a, b in zip(cut.stone, cut.stone[1:], strict=False))
    inverts = np.interp([0.0, long], np.cumsum([0.0, *_ways(cut.points_m)]), cut.inverts_m)
    wall = (cut.outside_m - cut.bore_m) / 2.0
    feet = [one - wall - 0.05 for one in inverts]
    high = float(np.mean(level_at(case.ground.surface, ends) - 0.15 - feet))
    stone, fabric = long * (0.3 * high - pi / 4.0 * cut.outside_m**2), long * (2 * (0.3 + high) + 0.3)
    assert (cut.stone_m3, cut.fabric_m2) == pytest.approx((stone, fabric)) and 0.1 < stone / long < 0.2
    assert (cut.stone[0].bottom_start_m, cut.stone[-1].bottom_end_m) == pytest.approx(feet)
    told = volume(stone, "metric"), area(fabric, "metric"), length(long, "metric")
    assert all(text in finding.text for text in told) and finding.verdict is Verdict.OK


def _ways(points: tuple[tuple[float, float], ...]) -> list[float]:
    return [dist(a, b) for a, b in pairwise(points)]


def test_no_daylight_inside_lot_lines_all_round_is_a_plain_stop() -> None:
    """Lot lines 0.2 m off on all sides leave no way out: a stop that names the level, and nothing laid."""
    lot = tuple((x, y) for x, y in ((-0.2, -0.2), (9.2, -0.2), (9.2, 6.2), (-0.2, 6.2), (-0.2, -0.2)))
    _, made = _plan(lot_lines=(things.LotLine("lot", lot),))
    assert not [o for o in made.outlets if o.kind == "daylight" and not o.point_m[1] >= 0]
    stops = _of(made, "water.no_way_out")
    assert stops and all("soakaway" in [c.name for c in f.cures] for f in stops)


def test_outlet_that_points_over_the_lot_line_is_a_stop() -> None:
    """An outlet of the file just inside the lot line, reached from the wall: turn it or let it soak away."""
    drain = replace(pm.DrainWish(), outlets_m=((4.5, -2.0),), outlet_levels_m=(99.5,))
    lot = things.LotLine("front", ((-3.0, -2.6), (12.0, -2.6)))
    _, made = _plan(drain=drain, lot_lines=(lot,))
    if not any(o.kind == "given" for o in made.outlets):
        pytest.skip("another way out was cheaper")
    (finding,) = _of(made, "water.outlet_lot_line")
    assert finding.verdict is Verdict.STOP and {c.name for c in finding.cures} == {"turn-outlet", "soakaway"}


def _pit_yard(rate: float | None, **more: Any) -> tuple[Any, Water]:
    """A bench of 60 m2 in a hollow: higher ground on every side but a soakaway with its inlet low."""
    pit = things.Soakaway("pit", (5.0, -7.0), 97.0, 6.0, 0.45, 0.9, 0.30, rate)
    rain = pm.Rain(100.0, 0.35, 25.0, 1.0)

    def hollow(x: float, y: float) -> float:
        return _slope(x, y) + 2.0 * max(0.0, -0.3 - y) + 2.0 * max(0.0, x - 9.3) + 2.0 * max(0.0, -0.3 - x)

    return _plan(hollow, margin_m=9.0, soakaways=(pit,), rain=rain, **more)


@pytest.mark.parametrize(("rate", "hours", "passes"), [(1.0, 62.8, False), (5.0, 12.6, True), (20.0, 3.1, True)])
def test_soakaway_empties_as_worked_by_hand(rate: float, hours: float, passes: bool) -> None:
    """6 x 0.45 x 0.9 m with 30 % voids stores 0.729 m3; full, it is half empty after 62.8, 12.6, 3.1 h."""
    _, made = _pit_yard(rate)
    (check,) = made.soakaways
    assert check.store_m3 == pytest.approx(0.729)
    assert check.half_empty_h == pytest.approx(hours, abs=0.05)
    assert check.inflow_m3 == pytest.approx(0.35 * check.area_m2 * 0.025)
    assert check.drains, "the drains must have found the soakaway"
    verdicts = {f.verdict for f in _of(made, "water.soakaway")}
    assert (Verdict.STOP in verdicts) == (not passes or check.required_m3 > check.store_m3)


def test_soakaway_without_a_soak_test_asks() -> None:
    """Nobody tried how fast water goes: a question."""
    _, made = _pit_yard(None)
    assert [f.verdict for f in _of(made, "water.soak_rate")] == [Verdict.ASK]


def test_soakaway_too_near_house_or_lot_line_is_a_stop() -> None:
    """10 ft to a house and to the lot line (stormwater manual)."""
    lot = things.LotLine("low", ((-4.0, -9.0), (14.0, -9.0)))
    _, made = _pit_yard(20.0, lot_lines=(lot,))
    assert [f.verdict for f in _of(made, "water.soakaway_place")] == [Verdict.STOP]
    (finding,) = _of(made, "water.soakaway_place")
    assert finding.capacity == pytest.approx(9.0 - 7.0 - 0.225) and finding.demand == pytest.approx(3.048)


def test_tree_roots_are_not_dug_through() -> None:
    """No pipe, stone trench of ours or outlet lies within the root ground of a tree that stays."""
    import shapely

    tree = things.Fixed("oak", "tree", "oak", ((10.5, 1.0),), clear_m=1.8, stem_m=0.3)
    _, made = _plan(fixed=(tree,))
    roots = shapely.Point(10.5, 1.0).buffer(1.75)
    pipes = [b for b in made.bodies if b.kind in ("drain pipe", "solid pipe")]
    assert pipes and not [b.id for b in pipes if shapely.Polygon(b.outline_m).intersects(roots)]


def test_every_placed_thing_has_outline_and_levels() -> None:
    """Ids are unique; bottoms lie under tops; outlines run anticlockwise round some ground."""
    import shapely

    _, made = _plan()
    ids = [body.id for body in made.bodies]
    assert len(ids) == len(set(ids)) > 0
    for body in made.bodies:
        assert body.bottom_start_m < body.top_start_m + 1e-9 and body.bottom_end_m < body.top_end_m + 1e-9, body.id
        ring = shapely.Polygon(body.outline_m)
        assert ring.is_valid and ring.area > 1e-6 and ring.exterior.is_ccw, body.id


def test_top_water_spills_over_the_lowest_rim_of_each_bench() -> None:
    """Each bench names the lowest rim round it and what lies below; no rim is under its bench."""
    case, made = _plan()
    assert [t.face for t in made.top_water] == [bed.id for bed in case.terraces.beds]
    for told, bed in zip(made.top_water, case.terraces.beds, strict=True):
        assert told.rim_m >= bed.level_m - 1e-9 and told.onto != bed.id
        assert told.flow_l_s == pytest.approx(0.35 * 100.0 / 3.6e6 * bed.area_m2 * 1000.0)


@pytest.mark.parametrize(
    ("places", "levels", "unused"),
    [(((4.0, 9.0),), (105.0,), "Outlet 1 "), (((4.0, 9.0), (4.0, 9.5)), (105.0, 105.0), "Outlets 1, 2 "), ((), (), "")],
)
def test_an_outlet_that_no_drain_reaches_is_told(places: Any, levels: Any, unused: str) -> None:
    """An outlet up the slope, over every drain, gets no water; the plan says so and lets the water out elsewhere."""
    _, made = _plan(drain=pm.DrainWish(outlets_m=places, outlet_levels_m=levels))
    assert made.outlets and not any(outlet.kind == "given" for outlet in made.outlets)
    told = _of(made, "water.outlet_unused")
    assert [finding.verdict for finding in told] == ([Verdict.WATCH] if unused else [])
    assert all(finding.text.startswith(unused) for finding in told)


@pytest.mark.parametrize("rate", [0.0, 50.0])
def test_a_soakaway_that_no_drain_reaches_is_never_large_enough(rate: float) -> None:
    """A pit up the slope takes no water: said so, in place of calling it large enough; no time to empty is infinite."""
    pit = things.Soakaway("pit", (4.0, 10.0), None, 1.0, 1.0, 1.0, 0.3, rate)
    _, made = _plan(soakaways=(pit,))
    (check,) = made.soakaways
    assert not check.drains and not _of(made, "water.soakaway")
    assert [finding.verdict for finding in _of(made, "water.soakaway_unused")] == [Verdict.WATCH]
    assert not any(body.kind == "soakaway" for body in made.bodies), "what takes no water is not dug"
    assert check.half_empty_h is None if rate == 0 else check.half_empty_h is not None


def test_a_soakaway_on_unmeasured_ground_is_not_built() -> None:
    """Neither inlet nor ground is known: it had a level of nought, and its stone was ordered."""
    lot = things.LotLine("low", ((-4.0, -41.0), (14.0, -41.0)))
    pit = things.Soakaway("pit", (4.0, -40.0), None, 1.0, 1.0, 1.0, 0.3, 20.0)
    _, made = _plan(soakaways=(pit,), lot_lines=(lot,))
    assert not any(body.kind == "soakaway" for body in made.bodies) and not _of(made, "water.soakaway_place")
    (told,) = _of(made, "water.soakaway_unused")
    assert "The ground there is not measured" in told.text


def _corners(points: tuple[tuple[float, float], ...]) -> int:
    """Places where a line turns by more than 12 degrees."""
    ways = np.diff(np.array(points), axis=0)
    bearings = np.unwrap(np.arctan2(ways[:, 1], ways[:, 0]))
    return int((np.abs(np.diff(bearings)) > np.radians(12.0)).sum())


def test_pipes_of_springs_and_roofs_have_their_fittings() -> None:
    """A bend at each corner, a screen at the mouth, a cap on the upper end of the one with holes: they are bought, and
    soil and animals come in where they are not (PRACTICE)."""
    house = things.House("shed", ((9.6, 4.0), (12.0, 4.0), (12.0, 7.0), (9.6, 7.0)), roof_area_m2=36.0,
                         downspouts_m=((9.55, 3.95),))  # fmt: skip
    spring = things.Spring("seep", ((1.0, 6.6), (8.6, 6.6)), 0.05, cut_off=True)
    _, made = _plan(houses=(house,), springs=(spring,))
    (cut,), (roof,) = made.cut_offs, made.roof_pipes
    for pipe, caps in ((cut, 1), (roof, 0)):
        mine = [one for one in made.fittings if one.drain == pipe.id]
        kinds = Counter(one.kind.partition(" ")[0] for one in mine)
        assert (kinds["cap"], kinds["screen"]) == (caps, 1)
        assert kinds["bend"] >= _corners(pipe.points_m)
        assert {one.point_m for one in mine} <= set(pipe.points_m)
    assert _corners(cut.points_m) > 0
    assert sum(count for _, count in made.quantities.fittings) == len(made.fittings)
    assert len({one.id for one in made.fittings}) == len(made.fittings)
