"""No two things in one place: every placed thing against every other, and against all that stays."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.findings import Finding, Verdict
from lynchet.core.frame import Point
from lynchet.plan.gathered import Gathered, gathered
from lynchet.plan.placed import Placed
from lynchet.plan.sharing import PIPES, rule_for
from lynchet.project.model import Project, Units
from lynchet.project.things import Fixed, House, LotLine
from lynchet.units.format import small
from lynchet.water.model import Notch, Water

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
LEAST_AREA_M2 = 2e-4
"""Plan overlaps smaller than this are rounding, but for thin things (pins): those of this share of the thinner."""
LEAST_SHARE = 0.2
LEAST_DEPTH_M = 2e-3
THIN_M = 1e-3
"""Overlaps thinner than this in plan are rounding too: neighbours that touch are left out at once. PRACTICE."""
_SURE_M = 1e-6
"""What rounding may do to a width, with much to spare."""
_GRID = 1e-6


@dataclass(frozen=True)
class Clash:
    """Two things in one place."""

    first: str
    second: str
    kinds: tuple[str, str]
    point_m: Point
    area_m2: float
    depth_m: float


def clashes(things: Sequence[Placed], water: Water) -> list[Clash]:
    """Every pair of placed things that meet and may not.

    Args:
        things: what the plan places.
        water: for its notches, the openings in which a pipe passes timber, and for what runs into what.
    """
    if not things:
        return []
    things = gathered(things)
    shapes = things.shapes
    first, second = _worth_a_look(things)
    related = _related(water)
    pairs = [
        (i, j)
        for i, j in zip(first.tolist(), second.tolist(), strict=True)
        if not _may_meet(things[i], things[j], related)
    ]
    openings = {notch.leg: [n for n in water.notches if n.leg == notch.leg] for notch in water.notches}
    met = [_meet(things[i], things[j], openings) for i, j in _overlapping(pairs, shapes)]
    return [clash for clash in met if clash is not None] + _too_near(things, shapes)


def _worth_a_look(things: Gathered) -> tuple[Indices, Indices]:
    """Pairs that may be in one place: boxes and levels meet, and their kinds may not share a place nor have a gap."""
    first, second = things.tree.query(things.shapes)
    low, high = things.levels
    depth = np.minimum(high[first], high[second]) - np.maximum(low[first], low[second])
    kinds = {kind: number for number, kind in enumerate(dict.fromkeys(thing.kind for thing in things))}
    kind = np.array([kinds[thing.kind] for thing in things], dtype=np.intp)
    rules = [[rule_for(one, other) for other in kinds] for one in kinds]
    apart = np.array([[not rule.may_share and not rule.clear_m for rule in row] for row in rules])
    kept = (first < second) & (depth > LEAST_DEPTH_M) & apart[kind[first], kind[second]]
    return first[kept], second[kept]


def _overlapping(pairs: Sequence[tuple[int, int]], shapes: Any) -> list[tuple[int, int]]:
    """Pairs of shapes that still meet when both are made thinner by rounding."""
    pairs = [pair for pair, apart in zip(pairs, _apart(pairs, shapes), strict=True) if not apart]
    if not pairs:
        return []
    index, at = np.unique(np.array(pairs), return_inverse=True)
    shrunk = shapely.buffer(shapes[index], -THIN_M / 2.0, join_style="mitre")[at.reshape(-1, 2)]
    meets = shapely.intersects(shrunk[:, 0], shrunk[:, 1])
    return [pair for pair, met in zip(pairs, meets, strict=True) if met]


def _apart(pairs: Sequence[tuple[int, int]], shapes: Any) -> list[bool]:
    """Pairs of four-cornered shapes that surely do not meet when both are made thinner.

    Seen along the normal of any side, each thinned shape is narrower by ``THIN_M``, half of it at each end: two that
    overlap by less than that along one of them are apart. The others are looked at closely.
    """
    if not pairs:
        return []
    at = np.array(pairs)
    apart = np.zeros(len(pairs), dtype=np.bool_)
    four = np.flatnonzero((shapely.get_num_coordinates(shapes[at]) == 5).all(axis=1))
    if not len(four):
        return apart.tolist()
    corners = shapely.get_coordinates(shapes[at[four].ravel()]).reshape(-1, 2, 5, 2)
    sides = np.diff(corners, axis=2).reshape(-1, 8, 2)
    size = np.hypot(sides[..., 0], sides[..., 1])
    x, y = np.moveaxis(corners[:, :, :4, :, None], (3, 2), (0, 1))
    across = x * sides[:, None, :, 1] - y * sides[:, None, :, 0]  # corner, pair, shape, normal
    low, high = across.min(axis=0).max(axis=1), across.max(axis=0).min(axis=1)
    apart[four] = ((high - low < (THIN_M - _SURE_M) * size) & (size > _SURE_M)).any(axis=1)
    return apart.tolist()


def _too_near(things: Sequence[Placed], shapes: Any) -> list[Clash]:
    """Pairs that must keep a gap on every side, pipes and ties, and do not."""
    kinds = {kind for kind in {thing.kind for thing in things} if rule_for(kind, "drain pipe").clear_m}
    ties = [n for n, thing in enumerate(things) if thing.kind in kinds]
    pipes = [n for n, thing in enumerate(things) if thing.kind in PIPES]
    if not ties or not pipes:
        return []
    wide: Any = [
        shapely.buffer(shapes[n], rule_for(things[n].kind, "drain pipe").clear_m, join_style="mitre") for n in ties
    ]
    found = []
    for first, second in zip(*shapely.STRtree(shapes[pipes]).query(wide, predicate="intersects"), strict=True):
        tie, pipe = things[ties[first]], things[pipes[second]]
        overlap: Any = shapely.intersection(wide[first], shapes[pipes[second]], grid_size=_GRID)
        gap = rule_for(tie.kind, pipe.kind).clear_m
        depth = max((_depth(tie, pipe, point) for point in _corners(overlap)), default=-gap) + gap
        if overlap.area >= LEAST_AREA_M2 and depth >= LEAST_DEPTH_M:
            spot = overlap.representative_point()
            found.append(Clash(tie.id, pipe.id, (tie.kind, pipe.kind), (spot.x, spot.y), float(overlap.area), depth))
    return found


def _related(water: Water) -> set[frozenset[str]]:
    """Pairs of pipes that are joined: a drain and its solid pipe, a pipe and what it runs into."""
    found = {frozenset({solid.id, solid.drain}) for solid in water.solids}
    found |= {frozenset({solid.id, solid.into}) for solid in water.solids}
    own = {solid.drain: solid.id for solid in water.solids}  # a pipe that runs into a drain's sink meets its way out
    found |= {frozenset({solid.id, own[solid.into]}) for solid in water.solids if solid.into in own}
    found |= {frozenset({drain.id, drain.into}) for drain in water.drains}
    return found


def _may_meet(a: Placed, b: Placed, related: set[frozenset[str]]) -> bool:
    rule = rule_for(a.kind, b.kind)
    if rule.may_share:
        return True
    if rule.only_same_owner and (a.owner == b.owner or frozenset({a.owner, b.owner}) in related):
        return True
    # pipes that meet where they merge share an owner or are joined; anything with its own part is no clash
    return a.kind in PIPES and b.kind in PIPES and (a.id == b.owner or b.id == a.owner)


def _meet(a: Placed, b: Placed, openings: Mapping[str, Sequence[Notch]]) -> Clash | None:
    overlap: Any = shapely.intersection(a.polygon, b.polygon, grid_size=_GRID)
    if {a.kind, b.kind} & PIPES and "timber" in (a.kind, b.kind):
        for notch in openings.get(a.owner if a.kind == "timber" else b.owner, ()):
            overlap = _outside_notch(overlap, a, b, notch)
    if overlap.area < min(LEAST_AREA_M2, LEAST_SHARE * min(a.polygon.area, b.polygon.area)):
        return None
    depth = max((_depth(a, b, point) for point in _corners(overlap)), default=0.0)
    if depth < LEAST_DEPTH_M:
        return None
    middle = overlap.representative_point()
    return Clash(a.id, b.id, (a.kind, b.kind), (float(middle.x), float(middle.y)), float(overlap.area), depth)


def _outside_notch(overlap: Any, a: Placed, b: Placed, notch: Notch) -> Any:
    """The part of an overlap of pipe and timber that lies outside this opening; nothing else may lie in an opening."""
    pipe = b if a.kind == "timber" else a
    low, high = pipe.levels_at(notch.outline_m[0])
    if low < notch.bottom_m - 1e-3 or high > notch.top_m + 1e-3:
        return overlap
    return shapely.difference(overlap, shapely.Polygon(notch.outline_m).buffer(1e-4), grid_size=_GRID)


def _corners(shape: Any) -> list[Point]:
    points = shapely.get_coordinates(shape)
    return [(float(x), float(y)) for x, y in points]


def _depth(a: Placed, b: Placed, point: Point) -> float:
    low_a, high_a = a.levels_at(point)
    low_b, high_b = b.levels_at(point)
    return min(high_a, high_b) - max(low_a, low_b)


def clash_findings(found: Sequence[Clash], units: Units = "metric", told: Callable[[str], str] = str) -> list[Finding]:
    """A stop for each clash: a silent plan would be worse.

    Args:
        found: clashes.
        units: of the words.
        told: what a thing is called on sheets, by its id.
    """
    return [
        Finding(
            code="clash",
            verdict=Verdict.STOP,
            text=(
                f"{clash.kinds[0].capitalize()} {told(clash.first)} and {clash.kinds[1]} {told(clash.second)} are in "
                f"one place, or nearer than they may be, by {small(clash.depth_m, units)} in height. Move one of them."
            ),
            place=clash.first,
            source="Placed things are tested against each other in three dimensions",
            withholds=("cut-sheet", "order-list"),
            cause=f"clash.{'-'.join(sorted(clash.kinds))}",
        )
        for clash in found
    ]


def stay_findings(project: Project, things: Sequence[Placed]) -> list[Finding]:
    """Placed things that meet what stays: houses, lot lines, roots, services and the rest with their clearance."""
    stays = things_that_stay(project)
    if not stays or not things:
        return []
    things = gathered(things)
    found = []
    for shape, name, kind in stays:
        hits = [things[int(index)] for index in things.tree.query(shape, predicate="intersects")]
        hits = [
            thing for thing in hits if shapely.intersection(thing.polygon, shape, grid_size=_GRID).area > _least(thing)
        ]
        if hits:
            found.append(_stay_finding(kind, name, hits))
    return found


def _least(thing: Placed) -> float:
    return min(LEAST_AREA_M2, LEAST_SHARE * float(thing.polygon.area))


def things_that_stay(project: Project) -> Sequence[tuple[Any, str, str]]:
    """Ground that must be left alone, its clearance taken in, with its name and kind."""
    return _staying(project.houses, project.lot_lines, project.fixed)


@lru_cache(maxsize=8)
def _staying(
    houses: tuple[House, ...], lot_lines: tuple[LotLine, ...], things: tuple[Fixed, ...]
) -> tuple[tuple[Any, str, str], ...]:
    """The same, kept by value from one plan of a yard to the next."""
    found: list[tuple[Any, str, str]] = []
    for house in houses:
        found.append((shapely.Polygon(house.outline_m).buffer(-0.01), house.name, "house"))
    for line in lot_lines:
        found.append((shapely.LineString(line.line_m).buffer(0.005), line.name, "lot line"))
    for fixed in (one for one in things if not one.buried):  # those have a check of their own, by depth
        clear = fixed.clear_m or (0.6 if fixed.kind == "service" else 0.05)
        found.append((fixed.shape.buffer(clear), fixed.name or fixed.id, fixed.kind))
    return tuple(found)


_OF_A_DRAIN = PIPES | {"stone", "fabric", "cut-off stone"}
_TEXTS = {
    "tree": "no trench, no post, no fill on its roots: end or bend the terrace at the root line; ask an arborist",
    "lot line": "nothing of ours crosses it: move the wall or the outlet inside",
    "service": "have it marked, and keep digging and driving clear of it",
    "septic": "ask the health office before anything is dug or filled there",
}


def _stay_finding(kind: str, name: str, hits: Sequence[Placed]) -> Finding:
    kinds = sorted({thing.kind for thing in hits})
    advice = _TEXTS.get(kind, "move one of them")
    if kind == "tree" and set(kinds) <= _OF_A_DRAIN:
        advice = "no trench on its roots: give the water another way out (`drain.outlet`) off them; ask an arborist"
    many = f"{len(hits)} placed things ({', '.join(kinds)}) stand"
    what = f"{'an' if kinds[0][0] in 'aeiou' else 'a'} {kinds[0]} stands" if len(hits) == 1 else many
    return Finding(
        code=f"stays.{kind.replace(' ', '-')}",
        verdict=Verdict.STOP,
        text=f"{what[0].upper()}{what[1:]} on {kind} “{name}”: {advice}.",
        place=hits[0].owner,
        source="Things that stay, with the ground they need; tree roots 12 times the stem (MEMORY)",
        withholds=("cut-sheet", "order-list"),
        ask={"tree": "arborist", "septic": "office", "service": "locator", "lot line": "neighbour"}.get(kind, ""),
        cause=f"stays.{kind}",
    )
