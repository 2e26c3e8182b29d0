"""Laws of the earth stage on whole yards: closure, places, invariance, what each setting does to the soil."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from math import pi

import numpy as np
import pytest
import shapely

from demo_plans import demo
from lynchet.core.standing import Standing
from lynchet.earth.model import DUG, Earth
from lynchet.earth.stage import earth
from lynchet.plan.pipeline import stability, terraces, walls, water
from lynchet.project.digging import Digging, Spread
from lynchet.project.model import EdgeRule
from lynchet.project.planting_wish import Planting
from lynchet.project.things import Fixed, LotLine
from lynchet.terraces.model import Level
from random_yards import Placing, crooked, realistic
from yards import ell, project_of, readings_over, rectangle

FEW = range(3)


def staged(project, ground):
    """The stages before, by hand: a yard that is refused later is no matter here."""
    laid = terraces(project, ground, Standing())
    built = walls(project, ground, laid, Standing())
    drained = water(project, ground, laid, built, 1)
    return project, ground, laid, built, drained, stability(project, ground, laid, built, drained, 10)


@cache
def plain():
    """A plain slope with three terraces."""
    return staged(*rectangle())


@cache
def garden():
    """An L with steps and a house."""
    return staged(*ell())


@cache
def random_yard(kind: str, seed: int):
    """A random yard through the stages before."""
    return staged(*(realistic if kind == "realistic" else crooked)(seed))


def with_project(stages, **changes) -> Earth:
    """The earth stage of the same yard under other settings."""
    return earth(replace(stages[0], **changes), *stages[1:])


def dug_by(found: Earth, *kinds: str) -> float:
    """Volume of some kinds of moves."""
    return sum(row.volume_m3 for row in found.moves if row.kind in (kinds or DUG))


def closes(found: Earth) -> None:
    """Both sums of the account, and the rows."""
    account = found.account
    k = account.compacted_per_bank
    placed = (account.fill_m3 + account.spread_m3) / k
    assert account.cut_m3 - account.topsoil_used_m3 - placed == pytest.approx(account.away_bank_m3, abs=1e-9)
    why = account.plain_away_bank_m3 + account.pushed_bank_m3 + account.settling_bank_m3 - account.spread_m3 / k
    assert why == pytest.approx(account.away_bank_m3, abs=1e-9)
    assert account.away_loose_m3 == pytest.approx(account.away_bank_m3 * account.loose_per_bank, abs=1e-9)
    assert dug_by(found) == pytest.approx(account.cut_m3, abs=1e-6)
    assert all(row.volume_m3 > 0.0 for row in found.moves) and all(row.bank_m3 >= 0.0 for row in account.pushed)


@pytest.mark.parametrize("kind,seeds", [("realistic", FEW), ("crooked", range(2))])
def test_the_account_closes_on_random_yards(kind, seeds):
    """Bank in is bank out on every yard, to 1e-9, whatever lies in the ground; no volume is negative."""
    for seed in seeds:
        closes(earth(*random_yard(kind, seed)))


def test_bench_cut_and_fill_are_the_exact_ones():
    """Cut and fill to the finished levels are those of the triangles, not of the columns, where no flight stands."""
    found = earth(*plain())
    beds = plain()[2].beds
    assert found.account.bench_cut_m3 == pytest.approx(sum(bed.cut_m3 for bed in beds), abs=1e-9)
    assert found.account.plain_fill_m3 == pytest.approx(sum(bed.fill_m3 for bed in beds), abs=1e-9)


def test_cut_equal_to_fill_still_leaves_what_comes_in():
    """On a balanced yard the soil to cart is what materials push out, less what tamped trenches take in."""
    account = earth(*plain()).account
    assert account.plain_away_bank_m3 == pytest.approx(0.0, abs=1e-6)
    assert account.away_bank_m3 == pytest.approx(account.pushed_bank_m3 + account.settling_bank_m3, abs=1e-6)
    assert account.away_bank_m3 > 1.0 > 0.0 >= account.settling_bank_m3
    assert account.loads == int(np.ceil(account.away_loose_m3 / account.load_m3 - 1e-9))
    assert account.barrows == int(np.ceil(account.away_loose_m3 / plain()[0].access.barrow_m3 - 1e-9))


@pytest.mark.parametrize("stages", [plain, garden])
def test_pushed_timber_is_the_timber_in_the_ground(stages):
    """Timber below the finished levels, course by course at the middle of its run, against the account, within 10 %."""
    _, _, laid, built, *_ = stages()
    whole = sum(run.polygon.area * (run.top_m - run.bottom_m) for run in built.runs)
    pushed = {row.what: row.volume_m3 for row in earth(*stages()).account.pushed}
    faces = {face.id: face for face in laid.faces}
    within = 0.0
    for run in built.runs:
        span = built.leg(run.leg).span_at(0.5 * sum(run.inner_m))
        face = faces.get(span.left)
        level = face.level_m if face is not None and isinstance(face.finish, Level) else run.top_m
        within += run.polygon.area * float(np.clip(level - run.bottom_m, 0.0, run.top_m - run.bottom_m))
    assert pushed["timber"] == pytest.approx(within, rel=0.10)
    assert pushed["timber"] < whole


@pytest.mark.parametrize("seed", [0])
def test_a_yard_turned_mirrored_and_shifted_is_the_same_soil(seed):
    """The account does not know where north is."""
    first = earth(*staged(*realistic(seed, Placing(0.0, False))))
    for placing in (Placing(2.0, False), Placing(pi / 3.0, True)):
        other = earth(*staged(*realistic(seed, placing)))
        for name in ("cut_m3", "fill_m3", "away_bank_m3", "topsoil_m3", "pushed_bank_m3"):
            assert getattr(other.account, name) == pytest.approx(getattr(first.account, name), rel=1e-3, abs=1e-3)
        assert [heap.height_m for heap in other.heaps] == pytest.approx([h.height_m for h in first.heaps], rel=1e-3)


def test_no_topsoil_means_none_stripped_and_the_bed_soil_bought():
    """With a depth of nothing no topsoil is kept apart, and what the beds need is brought in."""
    found = with_project(plain(), digging=Digging(topsoil_m=0.0))
    assert found.account.topsoil_m3 == 0.0 == found.account.topsoil_used_m3
    bought = {row.what: row.placed_m3 for row in found.account.brought}
    bed = sum(bed.soil_m3 for bed in found.beds)
    assert bought["bed soil"] + bought["compost"] == pytest.approx(bed, rel=1e-9)
    assert all(heap.id != "topsoil heap" for heap in found.heaps)
    closes(found)


def test_bought_bed_soil_pushes_out_as_much():
    """Each cubic metre of bed soil more that is bought sends one more of the ground away, in bank measure over k."""
    shallow, deep = (with_project(plain(), planting=Planting(bed_soil_m=d)).account for d in (0.30, 0.40))
    more = {row.what: row.bank_m3 for row in deep.pushed}["bed soil"] - {r.what: r.bank_m3 for r in shallow.pushed}[
        "bed soil"
    ]
    settled = deep.settling_bank_m3 - shallow.settling_bank_m3
    assert more > 1.0
    assert deep.away_bank_m3 - shallow.away_bank_m3 == pytest.approx(more + settled, rel=0.03)


def test_mulch_lies_on_top_until_it_is_deeper_than_the_freeboard():
    """Thin mulch changes no digging; what is over the freeboard lowers the soil of the beds by so much, and is told."""
    thin, none, deep = (with_project(plain(), planting=Planting(mulch_m=m)) for m in (0.05, 0.0, 0.10))
    assert thin.account.cut_m3 == pytest.approx(none.account.cut_m3, abs=1e-12)
    assert [f.code for f in thin.findings if "mulch" in f.code] == []
    assert deep.account.cut_m3 > thin.account.cut_m3
    pushed = {row.what: row.volume_m3 for row in deep.account.pushed}["mulch"]
    planted = sum(bed.planted_m2 for bed in deep.beds)
    assert pushed >= 0.05 * planted - 1e-9 and "earth.mulch" in {f.code for f in deep.findings}
    closes(deep)


def test_room_to_work_is_dug_and_filled_again():
    """A wider trench digs more and fills more, and pushes out nothing: only firming takes a little soil in."""
    tight, wide = (with_project(plain(), digging=Digging(work_room_m=room)).account for room in (0.0, 0.2))
    more = wide.cut_m3 - tight.cut_m3
    assert more > 0.5
    assert wide.pushed_bank_m3 == pytest.approx(tight.pushed_bank_m3, rel=0.01)
    assert 0.0 <= tight.away_bank_m3 - wide.away_bank_m3 <= more * (1.0 / wide.compacted_per_bank - 1.0) + 0.05


def test_ground_that_may_be_raised_takes_soil_before_the_truck():
    """A lawn raised by what is left over: nothing leaves while it has room, and then only the rest."""
    lawn = ((-20.0, -20.0), (-10.0, -20.0), (-10.0, -10.0), (-20.0, -10.0))
    base = earth(*plain()).account
    wide = with_project(plain(), digging=Digging(spread=(Spread("lawn", lawn, 0.3),)))
    thin = with_project(plain(), digging=Digging(spread=(Spread("lawn", lawn, 0.01),)))
    assert wide.account.away_bank_m3 == pytest.approx(0.0, abs=1e-9) and wide.account.loads == 0
    assert dug_by(wide, "spread") == pytest.approx(base.away_bank_m3 * base.compacted_per_bank, rel=1e-9)
    assert thin.account.spread_m3 == pytest.approx(1.0, rel=1e-9)
    for found in (wide, thin):
        closes(found)
        assert sum(step.away_m3 for step in found.steps) == pytest.approx(found.account.away_bank_m3, abs=1e-9)


def test_benches_up_by_a_course_saves_what_it_says():
    """The cure's own figure against the terraces laid again with its levels: within a tenth and half a cubic metre."""
    project, ground, *_ = plain()
    before = earth(*plain())
    finding = next(f for f in before.findings if f.code == "earth.pushed_out")
    cure = next(c for c in finding.cures if c.name == "benches-up")
    edits = dict(cure.edits)
    levels = tuple(float(text.removesuffix(" m")) for text in edits["brief.levels"])
    brief = replace(project.brief, levels=levels, terraces=edits["brief.terraces"])
    after = earth(*staged(replace(project, brief=brief), ground))
    assert all(b > a - 1e-9 for a, b in zip(plain()[2].levels_m, levels, strict=True))
    assert 0.0 <= after.account.away_bank_m3 < 0.7 * before.account.away_bank_m3
    closes(after)


def test_a_bank_outside_is_dug_or_filled_to_one_in_two():
    """An edge finished as a bank moves soil outside the outline, as a wedge: half its height squared, twice as wide."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    edges = (EdgeRule(0, "bank", 2.0),)
    project, ground = rectangle()
    steep = readings_over(outline, lambda x, y: 100.0 + 0.2 * y, margin_m=3.0)
    project, ground = project_of(outline, steep, brief=replace(project.brief, terraces=1), edges=edges)
    stages = staged(project, ground)
    level = stages[2].beds[0].level_m
    found = with_project(stages, digging=Digging(topsoil_m=0.0, work_room_m=0.0))
    fill = sum(row.volume_m3 for row in found.moves if row.place == "A0" and row.kind == "fill")
    # bank falls 1 in 2, ground 1 in 5: they meet at h / 0.3, within 2 m the wedge has area by Simpson, exact here
    height = level - 100.0
    reach = min(2.0, height / 0.3)
    area = height * reach - 0.15 * reach**2
    # round each corner, where walls go on, a quarter of a cone: h^3 / (6 k^2) over the turn, k how fast they close
    turn = np.linspace(0.0, np.pi / 2.0, 2001)
    corner = float(np.trapezoid(height**3 / (6.0 * (0.5 - 0.2 * np.sin(turn)) ** 2), turn))
    assert height > 0.2 and fill == pytest.approx(9.0 * area + 2.0 * corner, rel=0.03)


def test_heaps_and_steps_have_their_places():
    """The heap holds the most soil there is at once, beside the yard; loads by step add up; each wall is built once."""
    found = earth(*garden())
    heap = next(h for h in found.heaps if h.id == "heap")
    waiting, kept, loose = 0.0, 0.0, found.account.loose_per_bank
    for step in found.steps:  # the truck comes when the walls stand: until then what goes away lies there too
        thrown_down = sum(lower.from_above_m3 for lower in found.steps if lower.terrace < step.terrace)
        assert thrown_down > 0.0 or step.peak_loose_m3 == pytest.approx(kept + step.dug_m3 * loose + waiting)
        waiting += step.away_m3 * loose
        kept = step.heap_loose_m3
    assert waiting > 0.0 and heap.volume_loose_m3 == pytest.approx(max(step.peak_loose_m3 for step in found.steps))
    assert shapely.Polygon(heap.outline_m).distance(shapely.Polygon(garden()[0].area.outline_m)) > 0.6
    assert sum(step.loads_away for step in found.steps) == found.account.loads
    built = [leg for step in found.steps for leg in step.walls]
    assert sorted(built) == sorted(leg.id for leg in garden()[3].legs if leg.segments)
    assert [step.terrace for step in found.steps] == list(range(1, len(found.steps) + 1))
    fronts = {step.terrace: [leg for leg in step.walls if leg.startswith("W")] for step in found.steps}
    assert all(leg.startswith(f"W{k}") for k, legs in fronts.items() for leg in legs)


def test_the_topsoil_heap_holds_what_the_beds_wait_for():
    """Beds are filled when all walls stand: by then all topsoil that is laid back lies on its heap, loose."""
    found = earth(*garden())
    account = found.account
    heap = next(h for h in found.heaps if h.id == "topsoil heap")
    back = account.topsoil_used_m3 * account.loose_per_bank
    assert heap.volume_loose_m3 >= back - 1e-9 and back > max(step.topsoil_m3 for step in found.steps)
    assert heap.volume_loose_m3 <= account.topsoil_m3 * account.loose_per_bank + 1e-9
    assert [s.topsoil_heap_loose_m3 for s in found.steps] == sorted(s.topsoil_heap_loose_m3 for s in found.steps)


def test_a_heap_in_the_way_is_told():
    """A heap the file puts on the beds is a finding, and one beside the yard is none."""
    access = plain()[0].access
    on, beside = (with_project(plain(), access=replace(access, heap_m=at)) for at in ((4.0, 3.0), (4.0, -6.0)))
    assert "earth.heap_place" in {f.code for f in on.findings}
    assert "earth.heap_place" not in {f.code for f in beside.findings}
    assert beside.heaps[0].given and not beside.heaps[1].given


def test_no_room_beside_the_yard_is_told():
    """Lot lines close round the yard on every side: no heap, and a finding that says to cart as one digs."""
    ring = ((-0.4, -0.4), (9.4, -0.4), (9.4, 6.4), (-0.4, 6.4), (-0.4, -0.4))
    found = with_project(plain(), lot_lines=(LotLine("lot", ring),))
    assert {"earth.heap_room", "earth.drop_room"} <= {f.code for f in found.findings}
    assert all(not heap.outline_m for heap in found.heaps) and found.barrow_run is None
    assert all(step.carry_m is None for step in found.steps)


def test_the_run_goes_from_the_truck_through_the_gate():
    """Its length is at least that of the two straight parts, and a gate too narrow for a barrow is told."""
    access = replace(plain()[0].access, truck_stop_m=(4.0, -20.0), gate_at_m=(8.0, -12.0), gate_m=0.6)
    found = with_project(plain(), access=access)
    run = found.barrow_run
    assert run is not None and run.start == "truck stop" and (8.0, -12.0) in run.points_m
    ends = np.array([run.points_m[0], (8.0, -12.0), run.points_m[-1]])
    assert run.length_m >= np.hypot(*np.diff(ends, axis=0).T).sum() - 1e-9
    assert "earth.gate" in {f.code for f in found.findings} and found.truck_reaches is False


@pytest.mark.parametrize(
    ("heap", "truck"),
    [
        ((14.0, -7.0), (-10.0, 20.0)),
        ((12.0, -6.0), (4.0, 25.0)),
        ((-4.0, -4.0), (4.0, 25.0)),
        ((13.0, 3.0), (4.0, 25.0)),
    ],
)
def test_the_run_goes_round_the_other_heap(heap, truck):
    """Where the topsoil heap lies on the straight way from the truck, the run goes round it."""
    found = with_project(plain(), access=replace(plain()[0].access, truck_stop_m=truck, heap_m=heap))
    run, others = found.barrow_run, [heap for heap in found.heaps if heap.outline_m][1:]
    assert run is not None and others
    straight, line = shapely.LineString([truck, heap]), shapely.LineString(run.points_m)
    assert any(shapely.intersection(straight, shapely.Polygon(heap.outline_m)).length > 0.5 for heap in others)
    assert all(shapely.intersection(line, shapely.Polygon(heap.outline_m)).length < 1e-6 for heap in others)


@pytest.mark.parametrize("aside", [-0.9, 0.0, 0.9, 1.6, 2.1])
def test_the_whole_width_of_the_run_keeps_off_the_ground_of_a_tree(aside):
    """A tree by the straight way from the truck: half a passage of 36 in is kept beside its ground."""
    truck, heap = (-2.0, -14.0), (12.0, -8.0)
    way = np.subtract(heap, truck) / np.hypot(*np.subtract(heap, truck))
    at = tuple(np.add(truck, heap) / 2.0 + aside * np.array([-way[1], way[0]]))
    tree = Fixed("oak", "tree", "the oak", (at,), clear_m=1.5)
    access = replace(plain()[0].access, truck_stop_m=truck, heap_m=heap)
    run = with_project(plain(), access=access, fixed=(tree,)).barrow_run
    assert run is not None
    assert shapely.distance(shapely.LineString(run.points_m), shapely.Point(at)) > 1.5 + 0.43


def test_a_yard_of_banks_alone_has_its_account_too():
    """No wall, no drain, nothing brought but compost and mulch: the account closes, and no material pushes out soil."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    edges = tuple(EdgeRule(edge, "bank", 3.0) for edge in range(4))
    readings = readings_over(outline, lambda x, y: 100.0 + 0.1 * y, margin_m=4.0)
    project, ground = project_of(outline, readings, brief=replace(rectangle()[0].brief, terraces=1), edges=edges)
    stages = staged(project, ground)
    assert not stages[3].runs
    found = earth(*stages)
    closes(found)
    assert {row.what for row in found.account.pushed if row.bank_m3 > 0.0} == {"bed soil"}
    assert {row.place for row in found.moves} <= {"B1", "A0", "A1", "A2", "A3"}


def test_a_refused_yard_moves_nothing():
    """Where no terrace can be laid the account is empty, and nothing is said of soil."""
    project, ground = rectangle(brief=replace(rectangle()[0].brief, terraces=1))
    stages = staged(project, ground)
    refused = replace(stages[2], refused=True, faces=())
    found = earth(project, ground, refused, *stages[3:])
    assert (found.moves, found.steps, found.heaps, found.findings) == ((), (), (), ())
    assert found.account.cut_m3 == found.account.away_bank_m3 == 0.0 and found.account.loads == 0


@pytest.mark.parametrize("name", ["side_yard", "l_garden"])
def test_the_parts_pushed_out_that_are_told_add_up_to_their_sum(name):
    """No material is left out of the list: a reader who adds it up comes to the sum, within its rounding."""
    (told,) = [found.text for found in demo(name).findings if found.code == "earth.pushed_out"]
    total, parts = re.search(r"pushes out ([\d.]+) \S+ of soil \((.*?)\)", told).groups()
    assert sum(float(one) for one in re.findall(r"[\d.]+(?= (?:m|yd)³)", parts)) == pytest.approx(float(total), abs=0.1)
    assert len(parts.split(", ")) == sum(row.bank_m3 >= 0.005 for row in demo(name).earth.account.pushed)
