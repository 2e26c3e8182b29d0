"""The cross-section a slip circle is looked for in: ground, layers that may pinch out, water, crack, ties."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, NamedTuple

import numpy as np
from annotated_types import Len

from lynchet.core.kinds import XY, NotNegative, Positive
from lynchet.stability.kinds import SLACK, Array, Friction, deny
from lynchet.stability.thrust import WATER_KN_M3

DEEP_M = -1.0e6
"""Stands for "no bottom" and "no water"."""
_WET_GROUND_M = 1e-3
"""A water line higher above the ground is refused."""

Line = Annotated[list[XY], Len(2)]
TieConvention = Literal["resisting", "driving"]


@dataclass(frozen=True)
class SlipLayer:
    """A soil layer, from the top down."""

    unit_weight_kn_m3: Positive
    """Total weight, above and below the water alike."""
    friction_angle_deg: Friction = 0.0
    cohesion_kpa: NotNegative = 0.0
    base: Line | None = None
    """Lower boundary; may be left out for the last layer only."""


@dataclass(frozen=True)
class SlipTie:
    """A level tie."""

    force_kn_per_m: NotNegative
    y_m: float
    anchor_x_m: float | None = None
    """Where it is anchored; taken as beyond the circle where not given."""


@dataclass(frozen=True)
class SectionGiven:
    """A section as a caller writes it."""

    ground: list[list[float]]
    layers: list[SlipLayer]
    water_line: list[list[float]] | None = None
    pore_ratio: float | None = None
    seismic_coefficient: float = 0.0
    water_unit_weight_kn_m3: float = WATER_KN_M3
    crack_depth_m: float = 0.0
    crack_water_m: float = 0.0
    ties: list[SlipTie] | None = None
    tie_convention: TieConvention | None = None


class Soil(NamedTuple):
    """What the slices need, as arrays; a named tuple so that compiled code takes it."""

    x: Array
    """(g,) rising: every bend of ground, layers and water, every crossing of layers."""
    lines: Array
    """(layers + 1, g): ground, then each layer's base, each cut off by those above."""
    water: Array
    """(g,) water line; far below where there is none."""
    weight: Array
    tan_p: Array
    cohesion: Array
    pore_ratio: float
    seismic: float
    water_kn_m3: float


@dataclass(frozen=True, eq=False)
class Section:
    """A checked section."""

    soil: Soil
    ground_x: Array
    """(v,) vertices of the ground line as given."""
    ground_y: Array
    hard_bottom: bool
    """True where the last layer has a base line: no circle may cross it."""
    crack_depth_m: float
    crack_water_m: float
    ties: tuple[SlipTie, ...]
    ties_resist: bool

    def ground_at(self, x: Array) -> Array:
        """Level of the ground."""
        return np.asarray(np.interp(x, self.ground_x, self.ground_y))


def _rising(points: list[list[float]], key: str) -> Array:
    line = np.asarray(points, dtype=np.float64)
    deny(len(line) < 2, key, f"{len(line)} points found", "two or more points")
    deny(bool(np.any(np.diff(line[:, 0]) <= 0)), key, "x does not rise from point to point", "x strictly rising")
    return line


def _all_x(lines: list[Array], low: float, high: float) -> Array:
    bends = np.concatenate([line[:, 0] for line in lines])
    inside = bends[(bends > low + SLACK) & (bends < high - SLACK)]
    x = np.unique(np.concatenate([[low], inside, [high]]))
    return np.asarray(x[np.concatenate([[True], np.diff(x) > SLACK])])


def _with_crossings(x: Array, raw: Array) -> Array:
    """The x values and those where two of the lines cross between them."""
    more = [x]
    for i in range(len(raw)):
        for j in range(i):
            gap = raw[i] - raw[j]
            crossing = gap[:-1] * gap[1:] < 0
            share = gap[:-1][crossing] / (gap[:-1] - gap[1:])[crossing]
            more.append(x[:-1][crossing] + share * np.diff(x)[crossing])
    found = np.unique(np.concatenate(more))
    keep = np.concatenate([[True], np.diff(found) > SLACK])
    keep[-1] = True
    return np.asarray(found[keep])


def _deny_section(given: SectionGiven) -> None:
    for index, layer in enumerate(given.layers[:-1]):
        deny(
            layer.base is None, f"layers[{index}].base", "the base line of this layer is missing", "two or more points"
        )
    both = given.water_line is not None and given.pore_ratio is not None
    deny(both, "pore_ratio", "both a water line and a pore ratio", "one of them")
    deny(bool(given.ties) and given.tie_convention is None, "tie_convention", "missing", "resisting or driving")
    deep = given.crack_water_m > given.crack_depth_m + SLACK
    deny(deep, "crack_water_m", f"{given.crack_water_m:g} found", f"0 to the crack's depth, {given.crack_depth_m:g}")


def build_section(given: SectionGiven) -> Section:
    """Check a section and turn it into arrays.

    Raises:
        InputError: see the contract's list for sections.
    """
    ground = _rising(given.ground, "ground")
    _deny_section(given)
    bases = [
        _rising(layer.base, f"layers[{index}].base")
        for index, layer in enumerate(given.layers)
        if layer.base is not None
    ]
    water = None if given.water_line is None else _rising(given.water_line, "water_line")
    solid = [ground, *bases]
    x = _all_x(solid if water is None else [*solid, water], float(ground[0, 0]), float(ground[-1, 0]))
    x = _with_crossings(x, np.array([np.interp(x, line[:, 0], line[:, 1]) for line in solid]))
    lines = np.minimum.accumulate([np.interp(x, line[:, 0], line[:, 1]) for line in solid], axis=0)
    hard = given.layers[-1].base is not None
    if not hard:
        lines = np.vstack([lines, np.full((1, len(x)), DEEP_M)])
    level = np.full(len(x), DEEP_M) if water is None else np.interp(x, water[:, 0], water[:, 1])
    over = float(np.max(level - lines[0]))
    deny(over > _WET_GROUND_M, "water_line", f"{over:.3f} m above the ground", "at or below the ground everywhere")
    soil = Soil(
        x,
        np.ascontiguousarray(lines),
        level,
        np.array([layer.unit_weight_kn_m3 for layer in given.layers], dtype=np.float64),
        np.tan(np.radians([layer.friction_angle_deg for layer in given.layers])),
        np.array([layer.cohesion_kpa for layer in given.layers], dtype=np.float64),
        float(given.pore_ratio or 0.0),
        float(given.seismic_coefficient),
        float(given.water_unit_weight_kn_m3),
    )
    return Section(
        soil,
        ground[:, 0].copy(),
        ground[:, 1].copy(),
        hard,
        given.crack_depth_m,
        given.crack_water_m,
        tuple(given.ties or ()),
        given.tie_convention == "resisting",
    )
