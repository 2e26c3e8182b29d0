"""Cut many circles into slices at once (NumPy) and find their factors. ``slip_compiled`` is the quick twin."""

from __future__ import annotations

from typing import Literal

import numpy as np

from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slices import OrdinaryForm, SliceTable, bishop_factor, ordinary_factor
from lynchet.stability.slip_arcs import Arcs, crossings
from lynchet.stability.slip_section import Soil

Engine = Literal["auto", "numba", "numpy"]
Method = Literal["ordinary", "bishop"]
_CHUNK = 256
"""Circles cut at a time, so that the arrays stay small."""
REPORTED_SLICES = 400
"""Slices of every factor that is reported."""


def edge_angles(soil: Soil, arcs: Arcs, count: int, exact: bool) -> Array:
    """Angles of the slice edges, (n, edges) rising; some slices may have no width.

    Args:
        soil: the section.
        arcs: the masses.
        count: slices of equal angle.
        exact: also cut at every bend of ground, layers and water, and where the circle crosses a layer or the water.
    """
    share = np.linspace(0.0, 1.0, count + 1)
    even = arcs.start[:, None] + (arcs.end - arcs.start)[:, None] * share
    if not exact:
        return even
    away = (soil.x[None, :] - arcs.x[:, None]) / arcs.radius[:, None]
    bends = np.arcsin(np.clip(away, -1.0, 1.0))
    parts = [even, bends]
    for line in (*soil.lines[1:], soil.water):
        angles, real = crossings(arcs, soil.x, line)
        parts.append(np.where(real, angles, arcs.start[:, None, None]).reshape(len(arcs.x), -1))
    edges = np.clip(np.concatenate(parts, axis=1), arcs.start[:, None], arcs.end[:, None])
    return np.sort(edges, axis=1)


def cut_slices(soil: Soil, arcs: Arcs, count: int, exact: bool = True) -> tuple[SliceTable, Array]:
    """Slices of each mass, (n, slices), and the height of each from its base to the ground."""
    edges = edge_angles(soil, arcs, count, exact)
    middle, half = 0.5 * (edges[:, 1:] + edges[:, :-1]), 0.5 * (edges[:, 1:] - edges[:, :-1])
    sine, cosine = np.sin(middle), np.cos(middle)
    radius = arcs.radius[:, None]
    length = 2.0 * radius * np.sin(half)
    width = length * cosine
    chord = radius * np.cos(half)
    x, y = arcs.x[:, None] + chord * sine, arcs.y[:, None] - chord * cosine
    place = np.clip(np.searchsorted(soil.x, x) - 1, 0, len(soil.x) - 2)
    share = (x - soil.x[place]) / (soil.x[place + 1] - soil.x[place])
    levels = soil.lines[:, place] + (soil.lines[:, place + 1] - soil.lines[:, place]) * share
    water = soil.water[place] + (soil.water[place + 1] - soil.water[place]) * share
    thick = np.maximum(levels[:-1] - np.maximum(levels[1:], y), 0.0)
    load = np.einsum("l,lns->ns", soil.weight, thick)
    layer = np.minimum(np.sum(y < levels[1:] - SLACK, axis=0), len(soil.weight) - 1)
    pore = soil.water_kn_m3 * np.maximum(water - y, 0.0) + soil.pore_ratio * load
    table = SliceTable(
        width,
        length,
        sine * arcs.uphill[:, None],
        cosine,
        load * width,
        soil.cohesion[layer],
        soil.tan_p[layer],
        pore,
    )
    return table, levels[0] - y


def driving_sum(soil: Soil, arcs: Arcs, table: SliceTable, height: Array) -> Array:
    """Weight, shaking at mid-height, crack water, ties on the driving side."""
    drives = np.sum(table.weight * table.sin_a, axis=-1) + arcs.driven
    if soil.seismic:
        chord = table.cos_a * np.sqrt(np.maximum(arcs.radius[:, None] ** 2 - 0.25 * table.length_m**2, 0.0))
        arm = (chord - 0.5 * height) / arcs.radius[:, None]
        drives = drives + np.sum(soil.seismic * table.weight * arm, axis=-1)
    return np.asarray(drives)


def _of_chunk(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, cut: tuple[int, bool]) -> Array:
    table, height = cut_slices(soil, arcs, *cut)
    drives = driving_sum(soil, arcs, table, height)
    if method == "bishop":
        return bishop_factor(table, arcs.held, drives)
    safe = np.where(drives > 0, drives, np.nan)
    return ordinary_factor(table, form, arcs.held, safe, soil.seismic)


def factors_numpy(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, cut: tuple[int, bool]) -> Array:
    """Factor of each mass; NaN where nothing drives or Bishop has no solution.

    Args:
        soil: the section.
        arcs: the masses, prepared (crack, ties).
        method: ordinary or bishop.
        form: of the ordinary method.
        cut: slices of equal angle, and whether to cut exactly at every bend and crossing.
    """
    found = np.full(len(arcs.x), np.nan)
    good = np.flatnonzero(arcs.end > arcs.start)  # NaN ends (no crack deep enough) drop out
    for start in range(0, len(good), _CHUNK):
        rows = good[start : start + _CHUNK]
        found[rows] = _of_chunk(soil, Arcs(*(field[rows] for field in arcs)), method, form, cut)
    return found


def factors(
    soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, cut: tuple[int, bool], engine: Engine = "auto"
) -> Array:
    """As ``factors_numpy``, by compiled code where numba is there (or asked for)."""
    if engine != "numpy":
        try:
            from lynchet.stability.slip_compiled import factors_compiled
        except ImportError:
            if engine == "numba":
                raise
        else:
            return factors_compiled(soil, arcs, method, form, cut)
    return factors_numpy(soil, arcs, method, form, cut)
