"""What is seen of bodies in a picture agrees with rays cast at random, whatever the bodies are and however turned."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest
import shapely

from lynchet.drawings.axo_camera import Camera, FromEye, Parallel
from lynchet.drawings.axo_faces import Face, Plane, Upright, all_upright_faces, lines_of, newell, upright_faces
from lynchet.drawings.axo_visible import Seen, picture_of, seen_of

RAYS = 400
EDGE = 2e-3
"""Rays nearer than this to an edge in the picture prove nothing: rounding decides there."""


def _blocks(seed: int, count: int = 9) -> list[Face]:
    """Upright boxes turned at random, many going through one another, some with sloping tops."""
    chance = np.random.default_rng(seed)
    faces: list[Face] = []
    for n in range(count):
        x, y = chance.uniform(-2, 2, 2)
        half, turn = chance.uniform(0.2, 1.2, 2), chance.uniform(0, 180)
        shape = shapely.affinity.rotate(shapely.box(x - half[0], y - half[1], x + half[0], y + half[1]), turn)
        low, high = sorted(chance.uniform(0, 2, 2))
        slope = chance.uniform(-0.2, 0.2, 2) if n % 3 == 0 else (0.0, 0.0)
        top: Plane = (slope[0], slope[1], high + 0.6 - slope[0] * x - slope[1] * y)
        faces += upright_faces(Upright(f"b{n}", shape, (0.0, 0.0, low - 0.6), top))
    return faces


def _cast(faces: list[Face], camera: Camera, at: np.ndarray) -> tuple[int, float]:
    """Which face a ray meets first (-1: none), and how far the ray is from any edge, by going through all of them.

    An own method: the ray is a line in space, met with the plane of each face; inside or not is told in space, in two
    coordinates of the plane itself.
    """
    start, way = _ray(camera, at)
    best, found, edge = np.inf, -1, np.inf
    for n, face in enumerate(faces):
        ring = face.rings[0]
        out = newell(ring)
        against = float(out @ way)
        if abs(against) < 1e-9:
            continue
        reach = float(out @ (ring[0] - start)) / against
        spot = start + reach * way
        axis = int(np.argmax(np.abs(out)))
        keep = [k for k in range(3) if k != axis]
        flat = shapely.Polygon(ring[:, keep])
        point = shapely.Point(spot[keep])
        edge = min(edge, point.distance(flat.exterior))
        if reach > 1e-6 and flat.contains(point) and reach < best:
            best, found = reach, n
    return (found if found < 0 or float(newell(faces[found].rings[0]) @ way) < 0 else -2), edge


def _ray(camera: Camera, at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    if isinstance(camera, Parallel):
        return at[0] * camera.right + at[1] * camera.up + 50.0 * camera.toward, -camera.toward
    assert isinstance(camera, FromEye)
    return camera.eye, camera.ahead + (at[0] * camera.right + at[1] * camera.up) / camera.size


def _cameras() -> list[Camera]:
    found: list[Camera] = [Parallel.from_side((cos(radians(a)), sin(radians(a))), 38.0) for a in (20.0, 145.0, 260.0)]
    return [*found, FromEye.looking((-9.0, 1.0, 1.5), (1.0, -0.1)), FromEye.looking((1.0, 8.0, 3.0), (-0.2, -1.0))]


def _named(seen: list[Seen], at: np.ndarray) -> list[int]:
    point = shapely.Point(at)
    return [id(one.face) for one in seen if one.shape.contains(point)]


@pytest.mark.parametrize(("seed", "compiled"), [*((seed, True) for seed in range(4)), (0, False)])
def test_seen_parts_agree_with_rays(seed: int, compiled: bool) -> None:
    """At random points of the picture exactly the face is seen that a ray meets first, from five sides and through an
    eye; the bodies go through one another."""
    faces = _blocks(seed)
    chance, told = np.random.default_rng(seed + 100), 0
    for camera in _cameras():
        same = 2e-5 if isinstance(camera, Parallel) else 1e-7
        seen = list(picture_of(faces, camera, same, compiled=compiled).seen)
        left, low, right, high = shapely.total_bounds([one.shape for one in seen])
        for at in chance.uniform((left, low), (right, high), (RAYS // 10, 2)):
            first, edge = _cast(faces, camera, at)
            if edge < EDGE or first == -2:
                continue
            told += 1
            assert _named(seen, at) == ([id(faces[first])] if first >= 0 else [])
    assert told > 60


@pytest.mark.parametrize("seed", range(4))
def test_seen_parts_never_overlap(seed: int) -> None:
    """What is seen of two faces never overlaps, and all of it together is the outline of the bodies."""
    faces = _blocks(seed)
    for camera in _cameras():
        same = 2e-5 if isinstance(camera, Parallel) else 1e-7
        seen = seen_of(faces, camera, same)
        shapes = [one.shape for one in seen]
        whole = shapely.union_all(shapes)
        assert sum(shape.area for shape in shapes) == pytest.approx(whole.area, abs=2e-4 * whole.area)
        outline = shapely.union_all([shapely.Polygon(camera.project(face.rings[0])[:, :2]).buffer(0) for face in faces])
        assert whole.symmetric_difference(outline).area < 2e-3 * outline.area


@pytest.mark.parametrize("seed", range(4))
def test_by_cells_and_by_overlaps_the_same_is_seen(seed: int) -> None:
    """The cells of a net and polygons taken from one another give the same parts of faces and of groups of them, but
    for strips along the lines on which faces go through one another, where both are in one place."""
    faces = _blocks(seed, 14)
    groups = [face.body if face.side == "side" else n for n, face in enumerate(faces)]
    for camera in _cameras()[1:4]:
        same = 2e-5 if isinstance(camera, Parallel) else 1e-7
        for own in ((), groups):
            one, two = (picture_of(faces, camera, same, own, compiled=way) for way in (True, False))
            shapes = [{id(part.face): part.shape for part in way.seen} for way in (one, two)]
            off = whole = 0.0
            for face in shapes[0].keys() | shapes[1].keys():
                first, second = (way.get(face, shapely.Polygon()) for way in shapes)
                off, whole = off + first.symmetric_difference(second).area, whole + first.area
            assert off < 2e-4 * whole


@pytest.mark.parametrize("by_deg", [37.0, 90.0, 213.0])
def test_turning_all_turns_nothing(by_deg: float) -> None:
    """Bodies and viewer turned together give the same picture."""
    faces = _blocks(3)
    c, s = cos(radians(by_deg)), sin(radians(by_deg))
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    turned = [Face(tuple(ring @ turn.T for ring in face.rings), face.body, face.side, face.rank) for face in faces]
    way = (0.3, -0.9)
    one = seen_of(faces, Parallel.from_side(way, 38.0))
    two = seen_of(turned, Parallel.from_side((way[0] * c - way[1] * s, way[0] * s + way[1] * c), 38.0))
    assert [a.face.body for a in one] == [b.face.body for b in two]
    for a, b in zip(one, two, strict=True):
        assert a.shape.symmetric_difference(b.shape).area < 1e-6


def test_mirrored_frame_shows_the_yard_as_it_is() -> None:
    """Bodies kept in a frame of the other hand look as the bodies themselves do."""
    faces = _blocks(5)
    flip = np.array([1.0, -1.0, 1.0])
    kept = [Face(tuple((ring * flip)[::-1] for ring in face.rings), face.body, face.side, face.rank) for face in faces]
    one = seen_of(faces, Parallel.from_side((0.4, -0.8), 38.0))
    two = seen_of(kept, Parallel.from_side((0.4, 0.8), 38.0, mirrored=True))
    areas = {}
    for sign, seen in ((1.0, one), (-1.0, two)):
        for part in seen:
            areas[part.face.body] = areas.get(part.face.body, 0.0) + sign * part.shape.area
    assert max(abs(area) for area in areas.values()) < 1e-6
    assert shapely.union_all([a.shape for a in one]).symmetric_difference(
        shapely.union_all([b.shape for b in two])
    ).area < 1e-6  # fmt: skip


def test_of_two_in_one_place_the_higher_rank_is_seen() -> None:
    """Two faces in one plane: the one of higher rank is seen whole, the other where it is alone."""
    wide = upright_faces(Upright("wide", shapely.box(0, 0, 4, 1), (0, 0, 0), (0, 0, 1), 0))
    inner = upright_faces(Upright("inner", shapely.box(1, 0, 2, 1), (0, 0, 0), (0, 0, 1), 5))
    seen = seen_of([*wide, *inner], Parallel.from_side((0.0, -1.0), 30.0))
    area = {body: sum(one.shape.area for one in seen if one.face.body == body) for body in ("wide", "inner")}
    assert area["inner"] == pytest.approx(area["wide"] / 3.0, rel=1e-6)


def test_faces_of_many_bodies_are_those_of_each() -> None:
    """Bodies with holes, of several parts, run either way round, cut or not: closed, turned outward, as each alone."""
    ring = shapely.box(0, 0, 4, 3) - shapely.box(1, 1, 2, 2)
    two = shapely.union_all([shapely.box(5, 0, 6, 1), shapely.box(7, 0, 8, 2)])
    shapes = [ring, two, shapely.box(0, 4, 1, 5).reverse(), shapely.Polygon()]
    bodies = [Upright(f"b{n}", shape, (0, 0, 0), (0.1, 0, 1.0), n) for n, shape in enumerate(shapes)]
    cut = lines_of([(0.0, -1.0), (0.0, 9.0)])
    for given in (None, cut):
        found = all_upright_faces(bodies, given)
        for body, shape, own in zip(bodies, shapes, found, strict=True):
            tops, sides = ([face for face in own if (face.side == "top") == top] for top in (True, False))
            # A ring's first corner comes once more at its end.
            rings = shapely.get_rings(shapely.get_parts(shape))
            assert len(tops) == (0 if shape.is_empty else len(shapely.get_parts(shape)))
            assert len(sides) == shapely.get_num_coordinates(rings).sum() - len(rings)
            for face in own:
                assert (face.body, face.rank) == (body.body, body.rank)
                assert np.allclose(face.outward(), newell(face.rings[0]), atol=1e-9)
            for face in sides:
                middle = shapely.Point(*(face.rings[0].mean(axis=0) + 1e-3 * face.outward())[:2])
                assert not shape.contains(middle)
                on = given is not None and np.abs(face.rings[0][:, 0]).max() < 1e-9
                assert face.side == ("cut" if on else "side")
            assert sum(shapely.Polygon(f.rings[0], f.rings[1:]).area for f in tops) == pytest.approx(shape.area)
        alone = [upright_faces(body, given) for body in bodies]
        assert [[(f.side, f.rings[0].tolist()) for f in own] for own in alone] == [
            [(f.side, f.rings[0].tolist()) for f in own] for own in found
        ]
