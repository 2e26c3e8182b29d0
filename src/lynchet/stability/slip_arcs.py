"""Circles as arcs below the ground: crossings with lines, where a crack cuts them off, what ties and cracks add.

An arc point at angle t stands at (xc + R sin t, yc - R cos t); the arc's slope there is tan t.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slip_section import Section

_SAMPLES = 65


class Arcs(NamedTuple):
    """Sliding masses over circles, each field (n,)."""

    x: Array
    y: Array
    radius: Array
    start: Array
    """Angle of the left end, radians."""
    end: Array
    """Angle of the right end."""
    uphill: Array
    """1 where the right end is the uphill one, -1 where the left is."""
    held: Array
    """What ties add on the resisting side, kN per metre."""
    driven: Array
    """What crack water adds to and ties take off the driving side."""


def crossing_points(away: Any, lean_sine: Any, lean_cosine: Any) -> Any:
    """Sine and cosine of the angles at which a circle crosses a straight line, lean -+ acos(away).

    Plain numbers or arrays, for compiled code too.

    Args:
        away: distance of the line below the centre over the radius, square to the line; -1 to 1.
        lean_sine, lean_cosine: of the line's slope angle.
    """
    root = np.sqrt(1.0 - away * away)
    first = lean_sine * away - lean_cosine * root, lean_cosine * away + lean_sine * root
    second = lean_sine * away + lean_cosine * root, lean_cosine * away - lean_sine * root
    return first, second


def crossings(arcs: Arcs, line_x: Array, line_y: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Sines (n, 2, segments) of the angles where lower arcs cross a line of straight pieces, and which are real."""
    slope = np.diff(line_y) / np.diff(line_x)
    cosine = 1.0 / np.sqrt(1.0 + slope**2)
    x, y, r = (value[:, None] for value in (arcs.x, arcs.y, arcs.radius))
    away = (y - line_y[:-1] + slope * (line_x[:-1] - x)) * cosine / r
    reached = np.abs(away) <= 1.0
    first, second = crossing_points(np.where(reached, away, 1.0), slope * cosine, cosine)
    sines, cosines = np.stack([first[0], second[0]], axis=1), np.stack([first[1], second[1]], axis=1)
    at = x[:, None] + r[:, None] * sines
    real = reached[:, None] & (cosines >= -SLACK) & (at >= line_x[:-1] - SLACK) & (at <= line_x[1:] + SLACK)
    return sines, real


def x_at(arcs: Arcs, angle: Array) -> Array:
    """x of the points at an angle each."""
    return np.asarray(arcs.x + arcs.radius * np.sin(angle))


def y_at(arcs: Arcs, angle: Array) -> Array:
    """y of the points at an angle each."""
    return np.asarray(arcs.y - arcs.radius * np.cos(angle))


def uphill_sides(section: Section, arcs: Arcs) -> Array:
    """1 where the right end lies higher, -1 where the left; of level ends the side to which the weight stands."""
    left, right = x_at(arcs, arcs.start), x_at(arcs, arcs.end)
    rise = section.ground_at(right) - section.ground_at(left)
    level = np.flatnonzero(np.abs(rise) <= SLACK)
    if len(level):
        x = left[level, None] + (right - left)[level, None] * np.linspace(0.0, 1.0, _SAMPLES)
        away = x - arcs.x[level, None]
        rise[level] = np.sum(section.ground_at(x) * away, axis=1)  # the arc under level ends is even on both sides
    return np.where(rise >= 0, 1.0, -1.0)


def cut_at_crack(section: Section, arcs: Arcs) -> Arcs:
    """End each mass at the outermost place uphill where it is as deep as the crack; NaN where it never is."""
    depth = section.crack_depth_m
    if depth <= 0:
        return arcs
    outer = np.where(arcs.uphill > 0, arcs.end, arcs.start)
    there = section.ground_at(x_at(arcs, outer)) - y_at(arcs, outer)
    sines, real = crossings(arcs, section.ground_x, section.ground_y - depth)
    angles = np.arcsin(np.clip(sines, -1.0, 1.0))
    inside = real & (angles >= arcs.start[:, None, None]) & (angles <= arcs.end[:, None, None])
    side = arcs.uphill[:, None, None]
    reach = np.where(inside, side * angles, -np.inf).reshape(len(arcs.x), -1).max(axis=1)
    found = np.where(np.isfinite(reach), arcs.uphill * reach, np.nan)
    cut = np.where(there >= depth - SLACK, outer, found)
    right = arcs.uphill > 0
    return arcs._replace(start=np.where(right, arcs.start, cut), end=np.where(right, cut, arcs.end))


def with_ties_and_crack(section: Section, arcs: Arcs) -> Arcs:
    """What ties hold and what water in the crack drives, divided by the radius."""
    held, driven = np.zeros_like(arcs.x), np.zeros_like(arcs.x)
    outer = np.where(arcs.uphill > 0, arcs.end, arcs.start)
    x_end, y_end = x_at(arcs, outer), y_at(arcs, outer)
    top = section.ground_at(x_end)
    if section.crack_water_m > 0:
        water = section.crack_water_m
        force = 0.5 * section.soil.water_kn_m3 * water**2
        foot = top - section.crack_depth_m
        driven = force * (arcs.y - (foot + water / 3.0)) / arcs.radius
    left, right = x_at(arcs, arcs.start), x_at(arcs, arcs.end)
    for tie in section.ties:
        below = arcs.y - tie.y_m
        inside = (below > 0) & (below < arcs.radius)
        crossing = arcs.x + arcs.uphill * np.sqrt(np.where(inside, arcs.radius**2 - below**2, 0.0))
        by_arc = inside & (crossing > left) & (crossing < right)
        by_end = (tie.y_m >= y_end) & (tie.y_m <= top) & (top > y_end + SLACK) & ~by_arc
        leaves = np.where(by_arc, crossing, x_end)
        beyond = True if tie.anchor_x_m is None else arcs.uphill * (tie.anchor_x_m - leaves) > 0
        moment = np.where((by_arc | by_end) & beyond, tie.force_kn_per_m * below / arcs.radius, 0.0)
        held, driven = (held + moment, driven) if section.ties_resist else (held, driven - moment)
    return arcs._replace(held=held, driven=driven)


def prepared(section: Section, arcs: Arcs) -> Arcs:
    """Uphill side, crack, ties: ready for the slices."""
    sided = arcs._replace(uphill=uphill_sides(section, arcs))
    return with_ties_and_crack(section, cut_at_crack(section, sided))
