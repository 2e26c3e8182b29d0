"""What the built geometry breaks or strains: heights wished, digging outside, lot lines, steep footings, open edges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.intervals import Interval, joined
from lynchet.project.model import Project
from lynchet.terraces.model import OUTSIDE, Terraces, WallLine
from lynchet.units.format import DIGGING
from lynchet.units.format import length as length_text
from lynchet.units.measures import System
from lynchet.walls.model import FootingStep, Leg, Span
from lynchet.walls.seen import FROM_LEFT, Seen

NO_STONE_M = 0.15
"""A step of level up to this is not drained. PRACTICE."""
STEEP_WATCH_M = 0.45
STEEP_ASK_M = 0.60
"""Height of one footing step. PRACTICE."""


def limit_findings(
    project: Project,
    terraces: Terraces,
    legs: Sequence[Leg],
    steps: Sequence[FootingStep],
    seen: Mapping[str, Seen],
) -> list[Finding]:
    """Findings about the walls as built geometry; strength is not looked at here."""
    lines = {line.id: line for line in terraces.lines}
    findings = []
    for leg in legs:
        line = lines[leg.id]
        findings += _height(project, leg)
        findings += _steep(project, terraces, leg, steps)
        findings += _outside(project, leg, line, seen[leg.id])
        if line.finish == "open":
            findings += _unbuilt(project, leg)
    return findings


def standing_spans(leg: Leg) -> list[tuple[Span, float, float]]:
    """Spans where a wall stands, with the stretch of it that does."""
    built = joined((segment.start_m, segment.end_m) for segment in leg.segments)
    out = []
    for span in leg.spans if built else ():
        for low, high in built:
            if high <= span.start_m or low >= span.end_m:
                continue
            a, b = max(low, span.start_m), min(high, span.end_m)
            if b - a > 1e-6:
                out.append((span, a, b))
    return out


def retained_m(leg: Leg) -> float:
    """Greatest level difference held anywhere on the leg; 0 where nothing stands."""
    heights = [
        abs(left - right)
        for span, a, b in standing_spans(leg)
        for left, right in (span.levels_at(a), span.levels_at(b))
    ]
    return max(heights, default=0.0)


def _height(project: Project, leg: Leg) -> list[Finding]:
    wish, held = project.brief.highest_wall_m, retained_m(leg)
    if wish is None or held <= wish + 0.005:
        return []
    text = (
        f"Wall {leg.id} holds {length_text(held, project.units)} at its highest; {length_text(wish, project.units)} "
        "was wished."
    )
    count = project.brief.terraces
    edits = (("brief.terraces", count + 1),) if count else ()
    cure = Cure("one-terrace-more", "one terrace more", edits)
    return [Finding("walls.higher_than_wished", Verdict.WATCH, text, leg.id, demand=held, capacity=wish, unit="m",
                    cures=(cure,))]  # fmt: skip


def _steep(project: Project, terraces: Terraces, leg: Leg, steps: Sequence[FootingStep]) -> list[Finding]:
    course = terraces.lattice.course_m
    rises = [abs(s.to_course - s.from_course) * course for s in steps if s.leg == leg.id and s.which == "base"]
    high = max(rises, default=0.0)
    if high <= STEEP_WATCH_M + 1e-6:
        return []
    verdict, ask = (Verdict.ASK, "engineer") if high > STEEP_ASK_M + 1e-6 else (Verdict.WATCH, "")
    text = (
        f"The footing of wall {leg.id} steps by {length_text(high, project.units)} at once; the ground along it is "
        "that steep."
    )
    return [Finding("walls.steep_footing", verdict, text, leg.id, demand=high, capacity=STEEP_WATCH_M, unit="m",
                    source="PRACTICE", ask=ask)]  # fmt: skip


def bank_held(leg: Leg) -> list[Interval]:
    """Stretches where the wall holds the ground outside, on its right."""
    return joined(((a, b) for span, a, b in standing_spans(leg) if span.held < 0 and span.right == OUTSIDE), 1e-6)


def _outside(project: Project, leg: Leg, line: WallLine, seen: Seen) -> list[Finding]:
    """Stone and digging beyond the outline where the wall holds the bank."""
    held = [part for part in bank_held(leg) if part[1] - part[0] > 0.1] if line.source[0] == "A" else []
    if not held:
        return []
    units, wide = project.units, project.drain.stone_width_m  # dug beyond the timber, on the held side
    crossed = _lot_line_crossed(project, leg, held)
    cure = Cure("area-inward", f"move edge {leg.id} of the area {length_text(wide, units)} inward")
    text = (
        f"Wall {leg.id} holds the ground outside the area {_stretches(held, seen, units)}: "
        f"up to {length_text(wide, units)} behind it is dug, and filled with drain stone where it holds more than "
        f"{length_text(NO_STONE_M, units)}"
    )
    if crossed:
        return [Finding("walls.over_lot_line", Verdict.STOP, f"{text}, over the lot line {crossed}.", leg.id,
                        cures=(cure,), withholds=("all",))]  # fmt: skip
    if line.dig_beyond_m is not None and line.dig_beyond_m < wide - 1e-6:
        allowed = length_text(line.dig_beyond_m, units)
        return [Finding("walls.dig_beyond", Verdict.STOP, f"{text}; {allowed} is allowed there.", leg.id,
                        demand=wide, capacity=line.dig_beyond_m, unit="m", cures=(cure,))]  # fmt: skip
    if line.dig_beyond_m is not None:
        return []
    return [Finding("walls.dig_outside", Verdict.WATCH, f"{text}. Make sure you may dig there.", leg.id)]


def _stretches(stations: Sequence[Interval], seen: Seen, units: System) -> str:
    """Where along a wall, in words; more than two stretches are counted and added up, digging wants no finer word."""
    held = sorted(seen.stretch(*part) for part in stations)
    if len(held) > 2:
        total = sum(b - a for a, b in held)
        ends = f"{length_text(held[0][0], units, DIGGING)} and {length_text(held[-1][1], units, DIGGING)}"
        return f"in {len(held)} stretches between {ends} {FROM_LEFT} ({length_text(total, units, DIGGING)} in all)"
    each = (f"from {length_text(a, units, DIGGING)} to {length_text(b, units, DIGGING)}" for a, b in held)
    return f"{' and '.join(each)} {FROM_LEFT}"


def _lot_line_crossed(project: Project, leg: Leg, held: Iterable[Interval]) -> str:
    """Name of the first lot line that the digging behind the wall touches."""
    import shapely

    for lot in project.lot_lines:
        line: Any = shapely.LineString(lot.line_m)
        for a, b in held:
            low, high = -0.001, 0.001 - project.drain.stone_width_m
            corners = [leg.point_at(a, low), leg.point_at(b, low), leg.point_at(b, high), leg.point_at(a, high)]
            if shapely.Polygon(corners).intersects(line):
                return lot.name or "of the lot"
    return ""


def _unbuilt(project: Project, leg: Leg) -> list[Finding]:
    """Level differences that an open edge is left to deal with."""
    units = project.units
    worst = max((max(s.high0_m - s.low0_m, s.high1_m - s.low1_m) for s in leg.spans), default=0.0)
    if worst <= project.timber.course_m / 2:
        return []
    text = f"Nothing is built on the open edge {leg.id}, but the levels differ there by {length_text(worst, units)}."
    return [Finding("walls.open_edge", Verdict.WATCH, text, leg.id, demand=worst,
                    capacity=project.timber.course_m / 2, unit="m")]  # fmt: skip
