"""Stone and fabric a cut-off drain lies in along its spring: without them soil closes its holes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import ceil, dist, pi

from lynchet.core.findings import Finding, Verdict
from lynchet.units.format import area, length, small, volume
from lynchet.units.measures import System
from lynchet.water.beside import CutOff, CutOffStone
from lynchet.water.bodies import along
from lynchet.water.model import Point
from lynchet.water.settings import Settings
from lynchet.water.under_beds import TRENCH_M

COVER_M = Settings.cover_m
"""Soil over the stone, also where the drains behind the walls make do with less. PRACTICE."""
_EVEN_M = 0.05
"""Within a part of the stone its height changes by no more than this, and counts as even. OWN."""
_NONE_M = 1e-6
_HALVES = 2
"""Sizes of a trench are told to half an inch."""
_Height = tuple[float, float]
"""Bottom and top."""
Under = Callable[[Sequence[Point], float, float], float]
"""Lowest level of something over an outline, between a bottom and a top."""


def cut_off_stone(
    cut: CutOff, line_m: Sequence[Point], grounds_m: Sequence[float], settings: Settings, timber_m: Under
) -> tuple[CutOffStone, ...]:
    """The stone along a spring, in parts of even height, each with the fabric wrapped round it.

    Args:
        cut: the drain.
        line_m: of the spring, from its upper end along the pipe; a spring at one place: that and a place down the pipe.
        grounds_m: level of the ground (of a bed cut into it) at each of them, straight between them.
        settings: for the stone under the pipe and the overlap of the fabric.
        timber_m: underside of the timber that lies over an outline, between a bottom and a top; infinite where none
            does. Stone comes up to it and no further.
    """
    under = settings.wall_m + settings.stone_under_m
    found: list[CutOffStone] = []
    for n, (a, b) in enumerate(pairwise(line_m)):
        long, whole = dist(a, b), dist(*cut.points_m[n : n + 2])
        if min(long, whole) < _NONE_M:
            continue
        high, low = cut.inverts_m[n : n + 2]
        start = high - under, grounds_m[n] - COVER_M
        end = high + (low - high) * long / whole - under, grounds_m[n + 1] - COVER_M
        for (p, q), (bottom, foot), wanted in _even((a, b), start, end):
            outline = along(p, q, TRENCH_M / 2.0)
            top = max(bottom, foot) + wanted
            tall = min(wanted, timber_m(outline, min(bottom, foot), top) - max(bottom, foot))
            if tall <= _NONE_M:
                continue
            stone = dist(p, q) * max(0.0, TRENCH_M * tall - pi / 4.0 * cut.outside_m**2)
            fabric = dist(p, q) * (2.0 * (TRENCH_M + tall) + settings.overlap_m)
            found.append(
                CutOffStone(
                    f"{cut.id}/stone/{len(found) + 1}", f"{cut.id}/{n + 1}", outline, p, q,
                    bottom, foot, bottom + tall, foot + tall, stone, fabric,
                )
            )  # fmt: skip
    return tuple(found)


def _even(
    line_m: tuple[Point, Point], start: _Height, end: _Height
) -> Iterator[tuple[tuple[Point, Point], tuple[float, float], float]]:
    """Parts of a straight length of stone: ends, bottoms there, and their even height, which is that at the middle."""
    (ax, ay), (bx, by) = line_m
    first, last = start[1] - start[0], end[1] - end[0]
    count = max(1, ceil(abs(last - first) / _EVEN_M - _NONE_M))
    places = [(ax + (bx - ax) * k / count, ay + (by - ay) * k / count) for k in range(count + 1)]
    bottoms = [start[0] + (end[0] - start[0]) * k / count for k in range(count + 1)]
    for k, (ends, feet) in enumerate(zip(pairwise(places), pairwise(bottoms), strict=True)):
        tall = first + (last - first) * (k + 0.5) / count
        if tall > _NONE_M:
            yield ends, feet, tall


def cut_off_finding(cut: CutOff, wanted_m: float, settings: Settings, units: System) -> Finding:
    """What a cut-off drain lies in along its spring, with amounts.

    Args:
        cut: the drain, with its stone.
        wanted_m: length that stone is wanted along.
        settings: for the stone under the pipe.
        units: of the file.
    """
    missing = wanted_m - cut.stone_length_m
    whole = missing < settings.clear_m
    if cut.stone:
        trench, under, cover = (small(one, units, _HALVES)
                                for one in (TRENCH_M, settings.stone_under_m, COVER_M))  # fmt: skip
        text = (
            f"The cut-off drain of spring {cut.spring} lies in drain stone along {'its first' if whole else 'only'} "
            f"{length(cut.stone_length_m, units)}, in a trench {trench} wide, from {under} under the pipe up to "
            f"{cover} under the ground, all of it wrapped in filter fabric; else soil closes its holes. That is "
            f"{volume(cut.stone_m3, units)} of stone in place and {area(cut.fabric_m2, units)} of fabric: the order "
            "list, the hours and the soil account hold them."
        )
        if not whole:
            text += (
                f" Another {length(missing, units)} has no room for it, under timber or where a bed is cut down to the "
                "pipe: there soil closes the holes. Move the drain away from there."
            )
    else:
        text = (
            f"The cut-off drain of spring {cut.spring} has no room for drain stone along the spring: the bed there is "
            "cut down to its pipe, and soil closes its holes. Move the drain out of the bed, or ask for the bed higher."
        )
    return Finding("water.cut_off_stone", Verdict.OK if whole else Verdict.WATCH, text, cut.spring,
                   source="PRACTICE", cause=f"water.cut_off_stone/{cut.spring}")  # fmt: skip
