"""Walls that stand: what follows them, what must be let in or packed where they meet, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lynchet.core.findings import Finding, Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.project.model import Project
from lynchet.terraces.model import OUTSIDE, Flight
from lynchet.units.format import small
from lynchet.walls.model import Leg, Node, Run
from lynchet.walls.off_level import FINE_M, FOLLOWED_M, SOURCE, off_level, unanswered


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


def with_followers(
    standing: Standing, legs: Mapping[str, Leg], nodes: Sequence[Node], flights: Sequence[Flight] = ()
) -> Standing:
    """Standing with an offset for every wall not begun that is joined to one that stands out of level.

    They follow the lowest wall that stands among those they are joined to, if it is within ``FOLLOWED_M`` or was
    answered so; then no lap between them needs a cut. Steps join the walls they climb, the walls beside them, and the
    benches they lead on to: so risers stay alike.
    """
    if not standing.legs:
        return standing
    added: list[LegStanding] = []
    for group in _joined(legs, nodes, flights):
        stand = [known for name in group if (known := standing.leg(name)) is not None and known.built is not None]
        follow = [one for one in stand if _followed(one)]
        lowest = min((one.top_offset_m for one in follow), default=0.0)
        if abs(lowest) > FINE_M and len(follow) == len(stand):
            added += [LegStanding(name, ((0, lowest),)) for name in group if standing.leg(name) is None]
    return replace(standing, legs=(*standing.legs, *added)) if added else standing


def _followed(known: LegStanding) -> bool:
    if known.answer == "level":
        return False
    return known.answer == "follow" or abs(known.top_offset_m) <= FOLLOWED_M + 1e-9


def _joined(legs: Mapping[str, Leg], nodes: Sequence[Node], flights: Sequence[Flight]) -> list[list[str]]:
    """Walls in groups that meet each other or are joined by steps, each group in the order of the legs."""
    group = {name: name for name, leg in legs.items() if leg.segments}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    met = [[arm.leg for arm in node.arms if arm.leg in group and legs[arm.leg].segment_at(arm.station_m)]
           for node in nodes]  # fmt: skip
    for here in (*met, *_by_steps(group, flights)):
        for other in here[1:]:
            group[root(other)] = root(here[0])
    found: dict[str, list[str]] = {}
    for name in group:
        found.setdefault(root(name), []).append(name)
    return list(found.values())


def _by_steps(names: Iterable[str], flights: Sequence[Flight]) -> Iterator[list[str]]:
    """Walls that steps join: those a flight climbs and its own; those of two flights of one way on one bench."""
    built = set(names)
    walls = {one.id: [name for name in built if name in (one.line, *one.lines) or _own(name, one)] for one in flights}
    for flight in flights:
        yield sorted(walls[flight.id])
        above = next((one for one in flights if leads_on(flight, one)), None)
        if above is not None:
            yield sorted([*walls[flight.id], *walls[above.id]])


def _own(name: str, flight: Flight) -> bool:
    """Whether a wall stands at the side or the head of a flight: its id is the flight's with a letter."""
    return name[: len(flight.id)] == flight.id and name[len(flight.id) : len(flight.id) + 1].isalpha()


def leads_on(below: Flight, above: Flight) -> bool:
    """Whether one comes up on a bed from which the other goes on."""
    ends = [landing.face for flight, where in ((below, "head"), (above, "foot"))
            for landing in flight.landings if landing.where == where]  # fmt: skip
    return below.wish == above.wish and len(ends) == 2 and ends[0] == ends[1] != OUTSIDE


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
    cuts = [cut for cut in lap_cuts(runs) if not _is_laid(standing, cut)]
    follow = [known.leg for known in standing.legs if known.built is None and known.bottom_offsets_m]
    for known in standing.legs:
        if known.built is not None and known.leg in legs and abs(known.top_offset_m) > FINE_M:
            yield off_level(project, legs[known.leg], known, follow)
    if cuts:
        open_ = {known.leg for known in standing.legs if known.leg in legs and unanswered(legs[known.leg], known)}
        yield _laps(project, cuts, any({cut.leg, cut.other} & open_ for cut in cuts))


def _is_laid(standing: Standing, cut: LapCut) -> bool:
    """Whether the upper course stands: what was to be cut or packed there has been."""
    known = standing.leg(cut.leg)
    return known is not None and known.built is not None and cut.course <= known.built


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
                   capacity=FOLLOWED_M, unit="m", source=SOURCE,
                   withholds=("cut-sheet",) if stop else ())  # fmt: skip
