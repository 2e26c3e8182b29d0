"""Sizes of one part of a wall: ties, lengths, steps of the base, both heights, course numbers, levels."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Dim, Item, Level, Text
from lynchet.drawings.wall_face import Face, Interval, clipped, goes_on, ground_line, pieces_in, scale_of
from lynchet.drawings.wall_facts import heights
from lynchet.plan.flight_places import flight_places

_ROW_MM = 11.5
_LEVEL_MM = 18.2
_OFF_MM, _OFF_CLEAR_MM = 7.2, 9.0
_HEIGHTS_MM = 34.0
"""Beside the timber's end, both heights with their words."""
_GAP_M = 0.3
"""Less than this between two stretches of timber is no gap one could take for a way through."""
_EDGE_M = 0.02
"""Marks of a chain nearer to each other, or to the part's ends, are one."""


def size_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    """Ties in a chain, the length of the part, both heights at its right end, levels at its left."""
    shown = [piece for piece, _ in pieces_in(face, part)]
    top = max(p.top_m for p in shown)
    inside = _ties(face, part)
    if inside:
        yield _chain("ties", [part[0], *inside, part[1]], top, 8.0, figures)
        yield Text(id="ties-head", layer="dimensions", at=(part[0], top), text="ties", h=2.2, role="mid", anchor="r",
                   shift_mm=(-4.0, -7.5))  # fmt: skip
    yield _chain("whole", list(part), top, 17.0 if inside else whole_off_mm(face, part), figures)
    gaps = _gaps(face, part)
    if has_base_steps(face, part):
        # Under the stone bed and the pins, so that no figure stands in them.
        foot = lowest_m(face, part)
        marks = {*part, *_steps(face, part), *_ends(face, part)}
        yield _chain("base", sorted(marks), foot, -5.0, figures)
        yield Text(id="base-head", layer="dimensions", at=(part[0], foot), text="base steps", h=2.2, role="mid",
                   anchor="r", shift_mm=(-4.0, 5.5))  # fmt: skip
    yield from _gap_names(face, part, gaps)
    yield from _height_items(face, part, figures)
    yield from _row_numbers(face, part)
    _, high, low = _end(face, part, False)
    for name, level in (("top", high), ("base", low)):
        at = (part[0] - _LEVEL_MM * scale_of(figures) / 1000.0, level)
        yield Level(id=f"level-{name}", layer="levels", at=at, text=figures.laid(level),
                    value_m=level, style="section", side="l")  # fmt: skip


def has_ties(face: Face, part: Interval) -> bool:
    """Whether a chain of ties stands over a part."""
    return bool(_ties(face, part))


def has_base_steps(face: Face, part: Interval) -> bool:
    """Whether a chain of the base's steps, and of gaps in the wall, stands under a part."""
    return bool(_steps(face, part) or _ends(face, part))


def whole_off_mm(face: Face, part: Interval) -> float:
    """How far over a part its length stands: clear of a height whose timber ends short of the part's right end."""
    end, _, _ = _end(face, part, True)
    return _OFF_MM if end > part[1] - 0.02 else _OFF_CLEAR_MM


def _ties(face: Face, part: Interval) -> list[float]:
    found = sorted(face.x(tie.station_m) for tie in face.plan.stability.ties_of(face.leg.id))
    return [x for x in found if part[0] + 0.02 < x < part[1] - 0.02]


def lowest_m(face: Face, part: Interval) -> float:
    """The lowest level of a part that is drawn: its stone bed or a pin."""
    low = min(piece.bottom_m for piece, _ in pieces_in(face, part)) - 0.2
    pins = [p.bottom_m for p in face.plan.stability.pins_of(face.leg.id) if part[0] <= face.x(p.station_m) <= part[1]]
    return min([low, *pins])


def _chain(name: str, xs: list[float], level: float, off_mm: float, figures: Figures) -> Dim:
    values = tuple(b - a for a, b in pairwise(xs))
    return Dim(id=f"chain-{name}", layer="dimensions", pts=tuple((x, level) for x in xs), values_m=values, along="h",
               texts=tuple(figures.length(value, 8) for value in values), off_mm=off_mm)  # fmt: skip


def _steps(face: Face, part: Interval) -> list[float]:
    found = sorted(
        face.x(step.station_m) for step in face.plan.walls.steps if step.leg == face.leg.id and step.which == "base"
    )
    return [x for x in found if part[0] + _EDGE_M < x < part[1] - _EDGE_M]


def _between(face: Face) -> list[Interval]:
    """All stretches between timber and timber of a wall, narrow ones too."""
    spans = sorted(face.span(one.start_m, one.end_m) for one in face.leg.segments)
    return [(one[1], other[0]) for one, other in pairwise(spans) if other[0] - one[1] > _EDGE_M]


def _ends(face: Face, part: Interval) -> list[float]:
    """Where timber ends at a gap, however narrow: base stone begins anew beyond it, often on another level."""
    ends = {x for gap in _between(face) for x in gap}
    return [x for x in ends if part[0] + _EDGE_M < x < part[1] - _EDGE_M]


def _gaps(face: Face, part: Interval) -> list[Interval]:
    """Stretches of a part without timber: a way through, steps, or a top that meets the ground."""
    between = (gap for gap in _between(face) if gap[1] - gap[0] > _GAP_M)
    return [gap for gap in (clipped(one, part) for one in between) if gap and gap[1] - gap[0] > _GAP_M]


def _gap_names(face: Face, part: Interval, gaps: list[Interval]) -> Iterable[Item]:
    """Says over the chain that nothing is missing in a gap; steps that stand in one say so themselves."""
    stands = [(place.left_m, place.right_m) for place in flight_places(face.plan) if place.leg == face.leg.id]
    for n, (start, end) in enumerate(gaps):
        middle = (start + end) / 2
        if not any(left < middle < right for left, right in stands):
            yield Text(id=f"gap-{n}", layer="labels", at=(middle, lowest_m(face, part)), text="no wall here", h=2.2,
                       role="mid", anchor="c", shift_mm=(0.0, -0.5))  # fmt: skip


def _end(face: Face, part: Interval, right: bool) -> tuple[float, float, float]:
    """Where the timber of a part ends at its left or right, and its top and base there."""
    shown = pieces_in(face, part)
    x = max(span[1] for _, span in shown) if right else min(span[0] for _, span in shown)
    near = 1.3 * face.leg.thickness_m
    here = [piece for piece, span in shown if (span[1] > x - near if right else span[0] < x + near)]
    return x, max(p.top_m for p in here), min(p.bottom_m for p in here)


def _height_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    x, top, base = _end(face, part, True)
    ground = ground_line(face, (part[0], x))
    if not ground or top - ground[-1][1] < 0.02:
        return
    low = ground[-1][1]
    aside = _past_break_mm(face, part, x, figures)
    seen = {figures.timber(height.seen_m) for height in heights(face.plan, face.leg)}
    if len(seen) > 1:
        yield Text(id="height-head-here", layer="dimensions", at=(x, min(low, base)), text="at this end", h=2.2,
                   role="mid", anchor="c", shift_mm=(10.0 + aside, 8.4))  # fmt: skip
    for name, foot, off in (("seen", low, -10.0 - aside), ("with buried", base, -23.0 - aside)):
        yield Dim(id=f"height-{name}", layer="dimensions", pts=((x, foot), (x, top)), along="v", values_m=(top - foot,),
                  texts=(figures.timber(top - foot),), off_mm=off, weight="semibold")  # fmt: skip
        yield Text(id=f"height-head-{name}", layer="dimensions", at=(x, min(low, base)), text=name, h=2.2, role="mid",
                   anchor="c", shift_mm=(-off, 5.0))  # fmt: skip


def _past_break_mm(face: Face, part: Interval, x: float, figures: Figures) -> float:
    """How far beside the timber's end the heights stand more than usual: past the zigzag of a break close to it."""
    gap = (part[1] - x) * 1000.0 / scale_of(figures)
    return gap if goes_on(face, part[1]) and 0.0 < gap < _HEIGHTS_MM else 0.0


def _row_numbers(face: Face, part: Interval) -> Iterable[Item]:
    """Course numbers in one column, left of the wall and of what meets it there."""
    rows = {run.id: run.row for run in face.plan.walls.runs}
    levels = {rows[piece.run]: (piece.bottom_m + piece.top_m) / 2 for piece, _ in pieces_in(face, part)}
    for row, level in sorted(levels.items()):
        yield Text(id=f"row-{row:02d}", layer="labels", at=(part[0], level), text=str(row), h=2.5, role="mid",
                   anchor="r", shift_mm=(-_ROW_MM, 1.2))  # fmt: skip
