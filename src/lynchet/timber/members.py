"""What the courses, the ties and their fixings must carry, and what they can: the worst of each kind on each wall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from lynchet.core.findings import Working
from lynchet.project.model import Project
from lynchet.stability.constants import MODULUS_MPA
from lynchet.stability.model import WEEP_BORE_M, CornerCheck, Stability, Tie, TieCheck
from lynchet.timber.beams import bending_stress_mpa, shear_stress_mpa, simple_forces
from lynchet.timber.fixing_strength import Fixings
from lynchet.timber.model import MemberCheck, Strength
from lynchet.timber.openings import openings
from lynchet.walls.model import Piece, Walls

SAG_SHARE = 1.0 / 100.0
"""A course that bows more than this share of its length looks wrong. PRACTICE."""
LONE_TIE_M = 2.4
"""A tie alone in its row is taken to hold the widest spacing of the habit. PRACTICE."""
PERSON_KN = 1.0
"""Somebody stands on the wall over a notch. PRACTICE."""
MOST_TIE_SCREWS = 4
MOST_PINS = 2


@dataclass(frozen=True)
class Needs:
    """Checks, and how many screws and pins the demands ask for, by leg."""

    checks: tuple[MemberCheck, ...]
    tie_screws: dict[str, int]
    corner_pins: dict[str, int]


@dataclass(frozen=True)
class Job:
    """What is checked."""

    project: Project
    walls: Walls
    pieces: Sequence[Piece]
    stability: Stability
    strength: Strength
    fixings: Fixings

    @property
    def section(self) -> tuple[float, float]:
        """Width across the load and depth along it, for soil pushing the wall out."""
        return self.project.timber.course_m, self.project.timber.thickness_m

    def bored(self, leg: str) -> tuple[float, float]:
        """The same of a leg, less the bore of a weep hole where it has any: one may lie where it bends most."""
        width, depth = self.section
        return width - (WEEP_BORE_M if any(hole.leg == leg for hole in self.stability.weeps) else 0.0), depth


def check_members(job: Job) -> Needs:
    """Every check of the yard's timber.

    Courses of a wall that stands by its corners span from corner to corner; the course that holds a row of ties spans
    from tie to tie with all that the ties hold; a course over a notch carries what stands on it. Other courses lie on
    the one below and hold by weight and friction: nothing spans.
    """
    by_corners = {wall.leg for wall in job.stability.walls if wall.by_corners}
    pins: dict[str, int] = {}
    checks: list[MemberCheck] = []
    for corner in job.stability.corners:
        if corner.leg in by_corners:
            pins[corner.leg] = max(pins.get(corner.leg, 1), _pins_needed(job, corner))
    for corner in job.stability.corners:
        if corner.leg in by_corners:
            checks += _corner_checks(job, corner, pins[corner.leg])
    screws: dict[str, int] = {}
    worst_ties = _most_pulled(job.stability.tie_checks)
    for check in worst_ties:
        need = ceil(job.strength.load_factor * check.demand_kn / job.fixings.tie_screw_kn - 1e-9)
        screws[check.place.leg] = max(screws.get(check.place.leg, 2), min(need, MOST_TIE_SCREWS))
    for check in worst_ties:
        checks += _tie_checks(job, check, screws[check.place.leg])
    checks += list(_notch_checks(job))
    return Needs(tuple(_worst(checks)), screws, pins)


def _most_pulled(checks: Sequence[TieCheck]) -> list[TieCheck]:
    """Of each leg and way of holding the check with the largest pull: all else grows with it."""
    found: dict[tuple[str, str], TieCheck] = {}
    for check in checks:
        key = (check.place.leg, check.holds_by)
        if key not in found or check.demand_kn > found[key].demand_kn + 1e-12:
            found[key] = check
    return list(found.values())


def _worst(checks: Sequence[MemberCheck]) -> list[MemberCheck]:
    """Of each kind on each leg the one with the least ratio."""
    found: dict[tuple[str, str], MemberCheck] = {}
    for check in checks:
        key = (check.leg, check.what)
        if key not in found or check.ratio < found[key].ratio - 1e-12:
            found[key] = check
    return list(found.values())


def _beds(number: int) -> int:
    """Beds in which a lapped course is pinned: above and below, the top course below alone."""
    return 1 if number == 0 else 2


def _pins_needed(job: Job, corner: CornerCheck) -> int:
    """Pins in each lap."""
    each, factor = job.fixings.corner_pin_kn, job.strength.load_factor
    needs = [ceil(factor * pull / (_beds(n) * each) - 1e-9) for n, pull in enumerate(corner.corner_pulls_kn)]
    return min(max([1, *needs]), MOST_PINS)


def _corner_checks(job: Job, corner: CornerCheck, pins: int) -> Iterator[MemberCheck]:
    """Bending, shear and sag of the most loaded course, and the pins in its laps."""
    factor, strength, span = job.strength.load_factor, job.strength, corner.end_m - corner.start_m
    where = (corner.leg, corner.leg, corner.case, span)
    load = corner.corner_pull_kn * 2.0 / span
    net = job.bored(corner.leg)
    carried = (_beam(job, span, factor * load, width_m=net[0]),)
    bent = corner.bending_mpa * job.section[0] / net[0]
    yield MemberCheck("bending", *where, factor * bent, strength.bending_mpa, "MPa", carried)
    shear = float(shear_stress_mpa(corner.corner_pull_kn, *net))
    yield MemberCheck("shear", *where, factor * shear, strength.shear_mpa, "MPa", carried)
    if corner.case in ("dry", "wet"):
        sag = corner.sag_mm * MODULUS_MPA / strength.modulus_mpa
        bows = (_beam(job, span, load, modulus_mpa=strength.modulus_mpa),)
        yield MemberCheck("sag", *where, sag / 1000.0, SAG_SHARE * span, "m", bows)
    for number, pull in enumerate(corner.corner_pulls_kn):
        holds = _beds(number) * pins * job.fixings.corner_pin_kn
        yield MemberCheck("corner pin", *where, factor * pull, holds, "kN", job.fixings.pin_working)


def _tie_checks(job: Job, check: TieCheck, screws: int) -> Iterator[MemberCheck]:
    """The ties of one place in one case: screws, cross-piece, and the course that brings the push to them."""
    ties = job.stability.ties_of(check.place.leg)
    if not ties:
        return
    pull, strength = job.strength.load_factor * check.demand_kn, job.strength
    leg, case = check.place.leg, check.case
    span = _widest(ties)
    holds = screws * job.fixings.tie_screw_kn
    yield MemberCheck("tie fixing", leg, ties[0].id, case, span, pull, holds, "kN", job.fixings.tie_working)
    if check.holds_by == "cross-piece":
        cross = max(tie.cross_length_m for tie in ties)
        stress = float(bending_stress_mpa(pull * cross / 8.0, *job.section))
        where = (leg, ties[0].id, case, cross)
        bent = (_beam(job, cross, pull / cross),)
        yield MemberCheck("cross-piece bending", *where, stress, strength.bending_mpa, "MPa", bent)
    net = job.bored(leg)
    stress = float(bending_stress_mpa(pull * span / 8.0, *net))
    carried = (_beam(job, span, pull / span, width_m=net[0]),)
    yield MemberCheck("bending", leg, ties[0].id, case, span, stress, strength.bending_mpa, "MPa", carried)
    shear = float(shear_stress_mpa(pull / 2.0, *net))
    yield MemberCheck("shear", leg, ties[0].id, case, span, shear, strength.shear_mpa, "MPa", carried)
    jointed = _jointed(job, ties)
    if jointed is not None:
        holds = 2.0 * job.fixings.screws_kn_per_m
        where = (leg, jointed, case, span)
        yield MemberCheck("joint between ties", *where, pull / span, holds, "kN/m", job.fixings.screw_working)


def _beam(job: Job, span: float, load: float, **more: float) -> Working:
    """The calculator of a course or cross-piece that carries an even load between two supports."""
    width, depth = job.section
    given = {
        "span_m": span, "width_m": width, "depth_m": depth, "line_load_kn_per_m": load,
        "bending_strength_mpa": job.strength.bending_mpa, "shear_strength_mpa": job.strength.shear_mpa,
    }  # fmt: skip
    return "member_check", tuple((given | more).items())


def _widest(ties: Sequence[Tie]) -> float:
    """Largest distance of two neighbours of one row."""
    rows: dict[int, list[float]] = defaultdict(list)
    for tie in ties:
        rows[tie.course].append(tie.station_m)
    gaps = [b - a for row in rows.values() for a, b in pairwise(sorted(row))]
    return max(gaps, default=LONE_TIE_M)


def _jointed(job: Job, ties: Sequence[Tie]) -> str | None:
    """A run that holds ties and has a joint between two of them: the courses beside it take over what it carries."""
    for tie in ties:
        own = sorted(max(piece.end_m) for piece in job.pieces if (piece.leg, piece.course) == (tie.leg, tie.course))
        stations = sorted(other.station_m for other in ties if other.course == tie.course)
        for low, high in pairwise(stations):
            if any(low < end < high for end in own):
                return f"{tie.leg}/{tie.course}"
    return None


def _notch_checks(job: Job) -> Iterator[MemberCheck]:
    """A course over a notch carries the courses on it and a person across the opening."""
    for run, low, high in openings(job.walls, job.pieces):
        above = [one for one in job.walls.runs_of(run.leg, run.course + 1) if one.inner_m[0] < low and
                 one.inner_m[1] > high]  # fmt: skip
        if not above:
            continue
        top = max(one.top_m for one in job.walls.runs if one.leg == run.leg)
        wood, span = job.project.timber, high - low
        load = wood.unit_weight_kn_m3 * wood.thickness_m * (top - run.top_m)
        moment = float(simple_forces(load, PERSON_KN, span / 2.0, span).moment_kn_m)
        stress = float(bending_stress_mpa(moment, wood.thickness_m, wood.course_m))
        factor = job.strength.load_factor
        one = _beam(job, span, factor * load, point_load_kn=factor * PERSON_KN, width_m=wood.thickness_m,
                    depth_m=wood.course_m)  # fmt: skip
        where = (run.leg, above[0].id, "dry", span)
        yield MemberCheck("bending over a notch", *where, factor * stress, job.strength.bending_mpa, "MPa", (one,))
