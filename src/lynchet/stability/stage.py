"""The stability stage: what holds each wall, dry, wet and with outlets shut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lynchet.core.changed import changed
from lynchet.core.findings import Finding, Verdict
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.stability.bearings import check_bases, weakest_bases
from lynchet.stability.behind import with_loads, with_tiers
from lynchet.stability.boxes import box_fronts, check_boxes
from lynchet.stability.checks import Numbers, Table, check
from lynchet.stability.heights import check_heights
from lynchet.stability.held_stretches import held_stretches
from lynchet.stability.kinds import Array
from lynchet.stability.load_stretches import cut_at_loads
from lynchet.stability.model import CASES, CornerCheck, JointCheck, Place, Stability, WallVerdict
from lynchet.stability.obstacles import obstacles
from lynchet.stability.pin_layout import lay_out_pins
from lynchet.stability.places import Yard, places
from lynchet.stability.saying import Told, corner_finding, findings_on_walls, helps_of
from lynchet.stability.site import (
    height_findings,
    load_findings,
    on_wall_findings,
    tier_findings,
    timber_findings,
)
from lynchet.stability.slope import check_slope, slope_findings
from lynchet.stability.spread import spread
from lynchet.stability.tying import Tied, Untied, tie_walls
from lynchet.stability.weep_holes import Weeps, lay_out_weeps
from lynchet.stability.weeps_said import blocked_factors, weep_findings
from lynchet.stability.words import (
    Word,
    as_verdict,
    judged,
    wall_verdicts,
    word_on_base,
    word_on_corner,
    worst_words,
)
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Walls
from lynchet.walls.seen import all_seen
from lynchet.water.model import Water

COARSE_ENDS = 10


def stability(
    project: Project, ground: Ground, terraces: Terraces, walls: Walls, water: Water, slip_ends: int = 10
) -> Stability:
    """Check every wall at every joint, tie what needs ties, look at tiers, heights and the whole slope.

    Args:
        slip_ends: places tried for each end of a slip circle; more is finer. With ``COARSE_ENDS`` or fewer all joints
            are checked all the same, but only those of the weakest place of each leg are told.

    Returns:
        Checks, ties, pins and findings. A yard without walls gives an empty result.
    """
    yard = _yard(project, ground, terraces, walls, water)
    found, tiers = with_tiers(yard, places(yard))
    found = with_loads(yard, found)
    if not found:
        return Stability((), (), (), (), (), (), (), (), (), (), (),
                         tuple(timber_findings(project) + on_wall_findings(project)))  # fmt: skip
    held = _held(yard, found)
    bases = check_bases(project, held.table, found, held.tied.words)
    pins = lay_out_pins(yard, held.untied.blocked)
    by_base = [word_on_base(base) for base in weakest_bases(bases) if base.place.leg not in held.boxed]
    verdicts = wall_verdicts([*held.words.values(), *by_base])
    heights = check_heights(project, yard.walls, found, tiers)
    slope = check_slope(yard, found, tiers, slip_ends)
    findings = [*load_findings(project, found), *tier_findings(project, tiers)]
    findings += [
        *timber_findings(project, found),
        *on_wall_findings(project),
        *_wall_findings(held, verdicts),
        *slope_findings(slope),
    ]
    findings += [*height_findings(project, heights), *weep_findings(yard)]
    tied = {tie.leg for tie in held.tied.ties}
    return Stability(
        places=tuple(found),
        joints=tuple(_joint_checks(held.table, found, every=slip_ends > COARSE_ENDS)),
        bases=tuple(bases),
        corners=tuple(held.corners),
        tie_checks=held.tied.checks,
        ties=held.tied.ties,
        pins=tuple(pins),
        tiers=tuple(tiers),
        heights=tuple(heights),
        slope=tuple(slope),
        walls=tuple(_verdict(verdicts[leg], tied) for leg in sorted(verdicts)),
        findings=tuple(findings),
        weeps=yard.weeps.holes,
    )


def _yard(project: Project, ground: Ground, terraces: Terraces, walls: Walls, water: Water) -> Yard:
    """The earlier results, with the ground that walls hold and what is bored to let its water out."""
    stretches = cut_at_loads(project, walls, {leg.id: held_stretches(leg, water) for leg in walls.legs})
    weeps = lay_out_weeps(walls, water, stretches, terraces.flights) if project.brief.weeps else Weeps()
    return Yard(project, ground, terraces, walls, water, stretches, weeps)


@dataclass(frozen=True)
class _Held:
    """Every wall with what holds it."""

    untied: Untied
    table: Table
    corners: list[CornerCheck]
    boxed: dict[str, Word]
    """Legs that stand by their corners, with their word."""
    tied: Tied
    words: dict[int, Word]
    """The word on each place."""


def _held(yard: Yard, found: Sequence[Place]) -> _Held:
    """Bare with the helps in the soil, then by corners, then by ties: the least that holds."""
    table = spread(check(yard.project, found), found)
    graded = judged(table, found)
    words = worst_words(table, graded, found)
    corners = check_boxes(yard.project, table, found, box_fronts(yard, found))
    boxed = _boxed(found, words, corners)
    for number, word in words.items():
        if word.place.leg in boxed:
            words[number] = replace(boxed[word.place.leg], place=word.place)
    untied = Untied(yard, table, graded, found, dict(words), obstacles(yard))
    tied = tie_walls(untied)
    for number, word in tied.words.items():
        if word.badness < words[number].badness or yard.project.brief.ties == "always":
            words[number] = word
    return _Held(untied, table, corners, boxed, tied, words)


def _boxed(found: Sequence[Place], words: Mapping[int, Word], corners: Sequence[CornerCheck]) -> dict[str, Word]:
    """Fronts that need their corners and stand better by them, with the word on their worst case."""
    if not corners:
        return {}
    best: dict[str, Word] = {}
    for corner in corners:
        place = max((p for p in found if p.leg == corner.leg), key=lambda p: p.retained_m)
        word = word_on_corner(corner, place)
        if corner.leg not in best or word.badness > best[corner.leg].badness:
            best[corner.leg] = word
    bare: dict[str, Word] = {}
    for word in words.values():
        if word.place.leg not in bare or word.badness > bare[word.place.leg].badness:
            bare[word.place.leg] = word
    return {
        leg: word
        for leg, word in best.items()
        if bare[leg].verdict > Verdict.WATCH and word.badness < bare[leg].badness
    }


def _wall_findings(held: _Held, verdicts: Mapping[str, Word]) -> list[Finding]:
    """What is said of each wall: its worst word, and of a box what its corners must carry."""
    untied = held.untied
    legs = {leg.id: leg for leg in untied.yard.walls.legs}
    project, built = untied.yard.project, untied.yard.walls
    seen = all_seen(built.legs, built.runs, mirrored=project.frame.mirrored)
    ties_vain = frozenset(s.leg for s in held.tied.untied)
    boxes = {leg for leg, word in verdicts.items() if leg in held.boxed and word.verdict is Verdict.WATCH}
    words = [word for leg, word in sorted(verdicts.items()) if leg not in boxes]
    blocked = blocked_factors(untied.yard, untied.places, words)
    told = Told(project, held.table, legs, ties_vain, untied, seen, blocked)
    found = findings_on_walls(told, untied.places, words)
    for leg in sorted(boxes):
        checks = [corner for corner in held.corners if corner.leg == leg]
        worst = max(checks, key=lambda c: word_on_corner(c, verdicts[leg].place).badness)
        place = max((p for p in untied.places if p.leg == leg), key=lambda p: p.retained_m)
        found.append(corner_finding(told, untied.places, (checks[0], worst), place))
    return found


def _verdict(word: Word, tied: set[str]) -> WallVerdict:
    return changed(as_verdict(word), tied=word.place.leg in tied)


def _joint_checks(table: Table, found: Sequence[Place], every: bool) -> list[JointCheck]:
    """Of every place and case the joint with the least factor; else of the place of each leg that has the least."""
    least = np.minimum(table.sliding, table.overturning)
    rows = _least_rows(least, np.sort(table.first[table.first >= 0]))
    if not every:
        rows = rows[np.isin(table.place[rows], _weakest(table.place[rows], least[rows], found))]
    f = table.forces
    columns = (f.vertical, f.horizontal, f.resisting, f.overturning, table.sliding_bare, table.sliding,
               table.overturning_bare, table.overturning)  # fmt: skip
    forces = zip(*(np.asarray(column)[rows].tolist() for column in columns), strict=True)
    where = zip(table.place[rows].tolist(), table.joint[rows].tolist(), table.case[rows].tolist(), strict=True)
    return [
        JointCheck(found[place], joint, CASES[case], *numbers, helps)  # type: ignore[call-arg]
        for (place, joint, case), numbers, helps in zip(where, forces, helps_of(table, rows), strict=True)
    ]


def _least_rows(values: Array, starts: Numbers) -> Numbers:
    """The row of the least value from each start up to the next, the first of equals."""
    counts = np.diff(np.append(starts, len(values)))
    least = np.flatnonzero(values == np.repeat(np.minimum.reduceat(values, starts), counts))
    return np.asarray(least[np.searchsorted(least, starts)], dtype=np.intp)


def _weakest(place: Numbers, least: Array, found: Sequence[Place]) -> list[int]:
    """The place of each leg with the least factor."""
    numbers: dict[str, int] = {}
    legs = np.array([numbers.setdefault(one.leg, len(numbers)) for one in found])
    order = np.argsort(least, kind="stable")
    _, first = np.unique(legs[place[order]], return_index=True)
    return sorted(place[order[first]].tolist())
