"""Tie the walls that would not stand by their own helps: which stretches, which design, what the ties then hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lynchet.core.findings import Verdict
from lynchet.stability.checks import Table
from lynchet.stability.model import Place, Tie, TieCheck
from lynchet.stability.obstacles import Obstacles
from lynchet.stability.places import Yard
from lynchet.stability.tie_design import Design, Laid, check_ties, designs
from lynchet.stability.tie_layout import Stretch, lay_out
from lynchet.stability.words import Word

_JOIN_M = 1.2
"""Stretches that need ties and lie nearer than this are tied as one."""
_TRIES = 6
"""Designs laid out before the best of them is taken."""


@dataclass(frozen=True)
class Tied:
    """What tying gave."""

    ties: tuple[Tie, ...]
    checks: tuple[TieCheck, ...]
    untied: tuple[Stretch, ...]
    """Stretches that wanted ties and could have none."""


def tie_walls(yard: Yard, table: Table, places: Sequence[Place], words: Sequence[Word], blocked: Obstacles) -> Tied:
    """Lay ties where the brief asks for them and the wall needs them; loaded stretches are left to an engineer.

    Args:
        words: the word on each place without ties, in the order of the places.
    """
    wish = yard.project.brief.ties
    ties: list[Tie] = []
    checks: list[TieCheck] = []
    untied: list[Stretch] = []
    if wish == "never" or "ties" in yard.project.brief.helps_off:
        return Tied((), (), ())
    for stretch, numbers in _stretches(yard, places, words, wish == "always"):
        if any(places[number].surcharge_kpa > 0 for number in numbers):
            continue
        found = _tie_one(yard, table, places, stretch, (numbers, blocked))
        if found is None:
            untied.append(stretch)
            continue
        ties += found[0]
        checks += found[1]
    return Tied(tuple(_numbered(ties)), tuple(checks), tuple(untied))


def _stretches(
    yard: Yard, places: Sequence[Place], words: Sequence[Word], always: bool
) -> list[tuple[Stretch, list[int]]]:
    """Stretches of legs whose places need ties, with the numbers of all places on them."""
    found: list[tuple[Stretch, list[int]]] = []
    for leg in yard.walls.legs:
        for held in (1, -1):
            own = [n for n, place in enumerate(places) if place.leg == leg.id and place.held == held]
            needy = {
                places[n].stretch for n in own if words[n].verdict > Verdict.WATCH or (always and places[n].courses > 2)
            }
            for low, high in _joined(_bounds(places, own, needy)):
                inside = [n for n in own if low - 1e-6 <= places[n].station_m <= high + 1e-6]
                found.append((Stretch(leg.id, held, low, high), inside))
    return found


def _bounds(places: Sequence[Place], own: Sequence[int], needy: set[int]) -> list[tuple[float, float]]:
    """From where to where each needy stretch reaches, in order along the leg."""
    found = []
    for stretch in needy:
        stations = [places[n].station_m for n in own if places[n].stretch == stretch]
        found.append((min(stations), max(stations)))
    return sorted(found)


def _joined(stretches: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in stretches:
        if found and low - found[-1][1] < _JOIN_M:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return found


def _tie_one(
    yard: Yard, table: Table, places: Sequence[Place], stretch: Stretch, what: tuple[list[int], Obstacles]
) -> tuple[list[Tie], list[TieCheck]] | None:
    """The cheapest design that finds its places, or the one that misses fewest; None where no design holds."""
    numbers, blocked = what
    worst = max(numbers, key=lambda n: places[n].high_m - places[n].base_m)
    best: tuple[int, list[Tie], Design, int] | None = None
    for design in _varied(designs(yard.project, table, places, worst)):
        before = len(blocked.outlines)
        ties, missed = lay_out(yard, stretch, design, blocked)
        _forget(blocked, before)
        if best is None or missed < best[0]:
            best = (missed, ties, design, worst)
        if missed == 0:
            break
    if best is None or not best[1]:
        return None
    _, ties, _, _ = best
    for tie in ties:
        _remember(blocked, tie)
    checks = [check for n in numbers for check in _checks_at(yard, table, places, n, ties)]
    return ties, checks


def _varied(found: Sequence[Design]) -> list[Design]:
    """The cheapest design of each set of rows and length, so that a few tries look at really different ones."""
    seen: set[tuple[tuple[int, ...], float]] = set()
    kept = []
    for design in found:
        if (design.below_top, design.length_m) not in seen:
            seen.add((design.below_top, design.length_m))
            kept.append(design)
    return kept[:_TRIES]


def _forget(blocked: Obstacles, before: int) -> None:
    for part in (blocked.outlines, blocked.bottoms_m, blocked.tops_m, blocked.owners):
        del part[before:]


def _remember(blocked: Obstacles, tie: Tie) -> None:
    import shapely

    for outline in (tie.outline_m, tie.cross_outline_m):
        blocked.add(shapely.Polygon(outline), tie.bottom_m, tie.top_m, tie.id)


def _checks_at(yard: Yard, table: Table, places: Sequence[Place], number: int, ties: Sequence[Tie]) -> list[TieCheck]:
    """Checks of the ties as laid, with the spacing really found at this place."""
    place = places[number]
    segment = yard.walls.leg(place.leg).segment_at(place.station_m)
    if segment is None:
        return []
    rows = []
    for course in sorted({tie.course for tie in ties}):
        stations = np.array(sorted(tie.station_m for tie in ties if tie.course == course))
        spacing = _spacing_at(stations, place.station_m)
        if segment.base < course < segment.top and spacing < 3.0:
            rows.append(Laid(segment.top - course, ties[0].length_m, ties[0].cross_length_m, spacing))
    return check_ties(yard.project, table, places, number, rows) if rows else []


def _spacing_at(stations: np.ndarray[tuple[int], np.dtype[np.float64]], station: float) -> float:
    """Length of wall that the tie nearest a station holds: half way to its neighbours, out to the place itself."""
    near = int(np.argmin(np.abs(stations - station)))
    left = stations[near] - stations[near - 1] if near > 0 else None
    right = stations[near + 1] - stations[near] if near + 1 < len(stations) else None
    reach = 2.0 * abs(float(stations[near]) - station)
    if left is None and right is None:
        return max(reach, 0.9)
    inner = [float(gap) for gap in (left, right) if gap is not None]
    return max(sum(inner) / len(inner), reach)


def _numbered(ties: Sequence[Tie]) -> list[Tie]:
    """Ids counted along each course of each leg."""
    counts: dict[tuple[str, int], int] = {}
    found = []
    for tie in sorted(ties, key=lambda t: (t.leg, t.course, t.station_m)):
        key = (tie.leg, tie.course)
        counts[key] = counts.get(key, 0) + 1
        found.append(replace(tie, id=f"{tie.leg}/{tie.course}/tie{counts[key]}"))
    return found
