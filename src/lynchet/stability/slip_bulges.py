"""Circles through two places on the ground: how far they may bulge, and with which bulge they just touch a line.

A circle through two ends is fixed by its bulge, the angle between its chord and its arc at the ends (radians): the
arc's slopes at the ends are chord angle - bulge and chord angle + bulge. With growing bulge the arc goes down all along
between the ends, so every limit on the arc is a limit on the bulge, in closed form.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lynchet.stability.kinds import Array
from lynchet.stability.slip_arcs import Arcs
from lynchet.stability.slip_section import Section

_LEAST = 1e-4
"""Smallest bulge tried, radians: nearly a plane."""


class Chords(NamedTuple):
    """Pairs of ends on the ground, each field (n,)."""

    left_x: Array
    left_y: Array
    right_x: Array
    right_y: Array

    @property
    def angle(self) -> Array:
        """Slope angle of the chord."""
        return np.arctan2(self.right_y - self.left_y, self.right_x - self.left_x)


def chords_of(section: Section, left_x: Array, right_x: Array) -> Chords:
    """Ends on the ground at these x values."""
    return Chords(left_x, section.ground_at(left_x), right_x, section.ground_at(right_x))


def arcs_of(chords: Chords, bulge: Array) -> Arcs:
    """Circles through the ends with a bulge each."""
    run, rise = chords.right_x - chords.left_x, chords.right_y - chords.left_y
    length = np.hypot(run, rise)
    up = 0.5 / np.tan(bulge)
    x = 0.5 * (chords.left_x + chords.right_x) - rise * up
    y = 0.5 * (chords.left_y + chords.right_y) + run * up
    none = np.zeros_like(x)
    angle = chords.angle
    return Arcs(x, y, 0.5 * length / np.sin(bulge), angle - bulge, angle + bulge, none, none, none)


def bulge_through(chords: Chords, x: Array, y: Array) -> Array:
    """Bulge of the circle through the ends and a point each (n, points); NaN unless the point lies between the ends."""
    lx, ly, rx, ry = (value[:, None] for value in chords)
    cross = (lx - x) * (ry - y) - (ly - y) * (rx - x)
    along = (lx - x) * (rx - x) + (ly - y) * (ry - y)
    between = (x > lx + 1e-9) & (x < rx - 1e-9)
    return np.where(between, np.arctan2(-cross, -along), np.nan)


def touching_bulges(chords: Chords, x: Array, line: Array) -> Array:
    """Bulges with which circles through the ends touch the pieces of a line or pass its bends, (n, candidates).

    The point where a circle through both ends touches a straight line lies as far from where the chord meets that line
    as the geometric mean of the ends' distances from there. NaN where there is no such point on the piece.
    """
    slope = np.diff(line) / np.diff(x)
    lx, ly, rx, ry = (value[:, None] for value in chords)
    steep = (ry - ly) / (rx - lx)
    apart = slope - steep
    level = np.abs(apart) < 1e-9
    meet = lx + (ly - line[:-1] - slope * (lx - x[:-1])) / np.where(level, 1.0, apart)
    reach = np.sqrt(np.maximum((lx - meet) * (rx - meet), 0.0) * (1 + steep**2) / (1 + slope**2))
    mid_x, mid_y = 0.5 * (lx + rx), 0.5 * (ly + ry)
    foot = (mid_x + slope * (mid_y - line[:-1] + slope * x[:-1])) / (1 + slope**2)
    found = [bulge_through(chords, x, line)]
    for at in (np.where(level, foot, meet - reach), np.where(level, foot, meet + reach)):
        on_piece = (at >= x[:-1]) & (at <= x[1:])
        found.append(np.where(on_piece, bulge_through(chords, at, line[:-1] + slope * (at - x[:-1])), np.nan))
    return np.concatenate(found, axis=1)


def _least(values: Array, otherwise: float) -> Array:
    return np.asarray(np.min(np.where(np.isnan(values), otherwise, values), axis=1, initial=otherwise))


class Bulges(NamedTuple):
    """What bulges are open to each pair of ends, (n,); none where low is above high."""

    low: Array
    high: Array


def open_bulges(section: Section, chords: Chords, min_depth_m: float) -> Bulges:
    """Bulges with the arc below ground, deep enough somewhere, above the hard bottom, its centre above both ends."""
    deepest = max(min_depth_m, section.crack_depth_m)
    over = bulge_through(chords, section.ground_x, section.ground_y)
    low = np.maximum(np.max(np.where(np.isnan(over), _LEAST, over), axis=1, initial=_LEAST), _LEAST)
    if deepest > 0:
        touch = touching_bulges(chords, section.ground_x, section.ground_y - deepest)
        low = np.maximum(low, _least(touch, np.pi))
    high = np.pi / 2 - np.abs(chords.angle)
    if section.hard_bottom:
        high = np.minimum(high, _least(touching_bulges(chords, section.soil.x, section.soil.lines[-1]), np.pi))
    return Bulges(low, high)


def first_touch(section: Section, chords: Chords, line: int) -> Array:
    """Bulge with which each circle first touches a layer's base below the ground; NaN if it never does."""
    soil = section.soil
    pinched = soil.lines[0] - soil.lines[line] < 1e-6
    touch = touching_bulges(chords, soil.x, np.where(pinched, np.nan, soil.lines[line]))
    least = _least(touch, np.inf)
    return np.where(np.isfinite(least), least, np.nan)
