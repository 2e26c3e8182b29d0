"""The plan in three dimensions, read back from its bytes by the rules of the glTF 2.0 specification."""

from __future__ import annotations

import json
import struct
from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from demo_plans import demo
from lynchet.core.frame import Frame
from lynchet.exports.flat_nets import flat_triangles
from lynchet.exports.gltf import plan_glb
from lynchet.exports.gltf_stays import stays
from lynchet.exports.ground_nets import ground_after, ground_before
from lynchet.exports.solids import prism
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.plan.placed import Placed, placed, placed_steps
from lynchet.project.model import EdgeRule
from random_yards import realistic

TYPES = {5126: np.dtype("<f4"), 5123: np.dtype("<u2"), 5125: np.dtype("<u4")}
TIMBER = ("timber", "tie", "cross-piece", "step timber")
PARTS = {"SCALAR": 1, "VEC3": 3}
YARDS = (3, 4, 7, "side_yard")


@dataclass(frozen=True)
class Read:
    """A file taken apart."""

    head: dict[str, Any]
    data: bytes

    def accessor(self, number: int) -> Any:
        """Its values."""
        accessor = self.head["accessors"][number]
        view = self.head["bufferViews"][accessor["bufferView"]]
        kind, width = TYPES[accessor["componentType"]], PARTS[accessor["type"]]
        start = view["byteOffset"] + accessor.get("byteOffset", 0)
        assert start % kind.itemsize == 0 and start + accessor["count"] * width * kind.itemsize <= len(self.data)
        values = np.frombuffer(self.data, kind, accessor["count"] * width, start)
        return values.reshape(-1, 3) if width == 3 else values

    def mesh(self, number: int) -> tuple[Any, Any]:
        """Points in double precision, triangles."""
        (part,) = self.head["meshes"][number]["primitives"]
        assert part.get("mode", 4) == 4
        points = self.accessor(part["attributes"]["POSITION"]).astype(float)
        return points, self.accessor(part["indices"]).astype(int).reshape(-1, 3)


def _read(data: bytes) -> Read:
    """Header, JSON chunk, binary chunk (chapter "GLB File Format")."""
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON" and size % 4 == 0
    binary, second = struct.unpack_from("<I4s", data, 20 + size)
    assert second == b"BIN\0" and binary % 4 == 0 and 28 + size + binary == len(data)
    head = json.loads(data[20 : 20 + size])
    (buffer,) = head["buffers"]
    assert "uri" not in buffer and 0 <= binary - buffer["byteLength"] < 4
    return Read(head, data[28 + size :])


@pytest.fixture(scope="module", params=YARDS)
def plan(request: pytest.FixtureRequest) -> Plan:
    """Random yards, turned and mirrored, and a demo with plants."""
    return (
        demo(request.param)
        if isinstance(request.param, str)
        else plan_project(realistic(request.param)[0], effort=LIVE)
    )


@pytest.fixture(scope="module")
def file(plan: Plan) -> Read:
    """Its file, read."""
    return _read(plan_glb(plan))


def _moved(file: Read) -> dict[str, Any]:
    """By name, how far a node is moved with all above it."""
    found: dict[str, Any] = {}
    (root,) = file.head["scenes"][0]["nodes"]
    open_ = [(root, np.zeros(3))]
    while open_:
        number, before = open_.pop()
        node = file.head["nodes"][number]
        at = before + np.array(node.get("translation", (0.0, 0.0, 0.0)))
        found[node["name"]] = at
        open_ += [(child, at) for child in node.get("children", ())]
    return found


def _volume(points: Any, triangles: Any) -> float:
    a, b, c = points[triangles].transpose(1, 0, 2)
    return float((a * np.cross(b, c)).sum()) / 6.0


def _skin(points: Any, triangles: Any) -> float:
    a, b, c = points[triangles].transpose(1, 0, 2)
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2.0


def _closed(triangles: Any) -> bool:
    """Every edge is walked once each way."""
    edges = Counter((int(t[i]), int(t[(i + 1) % 3])) for t in triangles for i in range(3))
    return all(count == 1 and edges[b, a] == 1 for (a, b), count in edges.items())


def test_accessors_tell_the_truth(file: Read) -> None:
    """Views lie in the buffer one after another on multiples of four; min and max of positions are those of the
    data; indices name points that are there."""
    end = 0
    for view in file.head["bufferViews"]:
        assert view["byteOffset"] % 4 == 0 and view["byteOffset"] >= end
        end = view["byteOffset"] + view["byteLength"]
    assert end <= file.head["buffers"][0]["byteLength"]
    for mesh in file.head["meshes"]:
        (part,) = mesh["primitives"]
        accessor = file.head["accessors"][part["attributes"]["POSITION"]]
        points, indices = file.accessor(part["attributes"]["POSITION"]), file.accessor(part["indices"])
        assert np.isfinite(points).all()
        assert accessor["min"] == points.min(axis=0).tolist() and accessor["max"] == points.max(axis=0).tolist()
        assert indices.min() >= 0 and indices.max() < len(points) and len(indices) % 3 == 0
        assert indices.max() < (65535 if indices.dtype == np.uint16 else 2**32 - 1)
        assert 0 <= part["material"] < len(file.head["materials"])
    assert len(file.head["accessors"]) == len(file.head["bufferViews"]) == 2 * len(file.head["meshes"])
    for material in file.head["materials"]:
        assert all(0.0 <= part <= 1.0 for part in material["pbrMetallicRoughness"]["baseColorFactor"])


def test_nodes_are_one_tree(file: Read) -> None:
    """One root, every other node the child of exactly one node, every node reached."""
    nodes = file.head["nodes"]
    (root,) = file.head["scenes"][file.head["scene"]]["nodes"]
    parents = Counter(child for node in nodes for child in node.get("children", ()))
    assert set(parents) == set(range(len(nodes))) - {root} and set(parents.values()) == {1}
    assert all(node["children"] for node in nodes if "children" in node)


def test_every_placed_thing_is_a_node_once(plan: Plan, file: Read) -> None:
    """Names and kinds of the nodes are those of the placed things, each once, under their step and their kind."""
    nodes = file.head["nodes"]
    expected = Counter((thing.id, thing.kind) for thing in (*placed(plan), *placed_steps(plan.timber), *stays(plan)))
    found = Counter((node["name"], node["extras"]["kind"]) for node in nodes if "owner" in node.get("extras", {}))
    assert found == expected and set(expected.values()) == {1} and len(expected) > 50
    (root,) = file.head["scenes"][0]["nodes"]
    for step in nodes[root]["children"][1:]:
        for kind in nodes[step]["children"]:
            for thing in nodes[kind]["children"]:
                extras = nodes[thing]["extras"]
                assert extras["step"] == nodes[step]["extras"]["step"] and extras["kind"] == nodes[kind]["name"]
    built: dict[str, set[int]] = {}
    for task in plan.works.tasks:
        for leg in task.legs:
            built.setdefault(leg, set()).add(task.terrace)
    for node in nodes:
        extras = node.get("extras", {})
        if extras.get("kind") == "timber":
            assert extras["step"] in built[extras["owner"]]


def test_bodies_in_three_dimensions_are_as_big_as_the_lists_say(plan: Plan) -> None:
    """Closed bodies: footprint times height for each, and the timber of the list for all of it, to 1e-9."""
    timber = 0.0
    for thing in (*placed(plan), *placed_steps(plan.timber)):
        body = prism(thing, plan.project.frame)
        assert _closed(body.triangles) and len(body.triangles), thing.id
        volume = _volume(body.points - body.points.mean(axis=0), body.triangles)
        assert volume == pytest.approx(thing.volume_m3, rel=1e-9, abs=1e-12), thing.id
        assert volume == pytest.approx(body.volume_m3, rel=1e-9, abs=1e-12)
        timber += volume if thing.kind in TIMBER else 0.0
    assert timber == pytest.approx(plan.timber.volume_m3, rel=1e-9)


def test_bodies_of_the_file_are_as_big_and_lie_where_they_are(plan: Plan, file: Read) -> None:
    """In the file's single precision: skins within 0.3 micrometres, so volumes too; corners and levels, y up."""
    nodes = {node["name"]: node for node in file.head["nodes"] if "owner" in node.get("extras", {})}
    x0, y0 = plan.project.frame.origin_m
    moved = _moved(file)
    for thing in (*placed(plan), *placed_steps(plan.timber)):
        node = nodes[thing.id]
        points, triangles = file.mesh(node["mesh"])
        assert _closed(triangles)
        skin = _skin(points, triangles)
        assert _volume(points, triangles) == pytest.approx(thing.volume_m3, abs=3e-7 * skin), thing.id
        points = points + moved[thing.id]
        back = {(round(x + x0, 4), round(y0 - z, 4)) for x, _, z in points.tolist()}
        own = np.array([plan.project.frame.outward(point) for point in thing.outline_m])
        assert all(np.abs(own - np.array(point)).sum(axis=1).min() < 2e-4 for point in back)
        levels = [level for point in thing.outline_m for level in thing.levels_at(point)]
        assert (points[:, 1].min(), points[:, 1].max()) == pytest.approx((min(levels), max(levels)), abs=2e-6)


def _under(mesh: Any) -> tuple[float, float]:
    """(plan area, volume down to level zero) of a net, anticlockwise triangles counted positive."""
    a, b, c = mesh.points[mesh.triangles].transpose(1, 0, 2)
    area = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    assert (area >= 0).all()
    return float(area.sum()), float((area * (a + b + c)[:, 2]).sum() / 3)


def test_nodes_say_the_day_on_which_they_come(plan: Plan, file: Read) -> None:
    """Every timber, tie, stone, pipe, step and plant names a day of the list at the root, on which a task of its kind
    is at work; of two courses of a wall, the upper never comes before the lower."""
    nodes = file.head["nodes"]
    (root,) = file.head["scenes"][0]["nodes"]
    days = nodes[root]["extras"]["days"]
    assert [day["day"] for day in days] == list(range(1, len(plan.works.days) + 1))
    assert all(day["work"] for day in days)
    numbers = {day["day"] for day in days}
    told = {node["name"]: node["extras"]["day"] for node in nodes if "day" in node.get("extras", {})}
    assert set(told.values()) <= numbers
    stays_on = ("house", "stem", "crown")
    missing = [n["name"] for n in nodes if "owner" in n.get("extras", {}) and n["name"] not in told
               and n["extras"]["kind"] not in (*stays_on, "roof pipe", "soakaway", "cut-off")]  # fmt: skip
    assert missing == []
    for leg in {piece.leg for piece in plan.pieces}:
        for low in (piece for piece in plan.pieces if piece.leg == leg):
            for high in (piece for piece in plan.pieces if piece.leg == leg and piece.course == low.course + 1):
                over = min(max(high.end_m), max(low.end_m)) - max(min(high.start_m), min(low.start_m))
                assert over <= 0.05 or told[high.id] >= told[low.id]


def test_what_stays_is_there_as_closed_bodies() -> None:
    """House and tree of the demo: closed, from the floor to the eaves, from the ground to the top of the crown."""
    plan = demo("l_garden")
    file = _read(plan_glb(plan))
    nodes = {node["name"]: node for node in file.head["nodes"]}
    moved, house, tree = _moved(file), plan.project.houses[0], plan.project.fixed[0]
    points, triangles = file.mesh(nodes["house 1"]["mesh"])
    assert _closed(triangles) and _volume(points, triangles) > 0
    assert float(points[:, 1].max() + moved["house 1"][1]) == pytest.approx(house.floor_m + house.eaves_m, abs=1e-5)
    stem, crown = (file.mesh(nodes[f"{tree.id}/{part}"]["mesh"])[0] for part in ("stem", "crown"))
    foot = float(stem[:, 1].min() + moved[f"{tree.id}/stem"][1])
    top = float(crown[:, 1].max() + moved[f"{tree.id}/crown"][1])
    assert top - foot == pytest.approx(tree.height_m, abs=1e-5)
    across = np.linalg.norm(crown[:, None, ::2] - crown[None, :, ::2], axis=2).max()
    assert float(across) == pytest.approx(tree.crown_m, abs=1e-3)


@pytest.mark.parametrize("seed", [0, 6, 8, 9])
def test_ground_before_less_after_is_cut_less_fill(seed: int) -> None:
    """Without steps: both nets cover the same plan, and the volume between them is cut less fill of all beds."""
    project = replace(realistic(seed)[0], steps=())
    plan = plan_project(project, effort=LIVE)
    assert not plan.terraces.flights and plan.terraces.beds
    before, after = _under(ground_before(plan)), _under(ground_after(plan))
    within = all(plan.ground.surface.polygons[i].is_valid for i in range(len(plan.ground.surface.polygons)))
    assert within and after[0] == pytest.approx(before[0], abs=1e-5)
    net = sum(bed.cut_m3 - bed.fill_m3 for bed in plan.terraces.beds)
    assert before[1] - after[1] == pytest.approx(net, abs=2e-4 + 1e-5 * before[0])


def test_ground_after_leaves_a_hole_under_flights(plan: Plan) -> None:
    """Plan area after is plan area before less the flights, as far as they lie on measured ground."""
    import shapely

    hull = shapely.union_all(plan.ground.surface.polygons)
    flights = [face.polygon for face in plan.terraces.faces if face.kind == "flight"]
    beds = shapely.union_all([bed.polygon for bed in plan.terraces.beds])
    covered = shapely.union(hull, beds).difference(shapely.union_all(flights))
    assert _under(ground_after(plan))[0] == pytest.approx(covered.area, abs=1e-4)


def test_ground_after_is_closed_but_for_timber(plan: Plan) -> None:
    """Wherever the finished ground steps by over 5 mm, looked up on both sides of every edge of its triangles, an
    upright face reaches from the lower level to the higher, or timber of a wall stands there."""
    import shapely

    mesh = ground_after(plan)
    corners = mesh.points[mesh.triangles]
    flat = shapely.polygons(corners[:, :, :2])
    upright = shapely.area(flat) < 1e-9
    lying, faces = corners[~upright], corners[upright]
    tree = shapely.STRtree(flat[~upright])
    upright_lines = np.array([shapely.MultiPoint(face[:, :2]).convex_hull for face in faces], dtype=object)
    walls = [shapely.Polygon([plan.project.frame.outward(p) for p in run.outline_m]) for run in plan.walls.runs]
    timber = shapely.union_all(walls).buffer(0.01)

    def level(beside: Any, point: Any) -> float | None:
        hit = tree.query(shapely.Point(beside), predicate="within")
        if not len(hit):
            return None
        (ax, ay, az), b, c = lying[hit[0]]
        u, v = b - (ax, ay, az), c - (ax, ay, az)
        normal = np.cross(u, v)
        return float(az - (normal[0] * (point[0] - ax) + normal[1] * (point[1] - ay)) / normal[2])

    steps = 0
    for triangle in lying:
        for here, there in zip(triangle, np.roll(triangle, -1, axis=0), strict=True):
            along = (there - here)[:2]
            long = float(np.hypot(*along))
            middle = (here + there)[:2] / 2
            off = np.array([-along[1], along[0]]) / max(long, 1e-9) * 1e-3
            sides = [level(middle + off, middle), level(middle - off, middle)]
            if long < 0.05 or None in sides or abs(sides[0] - sides[1]) < 0.005:
                continue
            if timber.intersects(shapely.Point(middle)):
                continue
            steps += 1
            low, high = sorted(sides)
            near = shapely.dwithin(upright_lines, shapely.Point(middle), 1e-3)
            reached = [z for face in faces[near] for z in _levels_at(face, middle)]
            assert reached and min(reached) < low + 0.003 and max(reached) > high - 0.003, (middle, low, high)
    assert steps or not faces.size


def _levels_at(face: Any, point: Any) -> list[float]:
    """Lowest and highest of an upright triangle at a point in plan."""
    found = []
    for here, there in zip(face, np.roll(face, -1, axis=0), strict=True):
        run = (there - here)[:2]
        long = float(run @ run)
        if long < 1e-12:
            continue
        share = float((point - here[:2]) @ run) / long
        if -1e-6 <= share <= 1 + 1e-6:
            found.append(float(here[2] + share * (there[2] - here[2])))
    return found


def test_a_bank_slopes_one_in_two_between_bed_and_ground() -> None:
    """Outside an edge finished as a bank, the new triangles fall 1 in 2, round a corner in parts of a cone."""
    project = realistic(9)[0]
    project = replace(project, area=replace(project.area, edges=(EdgeRule(0, "bank", width_m=6.0),)))
    plan = plan_project(project, effort=LIVE)
    mesh = ground_after(plan)
    a, b, c = mesh.points[mesh.triangles].transpose(1, 0, 2)
    normal = np.cross(b - a, c - a)
    large = normal[:, 2] > 1e-4
    slope = np.hypot(normal[large, 0], normal[large, 1]) / normal[large, 2]
    before = ground_before(plan)
    pa, pb, pc = before.points[before.triangles].transpose(1, 0, 2)
    other = np.cross(pb - pa, pc - pa)
    natural = np.hypot(other[:, 0], other[:, 1]) / other[:, 2]
    new = [s for s in slope if s > 1e-6 and np.abs(natural - s).min() > 1e-6]
    parts = 0.5 / np.cos(np.radians(10.0))  # a cone in parts of 20 degrees falls 1 in 2 along its edges
    assert new and min(new) == pytest.approx(0.5, abs=1e-6)
    assert max(new) < parts + 1e-6


def test_odd_outlines_still_close() -> None:
    """Hollow, clockwise and doubled corners: the body is closed and of the right size in a mirrored frame too."""
    ell = ((0.0, 0.0), (2.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0))
    for outline in (ell, ell[::-1]):
        for frame in (Frame(), Frame((5.0, -3.0), (0.6, 0.8), True)):
            thing = Placed("x", "stone", "y", outline, 1.0, 1.5, (0.1, -0.05), (1.0, 1.0))
            body = prism(thing, frame)
            assert _closed(body.triangles)
            assert body.volume_m3 == pytest.approx(4.0 * 0.5)
    assert len(prism(Placed("x", "pin", "y", ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)), 0.0, 1.0), Frame()).triangles) == 0


def test_flat_triangles_cover_a_polygon_with_a_hole() -> None:
    """No corner is added, the area is kept, all triangles are anticlockwise."""
    from shapely.geometry import Polygon

    shape = Polygon([(0, 0), (4, 0), (4, 3), (0, 3)], [[(1, 1), (1, 2), (3, 2), (3, 1)]])
    points, triangles = flat_triangles(shape)
    assert sorted(points) == sorted({*shape.exterior.coords, *shape.interiors[0].coords})
    areas = [Polygon([points[i] for i in triangle]) for triangle in triangles]
    assert sum(area.area for area in areas) == pytest.approx(10.0)
    assert all(area.exterior.is_ccw for area in areas)
