"""Buried blocks (deadmen, cross-pieces) that a tie pulls on: what they hold and how far back they must lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Friction, Numbers, SafetyFactor, deny, filled, tangent
from lynchet.stability.pressure import at_rest, rankine_active, rankine_passive
from lynchet.stability.ties import wedge_reach

Kind = Literal["continuous", "short", "face"]
_DEEP_RATIO = 4.0
"""Depth over block height beyond which the trade has no tests of the face form (recalled)."""


@dataclass(frozen=True)
class Anchor:
    """A block near level ground; plain numbers or arrays."""

    depth_m: Numbers
    """To the underside."""
    height_m: Numbers
    soil_kn_m3: Numbers
    friction_deg: Numbers
    overlap_m: Numbers = 0.0
    """Depth down to which the moving wedges take the ground away."""


def continuous_hold(anchor: Anchor) -> Array:
    """Long block reaching at least half its depth, kN per metre (kernel)."""
    return _between(anchor, np.asarray(anchor.overlap_m, dtype=np.float64))


def face_hold(anchor: Anchor) -> Array:
    """Block by the pressure on its own face, kN per metre (kernel)."""
    top = np.maximum(np.subtract(anchor.depth_m, anchor.height_m), anchor.overlap_m)
    return _between(anchor, np.asarray(top, dtype=np.float64))


def _between(anchor: Anchor, top_m: Array) -> Array:
    difference = rankine_passive(anchor.friction_deg) - rankine_active(anchor.friction_deg)
    return np.asarray(0.5 * anchor.soil_kn_m3 * (np.square(anchor.depth_m) - top_m**2) * difference)


def end_hold(anchor: Anchor, at_rest_coefficient: Numbers) -> Array:
    """What both ends of a short block add, kN (kernel)."""
    roots = np.sqrt(rankine_passive(anchor.friction_deg)) + np.sqrt(rankine_active(anchor.friction_deg))
    cubes = np.power(anchor.depth_m, 3) - np.power(anchor.overlap_m, 3)
    return np.asarray(
        np.multiply(at_rest_coefficient, anchor.soil_kn_m3) * roots * cubes * tangent(anchor.friction_deg) / 3.0
    )


@dataclass(frozen=True)
class AnchorCapacity:
    """What the block holds, per metre or whole."""

    ultimate_kn_per_m: float | None
    allowable_kn_per_m: float | None
    ultimate_kn: float | None
    allowable_kn: float | None
    end_kn: float | None
    embedment_ratio: float | None
    deep: bool | None


def _capacity_steps(given: Mapping[str, Any], result: AnchorCapacity) -> list[Step]:
    a = filled(anchor_capacity, given)
    p, d, h, g, o = (
        a["friction_angle_deg"],
        a["depth_m"],
        a["block_height_m"],
        a["unit_weight_kn_m3"],
        a["overlap_depth_m"],
    )
    top = max(d - h, o) if a["kind"] == "face" else o
    difference = float(rankine_passive(p) - rankine_active(p))
    steps = [
        Step("Kp - Ka", f"Rankine, {p:g}°", difference),
        Step(
            "per metre of block",
            f"0.5 x {g:g} x ({d:g}² - {top:.4g}²) x (Kp - Ka)",
            0.5 * g * (d**2 - top**2) * difference,
            "kn_per_m",
        ),
    ]
    if result.end_kn is not None:
        steps.append(Step("both ends", "K0 g (sqrt Kp + sqrt Ka)(d³ - o³) tan p/3", result.end_kn, "kn"))
    if result.ultimate_kn is not None:
        how = "length x that + ends" + (", in a row at most the continuous value x spacing" if a["spacing_m"] else "")
        steps.append(Step("whole block", how, result.ultimate_kn, "kn"))
    allowed = result.allowable_kn if result.allowable_kn_per_m is None else result.allowable_kn_per_m
    unit = "kn" if result.allowable_kn_per_m is None else "kn_per_m"
    return [*steps, Step("allowable", f"ultimate/{a['safety_factor']:g}", allowed or 0.0, unit)]


def _deny_anchor(kind: Kind, anchor: Anchor, length_m: float | None, spacing_m: float | None) -> None:
    depth, height = float(anchor.depth_m), float(anchor.height_m)
    deny(height > depth + SLACK, "block_height_m", f"block height {height:g} found", f"up to the depth, {depth:g}")
    deny(
        kind != "face" and height < depth / 2 - SLACK,
        "block_height_m",
        f"block height {height:g} found",
        f"half the depth or more, {depth / 2:g}; for a lower block the kind face",
    )
    overlap = float(anchor.overlap_m)
    deny(overlap > depth + SLACK, "overlap_depth_m", f"{overlap:g} found", f"0 up to the depth, {depth:g}")
    deny(kind == "short" and length_m is None, "length_m", "missing", "the length of the short block")
    if kind != "continuous" and length_m is not None and spacing_m is not None:
        close = spacing_m < length_m - SLACK
        deny(close, "spacing_m", f"spacing {spacing_m:g} found", f"the block's length or more, {length_m:g}")


@calculator(
    source="Deadman near the surface, form of NAVFAC DM-7, US Steel sheet piling manual and Teng (recalled)",
    known="MEMORY",
    example={
        "kind": "face",
        "depth_m": 0.42,
        "block_height_m": 0.14,
        "length_m": 0.6,
        "unit_weight_kn_m3": 18.9,
        "friction_angle_deg": 30.0,
    },
    working=_capacity_steps,
    caution=WALL_CAUTION
    + " A block holds only behind the wedge that moves and only after moving some per cent of its depth; never add the "
    "friction along the same tie. In a bed count the depth from the lowest level it may be dug to.",
)
def anchor_capacity(
    *,
    kind: Kind,
    depth_m: Positive,
    block_height_m: Positive,
    unit_weight_kn_m3: Positive,
    friction_angle_deg: Friction,
    length_m: Positive | None = None,
    spacing_m: Positive | None = None,
    overlap_depth_m: NotNegative = 0.0,
    at_rest_coefficient: NotNegative | None = None,
    safety_factor: SafetyFactor = 2.0,
) -> AnchorCapacity:
    """Pull that a buried block behind the wall can hold.

    Equation: continuous half g (d² - o²)(Kp - Ka) per metre; short length x that + K0 g (sqrt Kp + sqrt Ka)(d³ - o³)
    tan p/3; face half g (d² - t²)(Kp - Ka) per metre, t = max(d - h, o). In a row at most the continuous value x
    spacing.

    Symbols: g unit weight, d depth to the underside, h block height, o overlap depth (anchor_distance), Kp, Ka Rankine,
    K0 at-rest coefficient, p friction angle.

    Limits: dry, near level ground (unequal: the lower), clear of the wall's wedge. Continuous and short blocks reach at
    least half their depth; a lower block is a face. `deep` says that the depth is over four block heights.
    """
    anchor = Anchor(depth_m, block_height_m, unit_weight_kn_m3, friction_angle_deg, overlap_depth_m)
    _deny_anchor(kind, anchor, length_m, spacing_m)
    long = float(continuous_hold(anchor))
    per_m = float(face_hold(anchor)) if kind == "face" else long
    whole = end = None
    if kind == "short":
        k0 = float(at_rest(friction_angle_deg)) if at_rest_coefficient is None else at_rest_coefficient
        end = float(end_hold(anchor, k0))
    if kind != "continuous" and length_m is not None:
        whole = length_m * per_m + (end or 0.0)
        whole = whole if spacing_m is None else min(whole, long * spacing_m)
    ratio = depth_m / block_height_m
    shown = None if kind == "short" else per_m
    return AnchorCapacity(
        ultimate_kn_per_m=shown,
        allowable_kn_per_m=None if shown is None else shown / safety_factor,
        ultimate_kn=whole,
        allowable_kn=None if whole is None else whole / safety_factor,
        end_kn=end,
        embedment_ratio=ratio if kind == "face" else None,
        deep=ratio > _DEEP_RATIO + SLACK if kind == "face" else None,
    )


def passive_reach(depth_m: Numbers, friction_deg: Numbers) -> Array:
    """How far in front of a block its passive wedge reaches: d tan(45 + p/2) (kernel)."""
    return np.asarray(depth_m * tangent(45.0 + np.divide(friction_deg, 2.0)))


def wedge_overlap(missing_m: Numbers, friction_deg: Numbers) -> Array:
    """Depth where the two wedges cross, by how much the distance falls short (kernel; 0 where they do not)."""
    slopes = wedge_reach(1.0, friction_deg) + passive_reach(1.0, friction_deg)
    return np.asarray(np.maximum(missing_m, 0.0) / slopes)


@dataclass(frozen=True)
class AnchorDistance:
    """Reaches of the two wedges."""

    active_reach_m: float
    passive_reach_m: float
    minimum_distance_m: float
    overlap_depth_m: float | None
    inside_active_wedge: bool | None


def _distance_steps(given: Mapping[str, Any], result: AnchorDistance) -> list[Step]:
    a = filled(anchor_distance, given)
    p = a["friction_angle_deg"]
    steps = [
        Step("wedge behind the wall", f"{a['wall_height_m']:g} tan(45° - {p:g}°/2)", result.active_reach_m, "m"),
        Step("wedge before the block", f"{a['anchor_depth_m']:g} tan(45° + {p:g}°/2)", result.passive_reach_m, "m"),
        Step("least distance", "their sum", result.minimum_distance_m, "m"),
    ]
    if result.overlap_depth_m is not None:
        steps.append(Step("depth where the wedges cross", "", result.overlap_depth_m, "m"))
    return steps


@calculator(
    source="Deadman near the surface, form of NAVFAC DM-7, US Steel sheet piling manual and Teng (recalled)",
    known="MEMORY",
    example={"wall_height_m": 1.2, "anchor_depth_m": 0.6, "friction_angle_deg": 30.0, "distance_m": 1.2},
    working=_distance_steps,
    caution=WALL_CAUTION + " A block inside the moving wedge, or overlapped over its whole depth, holds nothing.",
)
def anchor_distance(
    *,
    wall_height_m: Positive,
    anchor_depth_m: Positive,
    friction_angle_deg: Friction,
    distance_m: NotNegative | None = None,
    block_height_m: NotNegative = 0.0,
) -> AnchorDistance:
    """How far behind the wall a buried block must lie.

    Equation: active reach H tan(45 - p/2), passive reach d tan(45 + p/2), minimum their sum; overlap depth = max(0,
    (sum - distance)/(tan(45 - p/2) + tan(45 + p/2))); inside when distance < (H - (d - h)) tan(45 - p/2).

    Symbols: H wall height from the level where the wall can move, d depth to the underside, h block height, p friction
    angle; distance from the back of the wall to the front of the block.

    Limits: level ground; rising ground reaches further (slip_search with the anchor).
    """
    beyond = anchor_depth_m > wall_height_m + SLACK
    deny(
        beyond, "anchor_depth_m", f"anchor depth {anchor_depth_m:g} found", f"up to the wall height, {wall_height_m:g}"
    )
    tall = block_height_m > anchor_depth_m + SLACK
    deny(tall, "block_height_m", f"{block_height_m:g} found", f"0 up to the anchor depth, {anchor_depth_m:g}")
    active = float(wedge_reach(wall_height_m, friction_angle_deg))
    passive = float(passive_reach(anchor_depth_m, friction_angle_deg))
    least = active + passive
    overlap = inside = None
    if distance_m is not None:
        overlap = float(wedge_overlap(least - distance_m, friction_angle_deg))
        at_top = wedge_reach(wall_height_m - (anchor_depth_m - block_height_m), friction_angle_deg)
        inside = distance_m < float(at_top) - SLACK
    return AnchorDistance(active, passive, least, overlap, inside)
