"""Bodies of the model and outlines of the drawing as rows: names, kinds and sizes computed from their own points."""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from io import StringIO
from typing import Any

import numpy as np

from told.facts import Row

_TYPES = {5126: np.dtype("<f4"), 5123: np.dtype("<u2"), 5125: np.dtype("<u4")}
TIMBER = ("timber", "tie", "cross-piece", "step timber")
_PARTS = {"SCALAR": 1, "VEC3": 3}


def glb_rows(data: bytes) -> Iterator[Row]:
    """Nodes that are things: kind, name, owner, day, volume (m3), length of timber along its side (m), height (m)."""
    size = struct.unpack("<I", data[12:16])[0]
    head, body = json.loads(data[20 : 20 + size]), data[28 + size :]

    def numbers(which: int) -> Any:
        accessor = head["accessors"][which]
        view = head["bufferViews"][accessor["bufferView"]]
        kind, parts = _TYPES[accessor["componentType"]], _PARTS[accessor["type"]]
        start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        flat = np.frombuffer(body, kind, accessor["count"] * parts, start)
        return flat.reshape(-1, parts) if parts > 1 else flat

    for node in head["nodes"]:
        extras = node.get("extras", {})
        if "owner" not in extras or "mesh" not in node:
            continue
        part = head["meshes"][node["mesh"]]["primitives"][0]
        points = numbers(part["attributes"]["POSITION"]).astype(float)
        corners = points[numbers(part["indices"]).reshape(-1, 3)]
        volume = float(np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))) / 6
        long = _long(points[:, ::2]) if extras["kind"] in TIMBER else 0.0
        yield (extras["kind"], node["name"], extras["owner"], str(extras.get("day", "")), f"{abs(volume):.6f}",
               f"{long:.4f}", f"{np.ptp(points[:, 1]):.4f}")  # fmt: skip


def _long(points: Any) -> float:
    """Along the longest of its outline's sides (all its points lie to one side of it), from first to last corner."""
    apart = points[None, :, :] - points[:, None, :]
    far = np.hypot(apart[..., 0], apart[..., 1])
    left = apart[:, :, None, 0] * apart[:, None, :, 1] - apart[:, :, None, 1] * apart[:, None, :, 0]
    side = (left >= -1e-6 * np.maximum(1.0, far)[:, :, None]).all(axis=2)
    best = np.unravel_index(np.argmax(np.where(side, far, -1.0)), far.shape)
    return float(np.ptp(points @ (apart[best] / far[best])))


def dxf_rows(text: str) -> Iterator[Row]:
    """Blocks of pieces: name, area of the outline (file's square units), length of its longer side, underside."""
    from ezdxf.filemanagement import read

    for insert in read(StringIO(text)).modelspace().query('INSERT[layer=="pieces"]'):
        (outline,) = insert.virtual_entities()
        points = np.array([point[:2] for point in outline.get_points()])
        x, y = points.T
        area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
        yield (insert.dxf.name.replace("_", "/"), f"{area:.4f}", f"{_long(points):.4f}",
               f"{insert.dxf.insert.z:.4f}")  # fmt: skip


def dxf_weeps(text: str) -> Iterator[Row]:
    """Blocks of weep holes: name, wall, level of the mouth (file's unit)."""
    from ezdxf.filemanagement import read

    for insert in read(StringIO(text)).modelspace().query('INSERT[layer=="weep holes"]'):
        name = insert.dxf.name.replace("_", "/")
        yield (name, name.partition("/")[0], f"{insert.dxf.insert.z:.4f}")
