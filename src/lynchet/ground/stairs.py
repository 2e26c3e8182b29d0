"""Flights of steps: how many risers, how deep the treads, and the published rules they meet or fail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Count, Positive

Rule = Literal["irc", "public", "outdoor_26in", "blondel", "ad_k"]
SLACK = 1e-9
ALL_RULES: tuple[Rule, ...] = ("irc", "public", "outdoor_26in", "blondel", "ad_k")


@dataclass(frozen=True)
class StairFlight:
    """A straight flight of steps."""

    risers: int
    min_risers: int
    riser_m: float
    riser_spread_m: float
    going_m: float
    treads: int
    run_m: float
    two_riser_plus_going_m: float
    handrail: bool
    failed: list[str]


def riser_bounds(
    total_rise_m: ArrayLike, riser_min_m: float = 0.10, riser_max_m: float = 0.19685
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Least and most whole number of risers whose height stays within the two limits, for each rise."""
    rise = np.asarray(total_rise_m, dtype=float)
    least = np.maximum(np.ceil(rise / riser_max_m - SLACK), 1)
    return least.astype(np.intp), np.floor(rise / riser_min_m + SLACK).astype(np.intp)


def riser_count(
    total_rise_m: ArrayLike, riser_target_m: float = 0.15, riser_min_m: float = 0.10, riser_max_m: float = 0.19685
) -> NDArray[np.intp]:
    """Whole number of risers nearest the target height, held within the limits (0 or below least where none fits)."""
    least, most = riser_bounds(total_rise_m, riser_min_m, riser_max_m)
    wanted = np.floor(np.asarray(total_rise_m, dtype=float) / riser_target_m + 0.5 + SLACK).astype(np.intp)
    return np.minimum(np.maximum(wanted, least), most)


def failed_step_tests(
    lowest_m: float, tallest_m: float, mean_m: float, going_m: float, rules: Sequence[str]
) -> list[str]:
    """Names of the failed tests, in the fixed order of the table, only of the rules asked for."""
    two = 2.0 * mean_m + going_m
    spread = tallest_m - lowest_m
    low, tall = lowest_m + SLACK, tallest_m - SLACK  # a limit includes its own value
    tests = [
        ("irc", "irc_riser", tall <= 0.19685),
        ("irc", "irc_going", going_m + SLACK >= 0.254),
        ("irc", "irc_uniformity", spread - SLACK <= 0.009525),
        ("public", "public_riser", low >= 0.1016 and tall <= 0.1778),
        ("public", "public_going", going_m + SLACK >= 0.2794),
        ("public", "public_uniformity", spread - SLACK <= 0.009525),
        ("outdoor_26in", "outdoor_26in", abs(two - 0.6604) - SLACK <= 0.025),
        ("blondel", "blondel", 0.60 - SLACK <= two <= 0.65 + SLACK),
        ("ad_k", "ad_k", 0.55 - SLACK <= two <= 0.70 + SLACK),
    ]
    return [name for rule, name, passed in tests if rule in rules and not passed]


def _stair_steps(given: Mapping[str, Any], result: StairFlight) -> list[Step]:
    rise, going = given["total_rise_m"], result.going_m
    largest = given.get("riser_max_m", 0.19685)
    steps = [
        Step("fewest risers", f"{rise:g}/{largest:g} rounded up", result.min_risers),
        Step("mean riser", f"{rise:g}/{result.risers}", result.riser_m, "m"),
    ]
    if "going_m" not in given:
        wanted = given.get("two_riser_plus_going_m", 0.6604)
        steps.append(Step("going", f"{wanted:g} - 2 x {result.riser_m:.4g}", going, "m"))
    return [
        *steps,
        Step("run of the flight", f"{result.treads} treads x {going:.4g}", result.run_m, "m"),
        Step("twice the riser plus the going", f"2 x {result.riser_m:.4g} + {going:.4g}",
             result.two_riser_plus_going_m, "m"),
    ]  # fmt: skip


@calculator(
    source="IRC 2018 R311.7.5 as printed by Jefferson County; US ABA 504.2 and 504.6; garden rule 2R + T = 26 in; "
    "Blondel and the UK range recalled",
    known="SEEN",
    example={"total_rise_m": 0.9},
    working=_stair_steps,
    caution="Steps are bound by the local code, which may differ: heights, goings, landings and handrails.",
)
def stair_flight(
    *,
    total_rise_m: Positive,
    riser_target_m: Positive = 0.15,
    riser_max_m: float = 0.19685,
    riser_min_m: float = 0.10,
    risers: Count | None = None,
    riser_heights_m: Annotated[list[Positive], Len(1)] | None = None,
    going_m: Positive | None = None,
    two_riser_plus_going_m: float = 0.6604,
    check_rules: list[Rule] | None = None,
) -> StairFlight:
    """Lay out a flight of steps and check it against published rules.

    Equation: fewest risers = rise/largest riser rounded up; riser = rise/count; going = (2R + T) - 2 riser;
    run = (count - 1) x going.

    Symbols: riser R, height of one step; going T, depth of one tread from nosing to nosing; spread, tallest riser less
    lowest; check_rules, the rules to test: irc, public, outdoor_26in, blondel, ad_k (irc when left out).

    Limits: the count is nearest the target and held within the limits; a count or heights that are given are taken as
    they are and the rules report. Heights must add up to the rise within 1 mm. A limit includes its own value.
    """
    rules = ["irc"] if check_rules is None else check_rules
    limits = 0 < riser_min_m <= riser_max_m
    refuse_if(not limits, "riser_min_m", f"{riser_min_m:g} to {riser_max_m:g} found", "riser limits, 0 < least <= most")
    refuse_if(risers is not None and riser_heights_m is not None, "risers", "both a count and heights", "one of them")
    least, most = (int(bound) for bound in riser_bounds(total_rise_m, riser_min_m, riser_max_m))
    if riser_heights_m is not None:
        total = sum(riser_heights_m)
        off = abs(total - total_rise_m) > 0.001 + SLACK
        refuse_if(off, "riser_heights_m", f"sum {total:g} found", f"a sum within 1 mm of the rise {total_rise_m:g}")
        count = len(riser_heights_m)
    elif risers is not None:
        count = risers
    else:
        found = f"no whole number of risers divides {total_rise_m:g} m"
        refuse_if(least > most, "total_rise_m", found, f"risers of {riser_min_m:g} to {riser_max_m:g} m")
        count = int(riser_count(total_rise_m, riser_target_m, riser_min_m, riser_max_m))
    riser = total_rise_m / count
    heights = riser_heights_m or [riser]
    going = two_riser_plus_going_m - 2.0 * riser if going_m is None else going_m
    refuse_if(going <= 0, "two_riser_plus_going_m", f"leaves a going of {going:g}", "a going above 0")
    return StairFlight(
        risers=count,
        min_risers=least,
        riser_m=riser,
        riser_spread_m=max(heights) - min(heights),
        going_m=going,
        treads=count - 1,
        run_m=(count - 1) * going,
        two_riser_plus_going_m=2.0 * riser + going,
        handrail=count >= 4 or "public" in rules,
        failed=failed_step_tests(min(heights), max(heights), riser, going, rules),
    )
