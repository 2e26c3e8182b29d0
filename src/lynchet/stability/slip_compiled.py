"""The slices' formulas compiled by numba, circle by circle: the quick twin of ``slip_slices``, same formulas, same cuts.

Imported only where many circles are tried; needs numba.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from lynchet.stability import slices
from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slices import ROUNDS, SETTLED, OrdinaryForm
from lynchet.stability.slip_arcs import Arcs
from lynchet.stability.slip_section import Soil
from lynchet.stability.slip_slices import Method

_FAST = {"nsz", "arcp", "contract", "reassoc"}
"""Quick arithmetic that still keeps NaN and infinity."""

_total = njit(slices.normal_total, cache=True, fastmath=_FAST, error_model="numpy")
_buoyant = njit(slices.normal_buoyant, cache=True, fastmath=_FAST, error_model="numpy")
_held = njit(slices.held_on_base, cache=True, fastmath=_FAST, error_model="numpy")
_top = njit(slices.bishop_top, cache=True, fastmath=_FAST, error_model="numpy")
_m = njit(slices.bishop_m, cache=True, fastmath=_FAST, error_model="numpy")


@njit(cache=True)  # type: ignore[untyped-decorator]
def _add_crossings(soil, line, circle, edges, used):  # type: ignore[no-untyped-def]
    """Append the angles at which the circle crosses a line; returns how many edges there are now."""
    x, y, radius, start, end = circle
    for g in range(len(soil.x) - 1):
        x0, x1 = soil.x[g], soil.x[g + 1]
        slope = (line[g + 1] - line[g]) / (x1 - x0)
        lean = np.arctan(slope)
        away = (y - line[g] + slope * (x0 - x)) * np.cos(lean) / radius
        if abs(away) > 1.0:
            continue
        half = np.arccos(away)
        for angle in (lean - half, lean + half):
            at = x + radius * np.sin(angle)
            if start < angle < end and x0 - SLACK <= at <= x1 + SLACK:
                edges[used] = angle
                used += 1
    return used


@njit(cache=True)  # type: ignore[untyped-decorator]
def _edges(soil, circle, edges, count, exact):  # type: ignore[no-untyped-def]
    """Slice edges of one circle, rising; returns how many."""
    x, _, radius, start, end = circle
    for i in range(count + 1):
        edges[i] = start + (end - start) * i / count
    used = count + 1
    if not exact:
        return used
    for bend in soil.x:
        away = (bend - x) / radius
        if abs(away) < 1.0:
            angle = np.arcsin(away)
            if start < angle < end:
                edges[used] = angle
                used += 1
    for line in range(1, len(soil.lines)):
        used = _add_crossings(soil, soil.lines[line], circle, edges, used)
    used = _add_crossings(soil, soil.water, circle, edges, used)
    edges[:used].sort()
    return used


@njit(cache=True, fastmath=_FAST, error_model="numpy")  # type: ignore[untyped-decorator]
def _loads(soil, x, y, place):  # type: ignore[no-untyped-def]
    """Weight over a point of the arc per metre of width, its layer, pore pressure, height to the ground."""
    share = (x - soil.x[place]) / (soil.x[place + 1] - soil.x[place])
    above = soil.lines[0, place] + (soil.lines[0, place + 1] - soil.lines[0, place]) * share
    height, load, layer = above - y, 0.0, 0
    last = len(soil.weight) - 1
    for i in range(last + 1):
        base = soil.lines[i + 1, place] + (soil.lines[i + 1, place + 1] - soil.lines[i + 1, place]) * share
        load += soil.weight[i] * max(above - max(base, y), 0.0)
        above = base
        if y < base - SLACK and i < last:
            layer = i + 1
    water = soil.water[place] + (soil.water[place + 1] - soil.water[place]) * share
    pore = soil.water_kn_m3 * max(water - y, 0.0) + soil.pore_ratio * load
    return load, layer, pore, height


@njit(cache=True, fastmath=_FAST, error_model="numpy")  # type: ignore[untyped-decorator]
def _fill(soil, circle, uphill, edges, table):  # type: ignore[no-untyped-def]
    """Fill the table (7, slices) of one circle; returns how many slices and what the weight and shaking drive."""
    x, y, radius, _, _ = circle
    place, rows, driving = 0, 0, 0.0
    for i in range(len(edges) - 1):
        half = 0.5 * (edges[i + 1] - edges[i])
        middle = edges[i] + half
        sine, cosine = np.sin(middle), np.cos(middle)
        length = 2.0 * radius * np.sin(half)
        width = length * cosine
        if width <= 0.0:
            continue
        chord = radius * np.cos(half)
        at_x, at_y = x + chord * sine, y - chord * cosine
        while place < len(soil.x) - 2 and at_x > soil.x[place + 1]:
            place += 1
        load, layer, pore, height = _loads(soil, at_x, at_y, place)
        weight = load * width
        driving += weight * sine * uphill + soil.seismic * weight * (chord * cosine - 0.5 * height) / radius
        table[0, rows], table[1, rows] = width, length
        table[2, rows], table[3, rows] = sine * uphill, cosine
        table[4, rows], table[5, rows], table[6, rows] = weight, pore, layer
        rows += 1
    return rows, driving


@njit(cache=True, fastmath=_FAST, error_model="numpy")  # type: ignore[untyped-decorator]
def _bishop(soil, table, rows, held, driving):  # type: ignore[no-untyped-def]
    """Bishop's factor of one table; NaN where there is no solution."""
    top, turn = table[0, :rows], table[2, :rows]
    for i in range(rows):
        layer = int(table[6, i])
        tan_p = soil.tan_p[layer]
        top[i] = _top(soil.cohesion[layer], table[0, i], table[4, i], table[5, i], tan_p)
        turn[i] *= tan_p
    factor = 1.0
    for _ in range(ROUNDS):
        total, least = held, 1.0
        for i in range(rows):
            m = _m(table[3, i], turn[i], 1.0, factor)
            least = min(least, m)
            total += top[i] / m
        if least <= 0.0:
            return np.nan
        new = total / driving
        if new <= 0.0:
            return np.nan
        if abs(new - factor) < SETTLED:
            return new
        factor = new
    return np.nan


@njit(cache=True, fastmath=_FAST, error_model="numpy")  # type: ignore[untyped-decorator]
def _ordinary(soil, table, rows, held, total_form):  # type: ignore[no-untyped-def]
    """What all bases of one table hold by the ordinary method."""
    for i in range(rows):
        layer = int(table[6, i])
        width, length, weight, pore, cosine = table[0, i], table[1, i], table[4, i], table[5, i], table[3, i]
        if total_form:
            normal = _total(weight, pore, width, length, cosine)
        else:
            normal = _buoyant(weight, pore, width, length, cosine)
        normal -= soil.seismic * weight * table[2, i]
        held += _held(soil.cohesion[layer], length, normal, soil.tan_p[layer])
    return held


@njit(cache=True, error_model="numpy")  # type: ignore[untyped-decorator]
def _all(soil, arcs, which, count, exact):  # type: ignore[no-untyped-def]
    """Factors of all circles; ``which`` is 0 for Bishop, 1 ordinary buoyant, 2 ordinary total."""
    room = count + 2 + len(soil.x) + 2 * len(soil.x) * len(soil.lines)
    edges, table = np.empty(room), np.empty((7, room))
    found = np.full(len(arcs.x), np.nan)
    for n in range(len(arcs.x)):
        if not arcs.end[n] > arcs.start[n]:
            continue
        circle = (arcs.x[n], arcs.y[n], arcs.radius[n], arcs.start[n], arcs.end[n])
        used = _edges(soil, circle, edges, count, exact)
        rows, driving = _fill(soil, circle, arcs.uphill[n], edges[:used], table)
        driving += arcs.driven[n]
        if not driving > 0.0:
            continue
        if which == 0:
            found[n] = _bishop(soil, table, rows, arcs.held[n], driving)
        else:
            found[n] = _ordinary(soil, table, rows, arcs.held[n], which == 2) / driving
    return found


def factors_compiled(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, cut: tuple[int, bool]) -> Array:
    """As ``slip_slices.factors_numpy``."""
    which = 0 if method == "bishop" else 2 if form == "total" else 1
    fields = (np.ascontiguousarray(field, dtype=np.float64) for field in arcs)
    return np.asarray(_all(soil, Arcs(*fields), which, cut[0], cut[1]))
