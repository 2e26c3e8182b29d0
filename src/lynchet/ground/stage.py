"""The ground stage: from readings to a surface one can plan on, with what is odd about them said."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np

from lynchet.core.errors import Fault, InputError
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.ground.again import closing, one_reading, up_the_slope
from lynchet.ground.far_readings import FarReading, far_readings
from lynchet.ground.lie import Lie, lie_of, widest_gap
from lynchet.ground.model import Array, Ground, Surface
from lynchet.ground.surface import REACH_M, build_surface, off_ground_m
from lynchet.ground.thinning import Thinned, thin
from lynchet.project.model import Project, Reading
from lynchet.units.format import length, small

HALF_COURSE_M = 0.07
"""A misclosure from here on changes how many courses a wall has: ask, do not only watch. PRACTICE."""
LOST_SHARE = 0.25
"""A misclosure over this share of the whole fall says nothing of the yard: level it again. PRACTICE."""
FLAT_M = 0.10
"""A fall in all under this needs no wall. PRACTICE."""
LEAST_SHORT_M = 0.010
"""A shorter difference between level and sloping tape is not worth a question. PRACTICE."""
GAP_M = 2.5
GAP_SPACINGS = 2.0
"""A place without readings: farther than this from any, and than this many usual spacings. PRACTICE."""


@dataclass(frozen=True)
class _Read:
    """What the findings are told from."""

    project: Project
    surface: Surface
    lie: Lie
    band_m: float


def ground(project: Project, known: Surface | None = None) -> Ground:
    """The measured ground of a project.

    Args:
        project: checked, in its own frame; three readings or more, not on one line.
        known: a surface made before, taken again where it lies over the very same readings.

    Returns:
        Surface, trust, range within the area, band, and findings on the readings.

    Raises:
        InputError: the readings make no surface, or a corner of the area lies off them.
    """
    source = project.ground
    points, trust, thinned = _readings(source.readings)
    try:
        kept = points[thinned.kept]
        surface = known if known is not None and np.array_equal(known.points, kept) else build_surface(kept)
    except ValueError as error:
        raise InputError(Fault(str(error), "three readings or more, spread out", "ground")) from None
    outline = np.array(project.area.outline_m)
    _refuse_off_ground(project, surface, outline)
    lie = lie_of(surface, outline)
    band = _band(project, trust, thinned)
    read = _Read(project, surface, lie, band)
    findings = (*_held(read), *_closure(read), *_far(read), *_shape(read), *_gaps(read), *_notes(read, thinned))
    return Ground(
        surface=surface,
        trust_m=tuple(trust[thinned.kept].tolist()),
        lowest_m=lie.lowest_m,
        highest_m=lie.highest_m,
        misclosure_m=source.misclosure_m,
        allowed_misclosure_m=source.allowed_misclosure_m,
        band_m=band,
        findings=findings,
    )


@lru_cache(maxsize=8)
def _readings(readings: tuple[Reading, ...]) -> tuple[Array, Array, Thinned]:
    """Points, trust, and which are used; kept by value: a yard is planned again and again over the same readings."""
    points = np.array([(*reading.point_m, reading.level_m) for reading in readings])
    trust = np.array([reading.trust_m for reading in readings])
    points.setflags(write=False)
    trust.setflags(write=False)
    return points, trust, thin(points)


@lru_cache(maxsize=8)
def _far_off(readings: tuple[Reading, ...]) -> tuple[FarReading, ...]:
    """Readings that do not fit, kept in the same way: the area has no part in it."""
    points, trust, _ = _readings(readings)
    return tuple(far_readings(points, trust))


def _refuse_off_ground(project: Project, surface: Surface, outline: Array) -> None:
    faults = []
    for number, off in enumerate(off_ground_m(surface, outline)):
        if off > REACH_M:
            x, y = project.frame.outward((float(outline[number, 0]), float(outline[number, 1])))
            place = f"({length(x, project.units)}, {length(y, project.units)})"
            found = f"corner {number} {place} lies {length(float(off), project.units, 2)} off the measured ground"
            faults.append(Fault(found, "readings at or beyond every corner of the area", "area.outline"))
    if faults:
        raise InputError(*faults)


def _band(project: Project, trust: Array, thinned: Thinned) -> float:
    """Two standard deviations of a level, with what did not close and what thinning lost."""
    source = project.ground
    rough = 2.0 * float(np.sqrt(np.mean(trust**2)))
    return hypot(rough, source.misclosure_m or 0.0) + source.thinned_m + thinned.usual_m


def _taped_m(project: Project, up: Array) -> float:
    """The area's length up the slope as it was taped: with what its edges keep free inside a fence."""
    outline = np.array(project.area.outline_m)
    kept = 0.0
    for rule in project.area.edges:
        run = outline[(rule.edge + 1) % len(outline)] - outline[rule.edge]
        kept += rule.inset_m * abs(float(run @ np.array([-up[1], up[0]]))) / float(np.hypot(*run))
    return float(np.ptp(outline @ up)) + kept


def _held(read: _Read) -> list[Finding]:
    """How the tape was held changes every length up the slope: asked before anything is cut."""
    source, units = read.project.ground, read.project.units
    if source.held != "unknown" or read.lie.slope <= 0.0:
        return []
    up = np.array([read.lie.fall_x, read.lie.fall_y]) / read.lie.slope
    taped = _taped_m(read.project, up)
    level = taped * source.stretch_if_ground
    if taped - level < LEAST_SHORT_M:
        return []
    text = (
        f"Was the tape held level or along the ground? The file does not say. Up the slope {length(taped, units)} "
        f"along the ground are {length(level, units)} level, {length(taped - level, units)} less. "
        "The plan takes the tape as held level; no cut sheet is printed until this is answered: write held = "
        f'"level" or held = "ground" under [ground]. If nobody knows, tape again, held level:'
        f" {up_the_slope(source, up.tolist())}."
    )
    answers = (
        Cure(
            "tape-level",
            'the tape was held level: held = "level" under [ground]',
            (("ground.held", "level"),),
            "lengths stay as they are",
        ),
        Cure(
            "tape-on-ground",
            'the tape lay along the ground: held = "ground" under [ground]',
            (("ground.held", "ground"),),
            f"lengths up the slope shrink by {length(taped - level, units)}",
        ),
    )
    return [
        Finding(
            "ground.held", Verdict.ASK, text, "site", demand=taped, capacity=level, ratio=level / taped, unit="m",
            source="level length = sqrt(taped length squared - rise squared); plane geometry",
            cures=answers, withholds=("cut-sheet",), ask="you",
            working=("slope_convert", (("slope_length_m", taped), ("rise_m", float(np.sqrt(taped**2 - level**2))))),
        )
    ]  # fmt: skip


def _closure(read: _Read) -> list[Finding]:
    source, units = read.project.ground, read.project.units
    missed, allowed = source.misclosure_m, source.allowed_misclosure_m
    if missed is None or allowed is None or abs(missed) <= allowed + 1e-9:
        return []
    again = closing(source)
    close, stepped = small(allowed, units, 16), source.one_way_m
    by_chance = f"{close} would pass"
    if stepped is not None:
        by_chance = f"by chance the steps may be off by {close}, all one way by {small(stepped, units, 16)}"
    text = f"The readings miss by {small(abs(missed), units)} on the way back to where they began; {by_chance}. "
    verdict = Verdict.ASK if abs(missed) >= HALF_COURSE_M else Verdict.WATCH
    rise = read.lie.highest_m - read.lie.lowest_m
    lost = verdict is Verdict.ASK and abs(missed) > LOST_SHARE * rise
    if lost:
        verdict = Verdict.STOP
        text += f"The whole yard falls {length(rise, units)}: these levels say too little of it. Level it again, "
        text += f"with care at {again.names}: {again.why}."
    else:
        text += (
            f"Good enough for a first look: every level is taken as plus or minus {small(read.band_m, units)}. "
            f"Before you order, read again: {again.names}; {again.why}."
        )
    return [
        Finding(
            "ground.misclosure", verdict, text, "site", demand=abs(missed), capacity=allowed, unit="m",
            source="allowed = error of one set-up or step x root of their number", ask="you", cures=(again.cure,),
            withholds=("all",) if lost else ("order-list",) if verdict is Verdict.ASK else (),
            working=("misclosure_spread", (
                ("misclosure_m", missed), ("setups", source.setups),
                ("limit_coefficient_mm", 1000.0 * allowed / float(np.sqrt(source.setups))),
            )),
        )
    ]  # fmt: skip


def _far(read: _Read) -> list[Finding]:
    """Readings that do not fit their neighbours."""
    source, units = read.project.ground, read.project.units
    if source.kind in ("slope", "steps"):
        return []
    findings = []
    for far in _far_off(source.readings):
        reading = source.readings[far.index]
        if reading.name in source.sure:
            continue
        way = "above" if far.off_m > 0 else "below"
        text = (
            f'Reading "{reading.name}" lies {length(abs(far.off_m), units, 2)} {way} what its neighbours say. '
            "Read it again; if it is right, list it under `ground.sure`. It is used as it stands."
        )
        findings.append(
            Finding(
                "ground.far-reading", Verdict.ASK, text, reading.name, demand=abs(far.off_m), unit="m",
                source="plane through the nearest readings, the one tested left out; PRACTICE",
                cures=(Cure("reading-sure", "it was read again and is right",
                            (("ground.sure", [*source.sure, reading.name]),),
                            "no sheet is kept back for it"), one_reading(source, reading.name)),
                withholds=("cut-sheet", "order-list"), cause="ground.far-reading", ask="you",
            )
        )  # fmt: skip
    return findings


def _shape(read: _Read) -> list[Finding]:
    units, lie = read.project.units, read.lie
    rise = lie.highest_m - lie.lowest_m
    if rise < max(FLAT_M, read.band_m):
        text = (
            f"The area falls by {length(rise, units, 2)} in all, and levels are known to plus or minus "
            f"{small(read.band_m, units, 2)}: as good as flat. No wall is needed to make it level."
        )
        return [Finding("ground.flat", Verdict.WATCH, text, "site", demand=rise, capacity=read.band_m, unit="m")]
    words = {
        "saddle": "The ground is a saddle: it rises to two sides and falls to the two others",
        "hollow": "The ground is a hollow: water from all sides meets in the area",
        "mound": "The ground is a mound: it falls to all sides",
    }
    if lie.shape not in words:
        return []
    text = f"{words[lie.shape]}. Level beds can hardly follow it; look at the lines, and where water leaves."
    return [Finding("ground.shape", Verdict.WATCH, text, "site")]


def _gaps(read: _Read) -> list[Finding]:
    """Ground nobody read: planned as a straight line across, and said."""
    project, units = read.project, read.project.units
    if project.ground.kind in ("slope", "steps"):
        return []
    x, y, far, usual = widest_gap(read.surface, np.array(project.area.outline_m))
    if far <= max(GAP_M, GAP_SPACINGS * usual):
        return []
    at_x, at_y = project.frame.outward((x, y))
    text = (
        f"No reading lies within {length(far, units, 2)} of ({length(at_x, units, 2)}, {length(at_y, units, 2)}). "
        "The ground there is taken as straight between readings; read a few points in the gap before you order."
    )
    return [Finding("ground.gap", Verdict.WATCH, text, "site", demand=far, capacity=max(GAP_M, usual), unit="m")]


def _notes(read: _Read, thinned: Thinned) -> list[Finding]:
    source, units = read.project.ground, read.project.units
    findings = [
        Finding(
            "ground.level-book", Verdict.WATCH, f"{note}. The readings are used.", "site", cause="ground.level-book"
        )
        for note in source.notes
    ]
    lost = source.thinned_m + thinned.usual_m
    if lost > 0.0:
        text = (
            f"{len(thinned.kept)} points are used of a big file; 95 in 100 of the others lie within "
            f"{small(lost, units)} of the ground used."
        )
        findings.append(Finding("ground.thinned", Verdict.OK, text, "site", demand=lost, unit="m"))
    if source.kind == "slope":
        text = (
            "The ground is known from a few rough readings: a plane. Before you order, step the slope with board and "
            "level in two places, or read a dozen points with a level and rod."
        )
        findings.append(Finding("ground.rough", Verdict.OK, text, "site", source="PRACTICE"))
    return findings
