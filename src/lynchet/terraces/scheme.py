"""How many terraces, where their lines lie and how high they stand: as many as asked, or fewer with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, hypot

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.intervals import Interval
from lynchet.core.plane import Point, dot, left_of
from lynchet.core.standing import Standing
from lynchet.ground.model import Surface
from lynchet.ground.prisms import Prisms, prisms
from lynchet.project.model import Project
from lynchet.terraces.area import Area
from lynchet.terraces.bed_soil import apart_m
from lynchet.terraces.crossings import EdgeWall
from lynchet.terraces.fall import FLAT
from lynchet.terraces.layout import Front, Layout, benches_of, lay_out, missing_terrace, straight_front, thin_front
from lynchet.terraces.levels import Levels, LevelWish, choose_levels
from lynchet.terraces.lines import Band, blocking, deepest_over_mean, offset_range, placed_offsets
from lynchet.terraces.refusal import refused
from lynchet.units.format import length as length_text
from lynchet.units.format import levels_for_file

PLAIN_COURSES = 2
"""Walls of two courses stand in sound drained ground without ties: as many terraces as keep to that, where nothing
else is asked and the benches stay deep enough to work. PRACTICE."""
PLAIN_BENCH_M = 1.2
"""A bed and room to kneel. PRACTICE."""
UNEVEN = 2.0
"""No bench is deeper than this many times the mean, if fewer lines lie better."""


@dataclass(frozen=True)
class Scheme:
    """What was chosen."""

    layout: Layout
    levels: Levels
    under: tuple[Prisms, ...]
    """The ground under each face of the net."""
    wished: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Yard:
    """What a scheme is made from."""

    project: Project
    surface: Surface
    area: Area
    along: Point
    bands: tuple[Band, ...]
    own: dict[int, Front]
    even: frozenset[int]
    standing: Standing
    drop_m: float
    """From the high to the low end of the area along the fall."""
    top_timber_m: float
    """Timber of the wall along the high edge, which stands on the highest bed; 0 where none will."""
    edge_walls: tuple[EdgeWall, ...] = ()
    """Known from walls already built on the same terraces."""

    def apart_m(self, count: int, more_m: float = 0.0) -> float:
        """From front to front where the drop is shared among so many terraces, with more timber on the bed."""
        return apart_m(self.project, self.drop_m / count, more_m)


def own_terraces(project: Project) -> int:
    """The highest terrace a line of the file is drawn for; 1 where there is none."""
    return max((line.terrace for line in project.own_lines), default=1)


def wished_terraces(project: Project, fall: Point, depth_m: float) -> int:
    """Number of terraces asked for; where none is, from the drop and the highest wall wished."""
    own, brief = own_terraces(project), project.brief
    if isinstance(brief.levels, tuple):
        return max(len(brief.levels), own)
    if brief.terraces is not None:
        return max(brief.terraces, own)
    if hypot(*fall) < FLAT:
        return own
    drop = hypot(*fall) * depth_m
    by_height = ceil(drop / (brief.highest_wall_m or PLAIN_COURSES * project.timber.course_m) - 0.1)
    apart = apart_m(project, drop / max(1, by_height))
    bench = apart if brief.highest_wall_m else max(PLAIN_BENCH_M, apart)
    return max(1, own, min(by_height, int(depth_m / bench)))


def find_scheme(yard: Yard, wished: int) -> Scheme:
    """The scheme nearest to the wish.

    Raises:
        Refused: own lines or pinned levels that do not work.
    """
    reasons: list[str] = []
    spare: Scheme | None = None
    for count in range(wished, 0, -1):
        fronts = _fronts(yard, count)
        if isinstance(fronts, str):
            reasons.append(fronts)
        else:
            tried = _tried(yard, fronts, wished)
            if isinstance(tried, Scheme):
                if yard.own or _even_enough(yard, tried) or count == 1:
                    return _told(yard, spare if count == 1 and spare else tried, reasons)
                spare = spare or tried
                reasons.append("the benches would be very uneven")
            else:
                reasons.append(tried)
        if yard.own or isinstance(yard.project.brief.levels, tuple):
            raise _pinned_refused(yard, count, reasons[-1])
    assert spare is not None  # one terrace without any line can always be laid
    return _told(yard, spare, reasons)


def _pinned_refused(yard: Yard, count: int, reason: str) -> Exception:
    free = replace(yard, own={}, project=replace(yard.project, own_lines=(), brief=replace(
        yard.project.brief, levels="balance", terraces=count)))  # fmt: skip
    works = len(find_scheme(free, count).levels.levels_m)
    what = "own wall lines" if yard.own else "pinned levels"
    return refused(
        "terraces.pinned",
        "area",
        f"{count} terraces with the {what} given cannot be laid out: {reason}.",
        f"{works} terraces work with levels and lines laid out by the program",
    )


def _fronts(yard: Yard, count: int) -> list[Front] | str:
    """Own lines where there are any, straight ones placed between them; or why there is no place."""
    low, high = offset_range(yard.area.rings, yard.along)
    uphill = left_of(yard.along)
    marks = [(1, low, low)]
    for terrace, front in sorted(yard.own.items()):
        reach = [dot(uphill, point) for point in front.points]
        marks.append((terrace, min(reach), max(reach)))
    marks.append((count + 1, high, high))
    fronts: list[Front] = []
    for (k, _, below), (other, above, _) in pairwise(marks):
        if k in yard.own:
            fronts.append(yard.own[k])
        number = other - k - 1
        apart = yard.apart_m(count)
        last = yard.apart_m(count, yard.top_timber_m) if other == count + 1 else apart
        offsets = placed_offsets(number, (below, above), yard.bands, apart, last)
        if offsets is None:
            return _no_place(yard, number, (below, above), (apart, last))
        fronts += [straight_front(offset, yard.along, yard.area) for offset in offsets]
    return fronts


def _no_place(yard: Yard, number: int, bounds: Interval, benches: tuple[float, float]) -> str:
    units, (low, high), (spacing, last) = yard.project.units, bounds, benches
    need = number * spacing + max(spacing, last)
    if need > high - low:
        deep = f"the area is {length_text(high - low, units)} deep there" if high > low else "no room is left there"
        return f"benches {length_text(spacing, units)} apart need {length_text(need, units)}, {deep}"
    for i in range(1, number + 1):
        wish = low + (high - low) * i / (number + 1)
        band = blocking(wish, yard.bands)
        if band is not None:
            return (
                f"no line can lie near {length_text(wish - low, units)} up the slope, barred by {band.why} from "
                f"{length_text(max(0.0, band.low_m - low), units)} to {length_text(band.high_m - low, units)}"
            )
    return "the lines have no place clear of the corners"


def _even_enough(yard: Yard, scheme: Scheme) -> bool:
    uphill = left_of(yard.along)
    offsets = [dot(uphill, front.points[0]) for front in scheme.layout.fronts]
    return deepest_over_mean(offsets, offset_range(yard.area.rings, yard.along)) <= UNEVEN


def _tried(yard: Yard, fronts: Sequence[Front], wished: int) -> Scheme | str:
    """Lay out and set levels; or why not."""
    layout = lay_out(yard.area, fronts, yard.along)
    while (thin := thin_front(layout)) is not None:
        if yard.own:
            return f"a bed beside the line W{thin + 2} would be narrower than a bed can be"
        kept = [front for i, front in enumerate(layout.fronts) if i != thin]
        layout = lay_out(yard.area, kept, yard.along)
    if missing_terrace(layout) is not None:
        return "a line cuts off no ground"
    under = tuple(prisms(yard.surface, polygon) for polygon in layout.net.faces)
    benches = benches_of(layout, under)
    brief = yard.project.brief
    pinned = brief.levels if isinstance(brief.levels, tuple) else ()
    if pinned and len(pinned) != len(benches):
        return f"{len(pinned)} levels are given for {len(benches)} terraces"
    kind = "list" if pinned else str(brief.levels)
    keep = None if yard.standing.datum_m is None else yard.standing.datum_m - brief.freeboard_m
    levels = choose_levels(benches, LevelWish(kind, pinned, yard.project.timber.course_m, yard.even, keep,
                                              yard.standing.firm))  # fmt: skip
    if levels.flat is not None:
        return f"terrace {levels.flat} would rise less than half a course above the one below"
    return Scheme(layout, levels, under, wished, ())


def _told(yard: Yard, scheme: Scheme, reasons: Sequence[str]) -> Scheme:
    """The scheme with a finding where it has fewer terraces than asked, or moved pinned levels."""
    findings = []
    got, units = len(scheme.levels.levels_m), yard.project.units
    if got < scheme.wished:
        reason = reasons[0] if reasons else "a bed beside a line would be narrower than a bed can be"
        text = f"{scheme.wished} terraces were wished, {got} laid out: with {scheme.wished}, {reason}."
        cure = Cure("terraces", f"ask for {got}, or move what bars the line", (("brief.terraces", got),))
        findings.append(Finding("terraces.fewer", Verdict.WATCH, text, "area", cures=(cure,)))
    brief = yard.project.brief
    if isinstance(brief.levels, tuple):
        moved = max(abs(a - b) for a, b in zip(brief.levels, scheme.levels.levels_m, strict=True))
        if moved > 0.002:
            text = (
                f"The levels given are not whole courses apart; they were moved by up to {length_text(moved, units)}, "
                "else corners cannot lap."
            )
            cure = Cure(
                "levels", "write the levels so", (("brief.levels", levels_for_file(scheme.levels.levels_m, units)),)
            )
            findings.append(Finding("terraces.levels_moved", Verdict.WATCH, text, "area", cures=(cure,)))
    return replace(scheme, findings=tuple(findings))
