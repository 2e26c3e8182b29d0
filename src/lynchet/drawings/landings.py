"""Landings of steps: the level pads before and behind a flight, how far they stand over the bed, and the first rise.

On a bed a landing is built up to the top of the timber, so that every riser is the same. Outside the beds it is stone,
level, one riser under the lowest tread at a foot: how much is dug off or made up there is told.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lynchet.drawings.figures import Figures
from lynchet.drawings.kept import united
from lynchet.drawings.model import Area, Item, Label
from lynchet.drawings.source import Planned
from lynchet.ground.surface import level_at
from lynchet.project.things import LANDING_M
from lynchet.terraces.model import Face, Flight, Landing, Level

Point = tuple[float, float]
_SAME_M = 0.005
BANKED_M = 0.03
"""An edge of stone lower than this needs no soil against it. PRACTICE."""
_REACH_M = 2.0


@dataclass(frozen=True)
class Pad:
    """A landing on a bed, to be built."""

    flight: Flight
    landing: Landing
    bed: Face
    over_m: float
    """Over the finished bed."""


def pads(plan: Planned) -> tuple[Pad, ...]:
    """Landings on beds, in the order of the flights."""
    found = []
    for flight in plan.terraces.flights:
        for landing in flight.landings:
            bed = plan.terraces.face(landing.face)
            if bed is not None and bed.kind == "bed" and isinstance(bed.finish, Level):
                found.append(Pad(flight, landing, bed, landing.level_m - bed.level_m))
    return tuple(found)


def ground_pads(plan: Planned) -> tuple[tuple[Flight, Landing], ...]:
    """Landings on ground that is no bed, where stone is laid for them, in the order of the flights."""
    ends = ((flight, landing) for flight in plan.terraces.flights for landing in flight.landings)
    return tuple((flight, landing) for flight, landing in ends if landing.stone)


def _on_ground(plan: Planned, figures: Figures) -> Iterable[Item]:
    """Landings of stone on the ground outside the beds, with their levels."""
    from shapely import union_all
    from shapely.geometry import Polygon

    for flight, landing in ground_pads(plan):
        whole: Any = union_all([Polygon(one.outline_m) for one in landing.stone], grid_size=1e-4)
        ring = tuple((float(x), float(y)) for x, y in whole.convex_hull.exterior.coords[:-1])
        name = f"{flight.id}-{landing.where}"
        yield Area(id=f"landing-{name}", layer="tones", z=2, rings=(ring,), fill="path", pen="fine", key="landing",
                   of=flight.id)  # fmt: skip
        yield Label(id=f"landing-level-{name}", layer="labels", anchor=ring, kind="area", h=2.2, priority=3,
                    lines=(figures.level(landing.level_m),), optional=True)  # fmt: skip


def landing_items(plan: Planned, figures: Figures) -> Iterable[Item]:
    """Landings on a plan with their levels; one outline where two meet on a bed."""
    yield from _on_ground(plan, figures)
    yield from _on_beds(plan, figures)


def _on_beds(plan: Planned, figures: Figures) -> Iterable[Item]:
    from shapely import union_all
    from shapely.geometry import Polygon

    by_level: dict[tuple[str, str], list[Pad]] = {}
    for pad in pads(plan):
        by_level.setdefault((pad.bed.id, f"{pad.landing.level_m:.3f}"), []).append(pad)
    flights = [Polygon(tread.outline_m) for flight in plan.terraces.flights for tread in flight.treads]
    timber = [run.polygon.buffer(0) for run in plan.walls.runs]
    taken = united((*flights, *timber), 1e-4)
    for (bed, _), group in by_level.items():
        whole: Any = union_all([Polygon(pad.landing.outline_m) for pad in group], grid_size=1e-4)
        shape = whole.difference(taken, grid_size=1e-4)
        for n, part in enumerate(getattr(shape, "geoms", [shape])):
            if part.geom_type != "Polygon" or part.area < 0.02:
                continue
            ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            name = f"{bed}-{group[0].flight.id}-{n}"
            yield Area(id=f"landing-{name}", layer="tones", z=2, rings=(ring,), fill="path", pen="fine", key="landing",
                       of=group[0].flight.id)  # fmt: skip
            yield Label(id=f"landing-level-{name}", layer="labels", anchor=ring, kind="area", h=2.2, priority=3,
                        lines=(figures.level(group[0].landing.level_m),), optional=True)  # fmt: skip


def landing_m(plan: Planned, flight: Flight) -> float:
    """Depth of the landings of a flight, the way one walks."""
    wishes = plan.project.steps
    wish = wishes[flight.wish] if flight.wish < len(wishes) else None
    return (wish.landing_m if wish else None) or LANDING_M[plan.project.units]


def pad_words(plan: Planned, figures: Figures, flights: Iterable[str] = ()) -> str:
    """What is to be built, in one sentence; of some flights only, or of all. Empty where there is none."""
    names = set(flights)
    shown = [pad for pad in pads(plan) if pad.over_m > _SAME_M and (not names or pad.flight.id in names)]
    if not shown:
        return ""
    deep = " or ".join(figures.words(at) for at in sorted({landing_m(plan, pad.flight) for pad in shown}))
    over = sorted({figures.small_words(pad.over_m) for pad in shown})
    on_ground = any(end_words(plan, pad.flight, figures) for pad in shown)
    why = "" if on_ground else ", so that every rise is the same"
    return f"{'landing' if len(shown) == 1 else 'landings'} {deep} deep, {' or '.join(over)} above the bed{why}"


def landing_key(plan: Planned, figures: Figures) -> str:
    """A landing in the key of a plan, in one line: how far it stands over the bed."""
    over = sorted({figures.small_words(pad.over_m) for pad in pads(plan) if pad.over_m > _SAME_M})
    return f"landing, {' or '.join(over)} over the bed" if over else "landing of steps, tamped"


def end_words(plan: Planned, flight: Flight, figures: Figures) -> tuple[str, ...]:
    """Where a flight ends on ground that is no bed: what is dug off or made up there for its landing."""
    said = []
    for landing in flight.landings:
        if any(pad.landing is landing for pad in pads(plan)):
            continue
        foot = landing.where == "foot"
        ring = [*landing.outline_m, *_edge(landing, flight)] if foot else _edge(landing, flight)
        levels = level_at(plan.ground.surface, ring, _REACH_M)
        known = [float(level) for level in levels if level == level]
        if not known:
            continue
        if not foot:
            over = landing.level_m - min(known)
            if over > _SAME_M:
                said.append(f"The ground at its head lies up to {figures.small_words(over)} lower: make it up in stone")
            said += _banked(plan, landing, figures)
            continue
        deep, level = figures.words(landing_m(plan, flight)), figures.level(landing.level_m)
        lies = _lies(landing, max(known) - landing.level_m, landing.level_m - min(known), figures)
        said.append(f"Stone landing at its foot: {deep} out, top {level}; {lies}")
        said += _banked(plan, landing, figures)
    return tuple(said)


def _lies(landing: Landing, over_m: float, under_m: float, figures: Figures) -> str:
    """How deep the stone of a landing is, and how much of that depth is dug into the ground as it lies.

    Args:
        landing: at the foot of a flight.
        over_m: how far the ground there lies over its top at most.
        under_m: how far it lies under its top at most.
        figures: for numbers.
    """
    thick = max((one.top_m - one.bottom_m for one in landing.stone), default=0.0)
    over, under = figures.small_words(over_m), figures.small_words(under_m)
    stone = f"up to {figures.small_words(thick)} of stone under it"
    if over_m > _SAME_M and under_m > _SAME_M:
        return (
            f"{stone}; the ground now lies from {over} over the top to {under} below: dig where the stone goes deeper"
        )
    if under_m > _SAME_M:
        return f"{stone}; the ground now lies up to {under} below the top: dig only where the stone goes deeper"
    over = f"up to {over} over" if over_m > _SAME_M else "level with"
    return f"{stone}; the ground now lies {over} the top: dig it all in"


def _banked(plan: Planned, landing: Landing, figures: Figures) -> list[str]:
    """That soil is banked against the edges of a landing of stone, where they stand over the ground."""
    over = stands_m(plan, landing)
    high = figures.small_words(over)
    return [f"Bank soil against its edges, 1 in 2: they stand up to {high} over the ground"] if over > BANKED_M else []


def stands_m(plan: Planned, landing: Landing) -> float:
    """How far the stone of a landing stands over the ground beside it at most; 0 without stone."""
    corners = [point for stone in landing.stone for point in stone.outline_m]
    if not corners:
        return 0.0
    levels = level_at(plan.ground.surface, corners, _REACH_M)
    return max((landing.level_m - float(level) for level in levels if level == level), default=0.0)


def _edge(landing: Landing, flight: Flight) -> list[Point]:
    """The two corners of a landing next to the steps, and the middle between them."""
    dx, dy = flight.direction
    foot = landing.where == "foot"
    along = sorted(landing.outline_m, key=lambda p: (p[0] * dx + p[1] * dy) * (-1.0 if foot else 1.0))
    a, b = along[0], along[1]
    return [a, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), b]
