"""The small picture of a first look: plan over section, no more than says what is meant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Item, Label, Sheet, Symbol, Text, View
from lynchet.drawings.paper import Box, Paper, scale_words
from lynchet.drawings.plan_built import flight_items
from lynchet.drawings.plan_layout import core_points, lay_out_in
from lynchet.drawings.plan_signs import north_items
from lynchet.drawings.section_cells import cell, ready
from lynchet.drawings.section_line import section_cut
from lynchet.drawings.section_places import Place
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.svg import to_svg

PHONE_MM = (95.0, 132.0)
"""Width a phone shows without shrinking letters under what can be read."""
_LARGEST = {"metric": 50, "us": 48}
_BANDS = ("bed soil", "mulch", "fill")


def plan_picture(plan: Planned, box: Box, figures: Figures) -> View:
    """Beds, walls, steps and houses in a box."""
    layout = lay_out_in(plan, box, (1.0, 1.0, 1.0, 1.0), core_points(plan), _LARGEST[figures.system])
    items = list(_items(plan))
    items += north_items(plan, layout, items)
    return layout.with_items(items)


def _items(plan: Planned) -> Iterable[Item]:
    from shapely import union_all

    for n, house in enumerate(plan.project.houses):
        yield Area(id=f"house-{n}", layer="house", rings=(house.outline_m,), fill="paper", hatch="house", pen="visible",
                   of=house.name)  # fmt: skip
    for face in plan.terraces.faces:
        if face.kind in ("bed", "path"):
            fill = "planted" if face.kind == "bed" else "path"
            yield Area(id=f"{face.kind}-{face.id}", layer="tones", rings=(face.outline_m, *face.holes_m), fill=fill,
                       pen="hair", of=face.id)  # fmt: skip
    whole = union_all([run.polygon for run in plan.walls.runs], grid_size=1e-4)
    for n, part in enumerate(part for part in getattr(whole, "geoms", [whole]) if part.geom_type == "Polygon"):
        rings = tuple(tuple((x, y) for x, y in r.coords[:-1]) for r in (part.exterior, *part.interiors))
        yield Area(id=f"walls-{n}", layer="walls", rings=rings, fill="timber", pen="visible")
    yield from (item for item in flight_items(plan) if isinstance(item, Area))


def section_picture(plan: Planned, box: Box, figures: Figures) -> tuple[View, tuple[Item, ...]] | None:
    """A cut along the fall with the texts over it; None where no wall is met."""
    cut = section_cut(plan)
    if cut is None or not plan.walls.runs:
        return None
    place = Place("A", "along the fall", ("The low side at the left.",), cut)
    drawn = cell(ready(plan, place), box, figures)
    # Names, levels and thin bands crowd so small a picture; the heights stay.
    bare = tuple(item for item in without_bands(drawn.view.items) if not isinstance(item, Label | Symbol))
    bare = tuple(item for item in bare if item.id != "chain")
    return replace(drawn.view, items=bare), drawn.heads


def without_bands(items: Iterable[Item]) -> tuple[Item, ...]:
    """A section without bed soil and mulch, which small scales cannot show."""
    return tuple(item for item in items if item.key not in _BANDS)


def phone_picture(plan: Planned, stamp: Stamp) -> tuple[str, tuple[float, float]] | None:
    """Plan and section as one SVG for a narrow screen, and its size in mm; None where no wall stands."""
    if not plan.walls.runs:
        return None
    figures, (wide, high) = Figures(plan.project.units), PHONE_MM
    paper = Paper("A4", wide, high, 0.0)
    top = plan_picture(plan, (-3.0, 4.0, wide + 3.0, 84.0), figures)
    cut = section_picture(plan, (0.0, 82.0, wide, high), figures)
    views = (top, cut[0]) if cut else (top,)
    words = Text(id="plan-words", layer="labels", at=(2.0, 4.5), h=3.5, weight="bold",
                 text=f"Plan, {scale_words(top.scale, figures.system)}")  # fmt: skip
    fields = stamp.fields("first-look", "First look", "", plan)
    sheet = Sheet("first-look-phone", "look", paper, fields, views, (words, *(cut[1] if cut else ())), stamp.theme,
                  alt="Plan and section of the walls.")  # fmt: skip
    return to_svg(sheet, lower(sheet), embed_font=False), PHONE_MM
