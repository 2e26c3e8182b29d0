"""Cut and fill from triangle nets: against a finished level or plane, and between old and new ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Len
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import XY, Whole
from lynchet.ground.net_faults import NetKeys, checked_boundary, checked_net
from lynchet.ground.net_overlay import cut_fill_area, integrals, outline_triangles, overlay
from lynchet.ground.outlines import area_and_centroid

Array = NDArray[np.float64]
XYZ = Annotated[list[float], Len(3, 3)]
Triple = Annotated[list[Whole], Len(3, 3)]


@dataclass(frozen=True)
class FormationPlane:
    """A sloping finished level: level_m + x_slope x + y_slope y, x and y as in the points."""

    level_m: float
    x_slope: float
    y_slope: float


@dataclass(frozen=True)
class TinVolume:
    """Cut and fill against a finished level."""

    cut_m3: float
    fill_m3: float
    net_m3: float
    plan_area_m2: float
    triangles: int


@dataclass(frozen=True)
class TinBetween:
    """Cut and fill between two surfaces."""

    cut_m3: float
    fill_m3: float
    net_m3: float
    plan_area_m2: float


def net_cut_fill(corners: Array, outline: Array | None = None) -> tuple[float, float, float, float]:
    """Cut, fill, net and plan area of triangles whose last value is the depth, ground less formation.

    Args:
        corners: (n, 3, 3) x, y, depth, anticlockwise, near the origin.
        outline: (m, 2) simple outline to clip to.
    """
    pieces = corners
    if outline is not None:
        pieces, _ = overlay(corners, outline_triangles(outline))
    return cut_fill_area(pieces)


def between_pieces(existing: Array, proposed: Array, outline: Array | None = None) -> Array:
    """Pieces on which both surfaces are plane, with the depth existing - proposed as last value.

    Args:
        existing: (n, 3, 3) triangles of x, y, level, anticlockwise, near the origin.
        proposed: (m, 3, 3) likewise.
        outline: (k, 2) simple outline to clip to.
    """
    pieces = existing
    if outline is not None:
        pieces, _ = overlay(existing, outline_triangles(outline))
    pieces, theirs = overlay(pieces, proposed)
    levels = _levels(proposed[theirs], pieces[..., :2])
    depth = pieces.copy()
    depth[..., 2] -= levels
    return depth


def _levels(triangles: Array, places: Array) -> Array:
    """Levels of the planes of (n, 3, 3) triangles at (n, m, 2) places within them."""
    a, b, c = (triangles[:, None, corner] for corner in range(3))
    across = [b[..., axis] - a[..., axis] for axis in range(3)], [c[..., axis] - a[..., axis] for axis in range(3)]
    (bx, by, bz), (cx, cy, cz) = across
    x, y = places[..., 0] - a[..., 0], places[..., 1] - a[..., 1]
    twice = bx * cy - by * cx
    level = a[..., 2] + ((x * cy - y * cx) * bz + (y * bx - x * by) * cz) / twice
    # a place within the triangle has a level between its corners', whatever rounding does on a thin one
    return np.asarray(np.clip(level, triangles[..., 2].min(axis=1)[:, None], triangles[..., 2].max(axis=1)[:, None]))


def _volume_steps(given: Mapping[str, Any], result: TinVolume | TinBetween) -> list[Step]:
    how = "the depth is linear on each piece, split along its zero line and integrated"
    return [
        Step("plan area", "sum of the pieces", result.plan_area_m2, "m2"),
        Step("cut", how, result.cut_m3, "m3"),
        Step("fill", how, result.fill_m3, "m3"),
        Step("net", f"{result.cut_m3:.6g} - {result.fill_m3:.6g}", result.net_m3, "m3"),
    ]


@calculator(
    source="Exact integration of plane triangles split along their zero lines",
    known="DERIVED",
    example={
        "points": [[0.0, 0.0, 2.0], [6.0, 0.0, 2.4], [6.0, 4.0, 3.1], [0.0, 4.0, 2.6]],
        "formation_m": 2.5,
        "break_lines": [[0, 2]],
    },
    working=_volume_steps,
)
def tin_volume(
    *,
    points: list[XYZ],
    formation_m: float | None = None,
    formation_plane: FormationPlane | None = None,
    triangles: list[Triple] | None = None,
    break_lines: list[list[Whole]] | None = None,
    boundary: list[XY] | None = None,
) -> TinVolume:
    """Cut and fill between a triangle net of levels and a finished level or plane.

    Equation: depth = level - formation at the corners, linear between; cut, the integral of its positive part, fill of
    its negative part, over each triangle, within the boundary when given.

    Symbols: points, x, y, level; triangles, three point numbers each, 0 the first; break_lines, point numbers along the
    foot and head of banks, walls and ditches, which become edges; boundary, a simple outline in plan.

    Limits: without triangles a Delaunay net over the convex outline, held to the break lines. Where four points lie on
    a circle either diagonal is a proper net: give the triangles or a break line where it matters. The plane counts from
    the origin of the points.
    """
    sources = (formation_m is not None) + (formation_plane is not None)
    refuse_if(sources != 1, "formation", f"{sources} found", "formation_m or formation_plane, one of them")
    plane = formation_plane or FormationPlane(formation_m or 0.0, 0.0, 0.0)
    ground = np.array(points, dtype=float).reshape(-1, 3)
    origin = ground[0, :2].copy() if len(ground) else np.zeros(2)
    formation = plane.level_m + plane.x_slope * ground[:, 0] + plane.y_slope * ground[:, 1]
    local = np.column_stack([ground[:, :2] - origin, ground[:, 2] - formation])
    net = checked_net(local, triangles, break_lines, NetKeys())
    outline = None if boundary is None else checked_boundary(boundary, origin)
    cut, fill, both, area = net_cut_fill(local[net], outline)
    if outline is not None:
        _refuse_uncovered(area, outline, "the net")
    return TinVolume(cut, fill, both, area, len(net))


def _refuse_uncovered(covered: float, outline: Array, by: str) -> None:
    """Refuse an outline of which more than a millionth is not covered."""
    whole = abs(area_and_centroid(outline)[0])
    out = covered < whole * (1.0 - 1e-6)
    refuse_if(out, "boundary", f"{whole - covered:.4g} of {whole:.4g} m2 outside {by}", "an outline within the points")


@calculator(
    source="Exact integration on the overlay of two triangle nets",
    known="DERIVED",
    example={
        "existing_points": [[0.0, 0.0, 2.0], [6.0, 0.0, 2.4], [6.0, 4.0, 3.1], [0.0, 4.0, 2.6]],
        "proposed_points": [[1.0, 1.0, 2.4], [5.0, 1.0, 2.4], [5.0, 3.0, 2.4], [1.0, 3.0, 2.4]],
    },
    working=_volume_steps,
)
def tin_between(
    *,
    existing_points: list[XYZ],
    proposed_points: list[XYZ],
    existing_triangles: list[Triple] | None = None,
    existing_break_lines: list[list[Whole]] | None = None,
    proposed_triangles: list[Triple] | None = None,
    proposed_break_lines: list[list[Whole]] | None = None,
    boundary: list[XY] | None = None,
) -> TinBetween:
    """Cut and fill between the ground as it is and as it will be, both as triangle nets.

    Equation: every existing triangle is cut with every proposed one; depth = existing - proposed is linear on each
    piece, which is split along its zero line and integrated: exact.

    Symbols: points, triangles, break lines and boundary as for one net.

    Limits: without a boundary the ground both nets cover; a boundary must be covered by both.
    """
    old, new = (np.array(given, dtype=float).reshape(-1, 3) for given in (existing_points, proposed_points))
    origin = old[0, :2].copy() if len(old) else np.zeros(2)
    old[:, :2] -= origin
    new[:, :2] -= origin
    old_keys, new_keys = (
        NetKeys(f"{side}_points", f"{side}_triangles", f"{side}_break_lines") for side in ("existing", "proposed")
    )
    old_net = checked_net(old, existing_triangles, existing_break_lines, old_keys)
    new_net = checked_net(new, proposed_triangles, proposed_break_lines, new_keys)
    outline = None if boundary is None else checked_boundary(boundary, origin)
    pieces = between_pieces(old[old_net], new[new_net], outline)
    shared = float(integrals(pieces)[0].sum())
    if outline is not None:
        _refuse_uncovered(shared, outline, "one of the nets")
    refuse_if(outline is None and shared <= 1e-6, "proposed_points", "no ground both nets share", "nets that overlap")
    return TinBetween(*cut_fill_area(pieces))
