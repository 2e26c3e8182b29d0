"""One smaller section as a view: the cut drawn in its cell, with steps, levels, heights and a chain along the foot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import isnan

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import fit, width
from lynchet.drawings.model import Dim, Item, Label, Line, Text, View
from lynchet.drawings.paper import Box, largest_scale, scale_words
from lynchet.drawings.section_chain import foot_chain, wall_faces
from lynchet.drawings.section_data import Cutting, above, cutting
from lynchet.drawings.section_items import (
    Window,
    after_at,
    built_items,
    ground_items,
    height_items,
    height_line,
    house_items,
    level_items,
    low_side,
    soil_items,
)
from lynchet.drawings.section_places import Place
from lynchet.drawings.source import Planned

HEAD_MM = 19.0
SIDE_MM = 24.0
_HOUSE_SIDE_MM, _FLOOR_SIDE_MM = 8.0, 12.0
"""Beside a bed at a house, whose figures stand over it; more for the height of a floor."""
_BEYOND_MM, _LEFT_MM = 9.0, 4.0
"""Past a floor's height, which stands between its house and its level; least paper at the left of a picture."""
_FLOOR_OFF_MM = 6.0
"""From a house to the height of its floor."""
FOOT_MM = 15.5
LARGEST = {"metric": 20, "us": 24}
"""Cells are laid out for this scale; one with more room than it needs is drawn larger."""
_ALONE = {"metric": 10, "us": 12}
_APART_MM = 5.0
_BESIDE_PIPE_MM = 2.9
_OVER_MM = 4.5
"""Free paper between the head and the picture."""
_LEAST_CHAIN_M = 0.04
_PAST_M = 0.3
_BELOW_M = 0.22
_LEAST_BELOW_M = 0.06
_HOUSE_M = 0.25
_OVER_STEPS_M = 0.08
_LINE_MM = 4.0


@dataclass(frozen=True)
class Cell:
    """A view and the texts over it."""

    view: View
    heads: tuple[Item, ...]


@dataclass(frozen=True)
class Ready:
    """The section of a place, cut but not yet on a sheet."""

    place: Place
    found: Cutting
    window: Window

    @property
    def side_mm(self) -> float:
        """Paper beside the picture for its figures, left and right together."""
        if not self.found.houses or self.place.flight is not None or self.place.drain:
            return SIDE_MM
        floors = any(not isnan(house.top0_m) for house in self.found.houses)
        return _HOUSE_SIDE_MM + (_FLOOR_SIDE_MM if floors else 0.0)

    def high_mm(self, scale: int) -> float:
        """The height of paper it takes at a scale, with its head and the chain along its foot."""
        return _head_mm(self.place) + (self.window[3] - self.window[1]) * 1000.0 / scale + FOOT_MM


def ready(plan: Planned, place: Place) -> Ready:
    """A place cut, with the part of the cut that is shown."""
    found = cutting(plan, place.cut)
    window = place_window(found, place)
    return Ready(place, above(found, window[1]), window)


def cell(one: Ready, box: Box, figures: Figures) -> Cell:
    """The section of a place in a box of the sheet."""
    place, found, window = one.place, one.found, one.window
    head = _head_mm(place)
    room = (box[2] - box[0] - one.side_mm, box[3] - box[1] - head - FOOT_MM)
    size = (window[2] - window[0], window[3] - window[1])
    scale = largest_scale(size, room, figures.system, _ALONE[figures.system])
    k = 1000.0 / scale
    left = (box[0] + box[2]) / 2 - size[0] * k / 2 + min(4.0, one.side_mm / 6.0)
    left = max(box[0] + _LEFT_MM, min(left, box[2] - _floor_mm(found, window, figures) - size[0] * k))
    foot = box[1] + head + size[1] * k
    region = (box[0], box[1] + head - 5.0, box[2], min(box[3], foot + FOOT_MM))
    title = title_of(place)
    view = View(f"section-{place.letter}", "section", scale, tuple(place_items(found, place, window, (figures, scale))),
                region, title, (0.0, window[1]), (left, foot), alt=title)  # fmt: skip
    return Cell(view, tuple(_heads(place, box, title, scale_words(scale, figures.system))))


def _floor_mm(found: Cutting, window: Window, figures: Figures) -> float:
    """Paper a floor's level takes beyond its height, right of a house at the end of a cut; 0 where there is none."""
    ends = [house.top0_m for house in found.houses if not isnan(house.top0_m) and house.end_m > window[2] - _PAST_M]
    wide = max((width(f"floor {figures.level(floor)}", 2.5, "semibold") * 1.02 for floor in ends), default=0.0)
    return wide + _BEYOND_MM if ends else 0.0


def title_of(place: Place) -> str:
    """What stands over a section."""
    return f"Section {place.letter}–{place.letter}: {place.title}"


def _head_mm(place: Place) -> float:
    return HEAD_MM + _LINE_MM * max(0, len(place.under) - 2)


def place_window(found: Cutting, place: Place) -> Window:
    """The part of a cut that is shown: from under its lowest thing to over its highest."""
    levels = [z for _, z in found.before] + [z for ground in found.after for _, z in ground.points]
    for block in (*found.timber, *found.stone, *found.treads, *found.beds):
        levels += [block.bottom_m, block.top0_m, block.top1_m]
    levels += [house.top0_m for house in found.houses if house.top0_m == house.top0_m]
    above = _HOUSE_M if found.houses else _OVER_STEPS_M if place.flight is not None else 0.0
    ground = min(z for part in found.after for _, z in part.points) if found.after else min(levels)
    return (0.0, min(min(levels) - _LEAST_BELOW_M, ground - _BELOW_M), place.cut.length_m, max(levels) + above)


def place_items(found: Cutting, place: Place, window: Window, look: tuple[Figures, int]) -> Iterable[Item]:
    """Everything of a section of a place, for a window, in figures at a scale."""
    figures, scale = look
    k = 1000.0 / scale
    yield from soil_items(found, window, scale)
    yield from (item for item in ground_items(found) if not _indoors(item, found))
    for item in built_items(found, "stone small", cross=scale <= LARGEST[figures.system]):
        yield replace(item, key="step cut") if item.id.startswith("tread-") else item
    for item in house_items(found, window, figures):
        yield _past_height(item, found, k) if isinstance(item, Label) else item
    for item in level_items(found, scale, figures):
        yield replace(item, inside=True) if isinstance(item, Label) and item.id.startswith("bed-") else item
    if place.flight is not None:
        yield from _steps(found, place, figures)
    yield from _inverts(found, place.drain, figures)
    yield from _floors(found, k, figures)
    lines: list[float] = []
    for leg in dict.fromkeys(block.of for block in found.timber):
        at = height_line(found, leg, k)
        free = place.flight is None and all(abs(at - other) * k > _APART_MM for other in lines)
        free = free and _has_room(found, leg, window, (figures, k)) and not _at_pipe(found, at)
        yield from height_items(found, leg, figures, figured=free)
        lines += [at] if free else []
    yield _chain(found, window, scale, figures)
    yield Line(id="foot", layer="ground after", pts=((0.0, window[1]), (window[2], window[1])), pen="fine")


def _has_room(found: Cutting, leg: str, window: Window, look: tuple[Figures, float]) -> bool:
    """Whether the figure of a wall's height stands between its ticks, or over them without meeting the head."""
    figures, k = look
    blocks = found.of_leg(leg)
    top = max(block.top0_m for block in blocks)
    seen = top - low_side(found, blocks)[0]
    wide = width(figures.timber(seen), 2.5) * 1.02
    return wide + 1.0 <= seen * k or wide + 2.5 <= _OVER_MM + (window[3] - top) * k


def _at_pipe(found: Cutting, station: float) -> bool:
    """Whether a pipe is cut along where a height would stand: the wall sheet has it."""
    return any(min(pipe.stations_m) < station < max(pipe.stations_m) for pipe in found.pipes)


def _indoors(item: Item, found: Cutting) -> bool:
    """Ground inside a house: nobody sees or digs it."""
    return isinstance(item, Line) and any(
        all(house.start_m - 1e-3 < x < house.end_m + 1e-3 for x, _ in item.pts) for house in found.houses
    )


def _inverts(found: Cutting, drain: str, figures: Figures) -> Iterable[Item]:
    """Level of the inside bottom of the drain shown, where it is cut."""
    for bore in [one for one in found.bores if drain and one.id == drain][:1]:
        yield Label(id="invert", layer="labels", anchor=((bore.station_m, bore.invert_m),), priority=1,
                    gap_mm=_BESIDE_PIPE_MM, lines=("inside bottom", figures.level(bore.invert_m)))  # fmt: skip


def _floors(found: Cutting, per_m: float, figures: Figures) -> Iterable[Item]:
    """From the finished ground in front of a house up to its floor."""
    for n, house in enumerate(found.houses):
        ground, floor = after_at(found, house.start_m - 0.02), house.top0_m
        if isnan(floor) or abs(floor - ground) < _LEAST_CHAIN_M:
            continue
        off = (house.end_m - house.start_m) * per_m + _FLOOR_OFF_MM
        yield Dim(id=f"floor-{n}-up", layer="dimensions", pts=((house.start_m, ground), (house.start_m, floor)),
                  values_m=(floor - ground,), texts=(figures.length(abs(floor - ground)),), along="v", off_mm=-off,
                  extend=False)  # fmt: skip


def _past_height(label: Label, found: Cutting, per_m: float) -> Label:
    """A floor's level beside the upper end of its height, which stands beside the house."""
    number = label.id.removeprefix("floor-level-")
    ids = {item.id for item in _floors(found, per_m, Figures("metric"))}
    (x, y), *_ = label.anchor
    return replace(label, anchor=((x + _FLOOR_OFF_MM / per_m, y),)) if f"floor-{number}-up" in ids else label


def _steps(found: Cutting, place: Place, figures: Figures) -> Iterable[Item]:
    """The whole rise at the left, and the level of every tread."""
    flight = place.flight
    assert flight is not None
    fronts = [block.start_m for block in found.treads]
    if fronts:
        pts = ((min(fronts), flight.foot_level_m), (min(fronts), flight.head_level_m))
        rise = flight.head_level_m - flight.foot_level_m
        yield Dim(id="rise", layer="dimensions", pts=pts, values_m=(rise,), texts=(figures.timber(rise),), along="v",
                  off_mm=12.0)  # fmt: skip
    for n, block in enumerate(sorted(found.treads, key=lambda one: one.top0_m)):
        yield Label(id=f"tread-level-{n:02d}", layer="labels", anchor=((block.start_m, block.top0_m),), h=2.2,
                    lines=(figures.laid(block.top0_m),), priority=2, gap_mm=1.2, optional=True)  # fmt: skip


def _chain(found: Cutting, window: Window, scale: int, figures: Figures) -> Dim:
    """Along the foot: faces of walls, fronts of steps, the house, and the ends of the cut."""
    stones = [part for part in found.after if (part.face, part.kind) == ("outside", "landing")]
    edges = [s for part in stones for s in (part.points[0][0], part.points[-1][0])]
    # Ground shown past a landing ends at nothing one could measure to: the landing's own edge.
    near = {end: [s for s in edges if abs(s - end) < _PAST_M] for end in (0.0, window[2])}
    ends = [(min(past) if end else max(past)) if past else end for end, past in near.items()]
    faces = wall_faces(found)
    # The cut begins at the lowest course, a lean before the face; one measures from the face.
    ends = [end for end in ends if not any(0.0 < abs(end - face) <= _LEAST_CHAIN_M for face in faces)]
    stations = {*ends, *faces, *(block.start_m for block in found.treads)}
    stations |= {s for house in found.houses for s in (house.start_m, house.end_m) if s < window[2] - 1e-3}
    # Where the cut ends inside a house it ends at nothing one could measure to.
    stations -= {end for end in (0.0, window[2]) for house in found.houses if house.start_m < end - 1e-3 < house.end_m}
    return foot_chain(stations, window[1], (figures, scale), apart_m=_LEAST_CHAIN_M, crowded_mm=-12.0)


def _heads(place: Place, box: Box, title: str, scale: str) -> Iterable[Item]:
    room = box[2] - box[0] - 4.0
    yield Text(id=f"head-{place.letter}", layer="labels", at=(box[0] + 2.0, box[1] + 4.5), text=title, h=3.5,
               weight="bold")  # fmt: skip
    lines = (f"{scale}. {place.under[0]}" if place.under else scale, *place.under[1:])
    if len(lines) == 1 and width(lines[0], 2.5) > room:
        lines = (f"{scale}.", *place.under)
    for n, line in enumerate(lines):
        said, h = fit(line, room, 2.5)
        yield Text(id=f"under-{place.letter}-{n}", layer="labels", at=(box[0] + 2.0, box[1] + 9.0 + _LINE_MM * n),
                   text=said, h=h)  # fmt: skip
