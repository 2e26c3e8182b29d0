"""Edges of the area moved inward: ground kept free inside a fence or a lot line for the digging behind a wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot

from lynchet.core.plane import cross, minus, signed_area
from lynchet.project.model import Area, EdgeRule
from lynchet.project.polygons import outline_fault
from lynchet.units.format import size_for_file
from lynchet.units.measures import System

Point = tuple[float, float]
ALONG = 1e-6
"""Sine of the angle under which two neighbouring edges run on one line."""


def inset_outline(outline: Sequence[Point], insets_m: Mapping[int, float], system: System) -> tuple[Point, ...] | str:
    """An outline with edges moved inward, each corner where the moved edges beside it meet.

    Args:
        outline: simple polygon, not closed, either hand, metres.
        insets_m: by edge, how far it moves inward, 0 or more; edges not named stay.
        system: of the words for what is wrong.

    Returns:
        The corners, as many as before; or what is wrong, in words.
    """
    lines = _moved_edges(outline, insets_m)
    count = len(outline)
    corners = []
    for i in range(count):
        corner = _meeting(lines[i - 1], lines[i])
        if corner is None:
            return f"edges {(i - 1) % count} and {i} run on one line and are moved by different amounts"
        corners.append(corner)
    for i in range(count):
        before, after = minus(outline[(i + 1) % count], outline[i]), minus(corners[(i + 1) % count], corners[i])
        if before[0] * after[0] + before[1] * after[1] <= 1e-6:
            return f"nothing is left of edge {i}"
    return outline_fault(corners, system) or tuple(corners)


def faulty_inset(outline: Sequence[Point], insets_m: Mapping[int, float], system: System) -> tuple[int, float]:
    """Of insets that cannot be: the edge that is moved too far, and the most it could be moved beside the others.

    Args:
        outline: as for ``inset_outline``.
        insets_m: by edge; together they leave no area.
        system: of no consequence here.

    Returns:
        An edge that cannot be moved so even alone, or else the one moved furthest; metres, 0 where nothing would do.
    """

    def fits(insets: Mapping[int, float]) -> bool:
        return not isinstance(inset_outline(outline, insets, system), str)

    alone = [edge for edge in insets_m if not fits({edge: insets_m[edge]})]
    faulty = max(alone or insets_m, key=lambda edge: insets_m[edge])
    low, high = 0.0, insets_m[faulty]
    if not fits({**insets_m, faulty: low}):
        return faulty, 0.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if fits({**insets_m, faulty: middle}) else (low, middle)
    return faulty, low


def _moved_edges(outline: Sequence[Point], insets_m: Mapping[int, float]) -> list[tuple[Point, Point]]:
    """A point and the direction of each edge after its move."""
    hand = 1.0 if signed_area(outline) > 0.0 else -1.0
    moved = []
    for i, here in enumerate(outline):
        run = minus(outline[(i + 1) % len(outline)], here)
        by = hand * insets_m.get(i, 0.0) / hypot(*run)
        moved.append(((here[0] - run[1] * by, here[1] + run[0] * by), run))
    return moved


def _meeting(one: tuple[Point, Point], other: tuple[Point, Point]) -> Point | None:
    (point, run), (at, along) = one, other
    turn = cross(run, along)
    gap = minus(at, point)
    if abs(turn) < ALONG * hypot(*run) * hypot(*along):
        return at if abs(cross(run, gap)) < 1e-9 * hypot(*run) else None
    share = cross(gap, along) / turn
    return point[0] + run[0] * share, point[1] + run[1] * share


def edge_rows(area: Area, changed: Mapping[int, EdgeRule], system: System) -> list[dict[str, object]]:
    """``area.edges`` of the project file as it stands, with some edges said anew; for edits by cures and schemes."""
    rules = {rule.edge: rule for rule in area.edges} | dict(changed)
    return [_row(rules[edge], system) for edge in sorted(rules)]


def _row(rule: EdgeRule, system: System) -> dict[str, object]:
    row: dict[str, object] = {"from": rule.edge, "finish": rule.finish}
    if rule.width_m is not None:
        row["width"] = size_for_file(rule.width_m, system)
    if rule.inset_m > 0.0:
        row["inset"] = size_for_file(rule.inset_m, system)
    if rule.dig_beyond_m is not None:
        row["dig_beyond"] = size_for_file(max(0.0, rule.dig_beyond_m - rule.inset_m), system)
    return row
