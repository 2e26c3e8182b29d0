"""Laws of the joints of a wall in the stability stage: against the calculators, and what never makes a wall better."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lynchet.core.findings import Verdict
from lynchet.project import model as pm
from lynchet.stability.box import box_wall_check
from lynchet.stability.boxes import BoxFront, check_box, worst_rows
from lynchet.stability.checks import active_at, check
from lynchet.stability.constants import TIMBER_FRICTION
from lynchet.stability.helps import base_friction_deg, passive_at, pins_kn_per_m
from lynchet.stability.joints import course_joint_check
from lynchet.stability.model import CASES, Case, Place, Strip
from lynchet.stability.pins import lateral_pin_capacity
from lynchet.stability.push import Ground, Rows, soil_push, water_push
from lynchet.stability.spread import WINDOW_M, spread
from lynchet.stability.thrust import ThrustLayer, lateral_thrust
from lynchet.stability.tie_design import diagram
from lynchet.stability.words import judged
from yards import rectangle

ROUNDS = 40


def draw(rng: np.random.Generator, **wishes: object) -> Place:
    """A random wall section on level ground, without water."""
    courses, course = int(rng.integers(1, 8)), float(rng.uniform(0.09, 0.2))
    base = float(rng.uniform(95.0, 105.0))
    top = base + courses * course
    low = base + float(rng.uniform(0.0, 0.5)) * course
    place = Place(
        leg="W2", held=1, station_m=1.0, stretch=0, courses=courses, base_m=base, top_m=top, low_m=low, high_m=top,
        backslope_deg=0.0, front_fall_deg=0.0, front="undug", lean_deg=0.0, wet_m=None, one_shut_m=None,
        all_shut_m=None,
    )  # fmt: skip
    return replace(place, **wishes)  # type: ignore[arg-type]


def low_draw(rng: np.random.Generator, courses: int = 2) -> Place:
    """The same, of few courses."""
    place = draw(rng)
    top = place.base_m + courses * place.course_m
    return replace(place, courses=courses, top_m=top, high_m=top)


def project_of(rng: np.random.Generator, **brief: object) -> pm.Project:
    """Random soil and timber."""
    friction = float(rng.uniform(22.0, 38.0))
    weight, base = float(rng.uniform(15.0, 20.0)), "stone pad" if rng.random() < 0.5 else "bare soil"
    back = friction * float(rng.uniform(0.3, 0.67))
    soil = pm.Soil("as tested", None, friction, back, 0.0, weight, 21.0, base, known=True)  # type: ignore[arg-type]
    timber = pm.Timber(0.14, float(rng.uniform(0.09, 0.2)), float(rng.uniform(5.0, 9.0)), stock=(pm.Stock(3.6),))
    return replace(rectangle()[0], soil=soil, timber=timber, brief=pm.Brief(**brief))  # type: ignore[arg-type]


def test_dry_joints_are_those_of_the_calculator():
    """Dry, level, untied: every joint's forces and factors are course_joint_check's, with the buried part too."""
    rng = np.random.default_rng(1)
    for _ in range(ROUNDS):
        project, place = project_of(rng, pins=False, helps_off=("screws",)), draw(rng)
        table = check(project, [place])
        coefficient, angle = active_at(project, place, "dry")
        done = course_joint_check(
            courses=place.courses, course_height_m=place.course_m, course_width_m=project.timber.thickness_m,
            timber_unit_weight_kn_m3=project.timber.unit_weight_kn_m3, coefficient=coefficient, thrust_angle_deg=angle,
            unit_weight_kn_m3=project.soil.unit_weight_kn_m3, base_friction_deg=base_friction_deg(project),
            timber_friction=TIMBER_FRICTION, buried_m=place.buried_m,
            passive_coefficient=float(passive_at(project, [place])[0]),
        )  # fmt: skip
        assert table.forces.vertical == pytest.approx(done.vertical_kn_per_m)
        assert table.forces.horizontal == pytest.approx(done.horizontal_kn_per_m)
        assert table.sliding_bare == pytest.approx(done.sliding_factor)
        assert table.overturning_bare == pytest.approx(done.overturning_factor)
        assert table.sliding == pytest.approx(done.sliding_factor_helped)
        assert table.overturning == pytest.approx(done.overturning_factor_helped)


def test_a_leaning_stack_has_half_a_step_less_than_the_calculator_s_straight_lean():
    """Leaning back: never better than course_joint_check's straight lean, and as good but for half a step's lever."""
    rng = np.random.default_rng(2)
    for _ in range(ROUNDS):
        project = project_of(rng, pins=False, helps_off=("screws", "buried course"))
        place = draw(rng, lean_deg=float(rng.uniform(1.0, 6.0)))
        coefficient, angle = active_at(project, place, "dry")
        table = check(project, [place])
        done = course_joint_check(
            courses=place.courses, course_height_m=place.course_m, course_width_m=project.timber.thickness_m,
            timber_unit_weight_kn_m3=project.timber.unit_weight_kn_m3, coefficient=coefficient, thrust_angle_deg=angle,
            unit_weight_kn_m3=project.soil.unit_weight_kn_m3, base_friction_deg=base_friction_deg(project),
            timber_friction=TIMBER_FRICTION, lean_deg=place.lean_deg,
        )  # fmt: skip
        assert np.all(table.overturning_bare <= np.array(done.overturning_factor) + 1e-9)
        half = np.tan(np.radians(place.lean_deg)) * place.course_m / 2.0
        lost = np.asarray(table.forces.vertical) * half / np.asarray(table.forces.overturning)
        assert np.all(table.overturning_bare >= np.array(done.overturning_factor) - lost - 1e-9)


def rows_of(height: float, water: float, load: float, coefficient: float) -> Rows:
    """One joint with ground, water and a load behind."""
    one = np.array([1.0])
    return Rows(height * one, height * one, water * one, 0.0 * one, coefficient * one, 0.0 * one, 0.0 * one, 0.14 * one,
                load * one, (), 0.0 * one)  # fmt: skip


def test_soil_and_water_push_as_lateral_thrust():
    """Soil, water and load over a joint: forces and their height are those of lateral_thrust."""
    rng = np.random.default_rng(3)
    for _ in range(ROUNDS):
        height, k, load = float(rng.uniform(0.1, 1.5)), float(rng.uniform(0.2, 0.5)), float(rng.uniform(0.0, 6.0))
        water = float(rng.uniform(0.0, 1.0)) * height
        weight, soaked = float(rng.uniform(15.0, 19.0)), float(rng.uniform(19.0, 22.0))
        rows, ground = rows_of(height, water, load, k), Ground(0.14, 7.0, weight, soaked)
        layer = ThrustLayer(height, weight, soaked, coefficient=k)
        done = lateral_thrust(layers=[layer], surcharge_kpa=load, water_depth_m=height - water)
        soil, soil_turn = soil_push(rows, ground)
        wet, wet_turn = water_push(rows)
        assert soil[0] == pytest.approx(done.soil_kn_per_m) and wet[0] == pytest.approx(done.water_kn_per_m)
        assert soil_turn[0] + wet_turn[0] == pytest.approx(done.total_kn_per_m * done.height_m)


def test_pressure_diagram_for_ties_sums_to_what_pushes_on_the_base():
    """What the ties share out is what pushes on the base joint, in every case, loads and tiers too."""
    rng = np.random.default_rng(4)
    for _ in range(ROUNDS):
        project = project_of(rng)
        place = draw(rng)
        wet = place.base_m + float(rng.uniform(0.0, 1.0)) * (place.high_m - place.base_m)
        shut = wet + float(rng.uniform(0.0, 1.0)) * (place.high_m - wet)
        strips = (Strip(float(rng.uniform(1.0, 8.0)), 0.4, 3.0, 2.0),) if rng.random() < 0.5 else ()
        place = replace(place, wet_m=wet, one_shut_m=shut, all_shut_m=shut, surcharge_kpa=3.0, strips=strips)
        table = check(project, [place])
        for case in table.cases_of(0):
            row = table.row(0, case)
            picture = diagram(project, place, case)
            force = float(np.trapezoid(picture.pressure_kpa, picture.depth_m))
            assert force == pytest.approx(float(table.pushes.horizontal[row]), rel=0.02)


def test_box_without_water_is_the_calculator_s():
    """A front between returns, dry: factors, corner pulls, bending, sag as box_wall_check gives them."""
    rng = np.random.default_rng(5)
    for _ in range(ROUNDS):
        project = project_of(rng, pins=False)
        place = draw(rng, courses=int(rng.integers(2, 6)))
        place = replace(place, top_m=place.base_m + place.courses * 0.14, low_m=place.base_m + 0.14)
        place = replace(place, high_m=place.top_m)
        length, back = float(rng.uniform(1.5, 4.0)), float(rng.uniform(0.5, 2.0))
        coefficient, angle = active_at(project, place, "dry")
        table = check(project, [place])
        front = BoxFront("W2", 1, 0.0, length, back, frozenset())
        (found,) = check_box(project, table, worst_rows(table, [place], front), front)
        done = box_wall_check(
            front_length_m=length, return_length_m=back, courses=place.courses, course_height_m=0.14,
            course_width_m=project.timber.thickness_m, timber_unit_weight_kn_m3=project.timber.unit_weight_kn_m3,
            unit_weight_kn_m3=project.soil.unit_weight_kn_m3, coefficient=coefficient, thrust_angle_deg=angle,
            base_friction_deg=base_friction_deg(project), buried_m=0.14,
            passive_coefficient=float(passive_at(project, [place])[0]),
            span_coefficient=coefficient * float(np.cos(np.radians(angle))), modulus_mpa=6900.0,
        )  # fmt: skip
        assert found.overturning == pytest.approx(done.overturning_factor_box)
        assert found.sliding == pytest.approx(done.sliding_factor_box)
        assert found.corner_pulls_kn == pytest.approx(done.corner_pull_kn)
        assert found.bending_mpa == pytest.approx(max(done.bending_mpa))
        assert found.sag_mm == pytest.approx(max(done.sag_mm or []))


def test_pins_hold_as_the_calculator_says():
    """Pins through the lowest course into undug level ground: the ultimate of lateral_pin_capacity over the spacing."""
    rng = np.random.default_rng(6)
    project, place = project_of(rng), draw(rng)
    done = lateral_pin_capacity(
        soil="cohesionless", diameter_m=0.0127, length_m=0.61 - place.course_m,
        friction_angle_deg=project.soil.friction_deg, unit_weight_kn_m3=project.soil.unit_weight_kn_m3,
    )  # fmt: skip
    assert pins_kn_per_m(project, [place])[0] * 1.2 == pytest.approx(done.ultimate_kn)
    assert pins_kn_per_m(project, [replace(place, front_fall_deg=15.0)])[0] == 0.0


def worst(project: pm.Project, places: list[Place]) -> tuple[int, float]:
    """The worst verdict of a wall, and the least factor over what is enough."""
    table = check(project, places)
    found = judged(table, places)
    return int(found.verdict.max()), float((found.factor / found.enough).min())


def watered(rng: np.random.Generator, place: Place) -> Place:
    """Water behind: wet under one shut under all shut."""
    levels = np.sort(place.base_m + rng.uniform(0.0, 1.0, 3) * (place.top_m - place.base_m))
    return replace(place, wet_m=float(levels[0]), one_shut_m=float(levels[1]), all_shut_m=float(levels[2]))


@pytest.mark.parametrize("help_name", ["back friction", "buried course", "pins", "screws"])
def test_a_help_switched_off_never_makes_a_wall_better(help_name):
    """Without a help no factor rises and no verdict gets better."""
    rng = np.random.default_rng(7)
    for _ in range(ROUNDS):
        place = watered(rng, draw(rng))
        project = project_of(rng)
        off = replace(project, brief=replace(project.brief, helps_off=(help_name,)))
        with_all, without = worst(project, [place]), worst(off, [place])
        assert without[0] >= with_all[0] and without[1] <= with_all[1] + 1e-9


def test_more_courses_are_never_better():
    """A course more on the same base, holding a course more, is never safer."""
    rng = np.random.default_rng(8)
    for _ in range(ROUNDS):
        project, place = project_of(rng), draw(rng)
        higher = replace(place, courses=place.courses + 1, top_m=place.top_m + place.course_m,
                         high_m=place.high_m + place.course_m)  # fmt: skip
        assert worst(project, [higher])[0] >= worst(project, [place])[0]
        assert worst(project, [higher])[1] <= worst(project, [place])[1] + 1e-9


@pytest.mark.parametrize("level", ["wet_m", "one_shut_m", "all_shut_m"])
def test_taller_water_is_never_better(level):
    """Water that stands higher never makes a wall safer."""
    rng = np.random.default_rng(9)
    for _ in range(ROUNDS):
        project, place = project_of(rng), watered(rng, draw(rng))
        low = getattr(place, level)
        up = replace(place, **{level: low + float(rng.uniform(0.0, 1.0)) * (place.top_m - low)})
        before, after = check(project, [place]), check(project, [up])
        assert np.all(after.sliding <= before.sliding + 1e-9)
        assert np.all(after.overturning <= before.overturning + 1e-9)


def test_a_steeper_bank_a_load_or_a_tier_above_is_never_better():
    """What stands or rises behind the wall never makes it safer; ground that falls away before it neither."""
    rng = np.random.default_rng(10)
    for _ in range(ROUNDS):
        project, place = project_of(rng), draw(rng)
        dry, steep = worst(project, [place]), worst(project, [replace(place, backslope_deg=12.0)])
        assert steep[0] >= dry[0] and steep[1] <= dry[1] + 1e-9
        place = watered(rng, place)
        plain = worst(project, [place])
        for harder in (
            {"surcharge_kpa": 5.0}, {"strips": (Strip(6.0, 0.5, 2.0, 1.0),)},
            {"front_fall_deg": 15.0}, {"front": "bed"}, {"front": "house"},
        ):  # fmt: skip
            made = worst(project, [replace(place, **harder)])  # type: ignore[arg-type]
            assert made[0] >= plain[0] and made[1] <= plain[1] + 1e-9, harder


def test_two_courses_really_mean_twice_the_timber_s_width():
    """Bare overturning turns on height over width only: 6x6 and 8x8 two courses high 1.66 each, 6x8 laid flat 1.34."""
    inch = 0.0254
    soil = pm.Soil("as tested", None, 30.0, 20.0, 0.0, 120 * 0.1570875, 20.4, known=True)

    def bare(high_in: float, wide_in: float, courses: int, lean_deg: float = 0.0) -> float:
        timber = pm.Timber(high_in * inch, wide_in * inch, 50 * 0.1570875)
        project = replace(rectangle()[0], soil=soil, timber=timber)
        top = 100.0 + courses * high_in * inch
        place = Place("W2", 1, 1.0, 0, courses, 100.0, top, 100.0, top, 0.0, 0.0, "undug", lean_deg, None, None, None)
        return float(check(project, [place]).overturning_bare[0])

    assert bare(5.5, 5.5, 2) == pytest.approx(1.66, abs=0.005)
    assert bare(7.25, 7.25, 2) == pytest.approx(bare(5.5, 5.5, 2), rel=1e-9)
    assert bare(5.5, 7.25, 3) == pytest.approx(1.34, abs=0.005)  # 16.5 in on 7 1/4 in
    assert bare(5.5, 7.25, 3, 4.76) > bare(5.5, 7.25, 3) + 0.05
    for courses in (1, 2, 3):
        assert bare(4.0, 4.0, courses) == pytest.approx(bare(9.0, 9.0, courses), rel=1e-9)


def test_spreading_leaves_long_even_walls_as_they_are():
    """A wall that is the same all along is judged as each of its sections; a short high stretch less hard."""
    rng = np.random.default_rng(11)
    for _ in range(10):
        project, place = project_of(rng), draw(rng, courses=3)
        wall = [replace(place, station_m=s, stretch=n) for n in range(4) for s in (2.0 * n, 2.0 * n + 2.0)]
        table = check(project, wall)
        even = spread(table, wall)
        assert even.sliding == pytest.approx(table.sliding)
        assert even.overturning == pytest.approx(table.overturning)
        taller = replace(place, courses=4, top_m=place.top_m + place.course_m, high_m=place.high_m + place.course_m)
        step = [replace(taller, station_m=s, stretch=9) for s in (4.0, 4.0 + WINDOW_M / 3.0)]
        mixed = [*wall[:4], *step, *(replace(one, stretch=one.stretch + 10, station_m=one.station_m + WINDOW_M / 3.0)
                                     for one in wall[4:])]  # fmt: skip
        raw, eased = check(project, mixed), spread(check(project, mixed), mixed)
        at = raw.row(4, "dry")
        assert raw.overturning[at] < eased.overturning[at] < check(project, [place]).overturning[0]


def test_bands_of_the_verdict():
    """1.5 go; to 1.0 care for low walls, ask for higher or loaded ones; under it stop; shut 1.1, and low bare walls."""
    from lynchet.stability.thresholds import word_on_factor

    rng = np.random.default_rng(12)
    place = draw(rng, courses=2)

    def word(case: Case, factor: float, held_m: float, **more: object) -> Verdict:
        courses = max(2, round(held_m / 0.14))
        made = replace(place, courses=courses, base_m=0.0, top_m=courses * 0.14, low_m=0.0, high_m=held_m, **more)  # type: ignore[arg-type]
        return word_on_factor(case, factor, made)

    assert word("dry", 1.5, 0.9) is Verdict.OK and word("wet", 1.49, 0.6) is Verdict.WATCH
    assert word("dry", 1.2, 0.61) is Verdict.ASK and word("dry", 1.2, 0.3, surcharge_kpa=2.0) is Verdict.ASK
    assert word("dry", 0.99, 0.2) is Verdict.STOP
    assert word("all shut", 1.1, 0.9) is Verdict.OK and word("all shut", 1.0, 0.9) is Verdict.WATCH
    assert word("all shut", 0.5, 0.28) is Verdict.WATCH and word("one outlet shut", 0.5, 0.42) is Verdict.STOP
    for by_stone in (True, False):
        assert word("wet", 0.5, 0.28, by_stone=by_stone) is Verdict.WATCH
        assert word("wet", 0.49, 0.28, by_stone=by_stone) is Verdict.STOP
        assert word("wet", 0.99, 0.36, by_stone=by_stone) is Verdict.STOP
    both = {"two_ways": True}
    assert word("all shut", 0.5, 0.6, **both) is Verdict.WATCH and word("all shut", 0.5, 0.6) is Verdict.STOP
    assert word("all shut", 0.5, 0.61, **both) is Verdict.STOP
    assert word("all shut", 0.5, 0.6, surcharge_kpa=2.0, **both) is Verdict.STOP
    assert word("one outlet shut", 0.5, 0.6, **both) is Verdict.STOP and word("wet", 0.5, 0.6, **both) is Verdict.STOP
    assert {case for case in CASES if word(case, 1.1, 0.3) is Verdict.OK} == {
        "one outlet shut", "all shut", "earthquake"}  # fmt: skip


def test_a_wall_that_gives_way_in_the_rain_stops_the_plan_unless_it_is_low_and_bare():
    """No more than two courses that hold, up to 0.35 m, no load, dry it stands, half of what pushes is held: else a
    factor under one in the rain is a stop, at whichever joint; so low a wall is care, on stone alone or with a pipe."""
    rng, seen = np.random.default_rng(31), set()
    for _ in range(2 * ROUNDS):
        load = float(rng.choice([0.0, 0.0, 5.0]))
        drawn = watered(rng, replace(draw(rng) if rng.random() < 0.4 else low_draw(rng), surcharge_kpa=load))
        held, project = drawn.high_m - drawn.low_m, project_of(rng, helps_off=("screws", "back friction"))
        so_low = int(np.ceil(held / drawn.course_m - 0.05)) <= 2 and held <= 0.35 and load == 0.0
        for by_stone in (True, False):
            place = replace(drawn, by_stone=by_stone)
            table = check(project, [place])
            found, wet = judged(table, [place]), table.case == CASES.index("wet")
            gives, half = (found.factor < 1.0 - 1e-6) & wet, found.factor >= 0.5
            low = so_low and bool(found.factor[:, table.case == CASES.index("dry")].min() >= 1.0)
            assert set(found.verdict[gives & half].tolist()) <= {int(Verdict.WATCH if low else Verdict.STOP)}
            assert set(found.verdict[gives & ~half].tolist()) <= {int(Verdict.STOP)}
            seen |= {(low, by_stone)} if (gives & half).any() else set()
    assert len(seen) == 4


def test_of_two_walls_alike_but_for_their_drain_the_worse_figure_never_has_the_milder_word():
    """The same wall with its water at random levels, drained by a pipe, by two ways or by stone alone: in the rain a
    lower factor has at least as grave a verdict, at every joint and for the wall as a whole."""
    rng, under = np.random.default_rng(87), 0
    for _ in range(ROUNDS):
        project = project_of(rng, helps_off=("screws", "back friction"))
        one = watered(rng, low_draw(rng, int(rng.integers(2, 4))))
        low, high = one.low_m, one.high_m
        alike = [replace(one, wet_m=low + share * (high - low), one_shut_m=high, all_shut_m=high, by_stone=by_stone)
                 for share in (-0.3, *rng.uniform(0.0, 1.0, 4)) for by_stone in (True, False)]  # fmt: skip
        table = check(project, alike)
        found, wet = judged(table, alike), table.case == CASES.index("wet")
        rows = [wet & (table.joint == joint) for joint in range(one.courses)]
        for kind in (0, 1):
            for row in rows:
                order = np.argsort(found.factor[kind, row], kind="stable")
                graver = found.verdict[kind, row][order]
                factor = found.factor[kind, row][order]
                worse = factor[:, None] <= factor[None, :] + 1e-12
                assert (graver[:, None] >= graver[None, :])[worse].all()
                under += int((factor < 1.0).any())
    assert under > ROUNDS
