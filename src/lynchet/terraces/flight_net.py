"""The second laying out: recessed and through flights become faces of their own, lines and levels kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.core.plane import Point
from lynchet.terraces.area import Area
from lynchet.terraces.flight_forms import Form
from lynchet.terraces.layout import THIN_M, Front, Layout, lay_out
from lynchet.terraces.model import Face, Flight, Treads
from lynchet.terraces.net import NetLine


@dataclass(frozen=True)
class LetIn:
    """A flight that takes ground out of the beds."""

    flight: Flight
    form: Form


def let_in(flights: Sequence[Flight], forms: Sequence[Form]) -> list[LetIn]:
    """The flights that change the net."""
    return [LetIn(flight, form) for flight, form in zip(flights, forms, strict=True) if form.kind != "projecting"]


def cheek_lines(item: LetIn) -> list[NetLine]:
    """Sides of the flight's ground, timber outside it: left, head (of a recess), right, seen from the foot."""
    right_foot, left_foot, left_head, right_head = _corners(item.form)
    name = item.flight.id
    lines = [NetLine(f"{name}L", left_foot, left_head, "cheek", "")]
    if item.form.head_let_in:
        lines.append(NetLine(f"{name}H", left_head, right_head, "cheek", ""))
    lines.append(NetLine(f"{name}R", right_head, right_foot, "cheek", ""))
    return lines


def _corners(form: Form) -> tuple[Point, Point, Point, Point]:
    """Right foot, left foot, left head, right head, as one climbs."""
    a, b, c, d = form.box(0.0, form.run_m)  # left foot, right foot, right head, left head
    return b, a, d, c


def lay_out_again(area: Area, fronts: Sequence[Front], along: Point, items: Sequence[LetIn]) -> Layout | None:
    """Layout with the flights' sides; None where a bed beside one would be too narrow."""
    import shapely

    strips = []
    for item in items:
        passing = {item.form.crossing.line.source}
        if not item.form.head_let_in:
            passing.add(item.form.top.line.source)
        strips.append((shapely.Polygon(item.form.outline), passing))
    layout = lay_out(area, fronts, along, [line for item in items for line in cheek_lines(item)], strips)
    for face in layout.net.faces:
        if face.buffer(-THIN_M, join_style="mitre").is_empty and not any(
            strip.covers(face.representative_point()) for strip, _ in strips
        ):
            return None
    return layout


def flight_faces(layout: Layout, items: Sequence[LetIn]) -> tuple[dict[int, str], list[Face]]:
    """Which faces of the net are flights, and these as faces with treads.

    A tread's level is flush with the timber it passes over.
    """
    import shapely

    special: dict[int, str] = {}
    faces = []
    for item in items:
        strip = shapely.Polygon(item.form.outline)
        for number, polygon in enumerate(layout.net.faces):
            if not strip.covers(polygon.representative_point()):
                continue
            special[number] = item.flight.id
            form = item.form
            levels = tuple(form.foot_level_m + i * form.riser_m for i in range(1, form.risers))
            ring = tuple((float(x), float(y)) for x, y in polygon.exterior.coords[:-1])
            treads = Treads(form.foot, form.way, form.going_m, levels)
            faces.append(Face(item.flight.id, "flight", ring, (), treads, 0, polygon.area))
    return special, faces
