"""Laws of the order list: it is the sum of what the plan places, nothing more and nothing less, and packs cover it."""

from __future__ import annotations

from collections import Counter
from functools import cache
from math import ceil

import pytest
import shapely

from lynchet.core.standing import Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.plan.placed import placed
from lynchet.works.items import items
from lynchet.works.model import OrderLine
from lynchet.works.wall_parts import Stages, wall_parts
from worked import SEEDS, job_of, plan_of, priced, worked
from yards import ell


def _lines(seed: int) -> dict[str, OrderLine]:
    return {line.key: line for line in plan_of(seed).works.order}


def _quantity(lines: dict[str, OrderLine], key: str) -> float:
    return lines[key].quantity if key in lines else 0.0


@pytest.mark.parametrize("seed", SEEDS)
def test_stone_and_pipe_are_what_is_placed(seed: int) -> None:
    """Stone, fabric and pipe on the list are the volumes, areas and lengths of the placed things to 1e-9."""
    plan, lines = plan_of(seed), _lines(seed)
    things = list(placed(plan))
    beds = sum(thing.volume_m3 for thing in things if thing.kind == "stone bed")
    assert _quantity(lines, "base_stone") == pytest.approx(beds, abs=1e-9)
    loose = sum(thing.volume_m3 for thing in things if thing.kind in ("outlet", "soakaway"))
    stone = sum(stone.volume_m3 for stone in plan.water.stone) + loose
    stone += sum(part.volume_m3 for cut in plan.water.cut_offs for part in cut.stone)
    assert _quantity(lines, "drain_stone") == pytest.approx(stone, abs=1e-9)
    holed = sum(shapely.LineString(drain.points_m).length for drain in plan.water.drains)
    holed += sum(shapely.LineString(cut.points_m).length for cut in plan.water.cut_offs)
    solid = sum(shapely.LineString(pipe.points_m).length for pipe in (*plan.water.solids, *plan.water.roof_pipes))
    assert _quantity(lines, "drain_pipe") == pytest.approx(holed, abs=1e-9)
    assert _quantity(lines, "solid_pipe") == pytest.approx(solid, abs=1e-9)
    fabric = sum(f.area_m2 for f in plan.water.fabric) + sum(cut.fabric_m2 for cut in plan.water.cut_offs)
    assert _quantity(lines, "fabric") == pytest.approx(fabric, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_counted_things_are_what_is_placed(seed: int) -> None:
    """Sticks, fasteners, pins and fittings on the list are those the plan places."""
    plan, lines = plan_of(seed), _lines(seed)
    sticks = [line for line in lines.values() if line.group == "timber" and line.measure == "each"]
    assert sum(line.quantity for line in sticks) == len(plan.timber.sticks)
    bought = {line.key: line.buy for line in sticks}
    assert sum(bought.values()) == sum(stick.source != "on hand" for stick in plan.timber.sticks)
    things = Counter(thing.kind for thing in placed(plan))
    for kind, key in (
        ("screw", "screw"),
        ("corner pin", "corner_pin"),
        ("tie screw", "tie_screw"),
        ("pin", "base_pin"),
    ):
        found = sum(line.quantity for name, line in lines.items() if name == key or name.startswith(f"{key}_"))
        assert found == things[kind], kind
    for kind, count in Counter(fitting.kind for fitting in plan.water.fittings).items():
        assert lines[kind.replace(" ", "_")].quantity == count


@pytest.mark.parametrize("seed", SEEDS)
def test_packs_cover_the_need_and_not_one_too_many(seed: int) -> None:
    """What is bought covers the net quantity with its waste, and one pack or piece less would not."""
    known = items("metric")
    for line in plan_of(seed).works.order:
        item = known.get(line.key) or known.get(line.key.rpartition("_")[0])
        waste = (
            0.0 if line.group == "timber" and line.measure == "each" else item.waste if item is not None else line.waste
        )
        assert line.buy >= line.need - 1e-9
        if line.group != "timber" or line.measure != "each":
            assert line.need == pytest.approx(line.quantity * (1 + waste), rel=1e-12)
        if line.pack is not None:
            assert line.packs == ceil(line.need / line.pack - 1e-9)
            assert line.buy == line.packs * line.pack
        elif line.measure == "each":
            assert line.buy == int(line.buy) and line.buy - 1 < line.need
        else:
            assert line.buy == line.need


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_lost_without_prices(seed: int) -> None:
    """The same lines with the same quantities stand on the list with and without prices; without, all are missing."""
    plan = plan_of(seed)
    bare = plan.works
    rich = worked(plan, prices=priced({"stone": 40.0, "fabric": 2.0, "labour": 45.0, "timber": (3.0, "m")}))
    shown = [(line.key, line.quantity, line.buy, line.places) for line in bare.order]
    assert shown == [(line.key, line.quantity, line.buy, line.places) for line in rich.order]
    assert all(line.money is None for line in bare.order) and bare.price.total is None
    extra = len({"deliveries by truck", "work by the hour"} & {*bare.price.missing})
    assert len(bare.price.missing) == bare.price.lines == sum(line.buy > 0 for line in bare.order) + extra
    assert f"{bare.price.lines} line" in bare.price.words
    left = sum(line.buy > 0 and line.money is None for line in rich.order) + 1  # nobody says what a truck costs
    assert f"no price for {left} of {rich.price.lines} lines" in rich.price.words


@pytest.mark.parametrize("seed", SEEDS)
def test_stages_of_the_walls_take_all_of_them(seed: int) -> None:
    """Taken apart by stages, the walls keep their timber, stone, pipes and steps."""
    plan = plan_of(seed)
    job = job_of(plan)
    parts = wall_parts(job, Stages(job)).values()
    thickness = plan.project.timber.thickness_m
    pieces = sum(piece.polygon.area for piece in plan.pieces) / thickness
    ties = sum(tie.length_m - thickness + tie.cross_length_m for tie in plan.stability.ties)
    assert sum(part.first_m + part.course_m for part in parts) == pytest.approx(pieces + ties, abs=1e-6)
    assert sum(part.stone_m3 for part in parts) == pytest.approx(sum(s.volume_m3 for s in plan.water.stone), abs=1e-9)
    assert sum(part.treads for part in parts) == sum(len(flight.treads) for flight in plan.terraces.flights)
    legs = {leg.id for leg in plan.walls.legs if leg.segments}
    assert {leg for part in parts for leg in part.legs} == legs


@cache
def stepped() -> Plan:
    """A garden with flights of steps."""
    return plan_on(*ell(), Standing(), LIVE, lambda stage: None)


def test_steps_have_their_timber() -> None:
    """By hand: the frame of each step (the box less its inside) over the timber's width, for each course of it, is
    the length of step timber on the cut sheet, and no line of the order buys it by length."""
    plan = stepped()
    wide, course = plan.project.timber.thickness_m, plan.project.timber.course_m
    volume = 0.0
    for tread in (tread for flight in plan.terraces.flights for tread in flight.treads):
        box = shapely.Polygon(tread.outline_m)
        frame = box.area - box.buffer(-wide, join_style="mitre").area
        volume += frame * round((tread.top_m - tread.bottom_m) / course) * course
    cut = {name: long for stick in plan.timber.sticks for name, long in zip(stick.pieces, stick.lengths_m, strict=True)}
    flights = tuple(f"{flight.id}/" for flight in plan.terraces.flights)
    assert volume > 0 and sum(piece.volume_m3 for piece in plan.timber.steps) == pytest.approx(volume, rel=1e-6)
    own = sum(long for name, long in cut.items() if name.startswith(flights))
    assert own == pytest.approx(sum(piece.length_m for piece in plan.timber.steps), abs=1e-4)
    assert own * wide * course >= volume - 1e-6
    assert not [line for line in plan.works.order if line.key == "step_timber"]
    assert {name for name in cut if name.startswith(flights)} <= {weight.piece for weight in plan.timber.weights}


def test_steps_have_their_screws_and_stone() -> None:
    """By hand: eight screws hold the corners of each frame; stone lies 0.1 m deep under the boxes on the ground and
    is ordered with the base stone, as it is placed."""
    plan = stepped()
    lines = {line.key: line for line in plan.works.order}
    frames = {(piece.tread, piece.layer) for piece in plan.timber.steps if piece.side == "left"}
    level = next(line for line in plan.timber.fastener_lines if line.kind == "step screw" and line.drill_m > 0)
    assert level.count >= 8 * len(frames) > 0
    counted = sum(line.count for line in plan.timber.fastener_lines if line.kind == "step screw")
    assert sum(line.quantity for key, line in lines.items() if key.startswith("step_screw")) == counted
    flights = {flight.id for flight in plan.terraces.flights}
    beds = [thing for thing in placed(plan) if thing.kind == "stone bed"]
    under = sum(bed.volume_m3 for bed in beds if bed.owner in flights)
    ground = sum(shapely.Polygon(t.outline_m).area for f in plan.terraces.flights
                 for t in (f.treads[:1] if f.kind == "projecting" else f.treads))  # fmt: skip
    pads = [s for f in plan.terraces.flights for end in f.landings for s in end.stone]  # on ground that is no bed
    landings = sum(shapely.Polygon(s.outline_m).area * (s.top_m - s.bottom_m) for s in pads)
    assert under == pytest.approx(0.1 * ground + landings) and ground > 0
    assert lines["base_stone"].quantity == pytest.approx(sum(bed.volume_m3 for bed in beds), abs=1e-9)
    assert flights <= set(lines["base_stone"].places)


@pytest.mark.parametrize("seed", SEEDS)
def test_stone_and_fabric_name_every_wall_they_lie_behind(seed: int) -> None:
    """A drain may run on behind several walls: each wall with stone is named beside the stone and the fabric."""
    plan, lines = plan_of(seed), _lines(seed)
    legs = {stone.leg for stone in plan.water.stone}
    walls = {leg.id for leg in plan.walls.legs}
    for key in ("drain_stone", "fabric"):
        assert not legs or set(lines[key].places) & walls == legs
