"""``plan.json``: the whole plan as data, in the file's own coordinates, SI units, with a published schema."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any

from lynchet.core.findings import Finding, Verdict
from lynchet.core.frame import Frame
from lynchet.core.late import LateWorking
from lynchet.earth.model import Earth
from lynchet.plan.cautions import cautions
from lynchet.plan.model import Plan
from lynchet.planting.model import Planted
from lynchet.project.model import DefaultUsed
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.timber.model import Timber
from lynchet.walls.model import Piece, Walls
from lynchet.water.model import Water
from lynchet.works.model import Works

VERSION = 1
_LINES_DEEP = 3


@dataclass(frozen=True)
class GroundSummary:
    """The measured ground in short."""

    readings: int
    lowest_m: float
    highest_m: float
    band_m: float
    misclosure_m: float | None
    allowed_misclosure_m: float | None


@dataclass(frozen=True)
class PlanFile:
    """What ``plan.json`` holds."""

    lynchet_plan: int
    """Version of this form."""
    name: str
    units: str
    """Units people are shown; every number here is SI."""
    effort: str
    verdict: str
    """ok, watch, ask or stop."""
    top: tuple[Finding, ...]
    """Five findings at most, one for each cause."""
    findings: tuple[Finding, ...]
    withheld: dict[str, tuple[str, ...]]
    """Sheets kept back and the places that keep them back; "all" = everything to build from."""
    cautions: tuple[str, ...]
    assumptions: tuple[DefaultUsed, ...]
    ground: GroundSummary
    terraces: Terraces
    walls: Walls
    water: Water
    stability: Stability
    pieces: tuple[Piece, ...]
    earth: Earth
    timber: Timber
    planted: Planted
    works: Works


def plan_file(plan: Plan, findings: tuple[Finding, ...] | None = None) -> PlanFile:
    """The plan as it is written, points in the file's coordinates.

    Args:
        plan: the plan.
        findings: in place of the plan's own (with cures tried).
    """
    ground = plan.ground
    return PlanFile(
        lynchet_plan=VERSION,
        name=plan.project.name,
        units=plan.project.units,
        effort=plan.effort.name,
        verdict=plan.verdict.key,
        top=tuple(finding for finding, _ in plan.top),
        findings=plan.findings if findings is None else findings,
        withheld=plan.withheld,
        cautions=cautions(plan),
        assumptions=plan.project.defaults,
        ground=GroundSummary(
            len(ground.trust_m), ground.lowest_m, ground.highest_m, ground.band_m, ground.misclosure_m,
            ground.allowed_misclosure_m,
        ),
        terraces=plan.terraces,
        walls=plan.walls,
        water=plan.water,
        stability=plan.stability,
        pieces=plan.pieces,
        earth=plan.earth,
        timber=plan.timber,
        planted=plan.planted,
        works=plan.works,
    )  # fmt: skip


def plan_json(plan: Plan, findings: tuple[Finding, ...] | None = None) -> str:
    """The text of ``plan.json``."""
    return _by_line(_plain(plan_file(plan, findings), plan.project.frame)) + "\n"


def _by_line(value: Any, depth: int = 0) -> str:
    """JSON with a line for every part of a result and every item of its lists; the rest closely written (and quick)."""
    if depth < _LINES_DEEP and value and isinstance(value, dict | list):
        pad = " " * (depth + 1)
        if isinstance(value, dict):
            items = [f"{pad}{_close(str(key))}: {_by_line(item, depth + 1)}" for key, item in value.items()]
            return "{\n" + ",\n".join(items) + "\n" + pad[1:] + "}"
        return "[\n" + ",\n".join(pad + _by_line(item, depth + 1) for item in value) + "\n" + pad[1:] + "]"
    return _close(value)


_close = json.JSONEncoder(ensure_ascii=False).encode
"""Closely written."""
_ENDS = frozenset({"start_m", "end_m"})
_DIRECTIONS = frozenset({"direction", "normal", "along", "fall"})


def _plain(value: Any, frame: Frame, name: str = "") -> Any:
    """Plain JSON values; plan points leave the own frame, unit vectors are turned back."""
    kind: Any = type(value)
    if kind in _WRITTEN_AS_THEY_ARE:
        return value
    if kind is LateWorking:
        value, kind = value.worked, tuple
    parts = _parts_of(kind)
    if parts is not None:
        return {part: _plain(getattr(value, part), frame, sense) for part, sense in parts}
    if isinstance(value, Enum):
        return value.key if hasattr(value, "key") else value.value
    if isinstance(value, dict):
        return {key: _plain(item, frame) for key, item in value.items()}
    if isinstance(value, tuple | list):
        if _is_point(value) and name in _DIRECTIONS:
            return _turned(value, frame)
        if _is_point(value) and _holds_points(name):
            return list(frame.outward((value[0], value[1])))
        return [_plain(item, frame, name) for item in value]
    if hasattr(value, "tolist"):
        return value.tolist()
    return value


_WRITTEN_AS_THEY_ARE = frozenset({float, int, str, bool, type(None)})


@cache
def _parts_of(kind: type) -> tuple[tuple[str, str], ...] | None:
    """Fields of a dataclass, each with the name that tells points and ways; None of any other kind."""
    if not is_dataclass(kind):
        return None
    stations = issubclass(kind, Piece)  # its ends are stations on the two sides, not plan points
    names = (field.name for field in fields(kind))
    return tuple((name, "" if stations and name in _ENDS else name) for name in names)


_POINTS = ("outline_m", "point_m", "points_m", "start_m", "end_m", "origin_m", "outlines_m", "holes_m", "strip_m",
           "apron_m", "junctions_m", "known_m", "drop_m",
           "drawn_m", "benchmark_at_m", "edge_m", "toe_m")  # fmt: skip


def _holds_points(name: str) -> bool:
    return name in _POINTS or name.endswith(("_outline_m", "_outlines_m"))


def _is_point(value: Any) -> bool:
    return len(value) == 2 and all(isinstance(part, float) for part in value)


def _turned(way: Any, frame: Frame) -> list[float]:
    origin = frame.outward((0.0, 0.0))
    there = frame.outward((way[0], way[1]))
    return [there[0] - origin[0], there[1] - origin[1]]


@cache
def plan_schema() -> dict[str, Any]:
    """JSON schema of ``plan.json``, from the same types the plan is made of."""
    from pydantic import TypeAdapter

    schema = TypeAdapter(PlanFile).json_schema(mode="serialization")
    schema["$defs"]["Verdict"] = {"enum": [verdict.key for verdict in Verdict], "type": "string", "title": "Verdict"}
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "Lynchet plan"
    return schema
