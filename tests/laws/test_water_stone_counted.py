"""Drain stone and fabric where there is little room: laid round what stands in the way, counted once."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import shapely

from built_yards import built_plan
from found_yards import found_plan
from lawbook.stone_laws import stone_and_fabric_fill_their_zone
from lawbook.whole import Whole, whole
from lynchet.core.changed import changed
from lynchet.plan.model import Plan
from lynchet.walls.model import Leg
from lynchet.water.model import Fabric, Stone
from lynchet.water.stone import _without
from lynchet.water.stone_once import counted_once
from random_yards import realistic
from spring_yards import sprung
from wished_yards import wished_plan

WIDE_M = 0.3


def _stone(leg: str, low_m: float, bottom_m: float) -> Stone:
    """A strip 2 m long, from a distance across up to the width of a strip further on."""
    ring = ((0.0, low_m), (2.0, low_m), (2.0, low_m + WIDE_M), (0.0, low_m + WIDE_M))
    chain = f"B1/{leg}"
    volume = 2.0 * WIDE_M * (1.0 - bottom_m)
    return Stone(f"{chain}/stone/1", chain, 0, leg, ring, (0.0, low_m), (2.0, low_m), WIDE_M, bottom_m, 1.0, 1.0,
                 volume, False)  # fmt: skip


def _leg(name: str, across_m: float) -> Leg:
    return Leg(name, "front", (0.0, across_m), (2.0, across_m), (1.0, 0.0), (0.0, 1.0), 2.0, 0.1, (), (), ())


def _fabric(leg: str) -> Fabric:
    return Fabric(f"B1/{leg}/fabric/1", f"B1/{leg}", 0, (), 0.0, 1.0, 2.0, 1.5)


def test_where_strips_of_two_walls_lap_over_the_deeper_one_holds_the_stone() -> None:
    """By hand: 0.2 m of the 0.3 m of the shallower strip lie in the deeper, so a third of it is left."""
    deep, shallow = _stone("W1", 0.0, 0.2), _stone("A1", 0.1, 0.5)
    legs = [_leg("W1", 0.0), _leg("A1", 0.5)]
    stones, fabrics = counted_once([shallow, deep], [_fabric("A1"), _fabric("W1")], legs)
    assert [one.volume_m3 for one in stones] == pytest.approx([shallow.volume_m3 / 3.0, deep.volume_m3])
    assert [one.length_m for one in fabrics] == pytest.approx([2.0 / 3.0, 2.0])
    assert [one.outline_m for one in stones] == [shallow.outline_m, deep.outline_m]


def test_strips_that_lap_over_nowhere_stay_as_they_are() -> None:
    """Of many yards no two strips come near each other."""
    stones, fabrics = [_stone("W1", 0.0, 0.2), _stone("A1", 3.0, 0.5)], [_fabric("W1"), _fabric("A1")]
    assert counted_once(stones, fabrics, [_leg("W1", 0.0), _leg("A1", 3.5)]) == (stones, fabrics)


@pytest.mark.parametrize(("chain", "once"), [("B1/W1", False), ("B1/A1", True)])
def test_strips_of_walls_that_meet_lap_over_round_the_corner_of_one_chain(chain: str, once: bool) -> None:
    """There as much is left outside; of two chains nothing is, and what lies in both is counted once."""
    deep, shallow = _stone("W1", 0.0, 0.2), changed(_stone("A1", 0.1, 0.5), chain=chain)
    stones, _ = counted_once([shallow, deep], [], [_leg("W1", 0.0), _leg("A1", 0.1)])
    assert stones[0].volume_m3 == pytest.approx(shallow.volume_m3 / (3.0 if once else 1.0))


def test_a_bed_hardly_wider_than_two_strips_has_its_stone_once() -> None:
    found = sprung(96207)
    assert stone_and_fabric_fill_their_zone(found.data, found.plan.project) == []


def test_fabric_lies_behind_stone_that_a_lot_line_narrows() -> None:
    """It lay at the back of the whole width alone, so where the line cut that off there was none."""
    found = Whole(found_plan(95078))
    cut = [one for one in found.data["water"]["stone"] if one["leg"] == "A2" and len(one["outline_m"]) > 4]
    edges = {(one["chain"], one["edge"]) for one in found.data["water"]["fabric"]}
    assert cut and all((one["chain"], one["edge"]) in edges for one in cut)
    assert stone_and_fabric_fill_their_zone(found.data, found.plan.project) == []


@pytest.mark.parametrize("make", [lambda: wished_plan(96140), lambda: built_plan(96153)])
def test_fabric_round_narrowed_stone_lies_in_no_timber(make: Callable[[], Plan]) -> None:
    """Timber of another wall narrows the stone: its fabric stood 3 mm in that timber, and the plan stopped."""
    found = make()
    assert not [clash for clash in found.clashes if clash.cause == "clash.fabric-timber"]
    assert stone_and_fabric_fill_their_zone(Whole(found).data, found.project) == []


def test_a_thinner_cover_that_bars_the_pipe_is_no_way_out() -> None:
    """Under it the stone stands higher, against timber that a wide pipe passed before: no line of pipe was left, and
    nothing seemed to miss its way out."""
    found = Whole(wished_plan(95105))
    assert found.data["water"]["stone"]
    assert stone_and_fabric_fill_their_zone(found.data, found.plan.project) == []


def test_a_strip_of_which_a_line_is_left_has_nothing_left() -> None:
    """Two timbers of a corner cover all of a strip 3 mm wide: rounded, the difference was a line of 10 micrometres, and
    the plan broke off. Its fabric is none; its stone stays, as where nothing at all is left."""
    ring = ((-2.1530257398594683, 7.417226979718702), (-1.9773545435842954, 7.272017861432523),
            (-1.9754431996252908, 7.2743301685640205), (-2.1511143959004637, 7.4195392868502))  # fmt: skip
    shape = shapely.Polygon(ring)
    timber = [
        shapely.Polygon([(-2.15111, 7.41954), (-3.17076, 6.18603), (-3.0293082200451185, 6.043240934347238),
                         (-1.996956618125141, 7.292116552926467)]),
        shapely.Polygon([(-1.61137, 6.97339), (-2.15111, 7.41954), (-2.2785355659815516, 7.2653883696426185),
                         (-1.7856832998294307, 6.857995850015079)]),
    ]  # fmt: skip
    rest = shapely.difference(shape, shapely.union_all(timber, grid_size=1e-5), grid_size=1e-5)
    assert rest.geom_type == "LineString" and not rest.is_empty
    cloth, stone = (changed(one, outline_m=ring) for one in (_fabric("A1"), _stone("A1", 0.0, 0.5)))
    assert _without(cloth, timber) is None
    assert _without(stone, timber) is stone


def test_fabric_keeps_off_the_timber_behind_its_stone() -> None:
    """Where other timber takes the back of the strip no soil stands behind it: fabric drawn there lay in timber."""
    case = whole(*realistic(96403))
    assert not [clash for clash in case.plan.clashes if clash.code == "clash"]
    assert stone_and_fabric_fill_their_zone(case.data, case.plan.project) == []
