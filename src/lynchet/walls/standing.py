"""Walls that stand: what follows them, what must be let in or packed where they meet, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.project.model import Project
from lynchet.units.format import small
from lynchet.walls.model import Leg, Node, Run

FINE_M = 0.003
"""Nothing is done about less: a saw cut, a turn of the level. PRACTICE."""
FOLLOWED_M = 0.015
"""What the rest of a wall and its neighbours may follow; more is bedded again. PRACTICE."""
LEAST_SHARE = 0.5
"""A thinned course keeps at least this share of its height. PRACTICE."""
_SOURCE = "PRACTICE: up to 3 mm is left, up to 15 mm is followed, more is bedded again"


@dataclass(frozen=True)
class LapCut:
    """Where a course laps over another wall's and their levels do not meet."""

    leg: str
    course: int
    row: int
    """The same, counted from the wall's lowest, 1 first."""
    other: str
    node: str
    kind: Literal["notch", "shim"]
    """notch: cut out of the upper one's underside; shim: packed under it."""
    depth_m: float


def with_followers(standing: Standing, legs: Mapping[str, Leg], nodes: Sequence[Node]) -> Standing:
    """Standing with an offset for every wall not begun that is joined to one that stands out of level.

    They follow the lowest wall that stands among those they are joined to, if it is within ``FOLLOWED_M`` or was
    answered so; then no lap between them needs a cut.
    """
    if not standing.legs:
        return standing
    added: list[LegStanding] = []
    for group in _joined(legs, nodes):
        stand = [known for name in group if (known := standing.leg(name)) is not None and known.built is not None]
        follow = [one for one in stand if _followed(one)]
        lowest = min((one.top_offset_m for one in follow), default=0.0)
        if abs(lowest) > FINE_M and len(follow) == len(stand):
            added += [LegStanding(name, ((0, lowest),)) for name in group if standing.leg(name) is None]
    return Standing((*standing.legs, *added), standing.datum_m, standing.firm) if added else standing


def _followed(known: LegStanding) -> bool:
    if known.answer == "level":
        return False
    return known.answer == "follow" or abs(known.top_offset_m) <= FOLLOWED_M + 1e-9


def _joined(legs: Mapping[str, Leg], nodes: Sequence[Node]) -> list[list[str]]:
    """Walls in groups that meet each other, each group in the order of the legs."""
    group = {name: name for name, leg in legs.items() if leg.segments}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    for node in nodes:
        here = [arm.leg for arm in node.arms if arm.leg in group and legs[arm.leg].segment_at(arm.station_m)]
        for other in here[1:]:
            group[root(other)] = root(here[0])
    found: dict[str, list[str]] = {}
    for name in group:
        found.setdefault(root(name), []).append(name)
    return list(found.values())


def lap_cuts(runs: Sequence[Run]) -> tuple[LapCut, ...]:
    """Every lap at which the course above and the course below it differ by more than ``FINE_M``."""
    by_course: dict[tuple[str, int], list[Run]] = {}
    for run in runs:
        by_course.setdefault((run.leg, run.course), []).append(run)
    found = []
    for run in runs:
        for end in (run.start, run.end):
            if end.kind != "lap":
                continue
            for below in by_course.get((end.other, run.course - 1), ()):
                if end.node not in (below.start.node, below.end.node) and not below.polygon.intersects(run.polygon):
                    continue
                gap = run.bottom_m - below.top_m
                if abs(gap) > FINE_M:
                    kind: Literal["notch", "shim"] = "shim" if gap > 0 else "notch"
                    found.append(LapCut(run.leg, run.course, run.row, end.other, end.node, kind, abs(gap)))
    return tuple(found)


def standing_findings(
    project: Project, legs: Mapping[str, Leg], standing: Standing, runs: Sequence[Run]
) -> Iterator[Finding]:
    """What is said of every wall that stands, and of every lap where it meets others."""
    if not standing.legs:
        return
    cuts = lap_cuts(runs)
    follow = [known.leg for known in standing.legs if known.built is None and known.bottom_offsets_m]
    for known in standing.legs:
        if known.built is not None and known.leg in legs and abs(known.top_offset_m) > FINE_M:
            yield _off(project, legs[known.leg], known, follow)
    if cuts:
        open_ = {known.leg for known in standing.legs if known.built is not None and not known.answer}
        yield _laps(project, cuts, any({cut.leg, cut.other} & open_ for cut in cuts))


def _off(project: Project, leg: Leg, known: LegStanding, follow: Sequence[str]) -> Finding:
    units, off = project.units, known.top_offset_m
    assert known.built is not None
    row = known.built - leg.lowest_course + 1
    size, way = small(abs(off), units), "low" if off < 0 else "high"
    much = abs(off) > FOLLOWED_M + 1e-9
    back = _back(project, off, row)
    said = f"Wall {leg.id} stands {size} {way} at course {row}."
    if known.answer == "level":
        text = f"{said} The courses above come back to level: {back or 'it cannot be done in one course'}."
    elif much and not known.answer:
        text = (
            f"{said} That is more than the {small(FOLLOWED_M, units)} the rest may follow: lift it and bed it again; "
            f"or {back or 'let the rest follow it'}."
        )
    else:
        spare = project.brief.freeboard_m + off
        others = f"; {', '.join(follow)}, joined to it and not begun, follow too" if follow else ""
        text = (
            f"{said} The courses above follow{others}: the timber then stands {small(spare, units)} over the bed "
            f"instead of {small(project.brief.freeboard_m, units)}. Or bring it back: {back or 'bed it again'}."
        )
    unanswered = much and not known.answer
    return Finding(
        "standing.off", Verdict.STOP if unanswered else Verdict.WATCH, text, leg.id, demand=abs(off),
        capacity=FOLLOWED_M, unit="m", source=_SOURCE, cures=_cures(known, back, much),
        withholds=("cut-sheet",) if unanswered else (),
    )  # fmt: skip


def _back(project: Project, off: float, row: int) -> str:
    """How the next course brings the wall back to level; empty where one course cannot."""
    course, size = project.timber.course_m, small(abs(off), project.units)
    if off < 0:
        return f"{size} of treated packing the full width of the timber, under course {row + 1}"
    if course - off < LEAST_SHARE * course:
        return ""
    if off <= FOLLOWED_M:
        return f"plane or saw {size} off the underside of course {row + 1}, and treat the cut"
    left = small(course - off, project.units)
    return f"one thin course: saw course {row + 1} down to {left}, and treat the cut"


def _cures(known: LegStanding, back: str, much: bool) -> tuple[Cure, ...]:
    again = Cure("bed-again", "lift it, rake the bed and lay it again, then measure once more")
    if not known.entry:
        return (again,)
    key = f"stands.{known.entry}.answer"
    found = [again] if much else []
    if known.answer != "level" and back:
        found.append(Cure(f"level-{known.leg}", f"bring it back to level: {back}", ((key, "level"),)))
    if much and not known.answer:
        found.append(Cure(f"follow-{known.leg}", "let the courses above follow, at another level", ((key, "follow"),)))
    return tuple(found)


def _laps(project: Project, cuts: Sequence[LapCut], unanswered: bool) -> Finding:
    """The list of cuts and packing at laps; a stop where they are big and nobody has said what is to be done."""
    units = project.units
    listed = "; ".join(
        f"course {cut.row} of {cut.leg} over {cut.other}: "
        + (f"let in by {small(cut.depth_m, units)}" if cut.kind == "notch" else f"pack {small(cut.depth_m, units)}")
        for cut in cuts
    )
    worst = max(cut.depth_m for cut in cuts)
    much = worst > FOLLOWED_M + 1e-9
    again = "Better bed one of them again. " if much else ""
    stop = much and unanswered
    text = f"Walls that stand meet others at another level. {again}At the laps: {listed}. Treat every cut."
    return Finding("standing.laps", Verdict.STOP if stop else Verdict.WATCH, text, cuts[0].leg, demand=worst,
                   capacity=FOLLOWED_M, unit="m", source=_SOURCE,
                   withholds=("cut-sheet",) if stop else ())  # fmt: skip
