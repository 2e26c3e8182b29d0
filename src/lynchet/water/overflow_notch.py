"""Water that runs over: a notch left in the top course, or a step or slab."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.water.inlets import weir_flow_m3_s

Array = NDArray[np.float64]
CREST_COEFFICIENT = 1.44
"""Broad crest with a square edge, m^0.5/s (2.6 in feet)."""


@dataclass(frozen=True)
class Overflow:
    """Flow over a broad crest and whether the notch is deep enough."""

    head_m: float
    flow_m3_s: float
    flow_l_s: float
    needed_depth_m: float | None = None
    fits: bool | None = None


def weir_head_m(coefficient: ArrayLike, width_m: ArrayLike, flow_m3_s: ArrayLike) -> Array:
    """Head that carries a flow over a weir, (Q/(C b))^(2/3) (any shapes that go together)."""
    crest = np.asarray(coefficient, dtype=float) * np.asarray(width_m, dtype=float)
    return np.asarray((np.asarray(flow_m3_s, dtype=float) / crest) ** (2.0 / 3.0))


def _overflow_steps(given: Mapping[str, Any], result: Overflow) -> list[Step]:
    c, width = given.get("coefficient", CREST_COEFFICIENT), given["width_m"]
    if "head_m" in given:
        steps = [Step("flow", f"{c:g} x {width:g} x {given['head_m']:g}^1.5", result.flow_m3_s, "m3_s")]
    else:
        steps = [Step("head", f"({given['flow_m3_s']:g}/({c:g} x {width:g}))^(2/3)", result.head_m, "m")]
    if result.needed_depth_m is not None:
        how = f"{result.head_m:.4g} + freeboard {given.get('freeboard_m', 0.0):g}"
        steps.append(Step("needed depth of the notch", how, result.needed_depth_m, "m"))
    return steps


@calculator(
    source="Brater & King in US EPA, EPA/600/R-17/111, table 6-3; square edge 1.44 HEC-22 (recalled)",
    known="SEEN",
    example={"width_m": 0.9, "flow_m3_s": 0.02, "notch_depth_m": 0.0889, "freeboard_m": 0.025},
    working=_overflow_steps,
    caution="Water over a wall washes out its foot: give it stone to fall on and a way off that is safe in any rain.",
)
def overflow_weir(
    *,
    width_m: Positive,
    head_m: Positive | None = None,
    flow_m3_s: Positive | None = None,
    coefficient: Annotated[float, Ge(1.29), Le(1.84)] = CREST_COEFFICIENT,
    notch_depth_m: Positive | None = None,
    freeboard_m: NotNegative = 0.0,
) -> Overflow:
    """Flow over a timber, step or slab, or through a notch in the top course.

    Equation: Q = C b h^1.5; h = (Q/(C b))^(2/3); needed depth = h + freeboard.

    Symbols: width_m, b clear of the notch; head_m, h of still water above the crest; coefficient, C in m^0.5/s (feet
    figures times 0.552).

    Limits: exactly one of head and flow; free fall on the far side; no loss at the ends of the notch.
    """
    both = "both head_m and flow_m3_s found" if head_m is not None else "neither head_m nor flow_m3_s found"
    refuse_if((head_m is None) == (flow_m3_s is None), "head_m or flow_m3_s", both, "exactly one of the two")
    refuse_if(
        freeboard_m > 0 and notch_depth_m is None, "freeboard_m", "a freeboard without the depth of the notch",
        "notch_depth_m beside it",
    )  # fmt: skip
    if head_m is None:
        assert flow_m3_s is not None
        head_m = float(weir_head_m(coefficient, width_m, flow_m3_s))
    flow = float(weir_flow_m3_s(coefficient, width_m, head_m)) if flow_m3_s is None else flow_m3_s
    needed = None if notch_depth_m is None else head_m + freeboard_m
    return Overflow(
        head_m=head_m,
        flow_m3_s=flow,
        flow_l_s=1000.0 * flow,
        needed_depth_m=needed,
        fits=None if needed is None or notch_depth_m is None else needed <= notch_depth_m + 1e-9,
    )
