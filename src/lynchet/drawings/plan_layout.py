"""How a plan lies on its sheet: which way up, how large, and where.

The page keeps the file's own way up, squared to the paper by less than half a right angle; it is turned by a right
angle only where that allows a larger scale. An own frame of the other hand is flipped back: nobody builds from a
mirror image.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees, inf

from lynchet.drawings.model import Item, View
from lynchet.drawings.paper import Box, PageTooSmallError, Paper, largest_scale, scale_words
from lynchet.drawings.source import Planned

Point = tuple[float, float]
_EDGE = 4.5
_NEAR_MM = 100.0
_LARGEST = {"metric": 20, "us": 24}


@dataclass(frozen=True)
class Layout:
    """The frame of a plan view."""

    view: View
    """Without items."""
    axis_deg: float
    """Of the own x axis in the file."""
    turned: bool = False
    """Whether the page is turned by a right angle against the file's own way up, which other plans may keep."""

    def world_turn(self, north_deg: float) -> float:
        """Direction of north in the own frame, anticlockwise from +x, from its bearing in the file."""
        turn = 90.0 - north_deg - self.axis_deg
        return -turn if self.view.mirrored else turn

    def with_items(self, items: Iterable[Item]) -> View:
        """The view with its items."""
        return replace(self.view, items=tuple(items))


def core_points(plan: Planned) -> list[Point]:
    """Everything that must be on the plan: the area and all we place."""
    points = [*plan.project.area.outline_m, *plan.project.area.drawn_m]
    for run in plan.walls.runs:
        points.extend(run.outline_m)
    for flight in plan.terraces.flights:
        points.extend(flight.outline_m)
        for landing in flight.landings:
            points.extend(landing.outline_m)
    points.extend(point for bank in plan.walls.shaped for point in bank.outline_m)
    water = plan.water
    points.extend(point for drain in water.drains for point in drain.points_m)
    points.extend(point for solid in water.solids for point in solid.points_m)
    points.extend(point for roof in water.roof_pipes for point in roof.points_m)
    points.extend(point for cut_off in water.cut_offs for point in cut_off.points_m)
    for outlet in plan.water.outlets:
        points.extend((outlet.point_m, *outlet.apron_m))
    for tie in plan.stability.ties:
        points.extend((*tie.outline_m, *tie.cross_outline_m))
    return points


def lay_out(
    plan: Planned,
    paper: Paper,
    room_mm: tuple[float, float, float, float],
    points: Sequence[Point] = (),
    largest: int = 0,
) -> Layout:
    """The plan view of a sheet.

    Args:
        plan: what is shown.
        paper: the sheet's paper.
        room_mm: mm to keep free of the core at left, top, right and bottom, for dimensions and section marks.
        points: what must be on the plan; the area and all we build where nothing is given.
        largest: no larger picture than 1 : this; 0 = as plans of the terraces are drawn.

    Raises:
        PageTooSmallError: the yard is larger than the paper at the smallest scale.
    """
    found = lay_out_in(plan, paper.field, room_mm, points, largest)
    core, view = list(points) or core_points(plan), found.view
    low, high = bounds(view.papers(core))
    left, top, right, bottom = view.region
    if high[0] - low[0] > right - left + 1e-6 or high[1] - low[1] > bottom - top + 1e-6:
        raise PageTooSmallError(
            paper, f"the yard is larger than the paper at {scale_words(view.scale, plan.project.units)}"
        )
    return found


def lay_out_in(
    plan: Planned,
    field: Box,
    room_mm: tuple[float, float, float, float],
    points: Sequence[Point] = (),
    largest: int = 0,
) -> Layout:
    """The same in any box of a sheet."""
    core = list(points) or core_points(plan)
    left, top, right, bottom = field
    region = (left + _EDGE, top + _EDGE, right - _EDGE, bottom - _EDGE)
    inner = (region[0] + room_mm[0], region[1] + room_mm[1], region[2] - room_mm[2], region[3] - room_mm[3])
    frame, units = plan.project.frame, plan.project.units
    axis = degrees(atan2(frame.axis[1], frame.axis[0]))
    square = 90.0 * round(axis / 90.0)
    best: View | None = None
    for turn in (square, square + 90.0):
        view = _fitted(core, turn, (inner, region), (frame.mirrored, units, largest or _LARGEST[units]))
        if best is None or view.scale < best.scale:
            best = view
    assert best is not None
    return Layout(_shifted(plan, best, inner, core), axis, best.turn_deg != square)


def _shifted(plan: Planned, view: View, inner: Box, core: list[Point]) -> View:
    """The view moved within its slack, so that as much as can be of what lies round the core is on the sheet."""
    low, high = bounds(view.papers(core))
    wide_low, wide_high = bounds(view.papers((*core, *_context(plan))))
    moved = list(view.at_paper)
    for axis in (0, 1):
        start, end = inner[axis], inner[axis + 2]
        wished = (start + end) / 2 - (
            max(wide_low[axis], low[axis] - _NEAR_MM) + min(wide_high[axis], high[axis] + _NEAR_MM)
        ) / 2
        slack_low, slack_high = min(0.0, start - low[axis]), max(0.0, end - high[axis])
        moved[axis] += min(max(wished, slack_low), slack_high)
    return replace(view, at_paper=(moved[0], moved[1]))


def _context(plan: Planned) -> list[Point]:
    points = [point for house in plan.project.houses for point in house.outline_m]
    points += [point for thing in plan.project.fixed for point in thing.line_m]
    points += [hole.point_m for hole in plan.project.holes if hole.point_m is not None]
    return points + [point for lot in plan.project.lot_lines for point in lot.line_m]


def _fitted(points: list[Point], turn: float, boxes: tuple[Box, Box], how: tuple[bool, str, int]) -> View:
    """The largest view of points in one way up, centred in the inner box."""
    inner, region = boxes
    mirrored, units, largest = how
    unit = View("plan", "plan", 1000, (), region, turn_deg=turn, mirrored=mirrored, clip=True)
    low, high = bounds(unit.papers(points))
    size = (high[0] - low[0], high[1] - low[1])
    scale = largest_scale(size, (inner[2] - inner[0], inner[3] - inner[1]), units, largest)
    k = 1000.0 / scale
    x = (inner[0] + inner[2]) / 2 - (low[0] + high[0]) / 2 * k
    y = (inner[1] + inner[3]) / 2 - (low[1] + high[1]) / 2 * k
    return replace(unit, scale=scale, at_paper=(x, y))


def bounds(points: Iterable[Point]) -> tuple[Point, Point]:
    """Lowest and highest x and y of points."""
    corners = tuple(points)
    if not corners:
        return (inf, inf), (-inf, -inf)
    xs, ys = zip(*corners, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))
