"""Findings that look at more than one wall: tiers, heights by the rules of the place, loads, things on the wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.project.things import OnWall
from lynchet.stability.model import HeightCheck, Place, TierCheck
from lynchet.stability.thrust import Behind, LateralThrust, ThrustLayer, thrust_of
from lynchet.units.format import length, line_load, line_moment, pressure

TALL_TIERS_M = 1.2192
"""Walls that count as one and are together higher than 4 ft need an engineer. Trade rule of 4 ft, PRACTICE."""
LOADED_WALL_M = 0.6


def tier_findings(project: Project, tiers: Sequence[TierCheck]) -> list[Finding]:
    """Walls too near each other are one high wall."""
    return [_tier_finding(project, check) for check in tiers if not check.independent]


def _tier_finding(project: Project, check: TierCheck) -> Finding:
    units = project.units
    together = check.lower_height_m + check.upper_height_m
    tall = together > TALL_TIERS_M + 1e-9
    one, both = _level_thrust(project, check.lower_height_m), _level_thrust(project, together)
    text = (
        f"Walls {check.lower} and {check.upper} stand {length(check.setback_m, units)} apart, face to face: they are "
        f"one wall of {length(together, units)}, which pushes {line_load(both.total_kn_per_m, units)} where the lower "
        f"alone pushes {line_load(one.total_kn_per_m, units)}. They count apart from a set-back of over "
        f"{length(check.needed_m, units)} (twice the lower wall, {length(check.lower_height_m, units)} with its buried "
        f"part; its own wedge reaches {length(check.reach_m, units)}), or with a lower wall of at most "
        f"{length(0.5 * check.setback_m, units)}, buried part included."
    )
    return Finding(
        code="stability.tiers",
        verdict=Verdict.STOP if tall else Verdict.WATCH,
        text=text + (" Ask an engineer and the building office." if tall else " The upper one is counted as a load."),
        place=check.lower,
        demand=both.total_kn_per_m,
        capacity=one.total_kn_per_m,
        ratio=check.setback_m / check.needed_m,
        unit="kn_per_m",
        source="Trade FAQ SRW-FAQ-001 (set-back over twice the lower height); 4 ft limit PRACTICE; thrust: Rankine, "
        "UFC 3-220-20 Eqs 4-3 to 4-7",
        withholds=("cut-sheet", "order-list") if tall else (),
        ask="engineer" if tall else "",
        working=("tier_separation", (
            ("lower_height_m", check.lower_height_m), ("setback_m", check.setback_m),
            ("friction_angle_deg", project.soil.friction_deg))),
    )  # fmt: skip


def _level_thrust(project: Project, height_m: float, surcharge_kpa: float = 0.0) -> LateralThrust:
    """Push of level drained ground on a smooth upright face."""
    soil = project.soil
    layer = ThrustLayer(height_m, soil.unit_weight_kn_m3, friction_angle_deg=soil.friction_deg)
    return thrust_of([layer], Behind(surcharge_kpa=surcharge_kpa))


_MEASURES = {
    "retained": "ground held", "exposed": "timber seen", "base_to_top": "from the lowest timber to the top",
}  # fmt: skip


def height_findings(project: Project, checks: Sequence[HeightCheck]) -> list[Finding]:
    """What the office of the place may want to know."""
    found = []
    for check in (one for one in checks if one.triggered):
        many = check.tiers > 1
        counted = f"{'add up to' if many else 'comes to'} {length(check.height_m, project.units)}"
        counted += f" ({_MEASURES[check.measure]}{f', {check.tiers} walls one above another' if many else ''})"
        known = project.place.known
        limit = length(check.limit_m, project.units)
        over = f", over the {limit} of the rule “{check.rule}”. Ask the building office"
        if check.loaded:
            over = (
                f", which is not over the {limit} of the rule “{check.rule}”, but it also asks where a load stands on "
                f"the ground above a wall, as at {', '.join(check.loaded)}"
            )
            over += ". Ask the building office" if known else "; a sample from elsewhere: ask the building office"
        elif not known:
            over = (
                f". Some places ask for a permit from {limit} on, counted so; a sample: {check.rule}. The rules of "
                "yours are not known here: ask the building office"
            )
        found.append(
            Finding(
                code="stability.height",
                verdict=Verdict.ASK,
                text=f"{_walls(check.counted)} {counted}{over} before ordering.",
                place=check.counted[0],
                demand=check.height_m,
                capacity=check.limit_m,
                unit="m",
                source=f"Rule “{check.rule}” as typed in or sampled; never law",
                working=check.working,
                ask="office",
                cause="stability.height",
            )
        )
    return found


def _walls(walls: Sequence[str]) -> str:
    return f"Wall{'' if len(walls) == 1 else 's'} {enumerated(walls)}"


def load_findings(project: Project, places: Sequence[Place]) -> list[Finding]:
    """A load within a wall's own height behind it: no schedule of ties is offered as a cure."""
    worst: dict[str, Place] = {}
    for place in places:
        held = worst.get(place.leg)
        if place.surcharge_kpa > 0 and (held is None or place.retained_m > held.retained_m):
            worst[place.leg] = place
    return [_load_finding(project, place) for place in worst.values()]


def _load_finding(project: Project, place: Place) -> Finding:
    units = project.units
    bare = _level_thrust(project, place.retained_m)
    loaded = _level_thrust(project, place.retained_m, place.surcharge_kpa)
    push = loaded.total_kn_per_m / bare.total_kn_per_m
    turn = loaded.total_kn_per_m * loaded.height_m / (bare.total_kn_per_m * bare.height_m)
    tall = place.retained_m > LOADED_WALL_M + 1e-9
    load = line_load(loaded.total_kn_per_m - bare.total_kn_per_m, units)
    return Finding(
        code="stability.load",
        verdict=Verdict.STOP if tall else Verdict.ASK,
        text=(
            f"A load of {pressure(place.surcharge_kpa, units)} stands within the height of wall {place.leg} behind it: "
            f"the ground pushes {line_load(bare.total_kn_per_m, units)} and the load {load} more, "
            f"{line_load(loaded.total_kn_per_m, units)} together, {push:.1f} times as much. It turns the wall with "
            f"{line_moment(loaded.total_kn_per_m * loaded.height_m, units)} where the ground alone does with "
            f"{line_moment(bare.total_kn_per_m * bare.height_m, units)}, {turn:.1f} times as much. "
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
                ("layers", [{"thickness_m": place.retained_m, "unit_weight_kn_m3": project.soil.unit_weight_kn_m3,
                             "friction_angle_deg": project.soil.friction_deg}]),
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
        else:
            found += _beside_the_checks(thing)
    return found


def _beside_the_checks(thing: OnWall) -> Iterator[Finding]:
    """What no check counts is said: how posts stand clear of the wall, a tub's weight, a push on the timber."""
    wall = thing.at or "the walls"
    if thing.kind in ("fence", "rail"):
        text = (
            f"The posts of the {thing.kind} at {wall} stand in the ground behind the wall, and the wall is not checked "
            "for them: set them before the bed is filled, in holes clear of drain pipe, its stone and ties. They are "
            "not on the order list."
        )
        yield Finding("stability.posts", Verdict.WATCH, text, thing.at, source="PRACTICE", cause="stability.posts")
    elif thing.kind == "tub":
        text = f"What the tub at {wall} weighs is not counted: write it as a load (`[[load]]`), and plan it again."
        yield Finding("stability.tub", Verdict.WATCH, text, thing.at, source="PRACTICE", cause="stability.tub")
    if thing.push_kn_per_m > 0 and thing.fixed_to == "top course":
        text = f"The sideways push on the {thing.kind} at {wall} is not counted on the wall that holds it."
        yield Finding("stability.push", Verdict.ASK, text, thing.at, source="PRACTICE", ask="engineer",
                      cause="stability.push")  # fmt: skip


EDGING_M = 0.10
"""A line of timber that holds no more than this is edging, not a wall. PRACTICE."""


def timber_findings(project: Project, places: Sequence[Place] = ()) -> list[Finding]:
    """Timber that must not be counted on as a wall, or not round food."""
    timber = project.timber
    found = []
    if timber.profile == "rounded" and timber.treatment != "ground contact":
        if max((place.retained_m for place in places), default=0.0) <= EDGING_M + 1e-9:
            found.append(Finding(
                "stability.rounded", Verdict.OK, "Round-edged landscape timbers do as edging; without a ground-contact "
                "stamp they rot within a few years.", "site", source="PRACTICE"))  # fmt: skip
        else:
            found.append(_no_timber(
                "stability.rounded", "Round-edged landscape timbers without a ground-contact stamp rot within a few "
                "years: good as edging, not as a wall. Take square timber stamped for ground contact."))  # fmt: skip
    elif timber.treatment in ("none", "above ground"):
        which = "Untreated timber" if timber.treatment == "none" else "Timber treated for use above ground"
        found.append(_no_timber(
            "stability.treatment", f"{which} rots in the ground: a wall needs timber stamped for ground "
            "contact."))  # fmt: skip
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
