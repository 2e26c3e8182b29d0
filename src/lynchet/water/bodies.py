"""Every placed thing of the water stage with plan outline, bottom and top."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist, hypot

from lynchet.water.built import Built
from lynchet.water.model import Body, BodyKind, CutOff, Fabric, Fitting, Outlet, Point, RoofPipe, SoakawayCheck, Stone
from lynchet.water.settings import Settings

_SHORT_M = 1e-4


def pipe_bodies(
    name: str, kind: BodyKind, points: Sequence[Point], inverts: Sequence[float], settings: Settings
) -> list[Body]:
    """One body for each straight part of a pipe, as wide as its outside.

    Args:
        name: id of the pipe.
        kind: what it is.
        points, inverts: its line.
        settings: sizes.
    """
    found = []
    up = settings.outside_m - settings.wall_m
    for i in range(len(points) - 1):
        a, b = points[i], points[i + 1]
        if dist(a, b) < _SHORT_M:
            continue
        ya, yb = inverts[i], inverts[i + 1]
        found.append(
            Body(
                f"{name}/{i + 1}", kind, name, along(a, b, settings.radius_m), a, b, ya - settings.wall_m,
                yb - settings.wall_m, ya + up, yb + up,
            )
        )  # fmt: skip
    return found


def along(a: Point, b: Point, half_m: float) -> tuple[Point, ...]:
    """Rectangle round a line, anticlockwise."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    nx, ny = -(b[1] - a[1]) / length * half_m, (b[0] - a[0]) / length * half_m
    return (a[0] - nx, a[1] - ny), (b[0] - nx, b[1] - ny), (b[0] + nx, b[1] + ny), (a[0] + nx, a[1] + ny)


def _square(point: Point, half_m: float) -> tuple[Point, ...]:
    x, y = point
    return (x - half_m, y - half_m), (x + half_m, y - half_m), (x + half_m, y + half_m), (x - half_m, y + half_m)


def _level(name: str, kind: BodyKind, part_of: str, outline: tuple[Point, ...], low: float, high: float) -> Body:
    return Body(name, kind, part_of, outline, outline[0], outline[0], low, low, high, high)


def net_bodies(built: Built, fittings: Sequence[Fitting], settings: Settings) -> list[Body]:
    """Pipes, cleanouts and outlets of the net. Bends and branches lie on the pipes and are not counted twice."""
    found: list[Body] = []
    for drain in built.drains:
        found += pipe_bodies(drain.id, "drain pipe", drain.points_m, drain.inverts_m, settings)
    for solid in built.solids:
        found += pipe_bodies(solid.id, "solid pipe", solid.points_m, solid.inverts_m, settings)
    for fitting in fittings:
        if fitting.kind == "cleanout":
            outline = _square(fitting.point_m, settings.radius_m)
            found.append(
                _level(fitting.id, "fitting", fitting.drain, outline, fitting.invert_m + settings.bore_m, fitting.top_m)
            )
    return [*found, *apron_bodies(built.outlets)]


def apron_bodies(outlets: Sequence[Outlet]) -> list[Body]:
    """The stone where outlets pour."""
    return [
        _level(one.id, "outlet", one.id, one.apron_m, one.ground_m - 0.1, min(one.ground_m, one.invert_m))
        for one in outlets
        if one.apron_m
    ]


def stone_bodies(stones: Sequence[Stone], fabrics: Sequence[Fabric]) -> list[Body]:
    """Stone and fabric."""
    found = [
        Body(
            s.id, "stone", s.chain, s.outline_m, s.start_m, s.end_m, s.bottom_m, s.bottom_m, s.top_start_m, s.top_end_m
        )
        for s in stones
    ]
    return found + [_level(f.id, "fabric", f.chain, f.outline_m, f.bottom_m, f.top_m) for f in fabrics]


def other_bodies(
    roofs: Sequence[RoofPipe], cut_offs: Sequence[CutOff], pits: Sequence[SoakawayCheck], settings: Settings
) -> list[Body]:
    """Roof pipes, cut-off drains with their stone, and the soakaways that take water."""
    found: list[Body] = []
    for roof in roofs:
        found += pipe_bodies(roof.id, "roof pipe", roof.points_m, roof.inverts_m, settings)
    for drain in cut_offs:
        found += pipe_bodies(drain.id, "cut-off", drain.points_m, drain.inverts_m, settings)
        found += [Body(part.id, "cut-off stone", drain.id, part.outline_m, part.start_m, part.end_m,
                       part.bottom_start_m, part.bottom_end_m, part.top_start_m, part.top_end_m)
                  for part in drain.stone]  # fmt: skip
    found += [_level(f"soakaway/{p.name}", "soakaway", p.name, p.outline_m, p.bottom_m, p.top_m)
              for p in pits if p.drains]  # fmt: skip
    return found
