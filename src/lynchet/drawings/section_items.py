"""The picture of a cut: soil, bands, timber, pipes, ground before and after, levels, heights."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from math import cos, isnan, pi, sin

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Dim, Item, Label, Line, Symbol
from lynchet.drawings.section_bands import band_items
from lynchet.drawings.section_data import Block, Cutting, Ground, minus

HEIGHT_OFF_MM = 7.0
LEVELLED = ("bed", "landing")
"""Kinds of ground that are brought to one level."""
_CLEAR_MM = 4.2
_LEANS_M = 0.25
"""As far as a leaning wall may stand behind the line of its bed."""
Point = tuple[float, float]
Window = tuple[float, float, float, float]
"""Low station, lowest level, high station, highest level."""


def ring(at: Point, radius: float, parts: int = 32) -> tuple[Point, ...]:
    """A circle in stations and levels."""
    return tuple(
        (at[0] + radius * cos(2 * pi * n / parts), at[1] + radius * sin(2 * pi * n / parts)) for n in range(parts)
    )


def soil_items(cutting: Cutting, window: Window, scale: int) -> Iterable[Item]:
    """The ground as a tone down to the window's foot, and in beds the bands: fill, bed soil, mulch."""
    yield from under_steps(cutting, window[1])
    for n, whole in enumerate(cutting.after):
        ground = behind(cutting, whole)
        gap = (whole.points[0][0], ground.points[0][0])
        if gap[1] > gap[0] + 1e-6:
            low = min(ground.points[0][1], after_at(cutting, gap[0] - 0.02))
            under = ((gap[0], window[1]), (gap[1], window[1]), (gap[1], low), (gap[0], low))
            yield Area(id=f"soil-{n:03d}-under", layer="paper", rings=(under,), fill="soil")
        foot = ((ground.points[-1][0], window[1]), (ground.points[0][0], window[1]))
        yield Area(id=f"soil-{n:03d}", layer="paper", rings=((*ground.points, *foot),), fill="soil")
        if ground.kind in LEVELLED:
            yield from band_items(cutting, ground, n, scale)


def under_steps(cutting: Cutting, foot_m: float) -> Iterable[Item]:
    """The ground under steps let in: the tone up to the underside of each box."""
    for n, (one, other) in enumerate(pairwise(cutting.after)):
        (start, low), (end, high) = one.points[-1], other.points[0]
        if end - start < 1e-3:
            continue
        boxes = [block for block in cutting.treads if block.end_m > start and block.start_m < end]
        marks = sorted({start, end, *(s for b in boxes for s in (b.start_m, b.end_m) if start < s < end)})
        lowest = min([low, high, *(block.bottom_m for block in boxes)])
        for k, (a, b) in enumerate(pairwise(marks)):
            on = [block.bottom_m for block in boxes if block.start_m <= (a + b) / 2 <= block.end_m]
            top = min(on, default=lowest)
            yield Area(id=f"soil-steps-{n:03d}-{k}", layer="paper", fill="soil",
                       rings=(((a, foot_m), (b, foot_m), (b, top), (a, top)),))  # fmt: skip


def behind(cutting: Cutting, ground: Ground) -> Ground:
    """A bed from behind the top of a leaning wall on, not from the wall's line at its foot."""
    if ground.kind not in LEVELLED:
        return ground
    (start, level), (end, _) = ground.points
    near = [b for b in cutting.timber if start - 0.02 < b.start_m < min(start + 0.3, (start + end) / 2)]
    top = max(near, key=lambda block: block.top0_m, default=None)
    moved = top.start_m + 0.01 if top and top.top0_m > level - 1e-3 else start
    return replace(ground, points=((min(moved, end - 1e-3), level), (end, level)))


def ground_items(cutting: Cutting) -> Iterable[Item]:
    """Ground before, dashed, where it changes; ground after, heavy, broken where timber stands in it."""
    same = [(g.points[0][0], g.points[-1][0]) for g in cutting.after if g.kind not in LEVELLED]
    for k, part in enumerate(minus(cutting.before, same) if len(cutting.before) > 1 else ()):
        yield Line(id=f"before-{k}", layer="ground after", pts=part, pen="thin", dash="hidden", role="earth",
                   key="ground before", gives_way=True)  # fmt: skip
    for n, whole in enumerate(cutting.after):
        ground = behind(cutting, whole)
        low, high = (f(z for _, z in ground.points) for f in (min, max))
        taken = [(b.start_m, b.end_m) for b in (*cutting.timber, *cutting.treads)
                 if b.bottom_m < high + 1e-6 and max(b.top0_m, b.top1_m) > low - 1e-6]  # fmt: skip
        for k, part in enumerate(minus(ground.points, taken)):
            yield Line(id=f"after-{n:03d}-{k}", layer="ground after", pts=part, pen="cut", key="ground after",
                       of=ground.face)  # fmt: skip

    for k, ((_, low), (at, high)) in enumerate(_sides(cutting)):
        yield Line(id=f"after-side-{k}", layer="ground after", pts=((at, low), (at, high)), pen="cut",
                   key="ground after")  # fmt: skip


def _sides(cutting: Cutting) -> Iterable[tuple[Point, Point]]:
    """Where a landing stands over the bed beside it: lower and upper end of its side."""
    for one, other in pairwise(cutting.after):
        a, b = one.points[-1], other.points[0]
        hidden = any(block.start_m - 0.02 < a[0] < block.end_m - 0.02 for block in (*cutting.treads, *cutting.timber))
        if "landing" in (one.kind, other.kind) and one.face == other.face and abs(a[0] - b[0]) < 1e-6 and not hidden:
            yield a, b


def built_items(cutting: Cutting, hatch: str, cross: bool) -> Iterable[Item]:
    """Stone and the stone bed, timber and pipes cut across.

    Args:
        cutting: what is cut.
        hatch: name of the stone's hatch at this scale.
        cross: an X in every timber.
    """
    for n, block in enumerate(cutting.beds):
        yield Area(id=f"bed-stone-{block.id}-{n}", layer="hatches", rings=(block.ring,), fill="stone", hatch=hatch,
                   pen="fine", key="stone bed", of=block.id)  # fmt: skip
    for n, (name, outline) in enumerate(stone_outlines(cutting)):
        yield Area(id=f"stone-{name}-{n}", layer="hatches", rings=(outline,), fill="stone", hatch=hatch, pen="fine",
                   key="stone", of=name)  # fmt: skip
    for n, block in enumerate(cutting.timber):
        yield Area(id=f"timber-{block.id}-{n}", layer="walls", rings=(block.ring,), fill="timber",
                   pen="outline", key="timber cut", of=block.id)  # fmt: skip
        if cross:
            a, b, c, d = block.ring
            for k, pts in enumerate(((a, c), (b, d))):
                yield Line(id=f"timber-{block.id}-{n}-x{k}", layer="walls", z=1, pts=pts, pen="hair", of=block.id)
    for n, block in enumerate(cutting.treads):
        yield Area(id=f"tread-{block.id}-{n}", layer="steps", rings=(block.ring,), fill="path", pen="visible",
                   of=block.id)  # fmt: skip
    for n, pipe in enumerate(cutting.pipes):
        (start, end), (low, high) = pipe.stations_m, pipe.inverts_m
        up = pipe.bore_m
        quad = ((start, low), (end, high), (end, high + up), (start, low + up))
        yield Area(id=f"along-{pipe.id}-{n}", layer="water", rings=(quad,), fill="paper", pen="visible",
                   role="water", key="pipe along", of=pipe.id)  # fmt: skip
    for n, bore in enumerate(cutting.bores):
        middle = (bore.station_m, bore.invert_m + bore.bore_m / 2)
        yield Area(id=f"bore-{bore.id}-{n}", layer="water", rings=(ring(middle, bore.outside_m / 2),), fill="paper",
                   pen="visible", role="water", key="pipe cut", of=bore.id)  # fmt: skip


def stone_outlines(cutting: Cutting) -> list[tuple[str, tuple[Point, ...]]]:
    """Drain stone as it lies: what meets is one heap, under the name of the first of it."""
    from shapely import unary_union
    from shapely.geometry import Polygon

    shapes = [(block.id, Polygon(block.ring)) for block in cutting.stone]
    whole = unary_union([shape for _, shape in shapes], grid_size=1e-6)
    found = []
    for part in getattr(whole, "geoms", [whole]):
        if part.geom_type == "Polygon" and not part.is_empty:
            name = next(name for name, shape in shapes if shape.representative_point().within(part.buffer(1e-5)))
            found.append((name, tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])))
    return found


def house_items(cutting: Cutting, window: Window, figures: Figures) -> Iterable[Item]:
    """Houses as a hatched mass with their floor, broken off above; lot lines as long upright chains."""
    for n, house in enumerate(cutting.houses):
        ground = max(cutting.before_at(house.start_m), cutting.before_at(house.end_m))
        top = min(window[3], (ground if isnan(house.top0_m) else house.top0_m) + 1.4)
        foot = max(window[1], ground - 0.5)
        if cutting.before and cutting.before[-1][0] < house.start_m - 0.05:
            yield from _unmeasured(cutting, house.start_m, n)
        outline = ((house.start_m, foot), (house.end_m, foot), (house.end_m, top), (house.start_m, top))
        yield Area(id=f"house-{n}", layer="house", rings=(outline,), fill="paper", hatch="house", pen="cut",
                   key="house", of=house.id)  # fmt: skip
        if not isnan(house.top0_m):
            floor = house.top0_m
            yield Line(id=f"floor-{n}", layer="house", z=1, pts=((house.start_m, floor), (house.end_m, floor)),
                       pen="outline")  # fmt: skip
            yield Label(id=f"floor-level-{n}", layer="labels", anchor=((house.end_m, floor),), priority=1, gap_mm=2.0,
                        lines=(f"floor {figures.level(floor)}",), weight="semibold", optional=True)  # fmt: skip
    for n, (words, station) in enumerate(cutting.lots):
        low = cutting.before_at(station)
        yield Line(id=f"lot-{n}", layer="lot lines", pts=((station, low - 0.3), (station, low + 0.9)),
                   pen="visible", dash="lot")  # fmt: skip
        yield Label(id=f"lot-name-{n}", layer="labels", anchor=((station, low + 0.9),), lines=(words,),
                    priority=2, gap_mm=1.5, optional=True)  # fmt: skip


def _unmeasured(cutting: Cutting, end_m: float, n: int) -> Iterable[Item]:
    """From the last ground that was measured to the house: its level there is not known."""
    start, level = cutting.before[-1]
    pts = ((start, level), (end_m, level))
    yield Line(id=f"unmeasured-{n}", layer="ground after", pts=pts, pen="fine", dash="short", role="mid")
    yield Label(id=f"unmeasured-name-{n}", layer="labels", anchor=(((start + end_m) / 2, level),), role="mid",
                lines=("not measured",), priority=3, gap_mm=1.5, optional=True)  # fmt: skip


def level_items(
    cutting: Cutting, scale: int, figures: Figures, taken: tuple[tuple[float, float], ...] = ()
) -> Iterable[Item]:
    """The level of every bench, on a triangle standing on it, clear of the heights of walls; left out in no room.

    Where something stands on a bench (``taken``, stretches of the cut) it stands beside that if it can.
    """
    lines = [height_line(cutting, leg, 1000.0 / scale) for leg in dict.fromkeys(b.of for b in cutting.timber)]
    for n, whole in enumerate(cutting.after):
        if whole.kind not in LEVELLED:
            continue
        ground = behind(cutting, whole)
        (start, level), (end, _) = ground.points
        if any(block.start_m < (start + end) / 2 < block.end_m for block in (*cutting.treads, *cutting.timber)):
            continue
        spots = [start + share * (end - start) for share in (0.22, 0.5, 0.75, 0.1, 0.9)]
        clear = [at for at in spots if all(abs(at - line) * 1000.0 / scale > _CLEAR_MM for line in lines)]
        if not clear:
            continue
        at = next((at for at in clear if not any(a < at < b for a, b in taken)), clear[0])
        yield Symbol(id=f"level-{n:03d}", layer="levels", name="level", at=(at, level), key="level section",
                     of=ground.face)  # fmt: skip
        top = (at, level + over_mulch(cutting, ground, at, scale))
        yield Label(id=f"level-figure-{n:03d}", layer="labels", anchor=(top,), weight="semibold",
                    lines=(figures.level(level),), priority=1, gap_mm=2.2)  # fmt: skip
        low, high = level - 0.009 * scale, level - 0.0012 * scale
        under = ((start, low), (end, low), (end, high), (start, high))
        words = "landing" if ground.kind == "landing" else f"bed {ground.face[1:]}"
        yield Label(id=f"bed-{n:03d}", layer="labels", anchor=under, kind="area", lines=(words,),
                    role="mid", priority=3, optional=True)  # fmt: skip


def over_mulch(cutting: Cutting, ground: Ground, at: float, scale: int) -> float:
    """How far over a finished level its figure begins: over its triangle, and over the mulch that lies there."""
    mulched = any(start <= at <= end for start, end in ground.planted)
    thick = cutting.bands.mulch_m - cutting.bands.lowered_m if mulched else 0.0
    return max(0.0022 * scale, thick + 0.0018 * scale)


def height_line(cutting: Cutting, leg: str, per_m: float) -> float:
    """Station of the line on which a wall's seen height stands; ``per_m`` paper mm to the metre."""
    blocks = cutting.of_leg(leg)
    _, side = low_side(cutting, blocks)
    face = min(b.start_m for b in blocks) if side < 0 else max(b.end_m for b in blocks)
    return face + side * HEIGHT_OFF_MM / per_m


def height_items(cutting: Cutting, leg: str, figures: Figures, *, figured: bool = True) -> Iterable[Item]:
    """The seen height of one wall, beside its lower face (if ``figured``), and its bubble above."""
    blocks = cutting.of_leg(leg)
    top = max(blocks, key=lambda block: block.top0_m)
    low, side = low_side(cutting, blocks)
    face = min(b.start_m for b in blocks) if side < 0 else max(b.end_m for b in blocks)
    seen = top.top0_m - low
    if seen > 0.02 and figured:
        yield Dim(id=f"seen-{leg}", layer="dimensions", pts=((face, low), (face, top.top0_m)), along="v",
                  texts=(figures.timber(seen),), values_m=(seen,), off_mm=-side * HEIGHT_OFF_MM)  # fmt: skip
    yield Label(id=f"bubble-{leg}", layer="labels", anchor=(((top.start_m + top.end_m) / 2, top.top0_m),), lines=(leg,),
                weight="bold", style="bubble", priority=1, gap_mm=2.0, key="bubble")  # fmt: skip


def low_side(cutting: Cutting, blocks: tuple[Block, ...]) -> tuple[float, int]:
    """Level of the lower ground beside a wall, and on which side it lies: -1 toward the low end of the cut."""
    start, end = min(b.start_m for b in blocks), max(b.end_m for b in blocks)
    before, after = after_at(cutting, start - 0.02), after_at(cutting, end + 0.02)
    for ground in cutting.after:
        # A leaning wall stands a little behind the line its bed begins at: the bed is not the ground in front of it.
        first, last = ground.points[0][0], ground.points[-1][0]
        if first < start - 0.02 and last > end + 0.02:
            before = after_at(cutting, first - 0.01) if start - first < _LEANS_M else before
            after = after_at(cutting, last + 0.01) if last - end < _LEANS_M else after
    return (before, -1) if before <= after else (after, 1)


def after_at(cutting: Cutting, station: float) -> float:
    """Level of the finished ground at a station."""
    for ground in cutting.after:
        if ground.points[0][0] - 1e-6 <= station <= ground.points[-1][0] + 1e-6:
            for (a, za), (b, zb) in pairwise(ground.points):
                if a - 1e-6 <= station <= b + 1e-6:
                    return za + (zb - za) * (station - a) / max(b - a, 1e-9)
    return cutting.before_at(station)
