"""Flights of steps in each form, and refused ones with what would fit."""

from __future__ import annotations

import re

import pytest

from lawbook.book import broken
from lawbook.case import Case, plan
from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.ground.surface import level_at
from lynchet.project.model import Brief, EdgeRule
from lynchet.project.things import House, OwnLine, StepsWish
from lynchet.terraces.crossings import Crossing
from lynchet.terraces.flight_forms import Form, going, projecting, riser_courses
from lynchet.terraces.model import WallLine
from lynchet.terraces.stage import terraces
from yards import ell, project_of, readings_over, rectangle, timber


def _sound(case: Case) -> Case:
    assert case.refused == ""
    assert broken(case) == []
    return case


def _kinds(case: Case) -> dict[str, str]:
    return {flight.id: flight.kind for flight in case.terraces.flights}


def test_steps_up_the_garden_project_before_each_wall() -> None:
    """The L-shaped garden: one flight to each of its four terraces, boxes before walls that stay whole."""
    case = _sound(plan(*ell()))
    assert set(_kinds(case)) == {"S0.1", "S0.2", "S0.3", "S0.4"}
    assert set(_kinds(case).values()) == {"projecting"}
    plain = plan(*ell(steps=()))
    assert [run.outline_m for run in case.walls.runs] == [run.outline_m for run in plain.walls.runs]


def test_steps_are_let_in_where_the_bench_below_is_shallow() -> None:
    """A bench of 1.3 m below and one of 4 m above: the flight is let into the upper one, with cheeks and a head."""
    wish = StepsWish("steps", ((4.5, 0.5), (4.5, 4.0)), 1.0)
    line = OwnLine(2, ((0.0, 1.3), (9.0, 1.3)))
    case = _sound(plan(*rectangle(brief=Brief(terraces=2), own_lines=(line,), steps=(wish,))))
    assert _kinds(case) == {"S0.2": "recessed"}
    face = case.terraces.face("S0.2")
    assert face is not None
    assert face.kind == "flight"
    assert all(case.walls.leg(name).segments for name in ("S0.2L", "S0.2R"))
    flight = case.terraces.flights[0]
    leg, bottoms = case.walls.leg("W2"), case.terraces.lattice.bottoms_m
    below = leg.segment_at(flight.station_m)
    assert below is not None
    assert bottoms[below.top + 1] == pytest.approx(flight.foot_level_m + flight.riser_m)  # the first riser


@pytest.mark.parametrize(("low", "told"), [(0.0, True), (0.9, False)])
def test_steps_that_end_at_a_bank_are_told(low: float, told: bool) -> None:
    """A way drawn over the low edge, which ends as a bank, has no step there: it is told with the drop at the edge;
    drawn from within the beds, it is not."""
    wish = StepsWish("way", ((4.5, low - 0.8), (4.5, 4.0)), 1.0)
    case = _sound(plan(*rectangle(brief=Brief(terraces=2), edges=(EdgeRule(0, "bank", 1.5),), steps=(wish,))))
    found = [one for one in case.terraces.findings if one.code == "terraces.flight_on_bank"]
    assert bool(found) == told
    if told:
        bed = next(face for face in case.terraces.faces if face.id == "B1")
        ground = float(level_at(case.ground.surface, [(4.5, 0.0)])[0])
        drop = bed.finish.level_m - ground
        assert drop > 0.1 and f"differ there by {drop:.2f} m" in found[0].text and "A0" in found[0].text


def _edge_crossing(head_m: float) -> Crossing:
    """A wall along x at y = 0, its high side at y > 0, open ground before it."""
    line = WallLine("A0", (0.0, 0.0), (9.0, 0.0), "edge", "A0", (), ())
    return Crossing(0, 1.0, line, 4.5, (4.5, 0.0), (0.0, 1.0), "outside", "B1", False, 100.0, head_m, 0.9)


@pytest.mark.parametrize(
    ("over", "risers"), [(0.06, 1), (0.14, 1), (0.15, 1), (0.20, 1), (0.22, 2), (0.28, 2), (0.34, 2), (0.36, 3)]
)
def test_risers_down_to_level_ground_are_the_nearest_count(over: float, risers: int) -> None:
    """Level ground before a wall, risers of 0.14 m: as many as come nearest to the height, never none; by hand."""
    form = projecting(_edge_crossing(100.0 + over), 0.14, 0.14, lambda point: 100.0)
    assert isinstance(form, Form)
    assert form.risers == risers
    assert form.head_level_m - form.foot_level_m == pytest.approx(risers * 0.14)


@pytest.mark.parametrize("slope", [-0.1, 0.0, 0.08, 0.2, 0.3])
@pytest.mark.parametrize("over", [0.11, 0.19, 0.30, 0.41, 0.63, 0.87])
def test_steps_on_sloping_ground_end_at_the_first_landing_within_half_a_riser(over: float, slope: float) -> None:
    """Every shorter flight wants its landing made up by more than half a riser; on rising ground the nearer of two."""
    riser, deep = 0.15, going(0.15)

    def made_up(risers: int) -> float:
        return (100.0 + over - risers * riser) - (100.0 - slope * (risers - 1) * deep)

    form = projecting(_edge_crossing(100.0 + over), riser, 0.14, lambda point: 100.0 + slope * point[1])
    assert isinstance(form, Form)
    first = next(count for count in range(1, 40) if made_up(count) <= riser / 2)
    assert form.risers == min((first, max(first - 1, 1)), key=lambda count: abs(made_up(count)))
    assert form.risers == 1 or abs(made_up(form.risers)) <= riser / 2 + max(-slope, 0.0) * deep / 2 + 1e-9


@pytest.mark.parametrize("deep_m", [0.3, 0.6, 1.2])
def test_a_ditch_before_a_wall_takes_no_flight(deep_m: float) -> None:
    """Ground that falls and rises again within a tread leaves no level place for a landing: refused, and why."""
    floor = 100.0 - deep_m

    def ground(point: tuple[float, float]) -> float:
        return floor if point[1] > -0.7 else 101.0

    form = projecting(_edge_crossing(100.6), 0.14, 0.14, ground)
    assert form == "the ground before the wall rises again too steeply for a landing at their foot"
    flat = projecting(_edge_crossing(100.6), 0.14, 0.14, lambda point: floor)
    assert isinstance(flat, Form) and abs(flat.foot_level_m - floor) <= 0.07 + 1e-9


def test_steep_benches_get_a_strip_over_several() -> None:
    """On 34 % with benches of 1.6 m no single flight fits: one strip climbs several benches."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.4), (0.0, 6.4)]
    wish = StepsWish("steps", ((4.5, 0.5), (4.5, 6.0)), 1.0)
    readings = readings_over(outline, lambda x, y: 100.0 + 0.34 * y)
    case = _sound(plan(*project_of(outline, readings, brief=Brief(terraces=4), steps=(wish,))))
    assert "through" in _kinds(case).values()
    flight = next(f for f in case.terraces.flights if f.kind == "through")
    assert len(flight.lines) == 2
    assert 0.28 - 1e-9 <= flight.going_m <= 0.47 + 1e-9


def test_a_course_no_riser_can_be_made_of_is_told() -> None:
    """Courses of 0.22 m: a stop for the steps, the terraces are planned all the same."""
    wish = StepsWish("steps", ((4.5, -1.0), (4.5, 5.0)), 1.0)
    case = _sound(plan(*rectangle(timber=timber(0.22, 0.14), steps=(wish,))))
    found = [f for f in case.terraces.findings if f.code == "terraces.flight_unfit"]
    assert [f.verdict for f in found] == [Verdict.STOP]
    assert case.terraces.flights == ()


def test_steps_too_near_a_side_are_told_how_far_to_move() -> None:
    """A flight half over the side edge: a stop that names the move along the wall, and the move works."""
    wish = StepsWish("steps", ((0.4, -1.0), (0.4, 1.0)), 1.0)
    found = [f for f in plan(*rectangle(steps=(wish,))).terraces.findings if f.code == "terraces.flight_unfit"]
    assert found
    assert found[0].cures[0].name == "move-steps"
    said = re.match(r'move the steps "steps" ([\d.]+) m to the right', found[0].cures[0].text)
    assert said
    metres = float(said[1])
    moved = StepsWish("steps", ((0.4 + metres, -1.0), (0.4 + metres, 1.0)), 1.0)
    assert _kinds(_sound(plan(*rectangle(steps=(moved,))))) == {"S0.1": "projecting"}


def test_steps_against_a_house_are_not_squeezed_in() -> None:
    """A house 0.6 m below the low edge: no landing fits before the wall, and no flight is placed there."""
    house = House("house", ((-1.0, -6.0), (10.0, -6.0), (10.0, -0.6), (-1.0, -0.6)))
    wish = StepsWish("steps", ((4.5, -0.5), (4.5, 1.0)), 1.0)
    case = plan(*rectangle(houses=(house,), steps=(wish,)))
    assert "S0.1" not in _kinds(case)
    assert any(f.code == "terraces.flight_unfit" for f in case.terraces.findings)


def _no_room(below_m: float) -> str:
    """What is said of steps with a house so far below the low edge."""
    house = House("house", ((-1.0, -6.0), (10.0, -6.0), (10.0, -below_m), (-1.0, -below_m)))
    wish = StepsWish("steps", ((4.5, -0.5), (4.5, 1.0)), 1.0)
    project, ground = rectangle(houses=(house,), steps=(wish,))
    made = terraces(project, ground, Standing())
    return " ".join(finding.text for finding in made.findings if finding.code == "terraces.flight_unfit")


def test_a_landing_that_lacks_a_fingers_breadth_is_told_so() -> None:
    """The house moved back until the steps just fit: 15 mm nearer it is said how little is missing, 60 mm not."""
    short, enough = 0.6, 4.0
    assert _no_room(short)
    assert not _no_room(enough)
    while enough - short > 0.002:
        middle = (short + enough) / 2.0
        short, enough = (middle, enough) if _no_room(middle) else (short, middle)
    assert "by less than 25 mm" in _no_room(short - 0.015)
    far = _no_room(short - 0.06)
    assert "no room for a landing" in far
    assert "by less than" not in far


@pytest.mark.parametrize(("high_m", "climbed"), [(0.04, 0), (0.07, 0), (0.10, 0), (0.16, 1), (0.30, 1)])
def test_steps_climb_a_rise_only_where_a_wall_holds_it(high_m: float, climbed: int) -> None:
    """Level ground with a mound on its upper edge, a tent 1 m wide: over 0.05 m high on less than 0.6 m it is raked."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    readings = readings_over(outline, lambda x, y: 100.0 + (high_m if (x, y) == (4.5, 6.0) else 0.0), 0.5)
    wish = StepsWish("steps", ((4.5, 1.0), (4.5, 7.0)), 1.0)
    case = _sound(plan(*project_of(outline, readings, brief=Brief(terraces=1), steps=(wish,))))
    assert len(case.terraces.flights) == climbed
    assert bool(case.walls.leg("A2").segments) == bool(climbed)


def test_two_flights_keep_off_each_other() -> None:
    """Two wishes half a metre apart: the second is refused or stands clear; never one on the other."""
    wishes = tuple(StepsWish(f"steps {i}", ((4.0 + 0.5 * i, -1.0), (4.0 + 0.5 * i, 5.9)), 1.0) for i in range(2))
    _sound(plan(*rectangle(steps=wishes)))


@pytest.mark.parametrize(("course", "count"), [(0.089, 2), (0.10, 1), (0.14, 1), (0.197, 1), (0.20, 0), (0.06, 2)])
def test_risers_are_whole_courses_within_the_limits(course: float, count: int) -> None:
    """A riser is one course of 0.10 to 0.197 m, or two low ones."""
    assert riser_courses(course) == count


def test_going_follows_the_step_rule() -> None:
    """Two risers and a going make 0.63 m, the going between 0.28 and 0.47 m."""
    assert going(0.14) == pytest.approx(0.35)
    assert going(0.19) == pytest.approx(0.28)
    assert going(0.05) == pytest.approx(0.47)


@pytest.mark.parametrize("apart_m", [0.0, 0.4, 1.0, 1.2, 1.5, 1.58, 1.7, 2.4])
def test_two_strips_side_by_side_keep_a_bed_between_them(apart_m: float) -> None:
    """Strips 1 m wide, 0 m to 2.4 m from middle to middle: with 0.6 m between them both are let in, with less one is,
    and the other is refused in words; edge to edge they shared a line, and the plan ended in an error."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.4), (0.0, 6.4)]
    wishes = tuple(StepsWish(name, ((x, 0.5), (x, 6.0)), 1.0) for name, x in (("a", 3.3), ("b", 3.3 + apart_m)))
    readings = readings_over(outline, lambda x, y: 100.0 + 0.34 * y)
    case = _sound(plan(*project_of(outline, readings, brief=Brief(terraces=4), steps=wishes)))
    let_in = {flight.id for flight in case.terraces.flights if flight.kind != "projecting"}
    assert {name[:2] for name in let_in} == ({"S0", "S1"} if apart_m >= 1.6 else {"S0"})
    told = [f for f in case.terraces.findings if f.code == "terraces.flight_unfit" and f.place.startswith("S1")]
    assert bool(told) == (apart_m < 1.6)
