"""Trees in the way: the area ends short of their roots, by edges moved inward as an edit of the file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, hypot
from typing import Any

from lynchet.core.findings import Cure, Finding
from lynchet.core.plane import signed_area
from lynchet.plan.model import Plan
from lynchet.project.inset import edge_rows
from lynchet.project.model import Area, EdgeRule
from lynchet.units.format import length
from lynchet.units.measures import INCH, System

ROOT_CODES = frozenset({"terraces.roots", "stays.tree"})
ROOT_CURE = "clear-of-roots"
_SPARE_M, _OUTLET_M = 0.1, 0.8
"""Between the roots and the stone behind a wall at the edge; how far an outlet and its stone reach outside one.
PRACTICE."""
_MOST_SHARE = 0.5
"""An edge is not moved by more than this share of the area's depth over it."""


def root_cures(plan: Plan, stops: Sequence[Finding]) -> Iterator[Cure]:
    """The edges that leave the root circles of all trees outside with the least ground given up; none where the roots
    reach too far in for that.

    Args:
        plan: the plan that is stopped.
        stops: its stops.
    """
    import shapely

    if not any(finding.code in ROOT_CODES for finding in stops):
        return
    project = plan.project
    moved: dict[int, float] = {}
    names = []
    for tree in (one for one in project.fixed if one.kind == "tree"):
        room = max(project.drain.stone_width_m + project.timber.thickness_m + _SPARE_M, _OUTLET_M)
        wide = tree.clear_m + room
        found = least_move(project.area, shapely.Point(tree.line_m[0]).buffer(wide, quad_segs=32))
        if found is None:
            return
        edge, by_m = found
        if by_m > 0.0:
            moved[edge] = max(moved.get(edge, 0.0), by_m)
            names.append(tree.name or "the tree")
    if not moved:
        return
    moved = {edge: whole_step_m(by_m, project.units) for edge, by_m in moved.items()}
    rules = {edge: moved_inward(project.area.rule(edge), by_m) for edge, by_m in moved.items()}
    said = " and ".join(f"{length(by_m, project.units, 1)} at A{edge}" for edge, by_m in sorted(moved.items()))
    text = (
        f"the area ends short of the roots of {' and '.join(dict.fromkeys(names))}: its edge moved inward by {said}; "
        "ask an arborist before any digging near them"
    )
    yield Cure(ROOT_CURE, text, (("area.edges", edge_rows(project.area, rules, project.units)),))


def whole_step_m(by_m: float, system: System) -> float:
    """How far an edge is moved, to the next whole inch or 5 cm."""
    step = INCH if system == "us" else 0.05
    return ceil(by_m / step - 1e-9) * step


def moved_inward(rule: EdgeRule, by_m: float) -> EdgeRule:
    """How far one may dig outside the edge is counted from where the file draws it, and stays as the file says."""
    beyond = None if rule.dig_beyond_m is None else rule.dig_beyond_m + by_m
    return replace(rule, inset_m=rule.inset_m + by_m, dig_beyond_m=beyond)


def least_move(area: Area, shape: Any) -> tuple[int, float] | None:
    """The edge to move, and how far, so that nothing of the area lies in a shape; None where that takes too much.

    Of all edges the one that gives up the least ground: what of the shape lies in the area is cut off by it.
    """
    import shapely

    ring = shapely.Polygon(area.outline_m)
    part = shapely.intersection(ring, shape)
    if part.is_empty or part.area < 1e-6:
        return 0, 0.0
    inside, whole = shapely.get_coordinates(part), shapely.get_coordinates(ring)
    hand = 1.0 if signed_area(area.outline_m) > 0.0 else -1.0
    ways: list[tuple[float, int, float]] = []
    for edge, here in enumerate(area.outline_m):
        if area.rule(edge).finish == "house":
            continue
        there = area.outline_m[(edge + 1) % len(area.outline_m)]
        deep: Any = _inside_of(here, there, hand)
        by_m = float(max(deep(inside)))
        if by_m <= _MOST_SHARE * float(max(deep(whole))):
            ways.append((by_m * hypot(there[0] - here[0], there[1] - here[1]), edge, by_m))
    return min(ways)[1:] if ways else None


def _inside_of(here: tuple[float, float], there: tuple[float, float], hand: float) -> Any:
    """How far points lie inside the line of an edge."""
    dx, dy = there[0] - here[0], there[1] - here[1]
    return lambda points: hand * ((points[:, 1] - here[1]) * dx - (points[:, 0] - here[0]) * dy) / hypot(dx, dy)
