"""The section sheet: a cut along the fall, and what lies behind the highest wall it meets, larger."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import width
from lynchet.drawings.model import Dim, Item, Line, Sheet, Text, View
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import Box, Paper, largest_scale, paper_of, scale_words
from lynchet.drawings.section_data import Cutting, cutting
from lynchet.drawings.section_detail import detail_items, detail_window
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
from lynchet.drawings.section_line import section_cut
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip

Point = tuple[float, float]
ID = "section"
BEHIND_ID = "section-behind"
TITLE = "Section A–A"
STOP_AND_CALL = (
    "if water runs into the open trench, if the soil at the bottom takes a boot print, or if the bank behind cracks. "
    "Keep heaps and barrows away from the edge of the digging. Nobody works alone in a trench."
)
_LARGEST = {"metric": 20, "us": 24}
_HEAD_MM = 16.0
_SHARE = 0.46
"""Of the height, for the section where the wall stands under it."""
_HEIGHTS_APART_MM = 5.0
_END_MM = 8.0


def section_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The section along the fall, or None where no wall is met by it; the wall beside it where the paper holds both.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    found = _along(plan)
    if found is None:
        return None
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    field = _field(paper)
    whole = _whole(plan, found, field, (figures, 1.0 if paper.small else _SHARE))
    heads = _head("A", field[1], field[0], f"{TITLE}, along the fall", _under(whole, figures))
    if paper.small:
        return _sheet(plan, stamp, (ID, TITLE, _alt(found)), ((whole,), ("A–A",), tuple(heads)))
    wall = _highest(found)
    below = (field[0], whole.region[3] + 4.0, field[2], field[3])
    detail = _detail(plan, found, wall, (below, figures))
    more = _head("W", below[1], field[0], f"Wall {wall}, what lies behind it", _under(detail, figures))
    return _sheet(plan, stamp, (ID, TITLE, _alt(found)), ((whole, detail), ("A–A", wall), (*heads, *more)))


def behind_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """What lies behind the highest wall of the section, on a sheet of its own; None where it stands with the section.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    found = _along(plan) if paper.small else None
    if found is None:
        return None
    field, wall = _field(paper), _highest(found)
    detail = _detail(plan, found, wall, (field, figures))
    title = f"Wall {wall}, what lies behind it"
    heads = tuple(_head("W", field[1], field[0], title, _under(detail, figures)))
    return _sheet(plan, stamp, (BEHIND_ID, f"Behind wall {wall}", f"{title}."), ((detail,), (wall,), heads))


def _field(paper: Paper) -> Box:
    left, top, right, bottom = paper.field
    return left + 4.5, top + 4.5, right - 4.5, bottom - 4.5


def _sheet(plan: Planned, stamp: Stamp, named: tuple[str, str, str],
           shown: tuple[tuple[View, ...], tuple[str, ...], tuple[Item, ...]]) -> Sheet:  # fmt: skip
    """The sheet of one or two pictures with their short names and heads."""
    (name, title, alt), (views, names, heads) = named, shown
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    fields = stamp.fields(name, title, both_scales(views[0].scale, views[-1].scale, figures), plan)
    entries = key.entries([item for view in views for item in view.items], figures)
    bars = tuple(dict.fromkeys(view.scale for view in reversed(views)))
    content = Content(title, entries, (Note("Stop and call", STOP_AND_CALL, warn=True), *numbered(views, names)), bars)
    marks, notes = strip(paper, fields, content, figures)
    return Sheet(name, "section", paper, fields, views, (*heads, *marks), stamp.theme, cautions=(STOP_AND_CALL,),
                 alt=alt, notes=notes)  # fmt: skip


def along_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets; nothing where there is none."""
    if not _along(plan):
        return ()
    return (ID, BEHIND_ID) if paper_of(plan.project).small else (ID,)


def _along(plan: Planned) -> Cutting | None:
    cut = section_cut(plan)
    found = None if cut is None else cutting(plan, cut)
    return found if found is not None and found.timber and len(found.before) > 1 else None


def both_scales(one: int, two: int, figures: Figures) -> str:
    """Both scales, short: "1 : 50, 1 : 10", "¼ in, 1 in = 1 ft"."""
    first, second = scale_words(one, figures.system), scale_words(two, figures.system)
    if one == two:
        return first
    same = " = 1 ft"
    return f"{first.removesuffix(same) if second.endswith(same) else first}, {second}"


def _under(view: View, figures: Figures) -> str:
    return f"{scale_words(view.scale, figures.system)}. Same scale up and along; the low side at the left."


def _head(name: str, top: float, left: float, title: str, under: str) -> Iterable[Item]:
    yield Text(id=f"head-{name}", layer="labels", at=(left + 2.0, top + 5.0), text=title, h=4.0, weight="bold")
    yield Text(id=f"under-{name}", layer="labels", at=(left + 2.0, top + 10.5), text=under, h=2.5)


def _whole(plan: Planned, found: Cutting, field: Box, look: tuple[Figures, float]) -> View:
    """The cut from end to end, at the largest scale that fits the width and its share of the height."""
    figures, share = look
    levels = [z for _, z in found.before] + [b.top0_m for b in found.timber] + [b.bottom_m for b in found.timber]
    levels += [b.bottom_m for b in found.stone]
    levels += [house.top0_m + 0.2 for house in found.houses if house.top0_m == house.top0_m]
    window = (0.0, min(levels) - 0.25, found.cut.length_m, max(levels) + 0.2)
    room = (field[2] - field[0] - 24.0, share * (field[3] - field[1]) - _HEAD_MM - 26.0)
    scale = largest_scale((window[2], window[3] - window[1]), room, figures.system, _LARGEST[figures.system])
    k = 1000.0 / scale
    left = (field[0] + field[2]) / 2 - window[2] * k / 2
    foot = field[1] + _HEAD_MM + 12.0 + (window[3] - window[1]) * k
    region = (field[0], field[1] + _HEAD_MM - 3.0, field[2], foot + 15.0)
    items = [
        *soil_items(found, window, scale), *ground_items(found), *built_items(found, "stone small", scale <= 24),
        *house_items(found, window, figures), *level_items(found, scale, figures),
    ]  # fmt: skip
    lines: list[float] = []
    for leg in dict.fromkeys(block.of for block in found.timber):
        at = height_line(found, leg, k)
        # Where two figures would stand in one place, the second wall's height stands on its own sheet.
        free = all(abs(at - other) * k > _HEIGHTS_APART_MM for other in lines)
        items.extend(height_items(found, leg, figures, figured=free))
        lines += [at] if free else []
    items.extend(_chain(found, window, scale, figures))
    items.append(Line(id="foot", layer="ground after", pts=((0.0, window[1]), (window[2], window[1])), pen="fine"))
    return View("section", "section", scale, tuple(items), region, TITLE, (0.0, window[1]), (left, foot),
                alt=_alt(found))  # fmt: skip


def _chain(found: Cutting, window: Window, scale: int, figures: Figures) -> Iterable[Item]:
    """Faces of walls, house and lot lines along the foot, and the ends of the cut."""
    stations = {0.0, found.cut.length_m}
    for leg in dict.fromkeys(block.of for block in found.timber):
        blocks = found.of_leg(leg)
        _, side = low_side(found, blocks)
        stations.add(blocks[0].start_m if side < 0 else blocks[0].end_m)
    stations |= {s for house in found.houses for s in (house.start_m, house.end_m)}
    stations |= {station for _, station in found.lots}
    # The end of the cut is no thing one measures to: where a wall stands close to it, the wall's face alone.
    ends, near = (0.0, found.cut.length_m), _END_MM * scale / 1000.0
    stations -= {end for end in ends if any(0.0 < abs(end - other) < near for other in stations - set(ends))}
    kept: list[float] = []
    for station in sorted(stations):
        if not kept or station - kept[-1] > 0.05:
            kept.append(station)
    values = tuple(b - a for a, b in pairwise(kept))
    texts = tuple(figures.length(value) for value in values)
    crowded = any(width(text, 2.5) + 1.0 > value * 1000.0 / scale for text, value in zip(texts, values, strict=True))
    yield Dim(id="chain", layer="dimensions", pts=tuple((s, window[1]) for s in kept), values_m=values, texts=texts,
              off_mm=-13.0 if crowded else -8.0, along="h")  # fmt: skip


def _highest(found: Cutting) -> str:
    """The leg with the greatest difference of level in the cut, those with drain stone behind them first."""

    drained = {block.of for block in found.stone}

    def held(leg: str) -> tuple[bool, float]:
        blocks = found.of_leg(leg)
        start, end = min(b.start_m for b in blocks), max(b.end_m for b in blocks)
        return leg in drained, abs(after_at(found, start - 0.02) - after_at(found, end + 0.02))

    return max(dict.fromkeys(block.of for block in found.timber), key=held)


def _detail(plan: Planned, found: Cutting, leg: str, place: tuple[Box, Figures]) -> View:
    """The wall and what lies behind it, as large as fits what is left of the field."""
    region, figures = place
    window = detail_window(plan, found, leg)
    room = (region[2] - region[0] - 52.0, region[3] - region[1] - _HEAD_MM - 22.0)
    least = 12 if figures.system == "us" else 10
    scale = largest_scale((window[2] - window[0], window[3] - window[1]), room, figures.system, least)
    k = 1000.0 / scale
    wide, high = (window[2] - window[0]) * k, (window[3] - window[1]) * k
    left = (region[0] + region[2]) / 2 - wide / 2 + 8.0
    top = region[1] + _HEAD_MM + 14.0
    inner = (region[0], region[1] + _HEAD_MM - 3.0, region[2], region[3])
    items = tuple(detail_items(plan, found, leg, (window, figures, scale)))
    return View("detail", "detail", scale, items, inner, f"Wall {leg}", (window[0], window[1]), (left, top + high))


def _alt(found: Cutting) -> str:
    legs = list(dict.fromkeys(block.of for block in found.timber))
    return f"Section along the fall through the walls {', '.join(legs)}, with the ground before and after."
