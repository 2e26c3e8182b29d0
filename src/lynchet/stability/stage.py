"""The stability stage: what holds each wall, dry, wet and with outlets shut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from lynchet.core.findings import Verdict
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.stability.bearings import check_bases
from lynchet.stability.behind import with_loads, with_tiers
from lynchet.stability.boxes import box_fronts as fronts_of
from lynchet.stability.boxes import check_boxes
from lynchet.stability.checks import Table, check
from lynchet.stability.heights import check_heights
from lynchet.stability.model import CASES, CornerCheck, Help, JointCheck, Place, Stability, TierCheck
from lynchet.stability.obstacles import obstacles
from lynchet.stability.pin_layout import lay_out_pins
from lynchet.stability.places import Yard, places
from lynchet.stability.site import (
    height_findings,
    load_findings,
    on_wall_findings,
    tier_findings,
    timber_findings,
)
from lynchet.stability.slope import check_slope, slope_findings
from lynchet.stability.spread import spread
from lynchet.stability.tying import Tied, tie_walls
from lynchet.stability.words import (
    Word,
    as_verdict,
    finding_on,
    wall_verdicts,
    word_on_base,
    word_on_corner,
    word_on_ties,
    words_on_joints,
)
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Walls
from lynchet.water.model import Water


def stability(
    project: Project, ground: Ground, terraces: Terraces, walls: Walls, water: Water, slip_ends: int = 10
) -> Stability:
    """Check every wall at every joint, tie what needs ties, look at tiers, heights and the whole slope.

    Args:
        slip_ends: places tried for each end of a slip circle; more is finer.

    Returns:
        Checks, ties, pins and findings. A yard without walls gives an empty result.
    """
    yard = Yard(project, ground, terraces, walls, water)
    found, tiers = with_tiers(yard, places(yard))
    found = with_loads(yard, found)
    if not found:
        return _nothing(project)
    table = spread(check(project, found), found)
    words = words_on_joints(table, found)
    corners = check_boxes(project, table, found, fronts_of(project, walls, found))
    words = _by_corners(found, words, corners)
    blocked = obstacles(yard)
    tied = tie_walls(yard, table, found, words, blocked)
    words = _by_ties(found, words, tied)
    pins = lay_out_pins(yard, list(tied.ties), blocked)
    bases = check_bases(project, table, found)
    verdicts = wall_verdicts([*words, *(word_on_base(base) for base in bases if not _is_tied(words, base.place))])
    heights = check_heights(project, found, tiers)
    slope = check_slope(yard, found, tiers, slip_ends)
    findings = [finding_on(project, table, word) for word in verdicts.values() if word.verdict is not Verdict.OK]
    findings += tier_findings(tiers) + height_findings(project, heights) + load_findings(project, found)
    findings += on_wall_findings(project) + timber_findings(project) + slope_findings(slope)
    return Stability(
        places=tuple(found),
        joints=tuple(_joint_checks(table, found)),
        bases=tuple(bases),
        corners=tuple(corners),
        tie_checks=tied.checks,
        ties=tied.ties,
        pins=tuple(pins),
        tiers=tuple(tiers),
        heights=tuple(heights),
        slope=tuple(slope),
        walls=tuple(as_verdict(verdicts[leg]) for leg in sorted(verdicts)),
        findings=tuple(findings),
    )


def _nothing(project: Project) -> Stability:
    empty: tuple[TierCheck, ...] = ()
    findings = tuple(timber_findings(project) + on_wall_findings(project))
    return Stability((), (), (), (), (), (), (), empty, (), (), (), findings)


def _by_corners(found: Sequence[Place], words: Sequence[Word], corners: Sequence[CornerCheck]) -> list[Word]:
    """Words on fronts that stand by their corners, where that is better than without."""
    best: dict[str, Word] = {}
    for corner in corners:
        place = max((p for p in found if p.leg == corner.leg), key=lambda p: p.retained_m)
        word = word_on_corner(corner, place)
        if corner.leg not in best or word.badness > best[corner.leg].badness:
            best[corner.leg] = word
    return [
        replace(best[word.place.leg], place=word.place, row=-1)
        if word.place.leg in best and word.verdict > Verdict.WATCH and best[word.place.leg].verdict < word.verdict
        else word
        for word in words
    ]


def _by_ties(found: Sequence[Place], words: Sequence[Word], tied: Tied) -> list[Word]:
    """Words on tied places: the worst of their ties' checks in place of the wall without ties."""
    best: dict[Place, Word] = {}
    for tie_check in tied.checks:
        word = word_on_ties(tie_check)
        if tie_check.place not in best or word.badness > best[tie_check.place].badness:
            best[tie_check.place] = word
    return [
        best[word.place] if word.place in best and best[word.place].badness < word.badness else word for word in words
    ]


def _is_tied(words: Sequence[Word], place: Place) -> bool:
    return any(word.place is place and ("ties" in word.holds or "corners" in word.holds) for word in words)


def _joint_checks(table: Table, found: Sequence[Place]) -> list[JointCheck]:
    """Of every place and case the joint with the least factor."""
    best: dict[tuple[int, int], int] = {}
    for row in range(len(table.place)):
        key = (int(table.place[row]), int(table.case[row]))
        least = min(table.sliding[row], table.overturning[row])
        if key not in best or least < min(table.sliding[best[key]], table.overturning[best[key]]):
            best[key] = row
    return [_joint_check(table, found, row) for row in best.values()]


def _joint_check(table: Table, found: Sequence[Place], row: int) -> JointCheck:
    forces = table.forces
    vertical, horizontal, resisting, overturning = (
        float(np.asarray(part)[row])
        for part in (forces.vertical, forces.horizontal, forces.resisting, forces.overturning)
    )
    buried, pins, screws = (float(part[row]) for part in (table.buried_kn, table.pins_kn, table.screws_kn))
    shared = "presses on the same ground and holds more"
    helps = (
        Help("own weight", vertical, True),
        Help("buried course", buried, buried >= pins and buried > 0, "" if buried >= pins else f"the pins: {shared}"),
        Help("pins", pins, pins > buried, "" if pins > buried else f"the buried course: {shared}"),
        Help("screws", screws, screws > 0),
    )
    return JointCheck(
        place=found[table.place[row]],
        joint=int(table.joint[row]),
        case=CASES[table.case[row]],
        vertical_kn_per_m=vertical,
        horizontal_kn_per_m=horizontal,
        resisting_kn_m_per_m=resisting,
        overturning_kn_m_per_m=overturning,
        sliding_bare=float(table.sliding_bare[row]),
        sliding=float(table.sliding[row]),
        overturning_bare=float(table.overturning_bare[row]),
        overturning=float(table.overturning[row]),
        helps=helps,
    )
