"""One joint of a timber wall in one load case: soil, water, loads and earthquake against all that holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le, Len

from lynchet.core.calculator import Step, as_keys, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.joints import buried_help, held_beside
from lynchet.stability.kinds import WALL_CAUTION, Array, Friction, Lean, ThrustAngle, deny, filled, tangent
from lynchet.stability.push import Ground, Pushes, Rows, StripRows, forces, soil_push, strip_push, water_push
from lynchet.stability.thrust import WATER_KN_M3


@dataclass(frozen=True)
class CaseStrip:
    """A strip load on the ground behind, such as the bench of a tier above."""

    kpa: NotNegative
    near_m: NotNegative
    """From the back of the wall to its near edge."""
    width_m: Positive
    factor: Annotated[float, Ge(1), Le(2)] = 2.0
    """2 where the wall cannot give way before the load's wedge, 1 else."""


@dataclass(frozen=True)
class CaseSection:
    """A section of the wall; heights count from the joint upward."""

    length_m: Positive
    """Of wall that it stands for."""
    timber_m: Positive
    soil_m: NotNegative
    """Ground behind."""
    coefficient: Positive
    """Active; with earthquake that of seismic_active_coefficient."""
    thrust_angle_deg: ThrustAngle = 0.0
    water_m: NotNegative = 0.0
    """Water behind."""
    front_m: NotNegative = 0.0
    """Ground in front up to which water presses from both sides; 0 where it does not."""
    surcharge_kpa: NotNegative = 0.0
    buried_m: NotNegative = 0.0
    """Ground in front that always stays."""
    passive_coefficient: NotNegative = 0.0
    pins_kn_per_m: NotNegative = 0.0
    """Of the base."""
    screws_kn_per_m: NotNegative = 0.0
    """Of a joint over a course, against sliding."""
    screws_turn_kn_m_per_m: NotNegative = 0.0
    """Of such screws against turning over."""
    strips: list[CaseStrip] = field(default_factory=list)


@dataclass(frozen=True)
class JointCase:
    """Forces on a metre of the joint, the mean of the sections, and the factors."""

    weight_kn_per_m: float
    back_friction_kn_per_m: float
    uplift_kn_per_m: float
    soil_kn_per_m: float
    """Level parts of the push."""
    water_kn_per_m: float
    loads_kn_per_m: float
    shaking_kn_per_m: float
    vertical_kn_per_m: float
    horizontal_kn_per_m: float
    resisting_kn_m_per_m: float
    overturning_kn_m_per_m: float
    held_beside_kn_per_m: float
    """The larger of the buried part and the pins, and the screws."""
    sliding_factor_bare: float | None
    sliding_factor: float | None
    """Left out, as those below, where nothing pushes."""
    overturning_factor_bare: float | None
    overturning_factor: float | None


def _rows(sections: Sequence[CaseSection], shared: Mapping[str, float]) -> Rows:
    def of(name: str) -> Array:
        return np.array([getattr(section, name) for section in sections], dtype=np.float64)

    same = np.ones(len(sections))
    layers = []
    for layer in range(max(len(section.strips) for section in sections)):
        row = [s.strips[layer] if layer < len(s.strips) else CaseStrip(0.0, 1.0, 1.0, 1.0) for s in sections]
        parts = np.array([(one.kpa, one.near_m, one.width_m, one.factor) for one in row], dtype=np.float64).T
        layers.append(StripRows(*parts))
    return Rows(
        timber_m=of("timber_m"),
        soil_m=of("soil_m"),
        water_m=of("water_m"),
        front_m=of("front_m"),
        coefficient=of("coefficient"),
        angle_deg=of("thrust_angle_deg"),
        lean_deg=shared["lean_deg"] * same,
        course_m=shared["course_height_m"] * same,
        surcharge_kpa=of("surcharge_kpa"),
        strips=tuple(layers),
        quake=shared["seismic_coefficient"] * same,
    )


def _steps(given: Mapping[str, Any], result: JointCase) -> list[Step]:
    a = filled(joint_case_check, given)
    r = result
    one = as_keys({"section": a["sections"][0]})["section"] if len(a["sections"]) == 1 else None
    weight = (
        f"{one['timber_m']:.4g} x {a['width_m']:g} x {a['timber_unit_weight_kn_m3']:g}"
        if one
        else "mean of the sections"
    )
    water = "mean of the sections" if r.water_kn_per_m else "none"
    if one and r.water_kn_per_m and not one.get("front_m"):
        water = f"half x {WATER_KN_M3:g} x {one['water_m']:.4g}²"
    kn, knm = "kn_per_m", "kn_m_per_m"
    steps = [
        Step("weight of the timber above", weight, r.weight_kn_per_m, kn),
        Step("level push of the soil and the load over the bench", "T cos a", r.soil_kn_per_m, kn),
        Step("friction of the fill on the back", "T sin a", r.back_friction_kn_per_m, kn),
        Step("level push of the water", water, r.water_kn_per_m, kn),
        Step("water lifts in the joint", f"half x {WATER_KN_M3:g} x its head x width", r.uplift_kn_per_m, kn),
    ]
    if r.loads_kn_per_m:
        steps.append(Step("level push of the strip loads", "factor x strip_load_pressure", r.loads_kn_per_m, kn))
    if r.shaking_kn_per_m:
        how = f"{a['seismic_coefficient']:g} x weight"
        steps.append(Step("earthquake on the timber", how, r.shaking_kn_per_m, kn))
    v, h, mr, mo = r.vertical_kn_per_m, r.horizontal_kn_per_m, r.resisting_kn_m_per_m, r.overturning_kn_m_per_m
    steps += [
        Step("vertical V", "weight + friction on the back - lift", v, kn),
        Step("horizontal H", "all level pushes", h, kn),
        Step("moment that holds MR", "about the front edge", mr, knm),
        Step("moment that turns MO", "about the front edge", mo, knm),
        Step("what holds beside friction", "the larger of buried part and pins, + screws", r.held_beside_kn_per_m, kn),
    ]
    if r.sliding_factor is not None:
        beside = f"({v:.4f} x tan {a['friction_deg']:.4g}° + {r.held_beside_kn_per_m:.4f})/{h:.4f}"
        steps.append(Step("sliding", beside, r.sliding_factor))
    if r.overturning_factor is not None:
        more = r.overturning_factor * mo - mr
        how = f"(MR {mr:.4f} + buried part and screws {more:.4f})/{mo:.4f}"
        steps.append(Step("overturning", how, r.overturning_factor))
    return steps


@calculator(
    source="Statics of a stack of level courses; effective stresses below the water (no published example)",
    known="DERIVED",
    example={
        "sections": [{"length_m": 1.2, "timber_m": 0.42, "soil_m": 0.35, "coefficient": 0.297,
                      "thrust_angle_deg": 20.0, "water_m": 0.2}],
        "width_m": 0.14, "course_height_m": 0.14, "timber_unit_weight_kn_m3": 6.0, "unit_weight_kn_m3": 18.9,
        "saturated_unit_weight_kn_m3": 20.4, "friction_deg": 30.0,
    },
    working=_steps,
    caution=WALL_CAUTION + " How high water stands behind a wall is a guess: look at it with the drain shut too.",
)  # fmt: skip
def joint_case_check(
    *,
    sections: Annotated[list[CaseSection], Len(1)],
    width_m: Positive,
    course_height_m: Positive,
    timber_unit_weight_kn_m3: Positive,
    unit_weight_kn_m3: Positive,
    saturated_unit_weight_kn_m3: Positive,
    friction_deg: Friction,
    lean_deg: Lean = 0.0,
    seismic_coefficient: Annotated[float, Ge(0), Le(1)] = 0.0,
) -> JointCase:
    """Sliding and overturning at one joint of a timber wall in one load case, with water, loads and what helps.

    Equation: T = K x (vertical stress, less the water's lift below its level) summed over the height; water pushes half
    9.81 head² down to the ground in front that balances it, even below; V = W + T sin a - half 9.81 head x width; H = T
    cos a + water + strips + k W; sliding = (V tan f + the larger of buried part and pins + screws)/H; overturning = (MR
    + buried part and screws)/MO about the front edge.

    Symbols: W timber above the joint, K and a coefficient and thrust angle (active_coefficient), f friction in the
    joint, k seismic coefficient, head of the water over the ground in front that balances it, buried part half Kp g D².

    Limits: one row for each section, heights from the joint upward; forces are the mean of the sections by the length
    of wall each stands for, for long sticks screwed together share what pushes. Ground behind rises as its coefficient
    says. A leaning stack steps back by whole courses. Ties and corners are not in it (tie_force, corner_box_check).
    """
    deny(
        saturated_unit_weight_kn_m3 <= WATER_KN_M3, "saturated_unit_weight_kn_m3",
        f"{saturated_unit_weight_kn_m3:g} found", f"above that of water, {WATER_KN_M3:g}",
    )  # fmt: skip
    rows = _rows(sections, {"lean_deg": lean_deg, "course_height_m": course_height_m,
                            "seismic_coefficient": seismic_coefficient})  # fmt: skip
    ground = Ground(width_m, timber_unit_weight_kn_m3, unit_weight_kn_m3, saturated_unit_weight_kn_m3)
    lengths = np.array([section.length_m for section in sections])

    def mean(values: Any) -> float:
        return float(np.average(values, weights=lengths))

    pushes = forces(rows, ground)
    mixed = Pushes(*(np.asarray(mean(getattr(pushes, name))) for name in Pushes.__dataclass_fields__))
    help_kn, help_turn = buried_help(
        np.array([section.passive_coefficient for section in sections]), unit_weight_kn_m3,
        np.array([section.buried_m for section in sections]),
    )  # fmt: skip
    pins, screws, turn = (mean([getattr(section, name) for section in sections])
                          for name in ("pins_kn_per_m", "screws_kn_per_m", "screws_turn_kn_m_per_m"))  # fmt: skip
    more = float(held_beside(mean(help_kn), pins, screws)), mean(help_turn) + turn
    return _judged(mixed, (rows, ground, pushes.weight), mean, friction_deg, more)


def _judged(
    mixed: Pushes, what: tuple[Rows, Ground, Array], mean: Any, friction_deg: float, more: tuple[float, float]
) -> JointCase:
    """The result from the mean forces, friction and what else holds."""
    rows, ground, weight = what
    both: BaseForces = mixed.forces
    friction = tangent(friction_deg)
    beside, turn = more

    def shown(factor: Array) -> float | None:
        return float(factor) if np.isfinite(factor) else None

    return JointCase(
        weight_kn_per_m=float(mixed.weight),
        back_friction_kn_per_m=float(mixed.down),
        uplift_kn_per_m=float(mixed.uplift),
        soil_kn_per_m=mean(soil_push(rows, ground)[0] * np.cos(np.radians(rows.angle_deg))),
        water_kn_per_m=mean(water_push(rows)[0]),
        loads_kn_per_m=mean(strip_push(rows)[0]),
        shaking_kn_per_m=mean(rows.quake * weight),
        vertical_kn_per_m=float(both.vertical),
        horizontal_kn_per_m=float(both.horizontal),
        resisting_kn_m_per_m=float(both.resisting),
        overturning_kn_m_per_m=float(both.overturning),
        held_beside_kn_per_m=beside,
        sliding_factor_bare=shown(sliding_factor_of(both, friction)),
        sliding_factor=shown(sliding_factor_of(both, friction, beside)),
        overturning_factor_bare=shown(overturning_factor_of(both)),
        overturning_factor=shown(overturning_factor_of(both, turn)),
    )
