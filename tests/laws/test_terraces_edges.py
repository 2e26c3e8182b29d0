"""Edges, houses, paths, own lines, things that stay, and what is refused."""

from __future__ import annotations

import cmath
import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import pytest
import shapely

from lawbook.book import broken
from lawbook.case import Case, plan
from lynchet.core.findings import Verdict
from lynchet.core.intervals import joined
from lynchet.ground.model import Ground
from lynchet.project.model import Access, Brief, EdgeRule, Project
from lynchet.project.things import Fixed, House, LotLine, OwnLine, Path
from yards import ell, project_of, readings_over, rectangle, timber

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
READINGS = readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y + 0.01 * x)


def _codes(case: Case) -> set[str]:
    return {f.code for f in (*case.terraces.findings, *case.walls.findings)}


def _sound(case: Case) -> Case:
    assert case.refused == ""
    assert broken(case) == []
    return case


def test_house_at_the_back_holds_itself() -> None:
    """A house along the top edge: that edge carries no wall, the side walls butt against it."""
    house = House("house", ((-1.0, 6.0), (10.0, 6.0), (10.0, 12.0), (-1.0, 12.0)))
    case = _sound(plan(*project_of(OUTLINE, READINGS, brief=Brief(terraces=3), houses=(house,))))
    assert case.walls.leg("A2").segments == ()
    side = case.walls.leg("A1")
    assert side.segments[-1].end_m == side.length_m


def test_house_over_part_of_an_edge_splits_it() -> None:
    """A house along half of the side edge: the other half is a wall of its own, the parts numbered along the edge."""
    house = House("house", ((9.0, 3.0), (14.0, 3.0), (14.0, 8.0), (9.0, 8.0)))
    case = _sound(plan(*project_of(OUTLINE, READINGS, brief=Brief(terraces=2), houses=(house,))))
    assert case.walls.leg("A1").length_m == pytest.approx(3.0, abs=0.02)
    assert case.walls.leg("A1").segments
    assert case.walls.leg("A1.2").segments == ()


def test_house_standing_into_the_area_cuts_it() -> None:
    """A house over one corner: its edges bound the bed as H lines, and carry no wall."""
    house = House("house", ((6.0, 4.0), (12.0, 4.0), (12.0, 9.0), (6.0, 9.0)))
    case = _sound(plan(*project_of(OUTLINE, READINGS, brief=Brief(terraces=2), houses=(house,))))
    lines = [leg for leg in case.walls.legs if leg.id.startswith("H")]
    assert len(lines) == 2
    assert all(leg.segments == () for leg in lines)


def test_path_splits_beds_and_stays_ground() -> None:
    """A path up the middle: beds in two parts on each terrace, legs on both its sides, its face left as ground."""
    path = Path("path", ((4.5, -1.0), (4.7, 7.0)), 1.0)
    case = _sound(plan(*project_of(OUTLINE, READINGS, brief=Brief(terraces=2), paths=(path,))))
    assert {face.id for face in case.terraces.beds} == {"B1", "B1.2", "B2", "B2.2"}
    assert case.walls.leg("P0L").segments
    assert case.walls.leg("P0R").segments
    face = case.terraces.face("P0")
    assert face is not None
    assert face.kind == "path"


def test_open_edge_is_left_and_told() -> None:
    """``open``: nothing is built there, and the level difference is a finding."""
    case = _sound(plan(*rectangle(edges=(EdgeRule(1, "open"),))))
    assert case.walls.leg("A1").segments == ()
    assert "walls.open_edge" in _codes(case)


def test_bank_edge_carries_a_wall_only_where_the_bank_cannot() -> None:
    """``bank``: 1.2 m of it takes up 0.6 m, so no wall; 0.3 m takes up 0.15 m, so a wall and a finding."""
    case = _sound(plan(*rectangle(edges=(EdgeRule(1, "bank", 1.2),))))
    assert case.walls.leg("A1").segments == ()
    case = _sound(plan(*rectangle(edges=(EdgeRule(1, "bank", 0.3),))))
    assert case.walls.leg("A1").segments
    assert "walls.bank_too_narrow" in _codes(case)


def test_digging_beyond_is_told_forbidden_or_over_the_lot_line() -> None:
    """Where the bank is held: a watch if nothing is said, a stop if digging is not allowed or crosses the lot line."""
    case = plan(*rectangle())
    assert all(f.verdict is Verdict.WATCH for f in case.walls.findings if f.code == "walls.dig_outside")
    assert "walls.dig_outside" in _codes(case)
    case = plan(*rectangle(edges=tuple(EdgeRule(i, dig_beyond_m=0.0) for i in range(4))))
    assert [f.verdict for f in case.walls.findings if f.code == "walls.dig_beyond"] != []
    case = plan(*rectangle(edges=tuple(EdgeRule(i, dig_beyond_m=0.5) for i in range(4))))
    assert not {"walls.dig_outside", "walls.dig_beyond"} & _codes(case)
    lot = LotLine("north", ((-5.0, 6.1), (15.0, 6.1)))
    found = [f for f in plan(*rectangle(lot_lines=(lot,))).walls.findings if f.code == "walls.over_lot_line"]
    assert [(f.place, f.verdict) for f in found] == [("A2", Verdict.STOP)]


def test_own_line_is_kept() -> None:
    """The user's line in front of terrace 2, a bent one: it becomes W2 and W2.2, with a bed on each side."""
    line = OwnLine(2, ((0.0, 3.0), (4.0, 2.6), (9.0, 3.2)))
    case = _sound(plan(*rectangle(brief=Brief(terraces=2), own_lines=(line,))))
    assert case.walls.leg("W2").end_m == pytest.approx((4.0, 2.6), abs=1e-4)
    assert case.walls.leg("W2.2").start_m == pytest.approx((4.0, 2.6), abs=1e-4)


def test_own_line_short_of_the_edge_is_drawn_on() -> None:
    """A line that ends half a metre inside the area is drawn on to its edge."""
    line = OwnLine(2, ((0.5, 3.0), (8.5, 3.0)))
    case = _sound(plan(*rectangle(brief=Brief(terraces=2), own_lines=(line,))))
    assert case.walls.leg("W2").length_m == pytest.approx(9.0, abs=1e-3)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (((2.0, 3.0), (7.0, 3.0)), "inside the area"),
        (((0.0, 0.3), (9.0, 3.0)), "from the corner"),
        (((2.5, 0.0), (8.9, 2.2)), "degrees"),
        (((20.0, 3.0), (29.0, 3.0)), "outside"),
    ],
)
def test_own_line_no_wall_can_follow_is_refused(points: tuple[tuple[float, float], ...], words: str) -> None:
    """A line that ends in mid-bed, at a corner, too obliquely or elsewhere: a stop that says what would help."""
    case = plan(*rectangle(brief=Brief(terraces=2), own_lines=(OwnLine(2, points),)))
    stop = case.terraces.findings[-1]
    assert case.terraces.refused
    assert stop.verdict is Verdict.STOP
    assert words in stop.text and "`[[wall_line]]`, `terrace = 2`" in stop.text
    assert stop.cures[0].text


def test_own_lines_that_cross_are_refused() -> None:
    """Two own lines that cross: a stop."""
    lines = (OwnLine(2, ((0.0, 2.0), (9.0, 4.0))), OwnLine(3, ((0.0, 4.0), (9.0, 2.0))))
    case = plan(*rectangle(brief=Brief(terraces=3), own_lines=lines))
    assert "cross" in case.refused


@pytest.mark.parametrize("apart", [0.3, 0.74])
def test_own_lines_too_near_each_other_say_which_and_how_far_apart_is_enough(apart: float) -> None:
    """The stop names the tables of the file by their terrace and how near they come; its cure is enough."""
    lines = (OwnLine(2, ((0.0, 2.0), (9.0, 2.0))), OwnLine(3, ((0.0, 2.0 + apart), (9.0, 2.0 + apart))))
    case = plan(*rectangle(brief=Brief(terraces=3), own_lines=lines))
    assert "`terrace = 2` and `terrace = 3`" in case.refused and f"within {apart:.2f} m" in case.refused
    enough = float(re.search(r"until they are ([\d.]+) m apart", case.terraces.findings[-1].cures[0].text)[1])
    lines = (lines[0], OwnLine(3, ((0.0, 2.0 + enough), (9.0, 2.0 + enough))))
    case = plan(*rectangle(brief=Brief(terraces=3), own_lines=lines))
    assert not case.terraces.refused
    assert not [finding for finding in case.terraces.findings if finding.code == "terraces.narrow_bed"]


def test_pinned_levels_for_too_many_terraces_name_the_number_that_works() -> None:
    """Ten listed levels on 6 m of depth: a stop that names how many terraces work."""
    levels = tuple(100.0 + 0.14 * i for i in range(10))
    case = plan(*rectangle(brief=Brief(levels=levels)))
    assert case.terraces.refused
    assert "terraces work" in case.terraces.findings[-1].cures[0].text


def test_too_many_terraces_become_fewer_with_the_reason() -> None:
    """Nine terraces on 6 m: as many as have room, a finding with the reason and the edit."""
    case = _sound(plan(*rectangle(brief=Brief(terraces=9))))
    finding = next(f for f in case.terraces.findings if f.code == "terraces.fewer")
    assert case.terraces.wished == 9
    assert finding.cures[0].edits == (("brief.terraces", len(case.terraces.levels_m)),)


def test_crossed_outline_and_ground_too_small_are_refused() -> None:
    """An outline that crosses itself, and a corner 5 m off the readings: a stop with the place, no exception."""
    bow = [(0.0, 0.0), (9.0, 0.0), (0.0, 6.0), (9.0, 5.0)]
    assert plan(*project_of(bow, READINGS)).refused.startswith("terraces.outline")
    far = [(0.0, 0.0), (15.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    assert plan(*project_of(far, READINGS)).refused.startswith("terraces.off_ground")


def test_area_all_house_is_refused() -> None:
    """A house over the whole area leaves nothing to plan."""
    house = House("house", ((-1.0, -1.0), (10.0, -1.0), (10.0, 7.0), (-1.0, 7.0)))
    assert plan(*rectangle(houses=(house,))).refused.startswith("terraces.no_area")


def test_small_tree_is_left_in_a_pit_and_great_roots_stop() -> None:
    """A root circle of 0.8 m stays as a pit of its own level; one of 3 m is a stop that asks an arborist."""
    tree = Fixed("t", "tree", "plum", ((4.5, 3.0),), clear_m=0.8, stem_m=0.1)
    case = _sound(plan(*rectangle(brief=Brief(terraces=1), fixed=(tree,))))
    assert case.terraces.face("F0") is not None
    oak = replace(tree, name="oak", clear_m=3.0)
    case = _sound(plan(*rectangle(brief=Brief(terraces=3), fixed=(oak,))))
    finding = next(f for f in case.terraces.findings if f.code == "terraces.roots")
    assert (finding.verdict, finding.ask) == (Verdict.STOP, "arborist")


@pytest.mark.parametrize("turn", range(8))
def test_no_bed_passes_where_a_kept_corner_comes_near_the_edge(turn: int) -> None:
    """A square rock, a corner of it 0.45 m off a side edge, at any angle: the gap stays ground, walls keep apart."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.7, 6.0), (0.0, 6.0)]
    near = complex(9.35, 3.0) - 0.45 * complex(6.0, -0.7) / abs(complex(6.0, -0.7))
    out = cmath.rect(1.0, 0.03 * turn)
    ring = tuple((at.real, at.imag) for at in (near - 0.9 * out * (1.0 - way) for way in (1.0, 1j, -1.0, -1j)))
    rock = Fixed("r", "rock", "rock", ring, closed=True)
    case = _sound(plan(*project_of(outline, READINGS, brief=Brief(terraces=2), fixed=(rock,))))
    assert not case.area.contains(shapely.Point(near.real + 0.22, near.imag))


@pytest.mark.parametrize("long", [0.36, 0.40, 0.42, 0.44])
@pytest.mark.parametrize("finish", ["bank", "open", "wall"])
def test_walls_at_both_ends_of_a_short_edge_without_one_keep_apart(finish: Any, long: float) -> None:
    """Timber 0.2 m thick meets an edge at 122 and 90 degrees, 0.2 / sin 122 + 0.2 / sin 90 = 0.436 m of it: a shorter
    one without a wall is straightened, and told; one that carries a wall is laid in turns, and stays."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0 + 0.53 * long, 0.848 * long), (0.0, 6.0)]
    readings = readings_over(outline, lambda x, y: 100.0 + 0.12 * y)
    edges = (EdgeRule(1, finish, width_m=2.0 if finish == "bank" else None),)
    case = _sound(plan(*project_of(outline, readings, brief=Brief(terraces=2), edges=edges, timber=timber(0.15, 0.2))))
    told = [f.text for f in case.terraces.findings if f.code == "terraces.jog"]
    assert bool(told) == (finish != "wall" and long < 0.436)
    assert all("two walls cannot end so near" in text for text in told)


def test_passage_is_kept_by_a_path_or_missed() -> None:
    """The only way to the back, 0.9 m wide: a stop without a path, none with one that wide."""
    access = Access(only_way=True, passage_m=0.9)
    found = [f for f in plan(*rectangle(access=access)).terraces.findings if f.code == "terraces.passage"]
    assert [f.verdict for f in found] == [Verdict.STOP]
    path = Path("path", ((8.2, -1.0), (8.2, 7.0)), 0.95)
    case = plan(*rectangle(access=access, paths=(path,)))
    assert "terraces.passage" not in _codes(case)


def _steep(slope: float, brief: Brief) -> tuple[Project, Ground]:
    return project_of(OUTLINE, readings_over(OUTLINE, lambda x, y: 100.0 + slope * y + 0.03 * x), brief=brief)


def _strips(case: Case) -> dict[str, Any]:
    return {bed.id: shapely.union_all([shapely.Polygon(ring) for ring in bed.strip_m]) for bed in case.terraces.beds}


def test_path_strip_is_kept_at_the_foot_of_every_wall() -> None:
    """A strip of 0.5 m on benches of 2 m: along every front, and before the back edge, 0.2 m of bank; reach counts from
    it. The sides hold more than a course (0.14 m) over the last 0.3 m of a bench only: too short for a strip."""
    readings = readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y)
    brief = Brief(terraces=3, path_strip_m=0.5, reach_m=0.75)
    case = _sound(plan(*project_of(OUTLINE, readings, brief=brief)))
    strips = _strips(case)
    assert [len(bed.strip_m) for bed in case.terraces.beds] == [1, 1, 1]
    for name in ("B1", "B2"):
        assert strips[name].area == pytest.approx(9.0 * 0.5, abs=0.02)
    x0, y0, x1, y1 = strips["B3"].bounds
    assert (x0, x1) == pytest.approx((0.0, 9.0), abs=1e-3)
    assert (y0, y1) == pytest.approx((6.0 - 0.14 - 0.5, 6.0 - 0.14), abs=1e-3)
    assert "B3" not in [f.place for f in case.terraces.findings if f.code == "terraces.reach"]


@pytest.mark.parametrize("yard", [partial(_steep, 0.2), partial(_steep, 0.35), lambda brief: ell(brief=brief)])
def test_every_wall_over_a_bench_has_its_strip(yard: Callable[[Brief], tuple[Project, Ground]]) -> None:
    """Walls planned by themselves: wherever one stands more than a course over a bench for 0.7 m, the ground 0.1 m
    before its timber is path strip; and no strip reaches further than its width from a wall."""
    project, ground = yard(Brief(terraces=3, path_strip_m=0.4))
    case = plan(project, ground)
    strips, course, seen = _strips(case), project.timber.course_m, 0
    near: dict[str, list[Any]] = {}
    for leg in case.walls.legs:
        for held in (1, -1):
            over = [s for s in leg.spans if s.held == held and s.low_face in strips]
            before, far = (-0.1, (-0.4, 0.0)) if held > 0 else (leg.thickness_m + 0.1, (0.0, leg.thickness_m + 0.4))
            for span in over:
                ends = ((span.start_m - 0.01, far[0]), (span.end_m + 0.01, far[0]), (span.end_m + 0.01, far[1]),
                        (span.start_m - 0.01, far[1]))  # fmt: skip
                near.setdefault(span.low_face, []).append(shapely.Polygon([leg.point_at(x, y) for x, y in ends]))
            high = [s for s in over if min(s.high0_m - s.low0_m, s.high1_m - s.low1_m) > course]
            for low in {s.low_face for s in high}:
                for a, b in joined([(s.start_m, s.end_m) for s in high if s.low_face == low], 1e-6):
                    if b - a > 0.7 and leg.role in ("front", "edge"):
                        for share in (0.3, 0.5, 0.7):
                            at = shapely.Point(leg.point_at(a + share * (b - a), before))
                            if case.terraces.face(low).polygon.buffer(-0.05).contains(at):
                                seen += 1
                                assert strips[low].buffer(1e-3).covers(at), (leg.id, low)
    assert seen > 8
    for name, strip in strips.items():
        reach = shapely.union_all(near.get(name, []), grid_size=1e-6)
        assert shapely.difference(strip, reach, grid_size=1e-6).area < 0.02, name


def test_a_strip_round_a_sunk_bed_leaves_its_middle() -> None:
    """A bed dug into level ground, walls on all four sides: a ring of strip 0.4 m wide, its outlines without a hole."""
    outline = [(0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (0.0, 4.0)]
    brief = Brief(terraces=1, levels=(99.5,), path_strip_m=0.4)
    case = plan(*project_of(outline, readings_over(outline, lambda x, y: 100.0), brief=brief))
    (bed,) = case.terraces.beds
    area = sum(shapely.Polygon(ring).area for ring in bed.strip_m)  # four bands, crossing at the corners
    assert area == pytest.approx(2 * 0.4 * (5.0 + 4.0) - 4 * 0.4 * 0.4, abs=0.01)
    assert not any(shapely.Polygon(ring).contains(shapely.Point(2.5, 2.0)) for ring in bed.strip_m)


def test_narrow_strip_of_bed_left_is_told() -> None:
    """A path strip that leaves less than the least bed is a finding."""
    case = plan(*rectangle(brief=Brief(terraces=4, path_strip_m=1.0)))
    assert "terraces.path_strip" in _codes(case)


def test_walls_higher_than_wished_are_told() -> None:
    """One terrace on 1.2 m of drop with walls of 0.3 m wished: told, with one terrace more as cure."""
    case = plan(*rectangle(brief=Brief(terraces=1, highest_wall_m=0.3)))
    assert "walls.higher_than_wished" in _codes(case)


def test_lean_asked_for_where_it_cannot_be_is_told() -> None:
    """A lean of 1 in 12: the plain fronts lean by it; a front that meets an edge under 60 degrees stands plumb."""
    case = _sound(plan(*rectangle(brief=Brief(terraces=3, lean=1 / 12))))
    assert case.walls.leg("W2").setback_m == pytest.approx(0.14 / 12)
    assert case.walls.leg("A1").setback_m == 0.0
    skew = [(0.0, 0.0), (9.0, 0.0), (13.0, 6.0), (4.0, 6.0)]
    readings = readings_over(skew, lambda x, y: 100.0 + 0.2 * y)
    case = _sound(plan(*project_of(skew, readings, brief=Brief(terraces=3, lean=1 / 12))))
    assert case.walls.leg("W2").setback_m == 0.0
    assert "walls.plumb" in _codes(case)
