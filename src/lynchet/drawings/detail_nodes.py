"""Details of corners and tees: two courses from above, each as it is laid."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from math import cos, pi, sin

from lynchet.drawings.detail_model import Detail, Picture, Window, also, bounds
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Dim, Item, Label, Symbol
from lynchet.drawings.wall_facts import wall_piece_names
from lynchet.plan.model import Plan
from lynchet.timber.fixing_lines import OTHER
from lynchet.walls.model import Leg, Node, Piece, Run

Point = tuple[float, float]
_REACH_M = 0.38
_PAST_M = 0.1
_MARGIN_M = 0.06
CUTTING = "Gloves, mask and glasses when cutting. Brush each cut end with end-cut liquid before it is laid."


@dataclass(frozen=True)
class _Local:
    """A picture's own axes: along a leg, and to its left; flipped back where the own frame has the other hand."""

    at: Point
    leg: Leg
    mirrored: bool

    def __call__(self, point: Point) -> Point:
        (x, y), (ux, uy), (nx, ny) = self.at, self.leg.direction, self.leg.normal
        across = (point[0] - x) * nx + (point[1] - y) * ny
        return (point[0] - x) * ux + (point[1] - y) * uy, -across if self.mirrored else across


@dataclass(frozen=True)
class _Meeting:
    """A node with the runs that meet there, by course."""

    node: Node
    courses: dict[int, list[Run]]

    @property
    def legs(self) -> tuple[str, ...]:
        """Legs with timber here, those that end first."""
        ends = [run.leg for runs in self.courses.values() for run in runs if _end(run, self.node.id)]
        every = [run.leg for runs in self.courses.values() for run in runs]
        return tuple(dict.fromkeys([*ends, *every]))

    @property
    def name(self) -> str:
        """ "A0 with A5"."""
        return " with ".join(self.legs[:2])

    def pair(self) -> tuple[int, ...]:
        """Two courses, one on the other, laid unlike if there are such, the highest; else the highest alone."""
        whole = [course for course, runs in self.courses.items() if len({run.leg for run in runs}) > 1]
        pairs = [(c, c + 1) for c in sorted(whole, reverse=True) if c + 1 in whole]
        unlike = [pair for pair in pairs if self._kinds(pair[0]) != self._kinds(pair[1])]
        chosen: list[tuple[int, ...]] = [*unlike, *pairs, tuple(sorted(whole)[-1:])]
        return chosen[0]

    def _kinds(self, course: int) -> dict[str, str]:
        return {run.leg: _end(run, self.node.id) for run in self.courses[course]}


def node_details(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The corner and the tee with the most courses, one of each if the plan has them."""
    meetings = [_meeting(plan, node) for node in plan.walls.nodes]
    for kind, title in (("corner", "Corner lap"), ("tee", "Where one wall ends at another")):
        met = [one for one in meetings if one.node.kind == kind and one.pair()]
        if met:
            chosen = max(met, key=lambda one: (len(one.pair()), len(one.courses)))
            yield _detail(plan, chosen, (kind, title, also(chosen.name, [one.name for one in met], 3)), figures)


def _meeting(plan: Plan, node: Node) -> _Meeting:
    courses: dict[int, list[Run]] = {}
    arms = {arm.leg: arm.station_m for arm in node.arms}
    for run in plan.walls.runs:
        at = arms.get(run.leg)
        if at is not None and run.outer_m[0] - 0.35 < at < run.outer_m[1] + 0.35:
            courses.setdefault(run.course, []).append(run)
    return _Meeting(node, courses)


def _end(run: Run, node: str) -> str:
    """How a run ends at a node; empty where it passes."""
    return next((end.kind for end in (run.start, run.end) if end.node == node), "")


def _detail(plan: Plan, met: _Meeting, said: tuple[str, str, str], figures: Figures) -> Detail:
    name, title, used = said
    leg = plan.walls.leg(met.legs[0])
    local = _Local(met.node.point_m, leg, plan.project.frame.mirrored)
    window = _window(plan, met, local)
    pair = sorted(met.pair(), reverse=True)
    pictures = tuple(
        Picture("plan", window, partial(_items, plan, (met, course), (local, window, figures)), _captions(met, course),
                (14.0, 9.0, 12.0, 4.0))
        for course in pair
    )  # fmt: skip
    words = (*_orders(met, name), *_fixed(plan, met, figures))
    return Detail(name, title, used, pictures, words, CUTTING, 2)


def _window(plan: Plan, met: _Meeting, local: _Local) -> Window:
    thick = plan.project.timber.thickness_m
    points = []
    for arm in met.node.arms:
        if arm.leg not in met.legs:
            continue
        leg = plan.walls.leg(arm.leg)
        passes = sum(other.leg == arm.leg for other in met.node.arms) > 1
        reach = thick + _PAST_M if passes else _REACH_M
        for left in (0.0, thick):
            for out in (0.0, reach):
                x, y = leg.point_at(arm.station_m + arm.way * out, left)
                points.append(local((x, y)))
    left, low, right, high = bounds(points, _MARGIN_M)
    return left, low, right, high


def _captions(met: _Meeting, course: int) -> tuple[str, ...]:
    said = {"lap": "runs through", "butt": "stops short", "mitre": "cut on the slant", "": "runs past",
            "end": "ends", "step": "ends"}  # fmt: skip
    found: dict[str, str] = {}
    for run in met.courses[course]:
        found.setdefault(run.leg, f"{run.leg} course {run.row}: {said[_end(run, met.node.id)]}")
    if met.node.kind == "tee" and sum(run.leg == met.legs[-1] for run in met.courses[course]) > 1:
        run = next(run for run in met.courses[course] if run.leg == met.legs[-1])
        found[run.leg] = f"{run.leg} course {run.row}: cut here"
    return tuple(found.values())


def _items(plan: Plan, shown: tuple[_Meeting, int], look: tuple[_Local, Window, Figures], scale: int) -> Iterable[Item]:
    (met, course), (local, window, figures) = shown, look
    names = wall_piece_names(plan)
    pieces = [piece for piece in plan.pieces if piece.course == course and piece.leg in met.legs]
    inside = [piece for piece in pieces if _seen(piece, local, window)]
    for piece in inside:
        ring = tuple(local(point) for point in piece.outline_m)
        yield Area(id=f"piece-{piece.id}", layer="walls", rings=(ring,), fill="timber", pen="outline", key="piece",
                   of=piece.id)  # fmt: skip
        shape = _clipped(ring, window)
        yield Label(id=f"mark-{piece.id}", layer="labels", anchor=shape, kind="area", lines=(names[piece.id],),
                    weight="bold", h=2.5, priority=1, of=piece.id)  # fmt: skip
    yield from _fasteners(plan, (met, course), local)
    yield _thickness(inside, local, window, figures)


def _seen(piece: Piece, local: _Local, window: Window) -> bool:
    xs, ys = zip(*(local(point) for point in piece.outline_m), strict=True)
    beside = min(xs) < window[2] - 0.02 and max(xs) > window[0] + 0.02
    return bool(beside and min(ys) < window[3] - 0.02 and max(ys) > window[1] + 0.02)


def _clipped(ring: tuple[Point, ...], window: Window) -> tuple[Point, ...]:
    from lynchet.drawings.clipping import clip_area

    parts = clip_area((ring,), window)
    return max((part[0] for part in parts), key=len, default=ring)


def _fasteners(plan: Plan, shown: tuple[_Meeting, int], local: _Local) -> Iterable[Item]:
    """Bars and screws driven down through this course."""
    met, course = shown
    for one in plan.timber.fasteners:
        if one.course != course or one.leg not in met.legs or one.kind == "tie screw":
            continue
        at = local(one.point_m)
        if one.kind == "corner pin":
            size = max(one.diameter_m, 0.012) / 2
            ring = tuple((at[0] + size * cos(n * pi / 6), at[1] + size * sin(n * pi / 6)) for n in range(12))
            yield Area(id=f"pin-{one.id}", layer="pins", z=1, rings=(ring,), fill="ink", pen="fine", key="corner pin",
                       of=one.id)  # fmt: skip
        else:
            yield Symbol(id=f"screw-{one.id}", layer="pins", z=1, name="screw", at=at, key="screw", of=one.id)


def _thickness(pieces: list[Piece], local: _Local, window: Window, figures: Figures) -> Item:
    """Width of the timber that lies along the picture, at its cut end."""
    level = [piece for piece in pieces if piece.leg == local.leg.id]
    ring = [local(point) for point in (level or pieces)[0].outline_m]
    xs, ys = sorted(x for x, _ in ring), sorted(y for _, y in ring)
    low, high = ys[0], ys[-1]
    # Where the timber goes on beyond the picture: its cut end is free of other timber.
    x, off = (window[2], -6.0) if xs[-1] > window[2] else (max(window[0], xs[0]), 7.0)
    return Dim(id="thickness", layer="dimensions", pts=((x, low), (x, high)), values_m=(high - low,), along="v",
               texts=(figures.small(high - low),), off_mm=off)  # fmt: skip


def _orders(met: _Meeting, kind: str) -> Iterator[str]:
    ends = {leg: {_end(run, met.node.id) for runs in met.courses.values() for run in runs if run.leg == leg}
            for leg in met.legs}  # fmt: skip
    one, other = (*met.legs, met.legs[0])[:2]
    if kind == "corner" and any("mitre" in found for found in ends.values()):
        yield "Cut both ends on the slant; try them dry before they are fixed."
        return
    if kind == "corner":
        yield "Lay the piece that runs through first; push the other hard against it."
        if len(met.pair()) > 1:
            yield "Change over on each course, so that every corner is lapped."
        return
    if "lap" in ends[one]:
        yield f"Where {one} runs through, {other} is cut: lay {one} first, then {other} from both sides."
        yield f"On the next course {other} runs past and {one} is pushed hard against it."
    else:
        yield f"{other} runs past; push {one} hard against it on every course."


def _fixed(plan: Plan, met: _Meeting, figures: Figures) -> Iterator[str]:
    for line in plan.timber.fastener_lines:
        sizes = f"{figures.small_words(line.diameter_m)} thick, {figures.small_words(line.length_m)} long"
        more = OTHER if line.what.endswith(OTHER) else ""
        if line.kind == "corner pin" and met.node.kind == "corner":
            drill = f"Drill {figures.small_words(line.drill_m)}, then drive" if line.drill_m else "Drive"
            yield f"{drill} a bar {sizes}, down through the lap{more}."
        if line.kind == "screw" and met.node.kind == "tee":
            yield f"Screw each course to the one below{more}: {sizes}."
    back = max(plan.walls.leg(leg).setback_m for leg in met.legs)
    if back > 0:
        leg = next(leg for leg in met.legs if plan.walls.leg(leg).setback_m > 0)
        yield f"Each course of {leg} stands {figures.small_words(back)} back from the one below."
