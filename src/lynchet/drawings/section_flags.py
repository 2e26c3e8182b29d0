"""Flags of the smaller sections on the terraces plan: one at the low end of each cut, looking the way it is drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, ceil, degrees, dist

from lynchet.drawings.display import Letters
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import marks_of
from lynchet.drawings.model import Item, Label, Symbol, View
from lynchet.drawings.paper import Box
from lynchet.drawings.section_places import section_places
from lynchet.drawings.source import Planned

Point = tuple[float, float]
_STEP_M = 0.12
_TRIES = 14
_OVER = 6
"""Steps beyond the high end."""
_HALF_MM = 5.8
_SIGN_MM = 2.5


def section_flags(plan: Planned, view: View, items: Sequence[Item]) -> Iterable[Item]:
    """A flag for every smaller section, clear of signs and fixed texts; left out where its cut has no such place."""
    taken = _taken(view, items)
    for place in section_places(plan, Figures(plan.project.units)):
        ux, uy = place.cut.direction
        looks = degrees(atan2(uy, ux)) + (-90.0 if view.mirrored else 90.0)
        inward = ceil(dist(place.cut.start_m, place.cut.end_m) / _STEP_M) + _OVER
        at = _free(place.cut.start_m, (ux, uy), inward, (view, taken))
        if at is None:
            continue
        taken.append(_box(view.paper(at)))
        yield Symbol(id=f"section-{place.letter}", layer="section marks", name="section flag", at=at, turn_deg=looks,
                     text=place.letter, key="section mark")  # fmt: skip


def _taken(view: View, items: Sequence[Item]) -> list[Box]:
    """Boxes of fixed texts and of signs."""
    found = []
    for item in items:
        if isinstance(item, Label):
            continue
        if isinstance(item, Symbol):
            x, y = view.paper(item.at)
            found.append((x - _SIGN_MM, y - _SIGN_MM, x + _SIGN_MM, y + _SIGN_MM))
        found += [mark.box() for mark in marks_of(item, view) if isinstance(mark, Letters)]
    return found


def _box(at: Point) -> Box:
    return at[0] - _HALF_MM, at[1] - _HALF_MM, at[0] + _HALF_MM, at[1] + _HALF_MM


def _free(start: Point, way: Point, inward: int, sheet: tuple[View, list[Box]]) -> Point | None:
    """The free place on the sheet nearest to the low end of the cut, as far as a little beyond its high end."""
    view, taken = sheet
    left, top, right, bottom = view.region
    for n in sorted(range(-_TRIES, inward + 1), key=abs):
        at = (start[0] + n * _STEP_M * way[0], start[1] + n * _STEP_M * way[1])
        a, b, c, d = _box(view.paper(at))
        inside = left + 3 < a and top + 3 < b and c < right - 3 and d < bottom - 3
        if inside and all(c <= box[0] or a >= box[2] or d <= box[1] or b >= box[3] for box in taken):
            return at
    return None
