"""Findings that look at more than one wall: tiers, heights by the rules of the place, loads, things on the wall."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.stability.model import HeightCheck, Place, TierCheck
from lynchet.stability.thrust import Behind, ThrustLayer, thrust_of

TALL_TIERS_M = 1.2192
"""Walls that count as one and are together higher than 4 ft need an engineer. Trade rule of 4 ft, PRACTICE."""
LOADED_WALL_M = 0.6


def tier_findings(tiers: Sequence[TierCheck]) -> list[Finding]:
    """Walls too near each other are one high wall."""
    found = []
    for check in tiers:
        if check.independent:
            continue
        together = check.lower_height_m + check.upper_height_m
        tall = together > TALL_TIERS_M + 1e-9
        half = 0.5 * check.setback_m
        found.append(
            Finding(
                code="stability.tiers",
                verdict=Verdict.STOP if tall else Verdict.WATCH,
                text=(
                    f"Walls {check.lower} and {check.upper} stand {check.setback_m:.2f} m apart, face to face: "
                    f"together they are one wall of {together:.2f} m. They count apart from {check.needed_m:.2f} m on "
                    f"(twice the lower wall, {check.lower_height_m:.2f} m with its buried part), or with a lower wall "
                    f"of at most {half:.2f} m."
                    + (" Ask an engineer and the building office." if tall else " The upper one is counted as a load.")
                ),
                place=check.lower,
                demand=check.needed_m,
                capacity=check.setback_m,
                ratio=check.setback_m / check.needed_m,
                unit="m",
                source="Trade FAQ SRW-FAQ-001 (set-back over twice the lower height); 4 ft limit PRACTICE",
                withholds=("cut-sheet", "order-list") if tall else (),
                ask="engineer" if tall else "",
                working=("tier_separation", (("lower_height_m", check.lower_height_m), ("setback_m", check.setback_m))),
            )
        )
    return found


def height_findings(project: Project, checks: Sequence[HeightCheck]) -> list[Finding]:
    """What the office of the place may want to know."""
    found = []
    for check in (one for one in checks if one.triggered):
        counted = f"{check.height_m:.2f} m as counted ({check.measure.replace('_', ' ')}"
        counted += f", {check.tiers} walls together)" if check.tiers > 1 else ")"
        known = project.place.known
        found.append(
            Finding(
                code="stability.height",
                verdict=Verdict.ASK,
                text=(
                    f"{' and '.join(check.walls)}: {counted}, over the {check.limit_m:.2f} m of "
                    f"{'the rule' if known else 'a rule met elsewhere'} “{check.rule}”. Ask the building office before "
                    f"ordering{'' if known else ': the rules of your place are not known here'}."
                ),
                place=check.walls[0],
                demand=check.height_m,
                capacity=check.limit_m,
                unit="m",
                source=f"Rule “{check.rule}” as typed in or sampled; never law",
                ask="office",
                cause="stability.height",
            )
        )
    return found


def load_findings(project: Project, places: Sequence[Place]) -> list[Finding]:
    """A load within a wall's own height behind it: no schedule of ties is offered as a cure."""
    worst: dict[str, Place] = {}
    for place in places:
        held = worst.get(place.leg)
        if place.surcharge_kpa > 0 and (held is None or place.retained_m > held.retained_m):
            worst[place.leg] = place
    return [_load_finding(project, place) for place in worst.values()]


def _load_finding(project: Project, place: Place) -> Finding:
    soil = project.soil
    layer = ThrustLayer(place.retained_m, soil.unit_weight_kn_m3, friction_angle_deg=soil.friction_deg)
    bare = thrust_of([layer], Behind())
    loaded = thrust_of([layer], Behind(surcharge_kpa=place.surcharge_kpa))
    push = loaded.total_kn_per_m / bare.total_kn_per_m
    turn = loaded.total_kn_per_m * loaded.height_m / (bare.total_kn_per_m * bare.height_m)
    tall = place.retained_m > LOADED_WALL_M + 1e-9
    return Finding(
        code="stability.load",
        verdict=Verdict.STOP if tall else Verdict.ASK,
        text=(
            f"A load of {place.surcharge_kpa:.1f} kPa stands within the height of wall {place.leg} behind it: it "
            f"pushes {push:.1f} times and turns {turn:.1f} times as hard as the ground alone "
            f"({bare.total_kn_per_m:.2f} kN/m become {loaded.total_kn_per_m:.2f}). "
            + ("Do not build this wall without an engineer." if tall else "Ask an engineer before building it.")
        ),
        place=place.leg,
        case="load",
        demand=loaded.total_kn_per_m,
        capacity=bare.total_kn_per_m,
        ratio=push,
        unit="kn_per_m",
        source="Rankine, UFC 3-220-20 Eqs 4-3 to 4-7, load over the whole bench",
        withholds=("all",) if tall else (),
        ask="engineer",
        working=(
            "lateral_thrust",
            (
                ("layers", [{"thickness_m": place.retained_m, "unit_weight_kn_m3": soil.unit_weight_kn_m3,
                             "friction_angle_deg": soil.friction_deg}]),
                ("surcharge_kpa", place.surcharge_kpa),
            ),
        ),
    )  # fmt: skip


def on_wall_findings(project: Project) -> list[Finding]:
    """Posts fixed to the timber turn the wall over: they stand behind it, clear of ties, or the wall is checked."""
    found = []
    for thing in project.on_wall:
        if thing.fixed_to == "top course" and thing.kind in ("fence", "rail"):
            found.append(
                Finding(
                    code="stability.on-wall",
                    verdict=Verdict.STOP,
                    text=(
                        f"A {thing.kind} screwed to the top course of {thing.at or 'a wall'} pulls it over in the "
                        "wind. Stand its posts in the ground behind the wall, clear of the ties and the drain."
                    ),
                    place=thing.at,
                    source="PRACTICE (posts in the cap blow over)",
                    withholds=("cut-sheet", "order-list"),
                )
            )
    return found


def timber_findings(project: Project) -> list[Finding]:
    """Timber that must not be counted on as a wall, or not round food."""
    timber = project.timber
    found = []
    if timber.profile == "rounded" and timber.treatment != "ground contact":
        found.append(_no_timber(
            "stability.rounded", "Round-edged landscape timbers without a ground-contact stamp rot within a few years: "
            "good as edging, not as a wall. Take square timber stamped for ground contact."))  # fmt: skip
    elif timber.treatment in ("none", "above ground"):
        found.append(_no_timber(
            "stability.treatment", f"Timber treated as “{timber.treatment}” rots in the ground: a wall needs timber "
            "stamped for ground contact."))  # fmt: skip
    if timber.treatment == "creosote":
        word = (
            "Creosote timber is refused round food" if project.planting.food else "Creosote timber is not for gardens"
        )
        found.append(_no_timber(
            "stability.creosote", f"{word}, and old sleepers are never counted for strength. Take new timber stamped "
            "for ground contact."))  # fmt: skip
    elif timber.reused:
        text = "Reused timber is never counted for strength: nobody can see the rot inside it."
        found.append(_no_timber("stability.reused", text))
    return found


def _no_timber(code: str, text: str) -> Finding:
    return Finding(
        code,
        Verdict.STOP,
        text,
        place="site",
        source="PRACTICE; AWPA use categories UC4A and up for ground contact",
        withholds=("cut-sheet", "order-list"),
    )
