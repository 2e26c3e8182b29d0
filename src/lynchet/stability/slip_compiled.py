"""The slices' formulas compiled by numba, circle by circle: the quick twin of ``slip_slices``.

Imported only where many circles are tried; needs numba. No sine or root is taken that can be carried along: this is the
inner loop of every search.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any

import numpy as np
from numba import njit

from lynchet.stability import slices
from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slices import ROUNDS, SETTLED, UNTRIED, OrdinaryForm
from lynchet.stability.slip_arcs import Arcs, crossing_points
from lynchet.stability.slip_section import Soil
from lynchet.stability.slip_slices import IDLE, THIN, Method

_total = njit(slices.normal_total, cache=True, fastmath=True, error_model="numpy")
_buoyant = njit(slices.normal_buoyant, cache=True, fastmath=True, error_model="numpy")
_held = njit(slices.held_on_base, cache=True, fastmath=True, error_model="numpy")
_top = njit(slices.bishop_top, cache=True, fastmath=True, error_model="numpy")
_m = njit(slices.bishop_m, cache=True, fastmath=True, error_model="numpy")
_next = njit(slices.next_try, cache=True, fastmath=True, error_model="numpy")
_crossing = njit(crossing_points, cache=True, error_model="numpy")

_SHARE_FROM = 1000
"""Circles that make a thread worth its start."""
_NONE = -1.0
"""Stands for "no solution" inside: this arithmetic knows no NaN."""


@njit(cache=True, error_model="numpy")
def _lies(soil: Any) -> Any:
    """Level at the left end, slope and cosine of the slope angle of every line on every piece between two bends.

    Each (lines, pieces): ground, the layers' bases, and the water last.
    """
    count, pieces = len(soil.lines), len(soil.x) - 1
    level, slope = np.empty((count + 1, pieces)), np.empty((count + 1, pieces))
    for g in range(pieces):
        run = soil.x[g + 1] - soil.x[g]
        for k in range(count):
            level[k, g], slope[k, g] = soil.lines[k, g], (soil.lines[k, g + 1] - soil.lines[k, g]) / run
        level[count, g], slope[count, g] = soil.water[g], (soil.water[g + 1] - soil.water[g]) / run
    return level, slope, 1.0 / np.sqrt(1.0 + slope * slope)


@njit(cache=True, error_model="numpy")
def _even(circle: Any, start: float, end: float, even: Any) -> Any:
    """x of the edges of slices of equal angle, rising.

    The sines of equal steps follow from those before, s'' = 2 cos(step) s' - s: four rows of every fourth sine run side
    by side.
    """
    x, _, radius = circle
    count = len(even) - 1
    step = (end - start) / count
    one = np.cos(step)
    twice, four = 2.0 * one, 2.0 * (2.0 * (2.0 * one * one - 1.0) ** 2 - 1.0)
    d, e = np.sin(start - step), np.sin(start)
    c = twice * d - e
    b = twice * c - d
    a = twice * b - c
    f = twice * e - d
    g = twice * f - e
    h = twice * g - f
    i = 0
    while i + 3 < count:
        even[i], even[i + 1], even[i + 2], even[i + 3] = x + radius * e, x + radius * f, x + radius * g, x + radius * h
        a, b, c, d, e, f, g, h = e, f, g, h, four * e - a, four * f - b, four * g - c, four * h - d
        i += 4
    while i < count:
        even[i] = x + radius * e
        e, f, g = f, g, h
        i += 1
    even[count] = x + radius * np.sin(end)


@njit(cache=True, error_model="numpy")
def _put(stops: Any, first: int, many: int, at: float) -> Any:
    """Put a place among those from ``first`` on, which rise; returns how many there are now."""
    while many > first and stops[many - 1] > at:
        stops[many] = stops[many - 1]
        many -= 1
    stops[many] = at


@njit(cache=True, error_model="numpy")
def _stretches(soil: Any, lies: Any, circle: Any, ends: Any, stops: Any, pieces: Any) -> Any:
    """Cut an arc into stretches within which no line bends and the arc crosses none; returns how many.

    The arc bends upward, lines are straight: where the ends of a piece lie on either side of a line it crosses once,
    at the first of its two points going down or at the second going up; where both lie above it may dip through.

    Args:
        soil, lies, circle: the section and the circle.
        ends: x of the arc's ends.
        stops, pieces: take x of each stretch's right end, and the piece of the section it lies in.
    """
    (x, y, radius), (left, high), (levels, slopes, cosines) = circle, ends, lies
    square, many, piece, last = radius * radius, 0, 0, len(soil.x) - 2
    while piece < last and soil.x[piece + 1] <= left:
        piece += 1
    arc_left = y - np.sqrt(max(square - (left - x) ** 2, 0.0))
    while True:
        x0, first = soil.x[piece], many
        right = high if piece == last else min(soil.x[piece + 1], high)
        arc_right = y - np.sqrt(max(square - (right - x) ** 2, 0.0))
        for k in range(1, len(levels)):
            level, slope, cosine = levels[k, piece], slopes[k, piece], cosines[k, piece]
            over_left = arc_left > level + slope * (left - x0)
            over_right = arc_right > level + slope * (right - x0)
            if over_left or over_right:
                away = (y - level + slope * (x0 - x)) * cosine / radius
                if over_left != over_right or (away < 1.0 and left < x + radius * slope * cosine < right):
                    down, up = _crossing(min(away, 1.0), slope * cosine, cosine)
                    if over_left:
                        _put(stops, first, many, min(max(x + radius * down[0], left), right))
                        many += 1
                    if over_right:
                        _put(stops, first, many, min(max(x + radius * up[0], left), right))
                        many += 1
        stops[many] = right
        many += 1
        pieces[first:many] = piece
        if right >= high:
            return many
        left, arc_left = right, arc_right
        piece += 1


@njit(cache=True, fastmath=True, error_model="numpy")
def _cut(circle: Any, even: Any, stops: Any, ends: Any, sides: Any) -> Any:
    """Slices of equal angle, parted where a stretch ends: what is cut off on the right is a row more at the foot.

    Args:
        circle: centre and radius.
        even: x of the edges of slices of equal angle.
        stops: x where the stretches end; the last is the arc's end.
        ends: takes how many slices of equal angle begin before each of them.
        sides: takes x of the left edges and of the right, y of the left and of the right.
    """
    x, y, radius = circle
    count, begun, row, square = len(even) - 1, 0, 0, radius * radius
    left, right, low, high = sides[0], sides[1], sides[2], sides[3]
    for i in range(count + 1):
        low[i] = y - np.sqrt(max(square - (even[i] - x) ** 2, 0.0))
    for i in range(count):
        left[i] = even[i]
    for i in range(count):
        right[i] = even[i + 1]
    for i in range(count):
        high[i] = low[i + 1]
    for n in range(len(stops) - 1):
        stop, before = stops[n], 1
        level = y - np.sqrt(max(square - (stop - x) ** 2, 0.0))
        for i in range(1, count):
            before += even[i] < stop
        if before > begun:
            row = before - 1
        right[count + n], high[count + n] = right[row], high[row]
        right[row] = left[count + n] = stop
        high[row] = low[count + n] = level
        begun, row, ends[n] = before, count + n, before
    ends[len(stops) - 1] = count


@njit(cache=True, fastmath=True, error_model="numpy")
def _shape(circle: Any, sides: Any, rows: int, table: Any) -> Any:
    """Width, base length, sine, cosine and middle of every slice."""
    _, _, radius, uphill = circle
    left, right, low, high = sides[0, :rows], sides[1, :rows], sides[2, :rows], sides[3, :rows]
    width, length, sine, cosine = table[0, :rows], table[1, :rows], table[2, :rows], table[3, :rows]
    middle_x, middle_y = table[5, :rows], table[6, :rows]
    for i in range(rows):  # slices without width count nothing
        run, rise = right[i] - left[i], high[i] - low[i]
        base = np.sqrt(run * run + rise * rise)
        wide, share = run > THIN * radius, 1.0 / (base + 1e-300)
        width[i], length[i] = run if wide else 0.0, base if wide else 0.0
        sine[i], cosine[i] = rise * share * uphill if wide else 0.0, run * share if wide else 1.0
        middle_x[i], middle_y[i] = 0.5 * (left[i] + right[i]), 0.5 * (low[i] + high[i])


@njit(cache=True, error_model="numpy")
def _over(soil: Any, lies: Any, circle: Any, piece: int, middle: float) -> Any:
    """What stands over the bases of a stretch, whose arc is asked once, in the middle.

    Returns:
        The load as level and slope along the piece and weight of the lowest layer, which layer that is, and the weight
        of water where the arc is wet, else 0.
    """
    (x, y, radius), (levels, slopes, _) = circle, lies
    on, layer, level, slope = middle - soil.x[piece], 0, 0.0, 0.0
    square = radius * radius - (middle - x) ** 2
    for k in range(1, len(soil.weight)):
        reach = y + SLACK - levels[k, piece] - slopes[k, piece] * on
        below = square > reach * abs(reach)
        layer += below
        level += below * soil.weight[k - 1] * (levels[k - 1, piece] - levels[k, piece])
        slope += below * soil.weight[k - 1] * (slopes[k - 1, piece] - slopes[k, piece])
    each = soil.weight[layer]
    reach = y - levels[-1, piece] - slopes[-1, piece] * on
    wet = soil.water_kn_m3 * (square > reach * abs(reach))
    return level + each * levels[layer, piece], slope + each * slopes[layer, piece], each, layer, wet


@njit(cache=True, fastmath={"contract", "nsz", "nnan", "ninf"}, error_model="numpy")
def _load(soil: Any, lies: Any, circle: Any, cut: Any, table: Any) -> Any:
    """What each slice holds, after the method asked for; returns what drives, the weight.

    Along a stretch the load on a base, the load less the water's pressure, and the arm of shaking are straight lines of
    x and the base's level.
    """
    (_, centre_y, radius), (pieces, stops, ends, left_x, which), (levels, slopes, _) = circle, cut, lies
    driving, total, begin, half = 0.0, 0.0, 0, 0.5 * soil.seismic / radius
    for n in range(len(stops)):
        piece, end, x0 = pieces[n], ends[n], soil.x[pieces[n]]
        level, slope, each, layer, wet = _over(soil, lies, circle, piece, 0.5 * (left_x + stops[n]))
        level, dry = level - slope * x0, 1.0 - soil.pore_ratio
        below, fall, held_up = dry * level, dry * slope - wet * slopes[-1, piece], dry * each - wet
        below -= wet * (levels[-1, piece] - slopes[-1, piece] * x0)
        rise = half * slopes[0, piece]
        arm = half * (2.0 * centre_y - levels[0, piece]) + rise * x0
        cohesion, tan_p = soil.cohesion[layer], soil.tan_p[layer]
        for step in range(begin, end + (n > 0)):
            i = step if step < end else ends[-1] + n - 1
            width, sine, x, y = table[0, i], table[2, i], table[5, i], table[6, i]
            weight = (level + slope * x - each * y) * width
            driving += weight * (sine + arm - rise * x - half * y)
            total += weight
            net = below + fall * x - held_up * y
            if which == 0:
                table[4, i], table[5, i] = _top(cohesion, width, net * width, 0.0, tan_p), sine * tan_p
            else:
                pore = level + slope * x - each * y - net
                if which == 1:
                    normal = _buoyant(weight, pore, width, table[1, i], table[3, i])
                else:
                    normal = _total(weight, pore, width, table[1, i], table[3, i])
                normal -= soil.seismic * weight * sine
                table[4, i] = _held(cohesion, table[1, i], normal, tan_p)
        begin, left_x = end, stops[n]
    return driving, total


@njit(cache=True, fastmath=True, error_model="numpy")
def _bishop(table: Any, rows: int, held: float, driving: float) -> Any:
    """Bishop's factor of one table; ``_NONE`` where there is no solution."""
    top, turn, cosine = table[4, :rows], table[5, :rows], table[3, :rows]
    steepest = 1e30  # the 1/F at which the first m comes down to 0
    for i in range(rows):
        if turn[i] < 0.0:
            steepest = min(steepest, -cosine[i] / turn[i])
    factor, before, gave, pairs = 1.0, UNTRIED, 0.0, rows // 2
    for _ in range(ROUNDS):
        share, total = 1.0 / factor, 0.0
        if share >= steepest:
            return _NONE
        for i in range(pairs):  # two slices to one division: dividing is the slow part
            one, two = _m(cosine[i], turn[i], share, 1.0), _m(cosine[i + pairs], turn[i + pairs], share, 1.0)
            total += (top[i] * two + top[i + pairs] * one) / (one * two)
        if rows > 2 * pairs:
            total += top[rows - 1] / _m(cosine[rows - 1], turn[rows - 1], share, 1.0)
        new = (total + held) / driving
        if new <= 0.0:
            return _NONE
        if abs(new - factor) < SETTLED:
            return new
        before, gave, factor = factor, new, _next(before, gave, factor, new)
    return _NONE


@njit(cache=True, error_model="numpy", nogil=True)
def _all(soil: Any, arcs: Any, which: int, count: int) -> Any:
    """Factors of all circles; ``which`` is 0 for Bishop, 1 ordinary buoyant, 2 ordinary total."""
    most = (len(soil.x) - 1) * (1 + 2 * len(soil.lines))
    even, sides, table = np.empty(count + 1), np.empty((4, count + most)), np.empty((8, count + most))
    stops, pieces, ends = np.empty(most), np.empty(most, np.intp), np.empty(most, np.intp)
    found = np.full(len(arcs.x), np.nan)
    lies = _lies(soil)
    for n in range(len(arcs.x)):
        if not arcs.end[n] > arcs.start[n]:
            continue
        circle = (arcs.x[n], arcs.y[n], arcs.radius[n])
        _even(circle, arcs.start[n], arcs.end[n], even)
        many = _stretches(soil, lies, circle, (even[0], even[-1]), stops, pieces)
        rows = count + many - 1
        _cut(circle, even, stops[:many], ends[:many], sides)
        _shape((circle[0], circle[1], circle[2], arcs.uphill[n]), sides, rows, table)
        driving, weight = _load(soil, lies, circle, (pieces, stops[:many], ends[:many], even[0], which), table)
        driving += arcs.driven[n]
        if not driving > IDLE * weight:
            continue
        if which == 0:
            value = _bishop(table, rows, arcs.held[n], driving)
            found[n] = np.nan if value == _NONE else value
        else:
            found[n] = (np.sum(table[4, :rows]) + arcs.held[n]) / driving
    return found


def factors_compiled(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, count: int) -> Array:
    """As ``slip_slices.factors_numpy``; many circles are shared among the cores (the compiled code needs no lock)."""
    which = 0 if method == "bishop" else 2 if form == "total" else 1
    fields = Arcs(*(np.ascontiguousarray(field, dtype=np.float64) for field in arcs))
    shares = min(os.cpu_count() or 1, len(fields.x) // _SHARE_FROM)
    if shares < 2:
        return np.asarray(_all(soil, fields, which, count))
    stops = np.linspace(0, len(fields.x), shares + 1).astype(int)
    parts = [Arcs(*(field[a:b] for field in fields)) for a, b in pairwise(stops)]
    with ThreadPoolExecutor(shares) as pool:
        return np.concatenate(list(pool.map(lambda part: _all(soil, part, which, count), parts)))
