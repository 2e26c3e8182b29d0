"""The section along the fall and the wall it enlarges: where each stands on its sheet, how large, and what it shows."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Dim, Line, View
from lynchet.drawings.paper import Box, Paper, largest_scale, paper_of
from lynchet.drawings.section_chain import foot_chain, wall_faces
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
from lynchet.drawings.section_used import NOTHING, Used, used_in, used_items
from lynchet.drawings.source import Planned

HEAD_MM = 16.0
TITLE = "Section A–A"
_LARGEST = {"metric": 20, "us": 24}
_SHARE = 0.46
"""Of the height, for the section where the wall stands under it."""
_HEIGHTS_APART_MM = 5.0
_END_MM = 8.0
_APART_M = 0.05
_SOIL_M = 0.13
"""Ground shown under the lowest thing of the wall enlarged."""
_UNDER_MM = 5.0
"""Under the picture of the wall."""


@dataclass(frozen=True)
class Picture:
    """A picture of the sheet before anything is drawn: what part of the cut, how large, and where."""

    window: Window
    scale: int
    region: Box
    at: tuple[float, float]
    """Where the window's left low corner stands."""


def along_fall(plan: Planned) -> Cutting | None:
    """The cut along the fall; None where it meets no wall."""
    cut = section_cut(plan)
    found = None if cut is None else cutting(plan, cut)
    return found if found is not None and found.timber and len(found.before) > 1 else None


def field_of(paper: Paper) -> Box:
    """The drawing field less its edge."""
    left, top, right, bottom = paper.field
    return left + 4.5, top + 4.5, right - 4.5, bottom - 4.5


def along_picture(plan: Planned, found: Cutting) -> Picture:
    """The cut from end to end, at the largest scale that fits the width and its share of the height."""
    paper, system = paper_of(plan.project), plan.project.units
    field, share = field_of(paper), 1.0 if paper.small else _SHARE
    levels = [z for _, z in found.before] + [b.top0_m for b in found.timber] + [b.bottom_m for b in found.timber]
    levels += [b.bottom_m for b in found.stone]
    levels += [house.top0_m + 0.2 for house in found.houses if house.top0_m == house.top0_m]
    levels += used_in(plan, found).tops_m
    window = (0.0, min(levels) - 0.25, found.cut.length_m, max(levels) + 0.2)
    room = (field[2] - field[0] - 24.0, share * (field[3] - field[1]) - HEAD_MM - 26.0)
    scale = largest_scale((window[2], window[3] - window[1]), room, system, _LARGEST[system])
    k = 1000.0 / scale
    left = (field[0] + field[2]) / 2 - window[2] * k / 2
    foot = field[1] + HEAD_MM + 12.0 + (window[3] - window[1]) * k
    region = (field[0], field[1] + HEAD_MM - 3.0, field[2], foot + 15.0)
    return Picture(window, scale, region, (left, foot))


def along_view(found: Cutting, picture: Picture, figures: Figures, used: Used = NOTHING) -> View:
    """The section along the fall, drawn, with what it meets of the use of the yard."""
    window, scale, k = picture.window, picture.scale, 1000.0 / picture.scale
    items = [
        *soil_items(found, window, scale), *ground_items(found), *built_items(found, "stone small", scale <= 24),
        *house_items(found, window, figures), *level_items(found, scale, figures, used.taken_m),
        *used_items(used, found, scale, figures),
    ]  # fmt: skip
    lines: list[float] = []
    for leg in dict.fromkeys(block.of for block in found.timber):
        at = height_line(found, leg, k)
        # Where two figures would stand in one place, the second wall's height stands on its own sheet.
        free = all(abs(at - other) * k > _HEIGHTS_APART_MM for other in lines)
        items.extend(height_items(found, leg, figures, figured=free))
        lines += [at] if free else []
    items.append(_chain(found, window, scale, figures))
    items.append(Line(id="foot", layer="ground after", pts=((0.0, window[1]), (window[2], window[1])), pen="fine"))
    return View("section", "section", scale, tuple(items), picture.region, TITLE, (0.0, window[1]),
                picture.at, alt=alt_of(found))  # fmt: skip


def _chain(found: Cutting, window: Window, scale: int, figures: Figures) -> Dim:
    """Faces of walls, house and lot lines along the foot, and the ends of the cut."""
    ends, near = (0.0, found.cut.length_m), _END_MM * scale / 1000.0
    stations = {*ends, *wall_faces(found)}
    stations |= {s for house in found.houses for s in (house.start_m, house.end_m)}
    stations |= {station for _, station in found.lots}
    # The end of the cut is no thing one measures to: where a wall stands close to it, the wall's face alone.
    stations -= {end for end in ends if any(0.0 < abs(end - other) < near for other in stations - set(ends))}
    return foot_chain(stations, window[1], (figures, scale), apart_m=_APART_M, crowded_mm=-13.0)


def highest(found: Cutting) -> str:
    """The leg with the greatest difference of level in the cut, those with drain stone behind them first."""

    drained = {block.of for block in found.stone}

    def held(leg: str) -> tuple[bool, float]:
        blocks = found.of_leg(leg)
        start, end = min(b.start_m for b in blocks), max(b.end_m for b in blocks)
        behind = max(after_at(found, start - 0.02), after_at(found, end + 0.02))
        return leg in drained, behind - low_side(found, blocks)[0]

    return max(dict.fromkeys(block.of for block in found.timber), key=held)


def detail_picture(plan: Planned, found: Cutting, leg: str, region: Box) -> Picture:
    """The wall and what lies behind it, as large as fits what is left of the field."""
    system = plan.project.units
    window = detail_window(plan, found, leg, _SOIL_M)
    room = (region[2] - region[0] - 52.0, region[3] - region[1] - HEAD_MM - 22.0)
    scale = largest_scale((window[2] - window[0], window[3] - window[1]), room, system, 12 if system == "us" else 10)
    k = 1000.0 / scale
    wide, high = (window[2] - window[0]) * k, (window[3] - window[1]) * k
    left = (region[0] + region[2]) / 2 - wide / 2 + 8.0
    foot = region[1] + HEAD_MM + 12.5 + high
    inner = (region[0], region[1] + HEAD_MM - 3.0, region[2], region[3])
    return Picture(window, scale, inner, (left, foot))


def detail_view(plan: Planned, found: Cutting, leg: str, look: tuple[Picture, Figures]) -> View:
    """What lies behind a wall, drawn."""
    picture, figures = look
    window, scale = picture.window, picture.scale
    items = tuple(detail_items(plan, found, leg, (window, figures, scale)))
    return View("detail", "detail", scale, items, picture.region, f"Wall {leg}", (window[0], window[1]), picture.at)


def below(field: Box, picture: Picture) -> Box:
    """The field under the section along the fall."""
    return field[0], picture.region[3] + 4.0, field[2], field[3]


def free_under(plan: Planned) -> Box | None:
    """What is free on the sheet under the wall enlarged; None where it has a sheet of its own, or there is none."""
    found, paper = along_fall(plan), paper_of(plan.project)
    if found is None or paper.small:
        return None
    field = field_of(paper)
    room = below(field, along_picture(plan, found))
    picture = detail_picture(plan, found, highest(found), room)
    return field[0], picture.at[1] + _UNDER_MM, field[2], field[3]


def alt_of(found: Cutting) -> str:
    legs = list(dict.fromkeys(block.of for block in found.timber))
    return f"Section along the fall through the walls {', '.join(legs)}, with the ground before and after."
