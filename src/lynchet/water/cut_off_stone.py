"""Stone and fabric a cut-off drain lies in along its spring: told, for they are in no list yet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import dist, pi

from lynchet.core.findings import Finding, Verdict
from lynchet.units.format import area, length, small, volume
from lynchet.units.measures import System
from lynchet.water.beside import CutOff
from lynchet.water.model import Point
from lynchet.water.settings import Settings
from lynchet.water.under_beds import TRENCH_M

COVER_M = 0.15
"""Soil over the stone. PRACTICE."""


def _amounts(line_m: Sequence[Point], heights_m: Sequence[float], settings: Settings) -> tuple[float, float]:
    """Stone in place, the pipe taken off, m3; and the fabric wrapped round it, m2.

    Args:
        line_m: of the spring.
        heights_m: of the stone at each point of it, straight between them.
        settings: for the pipe and the overlap of the fabric.
    """
    stone, fabric = 0.0, 0.0
    for (a, b), (first, last) in zip(pairwise(line_m), pairwise(heights_m), strict=True):
        long, high = dist(a, b), (first + last) / 2.0
        stone += long * max(0.0, TRENCH_M * high - pi / 4.0 * settings.outside_m**2)
        fabric += long * (2.0 * (TRENCH_M + high) + settings.overlap_m)
    return stone, fabric


def cut_off_finding(
    cut: CutOff, line_m: Sequence[Point], levels_m: Sequence[tuple[float, float]], settings: Settings, units: System
) -> Finding:
    """What a cut-off drain lies in along its spring, with amounts: without it soil closes its holes.

    Args:
        cut: the drain.
        line_m: of the spring, from the upper end; for one place of its own, with a point a little down the pipe.
        levels_m: ground and invert at those points.
        settings: for the pipe, the stone under it and the fabric.
        units: of the file.
    """
    wall = (settings.outside_m - settings.bore_m) / 2.0
    more = wall + settings.stone_under_m - COVER_M
    heights = [max(0.0, ground - invert + more) for ground, invert in levels_m]
    stone, fabric = _amounts(line_m, heights, settings)
    long = sum(dist(a, b) for a, b in pairwise(line_m))
    text = (
        f"The cut-off drain of spring {cut.spring} lies in drain stone along its first {length(long, units)}, in a "
        f"trench {small(TRENCH_M, units)} wide, from {small(settings.stone_under_m, units)} under the pipe up to "
        f"{small(COVER_M, units)} under the ground, all of it wrapped in filter fabric; else soil closes its "
        f"holes. The order list, the hours and the soil account hold its pipe and its trench alone: order "
        f"{volume(stone, units)} of stone and {area(fabric, units)} of fabric more, and take away as much soil."
    )
    return Finding("water.cut_off_stone", Verdict.WATCH, text, cut.spring, source="PRACTICE",
                   cause=f"water.cut_off_stone/{cut.spring}")  # fmt: skip
