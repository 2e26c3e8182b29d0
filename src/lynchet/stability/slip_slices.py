"""Cut many circles into slices at once (NumPy) and find their factors. ``slip_compiled`` is the quick twin."""

from __future__ import annotations

from typing import Literal

import numpy as np

from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slices import OrdinaryForm, SliceTable, bishop_factor, ordinary_factor
from lynchet.stability.slip_arcs import Arcs, crossings
from lynchet.stability.slip_section import DEEP_M, Soil

Method = Literal["ordinary", "bishop"]
_CHUNK = 256
"""Circles cut at a time, so that the arrays stay small."""
THIN = 1e-12
"""Slices narrower than this share of the radius count nothing."""
IDLE = 1e-9
"""A driving sum below this share of the weight is rounding: the mass does not drive."""
REPORTED_SLICES = 400
"""Slices of every factor that is reported."""


def slice_edges(soil: Soil, arcs: Arcs, count: int) -> Array:
    """x of the slice edges, (n, edges) rising; some slices may have no width.

    Args:
        soil: the section.
        arcs: the masses.
        count: slices of equal angle; more cuts stand at every bend of ground, layers and water, and where the circle
            crosses a layer or the water.
    """
    share = np.linspace(0.0, 1.0, count + 1)
    x, radius = arcs.x[:, None], arcs.radius[:, None]
    even = x + radius * np.sin(arcs.start[:, None] + (arcs.end - arcs.start)[:, None] * share)
    low, high = even[:, :1], even[:, -1:]
    parts = [even, np.broadcast_to(soil.x, (len(arcs.x), len(soil.x)))]
    for line in (*soil.lines[1:], soil.water):
        if line[0] > DEEP_M:
            sines, real = crossings(arcs, soil.x, line)
            parts.append(np.where(real, x[:, None] + radius[:, None] * sines, low[:, None]).reshape(len(arcs.x), -1))
    return np.sort(np.clip(np.concatenate(parts, axis=1), low, high), axis=1)


def cut_slices(soil: Soil, arcs: Arcs, count: int) -> tuple[SliceTable, Array]:
    """Slices of each mass, (n, slices), and the height of each from its base to the ground."""
    edge_x = slice_edges(soil, arcs, count)
    edge_y = arcs.y[:, None] - np.sqrt(np.maximum(arcs.radius[:, None] ** 2 - (edge_x - arcs.x[:, None]) ** 2, 0.0))
    width, rise = np.diff(edge_x, axis=1), np.diff(edge_y, axis=1)
    width = np.where(width > THIN * arcs.radius[:, None], width, 0.0)
    length = np.where(width > 0, np.sqrt(width**2 + rise**2), 0.0)
    safe = np.where(length > 0, length, 1.0)
    x, y = 0.5 * (edge_x[:, 1:] + edge_x[:, :-1]), 0.5 * (edge_y[:, 1:] + edge_y[:, :-1])
    place = np.clip(np.searchsorted(soil.x, x) - 1, 0, len(soil.x) - 2)
    share = (x - soil.x[place]) / (soil.x[place + 1] - soil.x[place])
    levels = soil.lines[:, place] + (soil.lines[:, place + 1] - soil.lines[:, place]) * share
    water = soil.water[place] + (soil.water[place + 1] - soil.water[place]) * share
    thick = np.maximum(levels[:-1] - np.maximum(levels[1:], y), 0.0)
    load = np.einsum("l,lns->ns", soil.weight, thick)
    # the arc itself says which layer a base is in: where it just dips into a layer, its chord lies on that layer's top
    arc = arcs.y[:, None] - np.sqrt(np.maximum(arcs.radius[:, None] ** 2 - (x - arcs.x[:, None]) ** 2, 0.0))
    layer = np.minimum(np.sum(arc < levels[1:] - SLACK, axis=0), len(soil.weight) - 1)
    pore = soil.water_kn_m3 * np.maximum(water - y, 0.0) + soil.pore_ratio * load
    table = SliceTable(
        width,
        length,
        rise / safe * arcs.uphill[:, None],
        np.where(width > 0, width / safe, 1.0),
        load * width,
        soil.cohesion[layer],
        soil.tan_p[layer],
        pore,
    )
    return table, np.asarray(levels[0] - y)


def driving_sum(soil: Soil, arcs: Arcs, table: SliceTable, height: Array) -> Array:
    """Weight, shaking at mid-height, crack water, ties on the driving side; 0 where nothing drives."""
    drives = np.sum(table.weight * table.sin_a, axis=1) + arcs.driven
    if soil.seismic:
        chord = table.cos_a * np.sqrt(np.maximum(arcs.radius[:, None] ** 2 - 0.25 * table.length_m**2, 0.0))
        arm = (chord - 0.5 * height) / arcs.radius[:, None]
        drives = drives + np.sum(soil.seismic * table.weight * arm, axis=1)
    nothing = IDLE * np.sum(table.weight, axis=1)
    return np.asarray(np.where(drives > nothing, drives, 0.0))


def _of_chunk(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, count: int) -> Array:
    table, height = cut_slices(soil, arcs, count)
    drives = driving_sum(soil, arcs, table, height)
    if method == "bishop":
        return bishop_factor(table, arcs.held, drives)
    safe = np.where(drives > 0, drives, np.nan)
    return ordinary_factor(table, form, arcs.held, safe, soil.seismic)


def factors_numpy(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, count: int) -> Array:
    """Factor of each mass; NaN where nothing drives or Bishop has no solution.

    Args:
        soil: the section.
        arcs: the masses, prepared (crack, ties).
        method: ordinary or bishop.
        form: of the ordinary method.
        count: slices of equal angle, cut at every bend and crossing besides.
    """
    found = np.full(len(arcs.x), np.nan)
    good = np.flatnonzero(arcs.end > arcs.start)  # NaN ends (no crack deep enough) drop out
    for start in range(0, len(good), _CHUNK):
        rows = good[start : start + _CHUNK]
        found[rows] = _of_chunk(soil, Arcs(*(field[rows] for field in arcs)), method, form, count)
    return found
