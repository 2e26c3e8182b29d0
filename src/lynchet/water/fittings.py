"""Bends, branches, caps, cleanouts and screens of a net, counted from its turns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import acos, degrees, dist, hypot
from typing import Any

from lynchet.water.beside import CutOff, RoofPipe
from lynchet.water.built import Built
from lynchet.water.model import Chain, Drain, Fitting, FittingKind, Point, SolidPipe
from lynchet.water.settings import Settings

_KINK = 0.20
"""A change of fall of more than this needs bends of its own. PRACTICE."""


def fittings_of(
    built: Built, chains: dict[str, Chain], settings: Settings, clear: Callable[[Fitting], bool]
) -> tuple[Fitting, ...]:
    """Every fitting, by drain.

    Args:
        built: the pipes.
        chains: by id, for the level of the ground over a cleanout.
        settings: sizes.
        clear: whether a cleanout comes up clear of timber; else, or where it would come up through the pipe of another
            drain, it stands at the next node down the drain that is clear.
    """
    found: list[Fitting] = []
    pipes = _Pipes(built)

    def comes_up(cleanout: Fitting) -> bool:
        return clear(cleanout) and not pipes.meet(cleanout, settings)

    for drain in built.drains:
        chain = chains[drain.chain]
        found += _bends(drain.id, drain.points_m, drain.inverts_m, settings)
        for fitting in _ends(drain, chain, settings, comes_up):
            if fitting.kind != "cleanout" or _apart(fitting, found, settings):
                found.append(fitting)
    for solid in built.solids:
        found += _bends(solid.drain, solid.points_m, solid.inverts_m, settings, "out.")
        at, level = solid.points_m[0], solid.inverts_m[0]
        drain = next(d for d in built.drains if d.id == solid.drain)
        at_end = drain.sink in (0, len(drain.nodes) - 1)
        kind: FittingKind = "bend 90" if at_end else "tee"
        found.append(_made(f"{drain.id}/sink", kind, drain.id, at, level, settings))
        if not solid.into.endswith("/outlet"):
            end = solid.points_m[-1], solid.inverts_m[-1]
            found.append(_made(f"{drain.id}/wye", "wye", drain.id, *end, settings))
    for outlet in built.outlets:
        if outlet.kind != "soakaway":
            name = outlet.id.removesuffix("/outlet")
            found.append(_made(f"{name}/screen", "screen", name, outlet.point_m, outlet.invert_m, settings))
    return tuple(found)


def led_away_fittings(roofs: Sequence[RoofPipe], cut_offs: Sequence[CutOff], settings: Settings) -> tuple[Fitting, ...]:
    """Bends of the pipes of roofs and springs, a cap on the upper end of pipe with holes, a screen at every mouth.

    Args:
        roofs: pipes of roofs.
        cut_offs: drains above the walls, from their upper ends down.
        settings: sizes.
    """
    found: list[Fitting] = []
    for cut in cut_offs:
        found.append(_made(f"{cut.id}/cap.1", "cap", cut.id, cut.points_m[0], cut.inverts_m[0], settings))
    pipes: tuple[RoofPipe | CutOff, ...] = (*cut_offs, *roofs)
    for pipe in pipes:
        found += _bends(pipe.id, pipe.points_m, pipe.inverts_m, settings)
        end = pipe.points_m[-1], pipe.inverts_m[-1]
        found.append(_made(f"{pipe.id}/screen", "screen", pipe.id, *end, settings))
    return tuple(found)


class _Pipes:
    """All straight parts of a net's pipes."""

    def __init__(self, built: Built) -> None:
        import numpy as np
        import shapely

        pipes: list[tuple[set[str], Drain | SolidPipe]] = [({drain.id}, drain) for drain in built.drains]
        pipes += [({solid.drain, solid.into}, solid) for solid in built.solids]
        self._owners = [mine for mine, pipe in pipes for _ in pipe.points_m[1:]]
        ends = [(pipe.points_m[i], pipe.points_m[i + 1]) for _, pipe in pipes for i in range(len(pipe.points_m) - 1)]
        self._levels = [sorted(pipe.inverts_m[i : i + 2]) for _, pipe in pipes for i in range(len(pipe.points_m) - 1)]
        self._lines = shapely.linestrings(np.array(ends).reshape(-1, 2, 2))

    def meet(self, cleanout: Fitting, settings: Settings) -> bool:
        """Whether a cleanout would come up through a pipe that its drain is not joined to."""
        import shapely

        reach = settings.radius_m * (1.0 + 2**0.5) + settings.clear_m / 10
        near: Any = shapely.dwithin(self._lines, shapely.points(cleanout.point_m), reach)
        low, high = cleanout.invert_m + settings.bore_m, cleanout.top_m
        return any(
            cleanout.drain not in self._owners[i]
            and self._levels[i][0] - settings.wall_m < high
            and self._levels[i][1] + settings.outside_m - settings.wall_m > low
            for i in near.nonzero()[0]
        )


def _apart(cleanout: Fitting, found: list[Fitting], settings: Settings) -> bool:
    """Whether a cleanout stands clear of those there are; where two drains part in little room one serves both."""
    near = settings.outside_m + settings.clear_m
    return all(f.kind != "cleanout" or dist(f.point_m, cleanout.point_m) > near for f in found)


def _made(name: str, kind: FittingKind, drain: str, point: Point, invert: float, settings: Settings) -> Fitting:
    return Fitting(name, kind, drain, point, invert, invert + settings.outside_m - settings.wall_m)


def _bends(
    drain: str, points: tuple[Point, ...], inverts: tuple[float, ...], settings: Settings, prefix: str = ""
) -> list[Fitting]:
    found: list[Fitting] = []
    for i in range(1, len(points) - 1):
        for kind in (*_turn(points[i - 1], points[i], points[i + 1]), *_kink(points, inverts, i)):
            name = f"{drain}/{prefix}bend.{len(found) + 1}"
            found.append(_made(name, kind, drain, points[i], inverts[i], settings))
    return found


def _turn(a: Point, b: Point, c: Point) -> tuple[FittingKind, ...]:
    """Bends for a turn in plan: none under 12 degrees, then 22, 45, 90, and two over 112."""
    u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    size = hypot(*u) * hypot(*v)
    if size < 1e-12:
        return ()
    angle = degrees(acos(max(-1.0, min(1.0, (u[0] * v[0] + u[1] * v[1]) / size))))
    if angle < 12.0:
        return ()
    if angle > 112.0:
        return ("bend 90", "bend 45")
    return ("bend 22" if angle < 34.0 else "bend 45" if angle < 68.0 else "bend 90",)


def _kink(points: tuple[Point, ...], inverts: tuple[float, ...], i: int) -> tuple[FittingKind, ...]:
    before, after = dist(points[i - 1], points[i]), dist(points[i], points[i + 1])
    if min(before, after) < 1e-6:
        return ()
    change = abs((inverts[i] - inverts[i - 1]) / before - (inverts[i + 1] - inverts[i]) / after)
    return ("bend 22" if change < 0.6 else "bend 45",) if change > _KINK else ()


def _ends(drain: Drain, chain: Chain, settings: Settings, clear: Callable[[Fitting], bool]) -> list[Fitting]:
    """A cap and a cleanout at each upper end, and a cleanout each so many metres between."""
    found: list[Fitting] = []
    last = len(drain.nodes) - 1
    for number, end in enumerate(i for i in (0, last) if i != drain.sink):
        found.append(_made(f"{drain.id}/cap.{number + 1}", "cap", drain.id, drain.points_m[end], drain.inverts_m[end],
                           settings))  # fmt: skip
        along = 0.0
        places = [end]
        step = 1 if end < drain.sink else -1
        for i in range(end, drain.sink, step):
            along += dist(drain.points_m[i], drain.points_m[i + step])
            if along >= settings.cleanout_m and i + step != drain.sink:
                places.append(i + step)
                along = 0.0
        for place in places:
            name = f"{drain.id}/cleanout.{len([f for f in found if f.kind == 'cleanout']) + 1}"
            made = (_cleanout(name, drain, chain, i) for i in range(place, drain.sink, step))
            free = next((fitting for fitting in made if clear(fitting)), None)
            found += [] if free is None else [free]
    return found


def _cleanout(name: str, drain: Drain, chain: Chain, place: int) -> Fitting:
    surface = chain.nodes[drain.nodes[place]].surface_m
    return Fitting(name, "cleanout", drain.id, drain.points_m[place], drain.inverts_m[place], surface)
