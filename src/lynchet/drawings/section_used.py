"""What a section shows of the use of the yard: loads on the ground, and what stands on or just behind the walls.

The file says how high a fence, seat or tub stands over a wall and how it is fixed, not how thick it is or how far
behind: it is drawn as a thin dashed outline, and the key says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import area_of
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Area, Item, Label, Line
from lynchet.drawings.section_data import Cutting, stretches
from lynchet.drawings.section_items import after_at, low_side
from lynchet.drawings.source import Planned
from lynchet.project.things import Load, OnWall
from lynchet.units.format import pressure
from lynchet.walls.carried import stands_at

Interval = tuple[float, float]
Box = tuple[float, float, float, float]
"""Low station, bottom, high station, top."""
_POST_M = 0.09
_TUB_M = 0.4
_OFF_M = 0.1
_BOARD_M = 0.04
_UNSAID_M = 0.4
"""As high as a thing is drawn whose height the file does not say."""
_ARROW_MM = 4.5
_PITCH_MM = 4.0
_SHORT_MM = 0.4
"""Between the tip of an arrow and the ground."""


@dataclass(frozen=True)
class Used:
    """Loads with their stretch of the cut, and things at walls with their outline in it."""

    loads: tuple[tuple[Load, Interval], ...]
    carried: tuple[tuple[OnWall, str, Box], ...]
    """Thing, wall, outline."""

    @property
    def tops_m(self) -> list[float]:
        """Tops of what stands at walls."""
        return [box[3] for _, _, box in self.carried]

    @property
    def taken_m(self) -> tuple[Interval, ...]:
        """Stretches of the cut on which something stands."""
        return (*(part for _, part in self.loads), *((box[0], box[2]) for _, _, box in self.carried))


NOTHING = Used((), ())


def used_in(plan: Planned, found: Cutting) -> Used:
    """Loads the cut goes through, and what stands at the walls it meets."""
    line = found.cut.line()
    loads = tuple((load, part) for load in plan.project.loads
                  for part in stretches(found.cut, area_of(load.outline_m), line))  # fmt: skip
    legs = [plan.walls.leg(name) for name in dict.fromkeys(block.of for block in found.timber)]
    carried = tuple((thing, leg.id, _outline(thing, found, leg.id)) for thing in plan.project.on_wall for leg in legs
                    if stands_at(thing, leg))  # fmt: skip
    return Used(loads, carried)


def _outline(thing: OnWall, found: Cutting, leg: str) -> Box:
    blocks = found.of_leg(leg)
    top = max(blocks, key=lambda block: block.top0_m)
    _, side = low_side(found, blocks)
    high = top.top0_m + (thing.height_m or (_BOARD_M if thing.kind in ("seat", "cap") else _UNSAID_M))
    if thing.kind in ("seat", "cap"):
        return top.start_m, top.top0_m, top.end_m, high
    wide = _TUB_M if thing.kind == "tub" else _POST_M
    if thing.fixed_to == "top course":
        middle = (top.start_m + top.end_m) / 2
        half = min(wide, top.end_m - top.start_m) / 2
        return middle - half, top.top0_m, middle + half, high
    near = max(b.end_m for b in blocks) + _OFF_M if side < 0 else min(b.start_m for b in blocks) - _OFF_M
    start, end = (near, near + wide) if side < 0 else (near - wide, near)
    return start, min(after_at(found, start), after_at(found, end)), end, high


def used_items(used: Used, found: Cutting, scale: int, figures: Figures) -> Iterable[Item]:
    """Both, with their names."""
    for n, (load, part) in enumerate(used.loads):
        yield from _load(n, (load, part), (found, scale), figures)
    for n, (thing, leg, (start, low, end, high)) in enumerate(used.carried):
        name = f"used-{leg}-{n}"
        yield Area(id=name, layer="things that stay", rings=(((start, low), (end, low), (end, high), (start, high)),),
                   pen="fine", dash="short", key="on wall")  # fmt: skip
        tall = f" {figures.words(thing.height_m)} over {leg}" if thing.height_m else f" on {leg}"
        yield Label(id=f"{name}-name", layer="labels", anchor=(((start + end) / 2, high),), priority=2, gap_mm=1.2,
                    lines=(f"{thing.kind}{tall}",))  # fmt: skip


def _load(n: int, one: tuple[Load, Interval], cut: tuple[Cutting, int], figures: Figures) -> Iterable[Item]:
    """A bar over the ground with arrows down to it, and what it weighs."""
    (load, (start, end)), (found, scale) = one, cut
    m = scale / 1000.0
    stations = np.linspace(start, end, max(2, 1 + round((end - start) / (_PITCH_MM * m))))
    grounds = [after_at(found, float(at)) for at in stations]
    bar = max(grounds) + _ARROW_MM * m
    yield Line(id=f"load-{n}-bar", layer="things that stay", pts=((start, bar), (end, bar)), pen="visible",
               key="load cut")  # fmt: skip
    for k, (at, ground) in enumerate(zip(stations.tolist(), grounds, strict=True)):
        yield Line(id=f"load-{n}-{k}", layer="things that stay", pts=((at, bar), (at, ground + _SHORT_MM * m)),
                   pen="fine", arrow=True)  # fmt: skip
    words = f"{printable(load.name or 'load')} {pressure(load.pressure_kpa, figures.system)}"
    yield Label(id=f"load-{n}-name", layer="labels", anchor=(((start + end) / 2, bar),), priority=2, gap_mm=1.2,
                weight="semibold", lines=(words,))  # fmt: skip
