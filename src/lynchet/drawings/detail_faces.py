"""Details seen from the front: a step of the footing, and where a wall ends."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from itertools import pairwise
from math import inf

from lynchet.core.interpolated import interpolated
from lynchet.drawings.detail_model import Detail, Picture, Window, also
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Dim, Item, Text
from lynchet.drawings.wall_elevation import part_items
from lynchet.drawings.wall_face import Face, Interval, face_of, ground_line, pieces_in
from lynchet.drawings.wall_facts import standing
from lynchet.plan.model import Plan
from lynchet.walls.bedding import STONE_BED_M
from lynchet.walls.model import FootingStep, Leg

_HALF_M = 0.3
_ALONE = 1.5
"""Of its thickness: timber farther off than this is no wall that a wall meets."""
_END_M = 0.6
_BELOW_M = 0.06
_ABOVE_M = 0.06
_MOST_COURSES = 3
_FAR_SCALE = 25


def step_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The highest step of a base that can be shown with its marks, else the lowest; nothing where there is none."""
    steps = [step for step in plan.walls.steps if step.which == "base"]
    if not steps:
        return
    chosen = max(steps, key=lambda step: (*_tells(step), -_ends_off(plan, step)))
    leg = plan.walls.leg(chosen.leg)
    face = face_of(plan, leg)
    x = face.x(chosen.station_m)
    part = max(0.0, x - _HALF_M), min(face.length_m, x + _HALF_M)
    rise = abs(chosen.to_course - chosen.from_course)
    window = face_window(face, part, rise + 1)
    picture = Picture("elevation", window, partial(_step_items, face, (part, x, window), figures), (),
                      (16.0, 4.0, 9.0, 4.0))  # fmt: skip
    high = abs(_base(face, x - 0.05) - _base(face, x + 0.05))
    words = (
        "Dig and tamp the low side first; lay its course on stone.",
        f"Tamp the stone of the high side level with the top of that timber: {figures.small_words(high)} up.",
        "Lay the next course over both sides in one piece; no joint over the step.",
    )
    shown = f"{leg.id}, {figures.words(x)} from its left end"
    others = [step.leg for step in steps]
    used = f"Shown at {shown}. {len(steps)} in all: {_counted(others)}." if len(steps) > 1 else f"Used at {shown}."
    yield Detail("footing-step", "Step of the footing", used, (picture,), words,
                 "Stand clear of the edge of the trench while it is open.")  # fmt: skip


def _tells(step: FootingStep) -> tuple[bool, int]:
    """How much a step tells: the higher the more, up to what a picture holds at a scale one can read."""
    rise = abs(step.to_course - step.from_course)
    return rise <= _MOST_COURSES, rise if rise <= _MOST_COURSES else -rise


def _counted(legs: list[str]) -> str:
    return ", ".join(f"{legs.count(leg)} at {leg}" for leg in dict.fromkeys(legs))


def _ends_off(plan: Plan, step: FootingStep) -> float:
    """How near a step lies to an end of its wall: the middle shows it best."""
    leg = plan.walls.leg(step.leg)
    return abs(step.station_m - leg.length_m / 2) / leg.length_m


def _base(face: Face, x: float) -> float:
    here = [piece.bottom_m for piece, span in pieces_in(face, (x - 0.02, x + 0.02)) if span]
    return min(here, default=0.0)


def face_window(face: Face, part: Interval, most: int) -> Window:
    """The part of a wall's face that is shown: its stone bed and so many courses."""
    shown = [piece for piece, _ in pieces_in(face, part)]
    low = min(piece.bottom_m for piece in shown) - STONE_BED_M - _BELOW_M
    course = max(piece.top_m - piece.bottom_m for piece in shown)
    ground = [z for _, z in ground_line(face, part)]
    high = max([piece.top_m for piece in shown] + ground)
    return part[0] - 0.04, low, part[1] + 0.04, min(high, low + STONE_BED_M + most * course) + _ABOVE_M


def face_items(face: Face, part: Interval, figures: Figures) -> Iterator[Item]:
    """A part of a wall as on its sheet, without marks where it goes on and names of notches."""
    for item in part_items(face, part, figures):
        if not item.id.startswith(("zz-break", "notch-name")):
            yield item


def _step_items(face: Face, place: tuple[Interval, float, Window], figures: Figures, scale: int) -> Iterable[Item]:
    part, x, window = place
    far = scale > _FAR_SCALE  # so small that marks and numbers of courses would lie on one another
    yield from (item for item in face_items(face, part, figures) if not (far and isinstance(item, Text)))
    sides = sorted((_base(face, x - 0.05), _base(face, x + 0.05)))
    if _base(face, x - 0.05) <= sides[0] + 1e-6:
        levels = (sides[0] - STONE_BED_M, *sides)
        yield Dim(id="rise", layer="dimensions", pts=tuple((part[0], z) for z in levels), along="v", off_mm=8.0,
                  values_m=tuple(b - a for a, b in pairwise(levels)),
                  texts=tuple(figures.small(b - a) for a, b in pairwise(levels)))  # fmt: skip
    else:
        yield _upright("rise", part[0], (sides[0], sides[1]), 8.0, figures)
        yield _upright("stone", part[1], (sides[0] - STONE_BED_M, sides[0]), -7.0, figures)
    yield from () if far else _rows(face, part, window)


def _upright(name: str, x: float, levels: Interval, off: float, figures: Figures) -> Dim:
    value = levels[1] - levels[0]
    return Dim(id=name, layer="dimensions", pts=((x, levels[0]), (x, levels[1])), values_m=(value,), along="v",
               texts=(figures.small(value),), off_mm=off)  # fmt: skip


def _rows(face: Face, part: Interval, window: Window) -> Iterable[Item]:
    rows = {run.id: run.row for run in face.plan.walls.runs}
    levels = {rows[piece.run]: (piece.bottom_m + piece.top_m) / 2 for piece, _ in pieces_in(face, part)}
    for row, level in sorted(levels.items()):
        if window[1] < level < window[3] - 0.03:
            yield Text(id=f"row-{row:02d}", layer="labels", at=(part[0], level), text=str(row), h=2.5, role="mid",
                       anchor="r", shift_mm=(-3.0, 1.2), halo="paper")  # fmt: skip


def end_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """Where a wall ends without meeting another, the highest of these."""
    ends = [(leg, station) for leg in standing(plan) for station in _free_ends(plan, leg)]
    if not ends:
        return
    faces = {leg.id: face_of(plan, leg) for leg, _ in ends}

    def seen(one: tuple[Leg, float]) -> float:
        face = faces[one[0].id]
        return _seen(face, face.x(one[1]))

    leg, station = max(ends, key=seen)
    face = faces[leg.id]
    x = face.x(station)
    right = x > face.length_m / 2
    part = (max(0.0, x - _END_M), x) if right else (x, min(face.length_m, x + _END_M))
    window = face_window(face, part, 4)
    picture = Picture("elevation", window, partial(_end_items, face, (part, x, window), figures), (),
                      (8.0, 4.0, 13.0, 4.0))  # fmt: skip
    pin = any(abs(one.station_m - station) < _END_M for one in plan.stability.pins_of(leg.id))
    words = (
        "Cut every course square at the end line; brush the cut ends.",
        *(("Drive the pin nearest to the end before the second course is laid.",) if pin else ()),
        f"Shape the ground up to the end: {figures.small_words(max(0.0, seen((leg, station))))} of timber stays seen.",
    )
    shown = f"{leg.id}, its {'right' if right else 'left'} end"
    yield Detail("wall-end", "End of a wall", also(shown, [one.id for one, _ in ends if one.id != leg.id]), (picture,),
                 words, "No soil against the end higher than the timber: it washes round.")  # fmt: skip


def _free_ends(plan: Plan, leg: Leg) -> list[float]:
    """Stations where the timber stops and meets nothing: also at a corner whose other wall has no timber there."""
    from shapely.geometry import Point

    runs = [run for run in plan.walls.runs if run.leg == leg.id]
    found = []
    for at, start in ((min(run.start.line_m for run in runs), True), (max(run.end.line_m for run in runs), False)):
        ends = [run.start if start else run.end for run in runs]
        near = [end for end in ends if abs(end.line_m - at) < 0.05]
        spot = Point(leg.point_at(at, leg.thickness_m / 2))
        others = (run.polygon.distance(spot) for run in plan.walls.runs if run.leg != leg.id)
        alone = min(others, default=inf) > _ALONE * leg.thickness_m
        if alone or all(end.kind in ("end", "step") for end in near):
            found.append(at)
    return found


def _seen(face: Face, x: float) -> float:
    near = (x - 0.02, x + 0.02)
    tops = [piece.top_m for piece, _ in pieces_in(face, near)]
    line = ground_line(face, (max(0.0, x - 0.3), min(face.length_m, x + 0.3)))
    if not tops or not line:
        return 0.0
    return max(tops) - interpolated(x, [p[0] for p in line], [p[1] for p in line])


def _end_items(face: Face, place: tuple[Interval, float, Window], figures: Figures, scale: int) -> Iterable[Item]:
    part, x, window = place
    yield from face_items(face, part, figures)
    yield from _rows(face, part, window)
    near = (max(part[0], x - 0.05), min(part[1], x + 0.05))
    tops = [piece.top_m for piece, _ in pieces_in(face, near)]
    low = min(piece.bottom_m for piece, _ in pieces_in(face, near))
    seen = _seen(face, x)
    sign = -1.0 if x > (part[0] + part[1]) / 2 else 1.0
    if seen > 0.02:
        yield _upright("seen", x, (max(tops) - seen, max(tops)), sign * 7.0, figures)
    elif max(tops) <= window[3]:
        yield _upright("whole", x, (low, max(tops)), sign * 7.0, figures)
