"""``plan.glb``: the plan in three dimensions as glTF 2.0 (binary), every placed thing a node of its own id.

A step is a box seen through, its timbers are its children.

Facts used (Khronos glTF 2.0 specification): metres, y up, anticlockwise front faces; a scene is a strict tree; accessor
``min`` and ``max`` are required for positions; without normals a viewer shades flat; base colours are linear; binary
layout of chapter "GLB File Format". Axes: x = the file's x, z = minus the file's y, y = level. The scene's zero is the
first corner of the area's outline at level zero, so that single-precision numbers stay exact to a micrometre.
"""

from __future__ import annotations

import json
import struct
from importlib.metadata import version
from typing import Any

import numpy as np

from lynchet.drawings.roles import colour
from lynchet.drawings.stamp import stop_words
from lynchet.exports.gltf_stays import stays
from lynchet.exports.ground_nets import ground_after, ground_before
from lynchet.exports.solids import Mesh, prism
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.building_steps import WHOLE_SITE, BuildingSteps
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed, placed, placed_steps
from lynchet.works.model import Day

_ROLES = {
    "timber": "timber", "tie": "timber", "cross-piece": "timber", "step timber": "timber", "plant": "plant",
    "step": "fill",
    "stone": "stone", "stone bed": "stone", "fabric": "fill", "drain pipe": "water", "solid pipe": "water",
    "roof pipe": "water", "cut-off": "water", "fitting": "water", "outlet": "water", "soakaway": "water tone",
    "cut-off stone": "stone", "weep hole": "water",
    "ground before": "earth", "ground after": "planted", "house": "barrow", "stem": "bed", "crown": "plant",
}  # fmt: skip
"""Colour role by kind; steel and anything new is ``mid``."""
_SEEN_THROUGH = {
    "ground before": 0.35,
    "step": 0.25,
    "fabric": 0.5,
    "plant": 0.6,
    "crown": 0.6,
    "stone": 0.6,
    "cut-off stone": 0.6,
    "soakaway": 0.6,
}
_FLOAT, _UINT16, _UINT32 = 5126, 5123, 5125
_POINTS, _INDICES = 34962, 34963
"""Targets of buffer views."""


def plan_glb(plan: Plan) -> bytes:
    """The file: ground before and after, what stays, then for every building step its things by kind.

    A plan with a stop says so in the name of its root and in what is told of the file. The root's extras list the days
    of the work; every placed thing says the day on which it comes.
    """
    writer = _Writer(plan)
    ground = [writer.ground("ground before", ground_before(plan)), writer.ground("ground after", ground_after(plan))]
    children = [writer.node({"name": "ground", "children": ground})]
    staying: dict[str, list[int]] = {}
    for thing in stays(plan):
        staying.setdefault(thing.kind, []).append(writer.thing(thing, WHOLE_SITE))
    if staying:
        kinds_there = [writer.node({"name": kind, "children": bodies}) for kind, bodies in staying.items()]
        children.append(writer.node({"name": "what stays", "children": kinds_there, "extras": {"step": WHOLE_SITE}}))
    steps = BuildingSteps(plan)
    for timber in placed_steps(plan.timber):
        writer.inside.setdefault(timber.id.rpartition("/")[0], []).append(timber)
    by_step: dict[int, dict[str, list[Placed]]] = {}
    for thing in placed(plan):
        by_step.setdefault(steps.of(thing), {}).setdefault(thing.kind, []).append(thing)
    for step, kinds in sorted(by_step.items()):
        groups = [
            writer.node({"name": kind, "children": [writer.thing(thing, step) for thing in things]})
            for kind, things in kinds.items()
        ]
        name = "whole site" if step == WHOLE_SITE else f"terrace {step}"
        if step > steps.highest:
            name = f"above terrace {steps.highest}"
        children.append(writer.node({"name": name, "children": groups, "extras": {"step": step}}))
    extras = {"days": [_day(day) for day in plan.works.days]}
    stop, name = stop_words(plan), plan.project.name or "Plan"
    root = writer.node({"name": f"{name} ({stop})" if stop else name, "children": children, "extras": extras})
    return writer.file(root, {"stop": stop} if stop else {})


def _day(day: Day) -> dict[str, Any]:
    """A day in words."""
    return {"day": day.number, "date": day.date, "work": list(dict.fromkeys(step.words for step in day.steps))}


class _Writer:
    """Collects nodes, meshes, materials and the buffer."""

    def __init__(self, plan: Plan) -> None:
        self.frame = plan.project.frame
        self._days = BuildingDays(plan)
        self.zero = np.array([*self.frame.origin_m, 0.0])
        self.nodes: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.views: list[dict[str, Any]] = []
        self.data = bytearray()
        self.inside: dict[str, list[Placed]] = {}
        """Timbers by the step in whose box they lie."""
        self._same: dict[tuple[str, bytes], int] = {}
        self._material: dict[str, int] = {}

    def node(self, node: dict[str, Any]) -> int:
        """A node's number."""
        self.nodes.append(node)
        return len(self.nodes) - 1

    def thing(self, thing: Placed, step: int, about: Any = None) -> int:
        """A placed thing about a point (None: the scene's zero), what lies in it its children; shapes share meshes."""
        mesh = prism(thing, self.frame)
        at = mesh.points[0]
        local = _y_up(mesh.points - at)
        extras: dict[str, Any] = {"kind": thing.kind, "owner": thing.owner, "step": step}
        day = self._day_of(thing)
        if day:
            extras["day"] = day
        node = {
            "name": thing.id,
            "translation": _y_up((at - (self.zero if about is None else about))[None])[0].tolist(),
            "extras": extras,
        }
        if len(mesh.triangles):
            key = thing.kind, np.round(local * 1e7).astype(np.int64).tobytes()
            if key not in self._same:
                self._same[key] = self.mesh(thing.kind, local, mesh.triangles)
            node["mesh"] = self._same[key]
        if thing.id in self.inside:
            node["children"] = [self.thing(one, step, at) for one in self.inside[thing.id]]
        return self.node(node)

    def _day_of(self, thing: Placed) -> int:
        """The day a thing comes; a timber of a step comes with its step. 0 = no day."""
        known = thing.id if thing.id in self._days.coming else thing.id.rpartition("/")[0]
        return self._days.day_of(known) if known in self._days.coming else 0

    def ground(self, name: str, mesh: Mesh) -> int:
        """A net of the ground, about the scene's zero."""
        number = self.mesh(name, _y_up(mesh.points - self.zero), mesh.triangles)
        return self.node({"name": name, "mesh": number, "extras": {"kind": name}})

    def mesh(self, kind: str, points: Any, triangles: Any) -> int:
        """Points and triangles in the buffer."""
        places = points.astype("<f4")
        narrow = len(points) <= 65535
        indices = triangles.reshape(-1).astype("<u2" if narrow else "<u4")
        position = self._accessor(places.tobytes(), _POINTS, {
            "componentType": _FLOAT, "count": len(places), "type": "VEC3",
            "min": places.min(axis=0).tolist(), "max": places.max(axis=0).tolist(),
        })  # fmt: skip
        index = self._accessor(indices.tobytes(), _INDICES, {
            "componentType": _UINT16 if narrow else _UINT32, "count": len(indices), "type": "SCALAR",
        })  # fmt: skip
        part = {"attributes": {"POSITION": position}, "indices": index, "material": self._material_of(kind), "mode": 4}
        self.meshes.append({"name": kind, "primitives": [part]})
        return len(self.meshes) - 1

    def _accessor(self, data: bytes, target: int, accessor: dict[str, Any]) -> int:
        self.data += b"\0" * (-len(self.data) % 4)
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target})
        self.data += data
        self.accessors.append({"bufferView": len(self.views) - 1, **accessor})
        return len(self.accessors) - 1

    def _material_of(self, kind: str) -> int:
        if kind not in self._material:
            clear = _SEEN_THROUGH.get(kind)
            base = [*_linear(colour(_ROLES.get(kind, "mid"))), clear or 1.0]
            look = {"baseColorFactor": base, "metallicFactor": 0.0, "roughnessFactor": 0.9}
            material = {"name": kind, "pbrMetallicRoughness": look, "doubleSided": kind.startswith("ground")}
            self.materials.append({**material, **({"alphaMode": "BLEND"} if clear else {})})
            self._material[kind] = len(self.materials) - 1
        return self._material[kind]

    def file(self, root: int, more: dict[str, str]) -> bytes:
        """The binary file: header, JSON chunk, buffer chunk; ``more`` is told of the file."""
        self.data += b"\0" * (-len(self.data) % 4)
        x, y = self.frame.origin_m
        about = {"zero_in_file_m": [x, y, 0.0], "axes": "x = file x, y = level, z = minus file y; metres", **more}
        document = {
            "asset": {"version": "2.0", "generator": f"Lynchet {version('lynchet')}", "extras": about},
            "scene": 0, "scenes": [{"nodes": [root]}], "nodes": self.nodes, "meshes": self.meshes,
            "materials": self.materials, "accessors": self.accessors, "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }  # fmt: skip
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()
        text += b" " * (-len(text) % 4)
        length = 12 + 8 + len(text) + 8 + len(self.data)
        head = struct.pack("<4sII", b"glTF", 2, length) + struct.pack("<I4s", len(text), b"JSON")
        return head + text + struct.pack("<I4s", len(self.data), b"BIN\0") + bytes(self.data)


def _y_up(points: Any) -> Any:
    return np.stack([points[:, 0], points[:, 2], -points[:, 1]], axis=1) + 0.0


def _linear(value: str) -> tuple[float, ...]:
    """Linear parts of an sRGB colour (IEC 61966-2-1)."""
    parts = (int(value[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    return tuple(round(p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4, 5) for p in parts)
