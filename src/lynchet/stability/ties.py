"""What the rows of ties of a wall must hold, and the friction of a tie timber beyond the wedge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le, Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.diagrams import Diagram, pushes
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Fraction01, Numbers, SafetyFactor, deny, filled, tangent
from lynchet.stability.pressure import at_rest


@dataclass(frozen=True)
class TieRow:
    """A row of ties."""

    height_m: Positive
    """Above the base."""
    spacing_m: Positive
    """Between ties along the wall."""


@dataclass(frozen=True)
class TieForce:
    """Shares of the rows, bottom up."""

    thrust_kn_per_m: float
    overturning_kn_m_per_m: float
    needed_kn_m_per_m: float
    tributary_kn_per_m: list[float]
    moment_kn_per_m: list[float]
    row_kn_per_m: list[float]
    """The larger of the two."""
    tie_kn: list[float]
    base_kn_per_m: float
    """Left to the base."""


def share_of_rows(
    diagram: Diagram, rows: Sequence[TieRow], resisting_kn_m_per_m: float = 0.0, required_factor: float = 1.0
) -> TieForce:
    """Kernel of tie_force: by the height each row holds, and by moment about the base."""
    force, moment = diagram.whole
    needed = max(0.0, required_factor * moment - resisting_kn_m_per_m)
    y = np.array([row.height_m for row in rows])
    between = (y[1:] + y[:-1]) / 2.0
    low = np.concatenate([[y[0] / 2.0], between])
    high = np.concatenate([between, [diagram.height_m]])
    tops, bottoms = diagram.height_m - high, diagram.height_m - low
    tributary = pushes(diagram, tops, bottoms)[0]
    by_moment = needed * y / np.sum(y**2)
    row = np.maximum(tributary, by_moment)
    return TieForce(
        thrust_kn_per_m=force,
        overturning_kn_m_per_m=moment,
        needed_kn_m_per_m=needed,
        tributary_kn_per_m=tributary.tolist(),
        moment_kn_per_m=by_moment.tolist(),
        row_kn_per_m=row.tolist(),
        tie_kn=(row * [tie.spacing_m for tie in rows]).tolist(),
        base_kn_per_m=force - float(tributary.sum()),
    )


def _tie_steps(given: Mapping[str, Any], result: TieForce) -> list[Step]:
    a = filled(tie_force, given)
    steps = [
        Step("thrust", "area of the pushing part of the diagram", result.thrust_kn_per_m, "kn_per_m"),
        Step("overturning moment MO", "its moment about the base", result.overturning_kn_m_per_m, "kn_m_per_m"),
        Step(
            "moment needed from the ties",
            f"{a['required_factor']:g} x MO - {a['resisting_kn_m_per_m']:g}",
            result.needed_kn_m_per_m,
            "kn_m_per_m",
        ),
    ]
    for i in range(len(result.row_kn_per_m)):
        steps += [
            Step(
                f"row {i + 1} by height held", "diagram between mid-heights", result.tributary_kn_per_m[i], "kn_per_m"
            ),
            Step(f"row {i + 1} by moment", "needed x y/(sum of y²)", result.moment_kn_per_m[i], "kn_per_m"),
            Step(f"row {i + 1}, one tie", "the larger x spacing", result.tie_kn[i], "kn"),
        ]
    return [*steps, Step("left to the base", "thrust - heights held", result.base_kn_per_m, "kn_per_m")]


@calculator(
    source="Statics: pressure diagram shared by height and by moment about the base (no published example)",
    known="DERIVED",
    example={
        "wall_height_m": 0.7,
        "depth_m": [0.0, 0.7],
        "pressure_kpa": [0.0, 4.4],
        "rows": [{"height_m": 0.35, "spacing_m": 2.4}],
        "required_factor": 1.5,
    },
    working=_tie_steps,
    caution=WALL_CAUTION
    + " The base must carry `base_kn_per_m` by friction. Add water and loads to the pressures first.",
)
def tie_force(
    *,
    wall_height_m: Positive,
    depth_m: Annotated[list[float], Len(2)],
    pressure_kpa: Annotated[list[float], Len(2)],
    rows: Annotated[list[TieRow], Len(1)],
    resisting_kn_m_per_m: NotNegative = 0.0,
    required_factor: Annotated[float, Ge(1)] = 1.0,
) -> TieForce:
    """Force in each row of ties of a wall, by the height it holds and by moment.

    Equation: needed = max(0, factor x MO - resisting); by moment needed x y/sum of y² (the wall turns about its toe as
    a plate); tributary: the diagram between the mid-heights to the neighbouring rows, the top row up to the top, the
    lowest down to half its height.

    Symbols: MO moment of the diagram about the base, y height of a row above the base. Depths and pressures as
    lateral_thrust gives them (a jump is the same depth twice; negative pressure carries nothing).

    Limits: the factor raises the moment share only; the safety of the tributary share lies in the anchor's factor.
    """
    depths = np.array(depth_m)
    deny(
        len(depth_m) != len(pressure_kpa), "pressure_kpa", f"{len(pressure_kpa)} values", f"{len(depth_m)}, as depth_m"
    )
    ends = abs(depths[0]) <= SLACK and abs(depths[-1] - wall_height_m) <= SLACK
    deny(not ends, "depth_m", f"from {depths[0]:g} to {depths[-1]:g}", f"depth from 0 to the height, {wall_height_m:g}")
    deny(bool(np.any(np.diff(depths) < 0)), "depth_m", "a depth falls", "depths that never fall")
    heights = [row.height_m for row in rows]
    deny(bool(np.any(np.diff(heights) <= 0)), "rows", f"row heights {heights} found", "rising, bottom row first")
    deny(max(heights) > wall_height_m + SLACK, "rows", f"row at {max(heights):g} m", f"up to {wall_height_m:g} m")
    return share_of_rows(Diagram(depths, np.array(pressure_kpa)), rows, resisting_kn_m_per_m, required_factor)


@dataclass(frozen=True)
class TieTimber:
    """One tie timber in the fill; plain numbers or arrays."""

    width_m: Numbers
    height_m: Numbers
    depth_m: Numbers
    """From the lowest ground over it to the timber."""
    soil_kn_m3: Numbers
    friction_deg: Numbers


def timber_grip(tie: TieTimber, friction_ratio: Numbers, at_rest_coefficient: Numbers) -> Array:
    """Friction on top, bottom and sides in kN per metre of timber (kernel)."""
    around = np.multiply(2.0, tie.width_m) + np.multiply(2.0, tie.height_m) * at_rest_coefficient
    return np.asarray(around * tie.soil_kn_m3 * tie.depth_m * tangent(np.multiply(friction_ratio, tie.friction_deg)))


def wedge_reach(height_m: Numbers, friction_deg: Numbers) -> Array:
    """How far back the active wedge reaches over a height: H tan(45 - p/2) (kernel)."""
    return np.asarray(height_m * tangent(np.subtract(45.0, np.divide(friction_deg, 2.0))))


@dataclass(frozen=True)
class TieFrictionLength:
    """Length of one tie timber."""

    friction_kn_per_m: float
    gripping_length_m: float
    active_reach_m: float
    total_length_m: float


def _friction_steps(given: Mapping[str, Any], result: TieFrictionLength) -> list[Step]:
    a = filled(tie_friction_length, given)
    p = a["friction_angle_deg"]
    return [
        Step(
            "friction per metre",
            f"(2 b + 2 h K0) x {a['unit_weight_kn_m3']:g} x {a['depth_m']:g} x tan({a['friction_ratio']:g} x {p:g}°)",
            result.friction_kn_per_m,
            "kn_per_m",
        ),
        Step(
            "gripping length",
            f"{a['tie_force_kn']:g} x {a['safety_factor']:g}/{result.friction_kn_per_m:.4f}",
            result.gripping_length_m,
            "m",
        ),
        Step(
            "reach of the wedge",
            f"({a['wall_height_m']:g} - {a['depth_m']:g}) tan(45° - {p:g}°/2)",
            result.active_reach_m,
            "m",
        ),
        Step("whole length", "their sum", result.total_length_m, "m"),
    ]


@calculator(
    source="Statics of friction on a buried timber (no published timber example; friction ratio recalled)",
    known="DERIVED",
    example={
        "tie_force_kn": 2.0,
        "timber_width_m": 0.14,
        "timber_height_m": 0.14,
        "depth_m": 0.6,
        "wall_height_m": 1.2,
        "unit_weight_kn_m3": 18.0,
        "friction_angle_deg": 30.0,
    },
    working=_friction_steps,
    caution=WALL_CAUTION + " Never add the passive of this tie's own cross-piece: take the larger.",
)
def tie_friction_length(
    *,
    tie_force_kn: NotNegative,
    timber_width_m: Positive,
    timber_height_m: Positive,
    depth_m: Positive,
    wall_height_m: Positive,
    unit_weight_kn_m3: Positive,
    friction_angle_deg: Annotated[float, Gt(0), Le(50)],
    friction_ratio: Fraction01 = 0.75,
    at_rest_coefficient: NotNegative | None = None,
    safety_factor: SafetyFactor = 2.0,
) -> TieFrictionLength:
    """Length of a tie timber that holds by friction beyond the active wedge.

    Equation: friction per metre = (2 b + 2 h K0) g z tan(ratio x p); gripping length = force x safety factor over that;
    active reach (H - z) tan(45 - p/2); total their sum.

    Symbols: b, h width and height of the timber, K0 at-rest coefficient (1 - sin p), g unit weight (buoyant below
    water), z depth to the timber from the lowest level it may be dug to, p friction angle, H wall height.

    Limits: one tie; drained ground. The ratio 0.75 is recalled practice, not measured for timber.
    """
    outside = depth_m > wall_height_m + SLACK
    deny(outside, "depth_m", f"{depth_m:g} found", f"depth up to the wall height, {wall_height_m:g}")
    k0 = float(at_rest(friction_angle_deg)) if at_rest_coefficient is None else at_rest_coefficient
    tie = TieTimber(timber_width_m, timber_height_m, depth_m, unit_weight_kn_m3, friction_angle_deg)
    grip = float(timber_grip(tie, friction_ratio, k0))
    length = tie_force_kn * safety_factor / grip
    reach = float(wedge_reach(wall_height_m - depth_m, friction_angle_deg))
    return TieFrictionLength(grip, length, reach, length + reach)
