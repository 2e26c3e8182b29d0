"""The verdict on each wall, from all its checks, and the finding that says it in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.stability.checks import Table, active_at, base_friction_deg
from lynchet.stability.constants import TIMBER_FRICTION
from lynchet.stability.model import CASES, BaseCheck, CornerCheck, HelpName, Place, TieCheck, WallVerdict
from lynchet.stability.thresholds import SOURCE, required, word_on_factor


@dataclass(frozen=True)
class Word:
    """One check of one place put into a verdict."""

    verdict: Verdict
    what: str
    case: str
    factor: float
    place: Place
    row: int = -1
    """Row of the table it comes from, where it does."""
    holds: tuple[HelpName, ...] = ()

    @property
    def badness(self) -> tuple[int, float]:
        """The worse of two compares larger."""
        return int(self.verdict), -self.factor / max(required_of(self.case), 1.0)


def required_of(case: str) -> float:
    """The factor that is enough in a case."""
    return next((required(known) for known in CASES if known == case), 1.0)


def words_on_joints(table: Table, places: Sequence[Place]) -> list[Word]:
    """The worst of sliding and overturning of every place, all joints and cases, helps in the soil counted."""
    best: dict[int, Word] = {}
    for row in range(len(table.place)):
        number = int(table.place[row])
        place, case = places[number], CASES[table.case[row]]
        for what, factor in (("sliding", table.sliding[row]), ("overturning", table.overturning[row])):
            verdict = word_on_factor(case, float(factor), place.retained_m, place.held_courses, place.surcharge_kpa > 0)
            at = "at the base" if table.joint[row] == 0 else f"over course {int(table.joint[row])}"
            word = Word(verdict, f"{what} {at}", case, float(factor), place, row, _helps(table, row))
            if number not in best or word.badness > best[number].badness:
                best[number] = word
    return [best[number] for number in sorted(best)]


def _helps(table: Table, row: int) -> tuple[HelpName, ...]:
    names: list[HelpName] = ["own weight"]
    if float(np.asarray(table.forces.vertical)[row]) > 0:
        names.append("back friction")
    buried, pins = float(table.buried_kn[row]), float(table.pins_kn[row])
    if max(buried, pins) > 0:
        names.append("buried course" if buried >= pins else "pins")
    if table.screws_kn[row] > 0:
        names.append("screws")
    return tuple(names)


def word_on_corner(check: CornerCheck, place: Place) -> Word:
    """The verdict on a front that stands by its corners."""
    fixing = check.fixing_kn / max(check.corner_pull_kn, 1e-9)
    bending = check.allowable_mpa / max(check.bending_mpa, 1e-9)
    if fixing < 1.0 or bending < 1.0:
        what = "corner pull" if fixing < bending else "bending of a course"
        return Word(Verdict.STOP, what, check.case, min(fixing, bending), place, holds=("own weight", "corners"))
    factor = min(check.sliding, check.overturning)
    verdict = word_on_factor(check.case, factor, place.retained_m, place.held_courses, place.surcharge_kpa > 0)
    what = "sliding as a box" if check.sliding < check.overturning else "overturning as a box"
    return Word(max(verdict, Verdict.WATCH), what, check.case, factor, place, holds=("own weight", "corners"))


def word_on_ties(check: TieCheck) -> Word:
    """The verdict on a tied place: the ties and their fixing, then what is left to the base."""
    holds: tuple[HelpName, ...] = ("own weight", "back friction", "ties")
    tie = min(check.capacity_kn, check.fixing_kn) / max(check.demand_kn, 1e-9)
    if tie < 1.0 - 1e-9:
        return Word(Verdict.STOP, "pull of a tie", check.case, tie, check.place, holds=holds)
    base = check.base_capacity_kn_per_m / max(check.base_demand_kn_per_m, 1e-9)
    retained, loaded = check.place.retained_m, check.place.surcharge_kpa > 0
    verdict = word_on_factor(check.case, min(base, 99.0), retained, check.place.held_courses, loaded)
    return Word(verdict, "sliding at the base beside the ties", check.case, min(base, 99.0), check.place, holds=holds)


def word_on_base(check: BaseCheck) -> Word:
    """The verdict on the ground under a base: demand over capacity is a stop."""
    factor = check.allowable_kpa / max(check.pressure_kpa, 1e-9)
    verdict = Verdict.OK if factor >= 1.0 - 1e-9 else Verdict.STOP
    return Word(
        verdict, "pressure on the ground under the base", check.case, factor, check.place, holds=("own weight",)
    )


def wall_verdicts(words: Iterable[Word]) -> dict[str, Word]:
    """The worst word on each leg."""
    found: dict[str, Word] = {}
    for word in words:
        if word.place.leg not in found or word.badness > found[word.place.leg].badness:
            found[word.place.leg] = word
    return found


def as_verdict(word: Word) -> WallVerdict:
    """For the result."""
    return WallVerdict(
        leg=word.place.leg,
        verdict=word.verdict,
        governing=word.what,
        case=word.case,
        factor=word.factor if np.isfinite(word.factor) else None,
        helps=word.holds,
        tied="ties" in word.holds,
        by_corners="corners" in word.holds,
    )


def finding_on(project: Project, table: Table, word: Word) -> Finding:
    """The finding on one wall whose word is not a plain go."""
    place = word.place
    row = word.row
    demand = float(np.asarray(table.forces.horizontal)[row]) if row >= 0 else None
    need = required_of(word.case)
    base = f"{base_friction_deg(project):.0f}° under the base ({project.soil.base})"
    helps = ", ".join(word.holds)
    text = (
        f"Wall {place.leg} at {place.station_m:.1f} m, {place.courses} courses: {word.what}, {_case(word.case)}: "
        f"what holds is {word.factor:.2f} times what pushes ({need:g} is enough). Counted: {helps}; friction {base}."
    )
    if word.verdict is Verdict.WATCH and word.case in ("one outlet shut", "all shut"):
        text += " Keep the outlet open; a second outlet cures it."
    code = {"pull of a tie": "stability.ties", "corner pull": "stability.corners"}.get(word.what, "stability.wall")
    if "corners" in word.holds and word.verdict is not Verdict.STOP:
        code = "stability.corners"
        text = f"Wall {place.leg} stands by its corners. " + text
    return Finding(
        code=code,
        verdict=word.verdict,
        text=text,
        place=place.leg,
        case=word.case,
        demand=demand,
        capacity=None if demand is None else demand * word.factor,
        ratio=word.factor,
        unit="kn_per_m" if demand is not None else "",
        source=SOURCE,
        withholds=("cut-sheet", "order-list") if word.verdict is Verdict.STOP else (),
        cause=f"{code}.{word.what.split(' ')[0]}",
        ask="engineer" if word.verdict is Verdict.ASK else "",
        working=_working(project, place) if row >= 0 else None,
    )


def _case(case: str) -> str:
    return {"dry": "dry", "wet": "in the design rain", "load": "with the load behind it"}.get(
        case, f"with {case}" if "shut" in case else case
    )


def _working(project: Project, place: Place) -> tuple[str, tuple[tuple[str, object], ...]]:
    """The dry joints of this place as the calculator shows them."""
    coefficient, angle = active_at(project, place, "dry")
    timber, soil = project.timber, project.soil
    return "course_joint_check", (
        ("courses", place.courses),
        ("course_height_m", (place.top_m - place.base_m) / place.courses),
        ("course_width_m", timber.thickness_m),
        ("timber_unit_weight_kn_m3", timber.unit_weight_kn_m3),
        ("unit_weight_kn_m3", soil.unit_weight_kn_m3),
        ("coefficient", coefficient),
        ("thrust_angle_deg", angle),
        ("base_friction_deg", base_friction_deg(project)),
        ("timber_friction", TIMBER_FRICTION),
        ("lean_deg", max(place.lean_deg, 0.0)),
        ("surcharge_kpa", place.surcharge_kpa),
        ("buried_m", place.buried_m),
    )
