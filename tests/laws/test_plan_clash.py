"""Laws of the clash check: planted faults are caught, nothing else is called a clash, pipes that join do not meet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any, get_args

import numpy as np
import pytest
import shapely

from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.plan.clash import Clash, clash_findings, clashes, stay_findings
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import pieces_of, plan_on
from lynchet.plan.placed import Placed, placed_of
from lynchet.plan.sharing import PIPES, rule_for
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.stability.stage import stability
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from lynchet.water.model import BodyKind, Water
from lynchet.water.stage import water
from random_yards import realistic
from yards import project_of, readings_over, rectangle

TIED = pm.Brief(terraces=3, weeps=True, path_strip_m=0.6, dig_depth_m=0.1)
SEEDS = tuple(range(3, 15))


def placed_in(project: pm.Project, ground: Any) -> tuple[list[Placed], Water]:
    """Everything placed on a yard, and its water."""
    laid = terraces(project, ground, Standing())
    built = walls(project, ground, laid, Standing())
    drained = water(project, ground, laid, built, 1)
    held = stability(project, ground, laid, built, drained)
    cut = pieces_of(project, built, drained, held)
    return list(placed_of(laid, built, drained, held, cut.pieces)), drained


@cache
def sound() -> tuple[list[Placed], Water]:
    """A yard with ties and drains in which nothing clashes."""
    made, drained = placed_in(*rectangle(brief=TIED))
    assert not clashes(made, drained) and any(thing.kind == "tie" for thing in made)
    return made, drained


def moved(thing: Placed, dx: float = 0.0, dy: float = 0.0, dz: float = 0.0) -> Placed:
    """The thing elsewhere."""
    outline = tuple((x + dx, y + dy) for x, y in thing.outline_m)
    origin = (thing.origin_m[0] + dx, thing.origin_m[1] + dy)
    return replace(thing, outline_m=outline, origin_m=origin, bottom_m=thing.bottom_m + dz, top_m=thing.top_m + dz)


def after(change: Callable[[Placed], Placed], which: Callable[[Placed], bool]) -> list[Clash]:
    """Clashes once the first thing of a kind is changed."""
    made, drained = sound()
    at = next(i for i, thing in enumerate(made) if which(thing))
    return clashes([*made[:at], change(made[at]), *made[at + 1 :]], drained)


def front_timber(thing: Placed) -> bool:
    """A piece of the front of terrace 2 over its lowest course."""
    return thing.kind == "timber" and thing.owner == "W2"


def test_a_pipe_moved_into_the_timber_is_caught():
    """A drain pipe pushed 0.2 m towards its wall lies in timber."""
    found = after(lambda pipe: moved(pipe, dy=-0.2), lambda t: t.kind == "drain pipe" and t.owner.startswith("B2"))
    assert any(set(clash.kinds) == {"drain pipe", "timber"} for clash in found)


def test_a_tie_through_a_pipe_is_caught():
    """A tie lowered to the level of the pipe behind its wall meets it."""
    made, _ = sound()
    tie = next(thing for thing in made if thing.kind == "tie")
    pipes = [t for t in made if t.kind == "drain pipe" and t.polygon.intersects(tie.polygon)]
    assert pipes, "the tie crosses over a pipe in plan"
    level = pipes[0].levels_at(tuple(shapely.get_coordinates(pipes[0].polygon.intersection(tie.polygon))[0]))
    found = after(lambda t: moved(t, dz=0.5 * sum(level) - 0.5 * (t.bottom_m + t.top_m)), lambda t: t.id == tie.id)
    assert any(set(clash.kinds) == {"tie", "drain pipe"} for clash in found)


@pytest.mark.parametrize(("dy", "dz"), [(0.15, 0.0), (0.0, -0.05), (0.0, 0.05)])
def test_a_run_moved_is_caught(dy, dz):
    """A piece moved into the stone behind it, or up or down into the course beside, is caught."""
    made, _ = sound()
    middle = [thing for thing in made if front_timber(thing)]
    low = min(thing.bottom_m for thing in middle)
    inner = next(thing for thing in middle if thing.bottom_m > low + 0.1 and thing.top_m < max(t.top_m for t in middle))
    found = after(lambda t: moved(t, dy=dy, dz=dz), lambda t: t.id == inner.id)
    assert any(inner.id in (clash.first, clash.second) for clash in found)


def test_a_tie_too_near_a_pipe_is_caught():
    """A tie that passes 20 mm over a pipe leaves no ground between: 50 mm are asked."""
    made, _ = sound()
    tie = next(thing for thing in made if thing.kind == "tie")
    pipe = next(t for t in made if t.kind == "drain pipe" and t.polygon.intersects(tie.polygon))
    crown = max(pipe.levels_at((float(x), float(y)))[1] for x, y in shapely.get_coordinates(pipe.polygon))
    for gap, caught in ((0.02, True), (0.08, False)):
        found = after(lambda t, gap=gap: moved(t, dz=crown + gap - t.bottom_m), lambda t: t.id == tie.id)
        pairs = [clash for clash in found if {clash.first, clash.second} == {tie.id, pipe.id}]
        assert bool(pairs) is caught


def test_a_pin_through_a_pipe_is_caught():
    """A pin is thin, but through a pipe it is a leak."""
    made, drained = sound()
    pin = next(thing for thing in made if thing.kind == "pin")
    pipe = next(thing for thing in made if thing.kind == "drain pipe")
    spot, here = pipe.polygon.representative_point(), pin.polygon.centroid
    bad = replace(moved(pin, spot.x - here.x, spot.y - here.y), id="bad", bottom_m=pipe.bottom_m - 0.3)
    found = clashes([*made, replace(bad, top_m=pipe.top_m + 0.3)], drained)
    assert any({clash.first, clash.second} == {"bad", pipe.id} for clash in found)


def test_a_cross_piece_in_a_wall_above_is_caught():
    """A cross-piece run back as far as the next wall stands in its timber."""
    made, drained = sound()
    cross = next(thing for thing in made if thing.kind == "cross-piece")
    other = next(t for t in made if t.kind == "timber" and t.owner == "W3" and t.bottom_m < cross.top_m + 0.3)
    dy = other.polygon.centroid.y - cross.polygon.centroid.y
    found = clashes([*made, replace(moved(cross, dy=dy, dz=other.bottom_m - cross.bottom_m), id="wrong")], drained)
    assert any("wrong" in (clash.first, clash.second) for clash in found)


def test_the_same_thing_twice_is_caught():
    """Any one thing placed twice is a clash, but for what may share its place with its like."""
    made, drained = sound()
    rng = np.random.default_rng(1)
    for index in rng.integers(0, len(made), 25):
        thing = made[int(index)]
        rule = rule_for(thing.kind, thing.kind)
        if not rule.may_share and not rule.only_same_owner:
            found = clashes([*made, replace(thing, id="again")], drained)
            assert any({clash.first, clash.second} == {thing.id, "again"} for clash in found), thing.kind


def test_clashes_are_stops_that_keep_sheets_back():
    """A clash is a stop with its two things, the place and how deep they are in one another."""
    found = after(lambda pipe: moved(pipe, dy=-0.2), lambda t: t.kind == "drain pipe" and t.owner.startswith("B2"))
    for finding, clash in zip(clash_findings(found), found, strict=True):
        assert finding.verdict is Verdict.STOP and set(finding.withholds) == {"cut-sheet", "order-list"}
        assert clash.first in finding.text and clash.second in finding.text


def share_a_point(a: Placed, b: Placed, rng: np.random.Generator) -> bool:
    """True where random points are found that lie in both, by their own outlines and levels."""
    x0, y0, x1, y1 = a.polygon.intersection(b.polygon).bounds
    points = rng.uniform((x0, y0), (x1, y1), (4000, 2))
    both = shapely.contains_xy(a.polygon, points) & shapely.contains_xy(b.polygon, points)
    for point in points[both]:
        low, high = zip(a.levels_at(tuple(point)), b.levels_at(tuple(point)), strict=True)
        if min(high) - max(low) > 1e-4:
            return True
    return False


def test_what_is_called_a_clash_on_random_yards_really_is_one():
    """Random yards: whatever is called a clash shares a point in space; joined pipes are never called one; few are."""
    rng, total, clean = np.random.default_rng(2), 0, 0
    for seed in SEEDS:
        made, drained = placed_in(*realistic(seed))
        by_id = {thing.id: thing for thing in made}
        found = clashes(made, drained)
        clean += not found
        total += bool(made)
        joined = {frozenset((solid.id, solid.drain)) for solid in drained.solids}
        for clash in found:
            first, second = by_id[clash.first], by_id[clash.second]
            assert share_a_point(first, second, rng), clash
            assert frozenset((first.owner, second.owner)) not in joined or not set(clash.kinds) <= PIPES
    assert clean >= 0.8 * total


def test_things_that_stay_are_met_by_whatever_stands_on_them():
    """A service line through the beds, a lot line across a wall and roots under it are each a stop of their own."""
    made, _ = sound()
    project = rectangle()[0]
    x, y = made[0].outline_m[0]
    line = ((x - 20.0, y + 1.0), (x + 20.0, y + 1.0))
    busy = replace(
        project,
        fixed=(
            things.Fixed("gas", "service", "gas line", line),
            things.Fixed("oak", "tree", "oak", ((x, y),), clear_m=3.0),
        ),
        lot_lines=(things.LotLine("fence", ((x + 2.0, y - 20.0), (x + 2.0, y + 20.0))),),
    )  # fmt: skip
    found = {finding.code: finding for finding in stay_findings(busy, made)}
    assert set(found) == {"stays.service", "stays.tree", "stays.lot-line"}
    assert all(finding.verdict is Verdict.STOP for finding in found.values())
    assert not stay_findings(project, made)
    mouth = replace(made[0], kind="outlet")
    for one, first, advice in (
        (mouth, "An outlet stands on tree", "`drain.outlet`"),
        (replace(mouth, kind="timber"), "A timber stands on tree", "end or bend the terrace"),
    ):
        (told,) = (finding for finding in stay_findings(busy, [one]) if finding.code == "stays.tree")
        assert told.text.startswith(first)
        assert advice in told.text


def test_pipes_are_named_as_the_water_names_them():
    """A kind under another name would be held to the rule of strangers: a cut-off drain stopped the plan at its own
    bends."""
    assert set(get_args(BodyKind)) >= PIPES
    assert {kind for kind in get_args(BodyKind) if "pipe" in kind or kind in ("cut-off", "fitting")} <= PIPES


def test_a_cut_off_drain_with_bends_meets_itself_and_no_other_pipe():
    """Its parts meet at each bend, which is no clash; a pipe of another laid through it is one."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    line = ((1.0, 6.6), (3.0, 7.4), (5.0, 6.8), (9.6, 6.6))
    readings = readings_over(outline, lambda x, y: 100.0 + 0.2 * y + 0.01 * x, margin_m=4.0)
    spring = things.Spring("seep", line, 0.05, cut_off=True)
    project, surveyed = project_of(outline, readings, brief=pm.Brief(terraces=3), springs=(spring,))
    made = plan_on(project, surveyed, Standing(), LIVE, lambda stage: None)
    (cut,) = made.water.cut_offs
    own = [one for one in placed_of(made.terraces, made.walls, made.water, made.stability, made.pieces)
           if one.kind == "cut-off"]  # fmt: skip
    assert len(own) == len(cut.points_m) - 1 > 4 and clashes(own, made.water) == []
    other = replace(own[1], id="P9/1", owner="P9", kind="solid pipe")
    assert {clash.second for clash in clashes([*own, other], made.water)} == {"P9/1"}
