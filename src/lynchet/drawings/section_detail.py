"""What lies behind one wall, cut across and enlarged: courses, tie, pin, stone, fabric, pipe, water level, sizes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import width
from lynchet.drawings.model import Area, Dim, Item, Label, Line, Symbol, Text
from lynchet.drawings.section_data import Block, Cutting, Ground, minus
from lynchet.drawings.section_items import (
    LEVELLED,
    Window,
    after_at,
    built_items,
    ground_items,
    low_side,
    over_mulch,
    soil_items,
    stone_outlines,
)
from lynchet.drawings.source import Planned
from lynchet.stability.model import WEEP_BORE_M, WEEP_FALL_M, Tie

Point = tuple[float, float]
_FRONT_M = 0.6
_BACK_M = 1.0
_NEAR_TIE_M = 3.0
_NEAR_WEEP_M = 3.0
_NUMBER_PITCH_MM = 4.2
_WIDE_M = 0.3
"""A bed shown narrower than this gets no level."""
_SHORT_M = 0.15
"""A height under this is too short for its figure to stand beside it."""


def detail_window(plan: Planned, found: Cutting, leg: str, under_m: float = 0.2) -> Window:
    """The part of the cut to enlarge: a little in front, behind as far as the tie reaches, base to top."""
    blocks = found.of_leg(leg)
    low, side = low_side(found, blocks)
    start, end = min(b.start_m for b in blocks), max(b.end_m for b in blocks)
    tie = _tie(plan, found, leg)
    stone = [b for b in found.stone if b.of == leg]
    back = max([_BACK_M, *((tie.length_m + 0.2,) if tie else ())])
    low_station, high_station = (start - _FRONT_M, end + back) if side < 0 else (start - back, end + _FRONT_M)
    base = min([b.bottom_m for b in blocks] + [b.bottom_m for b in stone])
    high = max([b.top0_m for b in blocks] + [after_at(found, s) for s in (start - 0.3, end + 0.3)])
    return (low_station, min(base, low) - under_m, high_station, high + 0.05)


def detail_items(plan: Planned, found: Cutting, leg: str, look: tuple[Window, Figures, int]) -> Iterable[Item]:
    """Everything of the detail, for a window, in figures, at a scale."""
    window, figures, scale = look
    part = _within(found, window, leg)
    blocks = part.of_leg(leg)
    low, side = low_side(found, blocks)
    yield from soil_items(part, window, scale)
    yield from ground_items(part)
    yield from built_items(part, "stone large", cross=True)
    yield from _fabric(part)
    yield from _stone_beside(part, leg)
    yield from _tie_items(plan, found, leg, (side, figures))
    yield from _pin_items(plan, found, leg, window[1])
    yield from _weep_items(plan, found, leg, side)
    yield from _water(plan, found, leg, window)
    yield from _names(plan, part, leg, (scale, figures))
    yield from _depths(part, window, (low, side), figures)
    yield from _sizes(part, blocks, (low, side), figures)
    pitch = min(block.top0_m - block.bottom_m for block in blocks) * 1000.0 / scale
    for n, block in enumerate(blocks if pitch > _NUMBER_PITCH_MM else ()):
        x = block.start_m if side < 0 else block.end_m
        yield Text(id=f"row-{n:02d}", layer="labels", at=(x, (block.bottom_m + block.top0_m) / 2), text=str(block.row),
                   h=2.5, weight="semibold", anchor="r" if side < 0 else "l", halo="ground",
                   shift_mm=(-2.0 if side < 0 else 2.0, 1.2))  # fmt: skip


def _within(found: Cutting, window: Window, leg: str) -> Cutting:
    """The cutting between two stations; of other walls' stone no slivers, and none under the picture's foot."""
    start, end = window[0], window[2]
    outside = [(-1e9, start), (end, 1e9)]
    before = minus(found.before, outside)
    after = [replace(ground, points=points) for ground in found.after for points in minus(ground.points, outside)]

    def kept(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
        inside = [block for block in blocks if block.end_m > start + 1e-6 and block.start_m < end - 1e-6]
        return tuple(replace(b, start_m=max(b.start_m, start), end_m=min(b.end_m, end)) for b in inside)

    def whole(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
        shown = [block for block in blocks if block.of == leg or start < (block.start_m + block.end_m) / 2 < end]
        return tuple(replace(block, bottom_m=max(block.bottom_m, window[1])) for block in kept(tuple(shown)))

    pipes = tuple(pipe for pipe in found.pipes if start < pipe.stations_m[0] and pipe.stations_m[1] < end)
    bores = tuple(bore for bore in found.bores if start < bore.station_m < end and bore.invert_m > window[1])
    return replace(found, before=before[0] if before else (), after=tuple(after), timber=kept(found.timber),
                   stone=whole(found.stone), treads=kept(found.treads), houses=(), bores=bores, lots=(),
                   beds=whole(found.beds), pipes=pipes)  # fmt: skip


def _tie(plan: Planned, found: Cutting, leg: str) -> Tie | None:
    """The tie of a wall nearest to the cut, if one is near: it is drawn as if the cut went through it."""
    station = plan.walls.leg(leg).station_of(_crossing(plan, found, leg))
    ties = plan.stability.ties_of(leg)
    nearest = min(ties, key=lambda tie: abs(tie.station_m - station), default=None)
    return nearest if nearest and abs(nearest.station_m - station) < _NEAR_TIE_M else None


def _crossing(plan: Planned, found: Cutting, leg: str) -> Point:
    blocks = found.of_leg(leg)
    return found.cut.at((blocks[0].start_m + blocks[0].end_m) / 2)


def _tie_items(plan: Planned, found: Cutting, leg: str, look: tuple[int, Figures]) -> Iterable[Item]:
    side, figures = look
    tie = _tie(plan, found, leg)
    if tie is None:
        return
    course = next((b for b in found.of_leg(leg) if abs(b.bottom_m - tie.bottom_m) < 0.02), found.of_leg(leg)[-1])
    start = course.end_m if side < 0 else course.start_m
    end = start + tie.length_m if side < 0 else start - tie.length_m
    thick = plan.project.timber.thickness_m
    inner = end - thick if side < 0 else end + thick
    body = ((start, tie.bottom_m), (inner, tie.bottom_m), (inner, tie.top_m), (start, tie.top_m))
    yield Area(id="tie", layer="ties", rings=(body,), fill="timber", pen="visible", of=tie.id)
    cross = ((inner, tie.bottom_m), (end, tie.bottom_m), (end, tie.top_m), (inner, tie.top_m))
    yield Area(id="tie-cross", layer="ties", rings=(cross,), fill="timber", pen="outline", of=tie.id, key="timber cut")
    for k, pts in enumerate(((cross[0], cross[2]), (cross[1], cross[3]))):
        yield Line(id=f"tie-cross-x{k}", layer="ties", z=1, pts=pts, pen="hair", of=tie.id)
    long, across = (figures.words(value, 8) for value in (tie.length_m, tie.cross_length_m))
    yield Label(id="tie-name", layer="labels", anchor=(((start + inner) / 2, tie.top_m),), priority=2, gap_mm=3.0,
                lines=(f"tie {long} with cross-piece {across}",),
                of="tie")  # fmt: skip


def _weep_items(plan: Planned, found: Cutting, leg: str, side: int) -> Iterable[Item]:
    """The weep hole nearest to the cut, drawn as if the cut went through it."""
    station = plan.walls.leg(leg).station_of(_crossing(plan, found, leg))
    hole = min(plan.stability.weeps_of(leg), key=lambda one: abs(one.station_m - station), default=None)
    if hole is None or abs(hole.station_m - station) > _NEAR_WEEP_M:
        return
    if any(abs(notch.station_m - station) < notch.width_m for notch in plan.water.notches_of(leg)):
        return  # the pipe through the timber is what is shown here
    block = next((b for b in found.of_leg(leg) if b.bottom_m < hole.level_m < b.top0_m), None)
    if block is None:
        return
    front, back = (block.start_m, block.end_m) if side < 0 else (block.end_m, block.start_m)
    half, up = WEEP_BORE_M / 2.0, hole.level_m + WEEP_FALL_M
    ring = ((front, hole.level_m - half), (back, up - half), (back, up + half), (front, hole.level_m + half))
    yield Area(id="weep", layer="water", z=3, rings=(ring,), fill="paper", pen="fine", role="water", key="weep cut",
               of=hole.id)  # fmt: skip


def _pin_items(plan: Planned, found: Cutting, leg: str, foot: float) -> Iterable[Item]:
    pins = plan.stability.pins_of(leg)
    if not pins:
        return
    lowest = found.of_leg(leg)[0]
    middle, pin = (lowest.start_m + lowest.end_m) / 2, pins[0]
    shaft = ((middle, pin.top_m), (middle, max(pin.bottom_m, foot)))
    yield Line(id="pin", layer="pins", z=3, pts=shaft, pen="visible", dash="short",
               of=pin.id)  # fmt: skip
    yield Symbol(id="pin-head", layer="pins", z=3, name="dot", at=(middle, pin.top_m), of=pin.id)


def _fabric(found: Cutting) -> Iterable[Item]:
    for n, (name, outline) in enumerate(stone_outlines(found)):
        yield Line(id=f"fabric-{n}", layer="hatches", z=1, pts=outline, closed=True, pen="outline", dash="short",
                   key="fabric", of=name)  # fmt: skip


def _stone_beside(found: Cutting, leg: str) -> Iterable[Item]:
    """Where the stone of another wall joins on: its edge, and whose it is."""
    own = [block for block in found.stone if block.of == leg]
    others = [block for block in found.stone if block.of != leg]
    for block in own[:1]:
        for edge, way in ((block.start_m, -1), (block.end_m, 1)):
            beyond = [one for one in others if one.start_m - 1e-3 <= edge + 0.01 * way <= one.end_m + 1e-3]
            for other in beyond[:1]:
                low, high = max(block.bottom_m, other.bottom_m), min(block.top0_m, other.top0_m)
                yield Line(id=f"stone-edge-{way}", layer="hatches", z=2, pts=((edge, low), (edge, high)), pen="thin",
                           of=block.id)  # fmt: skip
                ends = [s for one in others if one.of == other.of for s in (one.start_m, one.end_m)]
                at = ((max(ends) - 0.03) if way > 0 else (min(ends) + 0.03), high - 0.05)
                yield Label(id=f"stone-of-{way}", layer="labels", anchor=(at,), priority=2, gap_mm=6.0,
                            lines=(f"stone of wall {other.of}",), optional=True)  # fmt: skip


def _water(plan: Planned, found: Cutting, leg: str, window: Window) -> Iterable[Item]:
    station = plan.walls.leg(leg).station_of(_crossing(plan, found, leg))
    row = plan.water.level_at(leg, station)
    stone = [b for b in found.stone if b.of == leg]
    if row is None or not stone or row.drained == "none":
        return
    start, end = stone[0].start_m, stone[0].end_m
    yield Line(id="water-level", layer="water", pts=((start, row.wet_m), (end, row.wet_m)), pen="visible", role="water",
               key="water level" if plan.water.drains else "water level dry")  # fmt: skip


def _names(plan: Planned, found: Cutting, leg: str, look: tuple[int, Figures]) -> Iterable[Item]:
    """Names with leaders for the drain, and levels of the benches."""
    scale, figures = look
    holes = {drain.id for drain in plan.water.drains}
    for n, bore in enumerate({bore.id: bore for bore in found.bores if bore.id in holes}.values()):
        words = (
            f"pipe {figures.small_words(bore.bore_m)} inside, holes down,",
            f"inside bottom {figures.level(bore.invert_m)} here",
        )
        yield Label(id=f"name-bore-{n}", layer="labels", anchor=((bore.station_m, bore.invert_m + bore.bore_m / 2),),
                    lines=words, priority=1, gap_mm=9.0)  # fmt: skip
    wall = found.of_leg(leg)[0]
    for ground, (start, level), (end, _) in _levelled(found):
        if end - start > _WIDE_M:
            at = start + (0.25 if start + end < wall.start_m + wall.end_m else 0.75) * (end - start)
            yield Symbol(id=f"level-{ground.face}", layer="levels", name="level", at=(at, level), key="level section",
                         of=ground.face)  # fmt: skip
            top = (at, level + over_mulch(found, ground, at, scale))
            yield Label(id=f"level-figure-{ground.face}", layer="labels", anchor=(top,), weight="semibold",
                        lines=(figures.level(level),), priority=1, gap_mm=2.2)  # fmt: skip


def _levelled(found: Cutting) -> Iterable[tuple[Ground, Point, Point]]:
    """Of each bed and landing its widest stretch free of timber: one level is told once, where nothing stands."""
    timber = [(block.start_m, block.end_m) for block in (*found.timber, *found.treads)]
    widest: dict[str, tuple[Ground, Point, Point]] = {}
    for ground in found.after:
        for part in minus(ground.points, timber) if ground.kind in LEVELLED else ():
            known = widest.get(ground.face)
            if known is None or part[-1][0] - part[0][0] > known[2][0] - known[1][0]:
                widest[ground.face] = ground, part[0], part[-1]
    return widest.values()


def _depths(found: Cutting, window: Window, ground: tuple[float, int], figures: Figures) -> Iterable[Item]:
    """Mulch and bed soil beside the end of the picture behind the wall; the stone bed under the wall."""
    _, side = ground
    x = window[2] if side < 0 else window[0]
    for one in found.after:
        edge = one.points[-1 if side < 0 else 0][0]
        ends = [part[1] if side < 0 else part[0] for part in one.planted]
        if one.kind != "bed" or abs(edge - x) > 1e-3 or not any(abs(end - x) < 0.05 or end * -side > x * -side
                                                                for end in ends):  # fmt: skip
            continue
        top = one.points[0][1] - found.bands.lowered_m
        levels = [top - found.bands.soil_m, top, *((top + found.bands.mulch_m,) if found.bands.mulch_m > 0 else ())]
        values = tuple(b - a for a, b in pairwise(levels))
        yield Dim(id="bands", layer="dimensions", pts=tuple((x, z) for z in levels), values_m=values, along="v",
                  texts=tuple(figures.small(value) for value in values), off_mm=side * 6.0)  # fmt: skip
    own = [bed for bed in found.beds if found.timber and any(bed.of == b.of for b in found.timber)]
    for bed in own[:1]:
        face = bed.start_m if side < 0 else bed.end_m
        deep = bed.top0_m - bed.bottom_m
        yield Dim(id="stone-bed", layer="dimensions", pts=((face, bed.bottom_m), (face, bed.top0_m)), along="v",
                  values_m=(deep,), texts=(figures.small(deep),), off_mm=-side * 19.0)  # fmt: skip


def _sizes(found: Cutting, blocks: tuple[Block, ...], ground: tuple[float, int], figures: Figures) -> Iterable[Item]:
    """Both heights, timber and stone widths, depth of the stone bed."""
    low, side = ground
    start, end = min(b.start_m for b in blocks), max(b.end_m for b in blocks)
    base, top = blocks[0].bottom_m, blocks[-1].top0_m
    face, sign = (start, 1.0) if side < 0 else (end, -1.0)
    seen, whole = top - low, top - base
    heads = ((seen, low, 12.0, "seen"), (whole, base, 26.0, "with buried"))
    for value, foot, off, name in heads:
        # The figure of a very short height stands over it.
        over = 2.6 + (width(figures.small(value), 2.8) + 2.0 if value < _SHORT_M else 0.0)
        yield Text(id=f"head-{name}", layer="dimensions", at=(face, top), text=name, h=2.2, role="mid", anchor="c",
                   shift_mm=(-sign * off, -over))  # fmt: skip
        yield Dim(id=f"height-{name}", layer="dimensions", pts=((face, foot), (face, top)), values_m=(value,),
                  along="v", texts=(figures.small(value),), off_mm=sign * off)  # fmt: skip
    stone = [block for block in found.stone if block.of == blocks[0].of]
    thick = blocks[-1].end_m - blocks[-1].start_m
    yield Dim(id="thickness", layer="dimensions", pts=((blocks[-1].start_m, top), (blocks[-1].end_m, top)), along="h",
              texts=(figures.small(thick),), values_m=(thick,), off_mm=8.0)  # fmt: skip
    if stone:
        wide = stone[0].end_m - stone[0].start_m
        yield Dim(id="stone-width", layer="dimensions", along="h", values_m=(wide,), texts=(figures.small(wide),),
                  pts=stone[0].ring[:2], off_mm=-8.0)  # fmt: skip
