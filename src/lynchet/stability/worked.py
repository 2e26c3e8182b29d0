"""The calculators that give a wall's findings again, with the finding's own numbers in its own load case."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from lynchet.core.findings import Working
from lynchet.core.late import LateWorking, Worked
from lynchet.project.model import Project
from lynchet.stability.bearings import bearing_working
from lynchet.stability.checks import Table, geometry
from lynchet.stability.constants import fixings
from lynchet.stability.helps import kept_depths_m, passive_at, pins_kn_per_m
from lynchet.stability.model import CASES, BaseCheck, CornerCheck, Place, TieCheck
from lynchet.stability.push import Rows
from lynchet.stability.spread import same_joint, window
from lynchet.stability.thresholds import required
from lynchet.stability.tie_design import diagram
from lynchet.stability.words import Word

SAME = 9
"""Decimals to which sections are alike and shown as one."""


def workings(project: Project, table: Table, places: Sequence[Place], word: Word) -> tuple[Working, ...]:
    """What a word on a wall rests on: one calculator, or what is asked for and then what it stands on."""
    check = word.check
    if word.row >= 0:
        return (LateWorking(partial(joint_working, project, table, places, word.row)),)
    if isinstance(check, BaseCheck):
        return bearing_working(project, check), _at_base(project, table, places, check)
    if isinstance(check, TieCheck):
        ties = LateWorking(partial(_tie_working, project, table, places, check))
        return ties, _at_base(project, table, places, check)
    if isinstance(check, CornerCheck) and check.working is not None:
        return corner_workings(project, table, places, check)
    return ()


def corner_workings(project: Project, table: Table, places: Sequence[Place], check: CornerCheck) -> tuple[Working, ...]:
    """The box, then the forces on the base of its front."""
    front = LateWorking(partial(joint_working, project, table, places, check.row))
    return (*([check.working] if check.working else []), front)


def joint_working(project: Project, table: Table, places: Sequence[Place], row: int) -> Worked:
    """One joint in one case: every section of the wall that counts there, each with what stands above the joint."""
    number, case = int(table.place[row]), int(table.case[row])
    above = places[number].courses - int(table.joint[row])
    near = window(places, number)
    some = [places[other] for other, _ in near]
    first, rows = geometry(project, some)
    pins = pins_kn_per_m(project, some)
    passive = passive_at(project, some) if "buried course" not in project.brief.helps_off else np.zeros(len(some))
    sections: dict[str, dict[str, object]] = {}
    lengths: dict[str, float] = {}
    for n, ((_, metres), place) in enumerate(zip(near, some, strict=True)):
        if first[n, case] < 0 or metres <= 0:
            continue
        joint = int(same_joint(np.array(place.courses), np.array(above)))
        help_m = max(float(kept_depths_m(project, [place])[0]) - joint * place.course_m, 0.0)
        section = _section(rows, int(first[n, case]) + joint, (help_m, float(passive[n])))
        section |= _fixed(project, joint, float(pins[n]))
        sections[repr(section)] = section
        lengths[repr(section)] = lengths.get(repr(section), 0.0) + metres
    timber, soil, one = project.timber, project.soil, places[number]
    return "joint_case_check", (
        ("sections", [{"length_m": lengths[key], **section} for key, section in sections.items()]),
        ("width_m", timber.thickness_m),
        ("course_height_m", one.course_m),
        ("timber_unit_weight_kn_m3", timber.unit_weight_kn_m3),
        ("unit_weight_kn_m3", soil.unit_weight_kn_m3),
        ("saturated_unit_weight_kn_m3", soil.saturated_unit_weight_kn_m3),
        ("friction_deg", float(table.friction_deg[row])),
        ("lean_deg", one.lean_deg),
        ("seismic_coefficient", project.brief.earthquake if CASES[case] == "earthquake" else 0.0),
    )


def _section(rows: Rows, row: int, buried: tuple[float, float]) -> dict[str, object]:
    """The keys that say something, of what stands above one joint."""

    def of(name: str) -> float:
        return round(float(getattr(rows, name)[row]), SAME)

    found: dict[str, object] = {"timber_m": of("timber_m"), "soil_m": of("soil_m"), "coefficient": of("coefficient"),
                                "thrust_angle_deg": of("angle_deg")}  # fmt: skip
    found |= {name: of(name) for name in ("water_m", "front_m", "surcharge_kpa") if of(name)}
    if min(buried) > 0:
        found |= {"buried_m": round(buried[0], SAME), "passive_coefficient": buried[1]}
    strips = [{"kpa": float(s.kpa[row]), "near_m": float(s.near_m[row]), "width_m": float(s.width_m[row]),
               "factor": float(s.factor[row])} for s in rows.strips if s.kpa[row] > 0]  # fmt: skip
    return found | ({"strips": strips} if strips else {})


def _fixed(project: Project, joint: int, pins: float) -> dict[str, float]:
    """What pins hold at a base, or screws at a joint over it."""
    if joint == 0:
        return {"pins_kn_per_m": pins}
    if "screws" in project.brief.helps_off:
        return {}
    timber = project.timber
    fixing = fixings(timber.course_m, timber.thickness_m)
    turn = fixing.hold_down_kn_per_m * timber.thickness_m / 2.0
    return {"screws_kn_per_m": fixing.screws_kn_per_m, "screws_turn_kn_m_per_m": turn}


def _at_base(project: Project, table: Table, places: Sequence[Place], check: BaseCheck | TieCheck) -> Working:
    return LateWorking(lambda: joint_working(project, table, places, _base_row(table, places, check)))


def _base_row(table: Table, places: Sequence[Place], check: BaseCheck | TieCheck) -> int:
    number = next(n for n, place in enumerate(places) if place is check.place or place == check.place)
    return table.row(number, check.case)


def _tie_working(project: Project, table: Table, places: Sequence[Place], check: TieCheck) -> Worked:
    """What every row of ties must hold, and what is left to the base."""
    behind = diagram(project, check.place, check.case)
    resisting = float(np.asarray(table.forces.resisting)[_base_row(table, places, check)])
    return "tie_force", (
        ("wall_height_m", behind.height_m),
        ("depth_m", behind.depth_m.tolist()),
        ("pressure_kpa", behind.pressure_kpa.tolist()),
        ("rows", [{"height_m": height, "spacing_m": spacing} for height, spacing in check.rows]),
        ("resisting_kn_m_per_m", max(resisting, 0.0)),
        ("required_factor", required(check.case)),
    )
