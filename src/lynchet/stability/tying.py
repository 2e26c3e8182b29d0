"""Tie the walls that would not stand by their own helps: which stretches, which design, what the ties then hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from lynchet.core.findings import Verdict
from lynchet.stability.checks import Table
from lynchet.stability.diagrams import Diagram
from lynchet.stability.kinds import Array
from lynchet.stability.model import Case, Place, Tie, TieCheck
from lynchet.stability.obstacles import Obstacles
from lynchet.stability.places import Yard
from lynchet.stability.thresholds import SHUT_CASES
from lynchet.stability.tie_design import Design, check_ties, designs, diagram, most_needed
from lynchet.stability.tie_holds import Laid
from lynchet.stability.tie_layout import Stretch, lay_out
from lynchet.stability.words import Judged, Word, word_on_ties, worst_words

_JOIN_M = 1.2
"""Stretches that need ties and lie nearer than this are tied as one."""
_TRIES = 3
"""Designs laid out before the best of them is taken."""
_FAR_M = 3.0
"""Ties further apart than this do not hold the wall between them. PRACTICE."""


@dataclass(frozen=True)
class Tied:
    """What tying gave."""

    ties: tuple[Tie, ...]
    checks: tuple[TieCheck, ...]
    words: dict[int, Word]
    """The word on each place that has ties, by its number."""
    untied: tuple[Stretch, ...]
    """Stretches that wanted ties and could have none that help."""


@dataclass(frozen=True)
class Untied:
    """Everything known of the walls without ties."""

    yard: Yard
    table: Table
    found: Judged
    places: Sequence[Place]
    words: Mapping[int, Word]
    """By number of place."""
    blocked: Obstacles
    diagrams: dict[tuple[int, Case], Diagram] = field(default_factory=dict)
    """Pressures on the back by place and case, drawn once."""

    def behind(self, number: int) -> dict[Case, Diagram]:
        """Pressures on the back of a place in every case."""
        for case in self.table.cases_of(number):
            if (number, case) not in self.diagrams:
                self.diagrams[number, case] = diagram(self.yard.project, self.places[number], case)
        return {case: self.diagrams[number, case] for case in self.table.cases_of(number)}


def tie_walls(untied: Untied) -> Tied:
    """Lay ties where the brief asks for them and the wall needs them; loaded stretches are left to an engineer."""
    brief = untied.yard.project.brief
    if brief.ties == "never" or "ties" in brief.helps_off:
        return Tied((), (), {}, ())
    ties: list[Tie] = []
    checks: list[TieCheck] = []
    words: dict[int, Word] = {}
    without: list[Stretch] = []
    for stretch, numbers in _stretches(untied, brief.ties == "always"):
        if any(untied.places[number].surcharge_kpa > 0 for number in numbers):
            continue
        laid = _tie_one(untied, stretch, numbers)
        if laid is None:
            without.append(stretch)
            continue
        ties += laid.ties
        checks += [check for group in laid.checks.values() for check in group]
        words.update(laid.words)
        for tie in laid.ties:
            for outline in (tie.outline_m, tie.cross_outline_m):
                untied.blocked.add(shapely.Polygon(outline), tie.bottom_m, tie.top_m, tie.id)
    return Tied(tuple(_numbered(ties)), tuple(checks), words, tuple(without))


def _stretches(untied: Untied, always: bool) -> list[tuple[Stretch, list[int]]]:
    """Stretches of legs whose places need ties, with the numbers of all places on them."""
    places, words = untied.places, untied.words
    found: list[tuple[Stretch, list[int]]] = []
    of_side: dict[tuple[str, int], list[int]] = {}
    for number, place in enumerate(places):
        of_side.setdefault((place.leg, place.held), []).append(number)
    for leg in untied.yard.walls.legs:
        for held in (1, -1):
            own = of_side.get((leg.id, held), [])
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


@dataclass(frozen=True)
class _Tried:
    """One design as it could be laid out."""

    ties: list[Tie]
    missed: int
    checks: dict[int, list[TieCheck]]
    words: dict[int, Word]

    def worth(self, untied: Untied, numbers: Sequence[int]) -> tuple[int, float, int]:
        """Smaller is better: the worst word left, how many places have it, wished places without room."""
        left = [self.words.get(n, untied.words[n]) for n in numbers]
        worst = max(word.verdict for word in left)
        return int(worst), sum(word.verdict == worst for word in left) + 0.1 * self.missed, len(self.ties)


def _tie_one(untied: Untied, stretch: Stretch, numbers: list[int]) -> _Tried | None:
    """The cheapest design that cures the stretch as laid out, or the one that leaves least; None where none helps."""
    before = [untied.words[n] for n in numbers]
    worst = max(word.verdict for word in before)
    start = (int(worst), float(sum(word.verdict == worst for word in before)), 0)
    best: _Tried | None = None
    shut: set[int] = set()  # rows in which not a single tie found room
    tries = 0
    for design in _candidates(untied, numbers):
        if shut & set(design.below_top) or tries >= _TRIES:
            continue
        placed = len(untied.blocked.ties)
        ties, missed = lay_out(untied.yard, stretch, design, untied.blocked)
        del untied.blocked.ties[placed:]
        shut |= _rows_without(untied, ties, design)
        if not ties:
            continue
        tries += 1
        tried = _checked(untied, numbers, ties, missed)
        if best is None or tried.worth(untied, numbers) < best.worth(untied, numbers):
            best = tried
        if best.worth(untied, numbers)[0] <= Verdict.WATCH and best.missed == 0:
            break
    helps = best is not None and best.worth(untied, numbers)[:2] < start[:2]
    wished = untied.yard.project.brief.ties == "always" and best is not None and bool(best.ties)
    return best if helps or wished else None


def _rows_without(untied: Untied, ties: Sequence[Tie], design: Design) -> set[int]:
    """Rows of a design, counted down from the top course, in which nothing could be laid."""
    leg = None if not ties else untied.yard.walls.leg(ties[0].leg)
    laid = set()
    for tie in ties:
        segment = leg.segment_at(tie.station_m) if leg is not None else None
        if segment is not None:
            laid.add(segment.top - tie.course)
    return set(design.below_top) - laid


def _candidates(untied: Untied, numbers: Sequence[int]) -> list[Design]:
    """Designs for the place that needs most: such as hold in every case, else such as hold while the drains run."""
    number = most_needed(untied.table, numbers)
    place, project = untied.places[number], untied.yard.project
    behind = untied.behind(number)
    found = designs(project, untied.table, place, number, behind)
    running = {case: pressure for case, pressure in behind.items() if case not in SHUT_CASES}
    if not found and len(running) < len(behind):
        found = designs(project, untied.table, place, number, running)
    return _varied(found)


def _varied(found: Sequence[Design]) -> list[Design]:
    """The cheapest design of each set of rows and length, so that a few tries look at really different ones."""
    seen: set[tuple[tuple[int, ...], float]] = set()
    kept = []
    for design in found:
        if (design.below_top, design.length_m) not in seen:
            seen.add((design.below_top, design.length_m))
            kept.append(design)
    return kept


def _checked(untied: Untied, numbers: Sequence[int], ties: list[Tie], missed: int) -> _Tried:
    checks = {n: found for n in numbers if (found := _checks_at(untied, n, ties))}
    words: dict[int, Word] = {}
    above = _rows_above(untied, {n: found[0].top_row for n, found in checks.items()})
    loose = worst_words(untied.table, untied.found, untied.places, above)
    for n, found in checks.items():
        own = [word_on_ties(check) for check in found]
        words[n] = max([*own, *([loose[n]] if n in loose else [])], key=lambda word: word.badness)
    return _Tried(ties, missed, checks, words)


def _rows_above(untied: Untied, top_rows: Mapping[int, int]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Rows of the joints over the highest tie of each tied place: what stands above them is not tied."""
    limit = np.full(len(untied.places), 10**6)
    for number, row in top_rows.items():
        limit[number] = row
    return np.asarray(untied.table.joint > limit[untied.table.place])


def _checks_at(untied: Untied, number: int, ties: Sequence[Tie]) -> list[TieCheck]:
    """Checks of the ties as laid, with the spacing really found at this place."""
    place = untied.places[number]
    segment = untied.yard.walls.leg(place.leg).segment_at(place.station_m)
    if segment is None:
        return []
    rows = []
    for course in sorted({tie.course for tie in ties}):
        stations = np.array(sorted(tie.station_m for tie in ties if tie.course == course))
        spacing = _spacing_at(stations, place.station_m)
        if segment.base < course < segment.top and spacing < _FAR_M:
            rows.append(Laid(segment.top - course, ties[0].length_m, ties[0].cross_length_m, spacing))
    return check_ties(untied.yard.project, untied.table, (place, number), rows, untied.behind(number)) if rows else []


def _spacing_at(stations: Array, station: float) -> float:
    """Length of wall that the tie nearest a station holds: half way to its neighbours, out to the place itself."""
    near = int(np.argmin(np.abs(stations - station)))
    left = stations[near] - stations[near - 1] if near > 0 else None
    right = stations[near + 1] - stations[near] if near + 1 < len(stations) else None
    reach = 2.0 * abs(float(stations[near]) - station)
    if left is None and right is None:
        return max(reach, 0.9)
    inner = [float(gap) for gap in (left, right) if gap is not None]
    return max(sum(inner) / len(inner), reach)


def _numbered(ties: Iterable[Tie]) -> list[Tie]:
    """Ids counted along each course of each leg."""
    counts: dict[tuple[str, int], int] = {}
    found = []
    for tie in sorted(ties, key=lambda t: (t.leg, t.course, t.station_m)):
        key = (tie.leg, tie.course)
        counts[key] = counts.get(key, 0) + 1
        found.append(replace(tie, id=f"{tie.leg}/{tie.course}/tie{counts[key]}"))
    return found
