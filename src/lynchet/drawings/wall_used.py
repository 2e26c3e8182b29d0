"""What a wall sheet shows of the use of the yard: what stands on or just behind a wall, and loads counted behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lynchet.core.intervals import joined
from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import area_of
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Item, Line
from lynchet.drawings.plan_used import fixed_words
from lynchet.drawings.strip import Note
from lynchet.drawings.wall_face import Face, Interval, clipped, pieces_in, scale_of
from lynchet.project.things import Load
from lynchet.stability.load_stretches import reach
from lynchet.units.format import pressure
from lynchet.walls.carried import stands_at
from lynchet.walls.model import Leg

_OVER_MM = 0.9
"""How far over the timber a load's line is drawn."""
_TOUCH_M = 0.01


def used_notes(faces: Sequence[Face], figures: Figures) -> Iterable[Note]:
    """Wall by wall, in words with places from its left end; nothing where nothing stands there."""
    said = [f"{face.leg.id}: {'; '.join(words)}." for face in faces if (words := [*_things(face, figures),
            *_loads(face, figures)])]  # fmt: skip
    if said:
        yield Note("On and behind the walls", " ".join(said))


def _things(face: Face, figures: Figures) -> Iterable[str]:
    for thing in face.plan.project.on_wall:
        if stands_at(thing, face.leg):
            yield fixed_words(thing, figures)


def _loads(face: Face, figures: Figures) -> Iterable[str]:
    for load, (start, end), off in loads_behind(face):
        near = "right behind it" if off < 0.01 else f"{figures.words(off)} behind it"
        yield (
            f"{printable(load.name or 'load')}, {pressure(load.pressure_kpa, figures.system)}, {near}, from "
            f"{figures.length(start)} to {figures.words(end)} from its left end"
        )


def loads_behind(face: Face) -> list[tuple[Load, Interval, float]]:
    """Loads counted on a wall: each with its reach along the wall from its left end, and how far off its back it is.

    Counted is what begins within the wall's own height behind it, as the checks have it.
    """
    found: list[tuple[Load, Interval, float]] = []
    for load in face.plan.project.loads:
        met = list(_met(face, load))
        for start, end in joined((span for span, _ in met), _TOUCH_M):
            found.append((load, (start, end), min(off for (a, _), off in met if start <= a <= end)))
    return found


def _met(face: Face, load: Load) -> Iterable[tuple[Interval, float]]:
    """Where a load lies in the reach behind each stretch of a wall, on the side it holds there, and how far off."""
    from shapely import get_coordinates

    leg, shape = face.leg, area_of(load.outline_m)
    places = [place for place in face.plan.stability.places if place.leg == leg.id]
    for segment in leg.segments:
        a, b = segment.start_m, segment.end_m
        inside = [place for place in places if a - 1e-6 <= place.station_m <= b + 1e-6]
        for held in sorted({place.held for place in inside}):
            high = max(place.top_m - place.base_m for place in inside if place.held == held)
            met = get_coordinates(reach(leg, held, high, (a, b)).intersection(shape)).tolist()
            if len(met) > 2:
                stations = [leg.station_of((x, y)) for x, y in met]
                yield face.span(min(stations), max(stations)), _off_m(leg, held, met)


def _off_m(leg: Leg, held: int, points: Sequence[Sequence[float]]) -> float:
    """From the back of the timber to the nearest of some points."""
    (x0, y0), (nx, ny) = leg.start_m, leg.normal
    near = min(held * ((x - x0) * nx + (y - y0) * ny) for x, y in points)
    return max(0.0, near - (leg.thickness_m if held > 0 else 0.0))


def load_items(face: Face, part: Interval, figures: Figures) -> Iterable[Item]:
    """A dashed line over the timber for as long as a load is counted behind it."""
    pieces = pieces_in(face, part)
    for n, (_, span, _) in enumerate(loads_behind(face) if pieces else ()):
        shown = clipped(span, part)
        if shown:
            over = [piece.top_m for piece, (a, b) in pieces if a < shown[1] and b > shown[0]]
            y = max(over, default=max(piece.top_m for piece, _ in pieces)) + _OVER_MM * scale_of(figures) / 1000.0
            yield Line(id=f"load-{n}", layer="things that stay", pts=((shown[0], y), (shown[1], y)), pen="visible",
                       dash="hidden", key="load")  # fmt: skip
