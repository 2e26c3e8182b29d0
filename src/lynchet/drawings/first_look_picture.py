"""The small picture of a first look: plan over section, no more than says what is meant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import united
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Dim, Item, Label, Sheet, Symbol, Text, View
from lynchet.drawings.paper import Box, Paper, scale_words
from lynchet.drawings.permit_plan import wall_names
from lynchet.drawings.plan_built import flight_items
from lynchet.drawings.plan_layout import lay_out_in
from lynchet.drawings.plan_signs import has_free_spot, north_items
from lynchet.drawings.section_cells import Ready, cell, ready
from lynchet.drawings.section_line import section_cut
from lynchet.drawings.section_places import Place
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.svg import to_svg

Point = tuple[float, float]
PHONE_MM = (95.0, 132.0)
"""Width a phone shows without shrinking letters under what can be read."""
_LARGEST = {"metric": 50, "us": 48}
_NEXT = 1.3
"""So much smaller at most is the plan drawn, so that north stands beside it."""
_HEADS_MM = (2.0, 4.0, 6.0, 8.0, 10.0)
_SIGN_MM = 17.0
"""Kept free beside or over the plan for the north sign."""
UNDER_MM = 13.0
"""Room under a section for the chain of lengths, which is not drawn here."""
_BANDS = ("bed soil", "mulch", "fill")


def plan_picture(plan: Planned, box: Box, figures: Figures) -> tuple[View, tuple[Item, ...]]:
    """Beds, walls, steps and houses in a box, and the north sign beside them: over them where that costs too much."""
    room, core, largest = (1.0, 1.0, 1.0, 1.0), _core(plan), _LARGEST[figures.system]
    layout, items, north = lay_out_in(plan, box, room, core, largest), list(_items(plan)), plan.project.site.north_deg
    if north is None:
        return layout.with_items(items), ()
    boxes = ((*box[:2], box[2] - _SIGN_MM, box[3]), (box[0], box[1] + _SIGN_MM, *box[2:]))
    beside = min((lay_out_in(plan, one, room, core, largest) for one in boxes), key=lambda one: one.view.scale)
    if beside.view.scale > _NEXT * layout.view.scale:
        # Over a house if need be, never over what is built.
        built = [item for item in items if item.layer != "house"]
        for some in (items, built):
            if has_free_spot(layout, some):
                return layout.with_items([*items, *north_items(plan, layout, some)]), ()
    turn = beside.view.direction(beside.world_turn(north))
    sign = Symbol(id="north", layer="section marks", name="north", at=(box[2] - 4.5 - _SIGN_MM / 2, box[1] + 13.0),
                  turn_deg=turn)  # fmt: skip
    return beside.with_items(items), (sign,)


def _core(plan: Planned) -> list[Point]:
    """What must be on it: what is drawn here but the houses."""
    points = [*plan.project.area.outline_m, *(point for run in plan.walls.runs for point in run.outline_m)]
    return points + [point for flight in plan.terraces.flights for point in flight.outline_m]


def _items(plan: Planned) -> Iterable[Item]:
    for n, house in enumerate(plan.project.houses):
        yield Area(id=f"house-{n}", layer="house", rings=(house.outline_m,), fill="paper", hatch="house", pen="visible",
                   of=house.name)  # fmt: skip
    for face in plan.terraces.faces:
        if face.kind in ("bed", "path"):
            fill = "planted" if face.kind == "bed" else "path"
            yield Area(id=f"{face.kind}-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill=fill,
                       pen="hair", of=face.id)  # fmt: skip
    whole = united(tuple(run.polygon for run in plan.walls.runs), 1e-4)
    for n, part in enumerate(part for part in getattr(whole, "geoms", [whole]) if part.geom_type == "Polygon"):
        rings = tuple(tuple((x, y) for x, y in r.coords[:-1]) for r in (part.exterior, *part.interiors))
        yield Area(id=f"walls-{n}", layer="walls", rings=rings, fill="timber", pen="visible")
    yield from wall_names(plan)
    yield from (item for item in flight_items(plan) if isinstance(item, Area))


def section_picture(plan: Planned, box: Box, figures: Figures) -> tuple[View, tuple[Item, ...]] | None:
    """A cut along the fall with the texts over it; None where no wall is met."""
    cut = section_cut(plan)
    if cut is None or not plan.walls.runs:
        return None
    place = Place("A", "along the fall", ("The low side at the left.",), cut)
    drawn = cell(with_head_room(ready(plan, place), box, figures), box, figures)
    # Names, levels and thin bands crowd so small a picture; the heights stay.
    bare = tuple(item for item in without_bands(drawn.view.items)
                 if not isinstance(item, Label | Symbol) or item.id.startswith("bubble-"))  # fmt: skip
    bare = tuple(item for item in bare if item.id != "chain")
    # Names stay in the picture: the paper of the chain is not its.
    left, top, right, bottom = drawn.view.region
    return replace(drawn.view, items=bare, region=(left, top, right, bottom - UNDER_MM)), drawn.heads


def with_head_room(one: Ready, box: Box, figures: Figures, least_mm: float = 0.0) -> Ready:
    """With paper over the picture, no more than the height of every wall needs, where that costs no scale.

    Args:
        one: the cut.
        box, figures: as for its cell.
        least_mm: what is put over it in any case, for the levels and names of walls.
    """
    scale = cell(one, box, figures).view.scale
    left, low, right, high = one.window
    best = one
    for more in (least_mm, *(room for room in _HEADS_MM if room > least_mm)):
        roomy = replace(one, window=(left, low, right, high + more * scale / 1000.0))
        drawn = cell(roomy, box, figures).view
        if drawn.scale != scale:
            break
        best = roomy
        told = sum(isinstance(item, Dim) and item.id.startswith("seen-") for item in drawn.items)
        if told == sum(item.id.startswith("bubble-") for item in drawn.items):
            break
    return best


def without_bands(items: Iterable[Item]) -> tuple[Item, ...]:
    """A section without bed soil and mulch, which small scales cannot show."""
    return tuple(item for item in items if item.key not in _BANDS)


def phone_picture(plan: Planned, stamp: Stamp) -> tuple[str, tuple[float, float]] | None:
    """Plan and section as one SVG for a narrow screen, and its size in mm; None where no wall stands."""
    if not plan.walls.runs:
        return None
    figures, (wide, high) = Figures(plan.project.units), PHONE_MM
    paper = Paper("A4", wide, high, 0.0)
    top, signs = plan_picture(plan, (-3.0, 4.0, wide + 3.0, 84.0), figures)
    cut = section_picture(plan, (0.0, 82.0, wide, high), figures)
    views = (top, cut[0]) if cut else (top,)
    words = Text(id="plan-words", layer="labels", at=(2.0, 4.5), h=3.5, weight="bold",
                 text=f"Plan, {scale_words(top.scale, figures.system)}")  # fmt: skip
    fields = stamp.fields("first-look", "First look", "", plan)
    marks = (words, *signs, *(cut[1] if cut else ()))
    sheet = Sheet("first-look-phone", "look", paper, fields, views, marks, stamp.theme,
                  alt="Plan and section of the walls.")  # fmt: skip
    return to_svg(sheet, lower(sheet), embed_font=False), PHONE_MM
