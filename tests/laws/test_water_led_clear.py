"""Cut-off drains of springs keep clear of pipes laid before them, at the levels they are laid at: along the spring, on
the straight way to the outside, and along the outside."""

from __future__ import annotations

from dataclasses import replace
from math import dist

import numpy as np
import pytest
import shapely

from lawbook.case import plan
from lawbook.water_laws import broken_water
from lynchet.core.findings import Verdict
from lynchet.project import model as pm
from lynchet.project.things import Fixed, Spring
from lynchet.water import led_out
from lynchet.water.aprons import apron_barred, apron_of
from lynchet.water.beside import CutOff
from lynchet.water.led_away import LedAway, _wall_in, led_away
from lynchet.water.led_out import WaysOut
from lynchet.water.model import SolidPipe, Stone
from lynchet.water.ring import Ring, ring_of
from lynchet.water.routes import Pipe
from lynchet.water.settings import settings_of
from lynchet.water.tails import Tenant
from lynchet.water.yard import Yard
from spring_yards import sprung
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
SPRING = Spring("seep", ((3.0, 8.0), (6.0, 8.0)), 0.05, cut_off=True)


def _slope(x: float, y: float) -> float:
    """Level of a plane slope: a quarter up, a little to the right."""
    return 100.0 + 0.25 * y + 0.02 * x


@pytest.fixture(scope="module")
def yard() -> Yard:
    """A plain slope with a spring above its top edge."""
    made = project_of(OUTLINE, readings_over(OUTLINE, _slope, margin_m=4.0), brief=pm.Brief(terraces=3),
                      springs=(SPRING,))  # fmt: skip
    case = plan(*made)
    return Yard(case.project, case.ground, case.terraces, case.walls, settings_of(case.project.drain))


def _ring(yard: Yard) -> Ring:
    return ring_of(yard, shapely.GeometryCollection())


def _led(yard: Yard, *laid: SolidPipe) -> LedAway:
    return led_away(WaysOut(yard, _ring(yard), [], _ring, [*laid], []))


def _across(a: tuple[float, float], b: tuple[float, float], share: float, level_m: float) -> SolidPipe:
    """A level pipe, 0.4 m long, square across a straight part, its invert given."""
    long = dist(a, b)
    x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
    nx, ny = 0.2 * (a[1] - b[1]) / long, 0.2 * (b[0] - a[0]) / long
    return SolidPipe(
        "other",
        "other",
        ((x - nx, y - ny), (x + nx, y + ny)),
        (level_m, level_m),
        ("outside",),
        0.1,
        0.11,
        0.1,
        "outlet",
    )


def _dots(points, levels) -> np.ndarray:
    """Every centimetre of a pipe in space."""
    found = []
    for a, b, high, low in zip(points, points[1:], levels, levels[1:], strict=False):
        share = np.linspace(0.0, 1.0, max(2, int(dist(a, b) / 0.01)))[:, None]
        found.append(np.array([*a, high]) + share * (np.array([*b, low]) - np.array([*a, high])))
    return np.concatenate(found)


def _least_m(led: LedAway, other: SolidPipe) -> float:
    (cut,) = led.cut_offs
    mine, its = _dots(cut.points_m, cut.inverts_m), _dots(other.points_m, other.inverts_m)
    return float(np.linalg.norm(mine[:, None] - its[None], axis=2).min())


def _part(yard: Yard, number: int):
    """Ends and inverts of a straight part of the drain as it lies alone, from the spring's line on."""
    (cut,) = _led(yard).cut_offs
    first = len(SPRING.line_m) - 1 + number
    return cut.points_m[first : first + 2], cut.inverts_m[first : first + 2]


@pytest.mark.parametrize(("part", "share"), [(0, 0.5), (0, 0.9), (1, 0.5), (2, 0.3)])
def test_a_drain_keeps_clear_of_what_is_laid(yard: Yard, part: int, share: float) -> None:
    """A pipe right across its way: it takes another, a pipe's width and more away; without one it is refused."""
    (a, b), (high, low) = _part(yard, part)
    other = _across(a, b, share, high + share * (low - high))
    assert _least_m(_led(yard), other) < 0.02
    led = _led(yard, other)
    if led.cut_offs:
        assert _least_m(led, other) >= yard.settings.outside_m
    else:
        assert [f.verdict for f in led.findings if f.code == "water.spring"] == [Verdict.STOP]


def test_a_pipe_well_below_is_no_bar(yard: Yard) -> None:
    """Half a metre lower nothing meets: the way is the same."""
    (a, b), (high, low) = _part(yard, 0)
    assert _led(yard, _across(a, b, 0.5, (high + low) / 2 - 0.5)).cut_offs == _led(yard).cut_offs


def test_a_spring_whose_line_crosses_a_pipe_is_refused(yard: Yard) -> None:
    """Its line is where the water comes out: there is no other way, and the plan says so."""
    a, b = SPRING.line_m
    (cut,) = _led(yard).cut_offs
    led = _led(yard, _across(a, b, 0.5, float(np.mean(cut.inverts_m[:2]))))
    assert not led.cut_offs and [(f.code, f.verdict) for f in led.findings] == [("water.spring", Verdict.STOP)]


@pytest.mark.parametrize(
    ("apart", "up_m", "meets"),
    [(0.9, 0.0, True), (1.1, 0.0, False), (0.9, 1.0, False), (0.9, -1.0, False), (0.0, -0.3, False)],
)
def test_a_springs_line_meets_timber_beside_it_at_its_level(yard: Yard, apart: float, up_m: float, meets: bool) -> None:
    """By hand: a line past the end of a wall, its pipe's half width times a share off the timber; the pipe falls along
    it, and from a metre above or below, or a pipe's width under, it meets nothing. Ground water found along the corner
    of a wall had a pipe 3.5 mm in its timber (found yard 97347, which the sweep plans)."""
    run = max(yard.walls.runs, key=lambda one: one.polygon.centroid.y)
    lowest = min((one for one in yard.walls.runs if one.leg == run.leg), key=lambda one: one.bottom_m)
    right, y0, y1 = lowest.polygon.bounds[2], lowest.polygon.bounds[1] - 0.5, lowest.polygon.bounds[3] + 0.5
    far = max(one.polygon.bounds[2] for one in yard.walls.runs)
    assert right > far - 0.2
    x = far + apart * yard.settings.radius_m
    middle = lowest.bottom_m - yard.settings.outside_m / 2 + up_m
    hit = _wall_in(yard, [(x, y0), (x, y1)], [middle + 0.05, middle - 0.05])
    assert bool(hit) == meets


@pytest.mark.parametrize("seed", [19, 80006, 80097])
def test_random_springs_cross_no_drain(seed: int) -> None:
    """Beside walls that hold the ground outside: drains went through those behind them."""
    made = sprung(seed)
    assert made.plan.water.cut_offs and made.plan.water.drains and broken_water(made.wet) == []


def _beside(yard: Yard, side: float, level_m: float) -> SolidPipe:
    """A pipe down the slope on the ring, left (-1) or right (+1) of the area, that ends below it."""
    out = yard.settings.ring_m
    x = 9.0 + out if side > 0 else -out
    points = tuple((x, y) for y in (8.0, 4.0, -out))
    return SolidPipe(f"beside{side:+.0f}", f"beside{side:+.0f}", points, (level_m, level_m - 1.0, level_m - 2.1),
                     ("outside", "outside"), 0.1, 0.11, 0.1, f"beside{side:+.0f}/outlet")  # fmt: skip


def test_a_lane_further_out_is_taken_where_pipes_lie_on_the_ring(yard: Yard) -> None:
    """Both ways along the ring are taken from before the spring on: its drain runs beside them, clear of both."""
    ring = _ring(yard)
    pipes = [_beside(yard, side, 101.3) for side in (-1.0, 1.0)]
    tenants = [Tenant(pipe.id, ring.nearest_m(pipe.points_m[0]), way, 8.0, 101.3, 99.2)
               for pipe, way in zip(pipes, (1, -1), strict=True)]  # fmt: skip
    tenants.append(Tenant("across", ring.nearest_m((6.0, 6.45)), 0, 0.0, 101.0, 101.0))
    led = led_away(WaysOut(yard, ring, tenants, _ring, list(pipes), []))
    (cut,) = led.cut_offs
    off = [yard.outline.distance(shapely.Point(point)) for point in cut.points_m[2:]]
    assert min(off) > yard.settings.ring_m + 0.3
    assert all(_least_m(led, pipe) >= yard.settings.outside_m + yard.settings.clear_m - 1e-6 for pipe in pipes)


def _one_side(yard: Yard) -> tuple[list[SolidPipe], list[Tenant], Ring]:
    """A pipe on the ring down the side that is near the spring; the other side is free."""
    ring, pipe = _ring(yard), _beside(yard, -1.0, 101.3)
    return [pipe], [Tenant(pipe.id, ring.nearest_m(pipe.points_m[0]), 1, 8.0, 101.3, 99.2)], ring


def test_no_way_round_the_whole_yard_where_a_lane_further_out_is_short(yard: Yard, monkeypatch) -> None:
    """Where a pipe lies on the ring on the near side, the next lane there is taken, and not the ring round the other:
    with no lane but the ring, the same spring is dug for at least a third more."""
    pipes, tenants, ring = _one_side(yard)
    (near,) = led_away(WaysOut(yard, ring, list(tenants), _ring, list(pipes), [])).cut_offs
    assert max(x for x, _ in near.points_m[2:]) < 3.0, "down the near side"
    monkeypatch.setattr(led_out, "_EVERY", ((False, False, 0),))
    (round_it,) = led_away(WaysOut(yard, ring, list(tenants), _ring, list(pipes), [])).cut_offs
    assert max(x for x, _ in round_it.points_m[2:]) > 6.0, "the only way on the ring lies on the far side"
    assert _dug_m2(near) < 0.75 * _dug_m2(round_it)


def _dug_m2(cut: CutOff) -> float:
    """Depth along the length of what comes after the drain in stone, by points 1 mm apart on the plane slope."""
    dots = _dots(cut.points_m[1:], cut.inverts_m[1:])
    depths = np.clip([_slope(x, y) - z for x, y, z in dots], 0.0, None)
    steps = np.hypot(*np.diff(np.array([(x, y) for x, y, _ in dots]), axis=0).T)
    return float(np.sum(0.5 * (depths[1:] + depths[:-1]) * steps))


def test_a_pipe_led_past_higher_ground_follows_the_ground(yard: Yard) -> None:
    """Where water may not come out above stone, the pipe goes on under its cover and falls enough everywhere: nowhere
    is it laid deeper than the spring's own drain, though its end lies far lower."""
    outline = ((-0.3, 0.3), (9.3, 0.3), (9.3, 5.0), (-0.3, 5.0))
    stone = Stone("s", "c", 0, "A0", outline, (0.0, 2.5), (9.0, 2.5), 4.7, 99.0, 99.5, 99.5, 1.0, True)
    led = led_away(WaysOut(yard, _ring(yard), [], _ring, [], [stone]))
    (cut,) = led.cut_offs
    parts = zip(cut.points_m, cut.points_m[1:], cut.inverts_m, cut.inverts_m[1:], strict=False)
    assert all((high - low) / dist(a, b) >= yard.settings.fall - 1e-9 for a, b, high, low in parts)
    dots = _dots(cut.points_m, cut.inverts_m)
    ground = np.array([_slope(x, y) for x, y, _ in dots])
    assert float(np.max(ground - dots[:, 2])) <= 0.60 + 0.06 + 1e-6, "as deep as at the spring, lying a little aslant"
    crowned = ground - dots[:, 2] < yard.settings.outside_m
    assert crowned.any() and not crowned[: len(dots) // 2].any(), "bare at its end alone"
    assert led.outlets[0].point_m[1] < 2.5, "past the stone that lies lower"


def test_a_drain_without_a_way_says_why(yard: Yard) -> None:
    """Nowhere may water come out: no level is told as the lowest; ground all higher than the drain: both levels are."""
    deep = replace(yard.settings, drop_m=9.0)
    for ring_of_lane, said in ((_shut, "lie in every way tried"), (_ring, "it would start at level")):
        one = yard.with_settings(deep)
        led = led_away(WaysOut(one, ring_of_lane(one), [], ring_of_lane, [], []))
        (told,) = [f for f in led.findings if f.code == "water.spring"]
        assert told.verdict is Verdict.STOP and said in told.text and "inf" not in told.text
        assert led.cut_offs == ()


def _shut(yard: Yard) -> Ring:
    ring = _ring(yard)
    return replace(ring, pour=np.zeros_like(ring.pour))


@pytest.mark.parametrize("seed", range(95000, 95012))
def test_no_drain_turns_back_along_its_spring(seed: int) -> None:
    """Beyond its spring a cut-off drain nowhere lies beside itself: two pipes do not fit into one trench."""
    made = sprung(seed).plan
    settings = settings_of(made.project.drain)
    apart = settings.outside_m + settings.clear_m
    for cut in made.water.cut_offs:
        on = shapely.LineString(cut.solid_points_m).difference(shapely.Point(cut.solid_points_m[0]).buffer(2.0 * apart))
        assert on.is_empty or on.distance(shapely.LineString(cut.holed_points_m)) >= apart - 1e-9


@pytest.mark.parametrize(("x", "barred"), [(-3.3, True), (-2.7, True), (-2.2, False)])
def test_no_apron_lies_on_ground_that_stays(yard: Yard, x: float, barred: bool) -> None:
    """An old wall with half a metre of ground it needs: stone of an outlet that pours towards it ends before that."""
    wall = Fixed("F1", "wall", "old wall", line_m=((-3.5, -4.0), (-3.5, 8.0)), clear_m=0.5)
    beside = Yard(replace(yard.project, fixed=(wall,)), yard.ground, yard.terraces, yard.walls, yard.settings)
    mine = Pipe("mine", ((x + 2.0, 2.0), (x, 2.0)), (99.9, 99.8))
    assert not apron_barred(yard, mine)
    reach = min(point[0] for point in apron_of(mine, yard.settings))
    assert apron_barred(beside, mine) == barred == (reach < -3.0)
