"""Outlets looked at once more where they lie: lot lines, houses, paths, ground that nobody measured."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.ground.surface import off_ground_m
from lynchet.units.format import flow as flow_text
from lynchet.units.format import length as length_text
from lynchet.units.measures import System
from lynchet.water.built import drain_fall
from lynchet.water.model import Drain, Outlet, SolidPipe, Stone
from lynchet.water.named_outlets import led_to_named
from lynchet.water.over_stone import LOWER_M, NEAR_M
from lynchet.water.settings import Settings
from lynchet.water.yard import Yard

OF_SPRING = "spring/"
"""What ids of cut-off drains begin with."""
_OFF_M = 0.05
_DOWNHILL_M = 10.0
_UNDER_M, _TRENCH_M = 0.5, 1.2
"""Under the ground, from which on an outlet the file names must be in a pit or ditch, and from which on nobody enters
the trench to it unshored. PRACTICE."""
_NEAR_LOT_M = 3.0
"""An outlet nobody named this near a lot line, or pointing at one within twice that, is asked about. PRACTICE."""


def outlet_findings(yard: Yard, outlets: Sequence[Outlet]) -> list[Finding]:
    """Findings on where outlets pour.

    Args:
        yard: the earlier results.
        outlets: all but those into soakaways are looked at.
    """
    found = []
    for outlet in outlets:
        if outlet.kind == "soakaway":
            continue
        if yard.pours_over_lot_line(outlet.point_m, outlet.direction):
            found.append(_lot(outlet))
        else:
            found += _not_named(yard, outlet)
        found += _house(yard, outlet)
        found += _under_ground(yard, outlet)
        off = float(off_ground_m(yard.ground.surface, [outlet.point_m])[0])
        if off > _OFF_M:
            found.append(_unmeasured(yard, outlet, off))
    return found


def of_unknown_flow(outlet: Outlet) -> bool:
    """Whether it lets out a spring of which nobody said how much it gives.

    Args:
        outlet: any.
    """
    return outlet.flow_l_s == 0.0 and any(drain.startswith(OF_SPRING) for drain in outlet.drains)


def mound_finding(outlet: str, settings: Settings, system: System) -> Finding:
    """What to heap over the last metres of a pipe that come out of the ground before its outlet.

    Args:
        outlet: its id.
        settings: for the pipe's width.
        system: of the words.
    """
    height = length_text(settings.outside_m + 0.10, system)
    text = f"Heap earth {height} high over the last stretch of pipe before outlet {outlet}."
    return Finding("water.mound", Verdict.OK, text, outlet, source="PRACTICE")


def _lot(outlet: Outlet) -> Finding:
    text = (
        f"Outlet {outlet.id} points over the lot line: concentrated water may not be sent onto a neighbour's ground. "
        "Put it where the ground falls away from the line (`at` under [[drain.outlet]]), or let it soak away "
        "([[soakaway]])."
    )
    cures = (
        Cure(
            "turn-outlet",
            "an outlet of your own (`at` under [[drain.outlet]]) where the ground falls away from the lot line",
        ),
        Cure("soakaway", "end it in a soakaway ([[soakaway]]) 3 m (10 ft) or more from the line"),
    )
    return Finding(
        "water.outlet_lot_line", Verdict.STOP, text, outlet.id, source="PRACTICE; local drainage law",
        cures=cures, withholds=("all",),
    )  # fmt: skip


def _not_named(yard: Yard, outlet: Outlet) -> list[Finding]:
    """Water let out where the file names no outlet: told where it names others, asked about near a lot line."""
    if outlet.kind != "daylight":
        return []
    near = _lot_words(yard, outlet)
    named = bool(yard.project.drain.outlets_m)
    if not (near or named):
        return []
    else_led = _else_led(outlet, named)
    ask = (
        "Ask the neighbour and the building office whether water may leave there"
        if near else "Make sure that water may leave there"
    )  # fmt: skip
    text = (
        f"Outlet {outlet.id} is where the file names none: {_amount(outlet, yard.project.units)}{near}. {ask}; then "
        f"name it, or another place for it (`outlet` under [drain]){else_led}."
    )
    return [
        Finding(
            "water.outlet_not_named", Verdict.ASK if near else Verdict.WATCH, text, outlet.id, source="PRACTICE",
            cause="water.outlet_not_named", ask="neighbour" if near else "",
            cures=(led_to_named(),) if else_led else (),
        )
    ]  # fmt: skip


def _else_led(outlet: Outlet, named: bool) -> str:
    """What else a file may say that names outlets and sees water of its walls come out elsewhere."""
    if not named or any("/" in drain and drain.split("/")[0] in ("spring", "roof") for drain in outlet.drains):
        return ""
    return ", or, where a pipe reaches an outlet it names, have the drains led there alone (`named_only = true`)"


def _amount(outlet: Outlet, system: System) -> str:
    """What comes out: of a spring whose flow the file does not say, no number is known."""
    if of_unknown_flow(outlet):
        return "water of a spring, in dry weather too; how much is not known"
    return f"{flow_text(outlet.flow_l_s, system)} of water in the design rain"


def _lot_words(yard: Yard, outlet: Outlet) -> str:
    """How an outlet lies to a lot line that its water may trouble; empty where none is near."""
    from shapely.geometry import LineString
    from shapely.geometry import Point as Dot

    if yard.lot_lines.is_empty:
        return ""
    away, reach = float(yard.lot_lines.distance(Dot(outlet.point_m))), 2.0 * _NEAR_LOT_M
    (x, y), (dx, dy) = outlet.point_m, outlet.direction
    points = bool(yard.lot_lines.intersects(LineString([(x, y), (x + reach * dx, y + reach * dy)])))
    if not points and away >= _NEAR_LOT_M - 1e-9:
        return ""
    return f", {length_text(away, yard.project.units)} from a lot line{', towards it' if points else ''}"


def over_stone_findings(
    yard: Yard, outlets: Sequence[Outlet], stones: Sequence[Stone], chains: dict[str, str]
) -> list[Finding]:
    """Water let out uphill of a wall of one's own, close to its stone: it would run into that, and fill it.

    Args:
        yard: the earlier results.
        outlets: all.
        stones: drain stone laid.
        chains: chain of each drain.
    """
    from shapely import Point as Dot
    from shapely import Polygon

    found = []
    for outlet in outlets:
        own = {chains.get(drain) for drain in outlet.drains}
        below = [stone for stone in stones if stone.chain not in own
                 and max(stone.top_start_m, stone.top_end_m) < outlet.ground_m - LOWER_M]  # fmt: skip
        away = [(float(Polygon(stone.outline_m).distance(Dot(outlet.point_m))), stone.leg) for stone in below]
        far, leg = min(away, default=(NEAR_M, ""))  # a wall has many stretches of stone: the nearest of all
        if outlet.kind == "soakaway" or far >= NEAR_M:
            continue
        what = "a spring" if of_unknown_flow(outlet) else flow_text(outlet.flow_l_s, yard.project.units)
        text = (
            f"Outlet {outlet.id} lets {what} out "
            f"{length_text(far, yard.project.units)} from the stone of wall {leg}, which lies lower: the water "
            "would run into it. Carry the pipe on past that wall, name a place for it (`outlet` under [drain]), or ask "
            "an engineer whether the lower wall may take it."
        )
        found.append(Finding("water.outlet_over_wall", Verdict.ASK, text, outlet.id, source="PRACTICE", ask="engineer"))
    return found


def _house(yard: Yard, outlet: Outlet) -> list[Finding]:
    """An outlet too near a building, or one from which the ground falls to it."""
    from shapely import shortest_line
    from shapely.geometry import Point as Dot

    if yard.houses.is_empty:
        return []
    near = shortest_line(Dot(outlet.point_m), yard.houses)
    distance = float(near.length)
    units = yard.project.units
    limit = yard.settings.house_mouth_m
    if distance < limit - 1e-9:
        text = (
            f"Outlet {outlet.id} lies {length_text(distance, units)} from a building; {length_text(limit, units)} or "
            "more is asked, and the ground falling away from it."
        )
        return [
            Finding(
                "water.outlet_house", Verdict.STOP, text, outlet.id, demand=limit, capacity=distance, unit="m",
                source="PRACTICE", cures=(Cure("move-outlet", "carry the pipe on to lower ground"),),
                withholds=("all",),
            )
        ]  # fmt: skip
    if distance > _DOWNHILL_M:
        return []
    ends = [near.interpolate(share, normalized=True).coords[0] for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    levels = yard.level_at(ends)
    if any(z != z for z in levels) or any(b > a + 0.01 for a, b in pairwise(levels)):
        return []
    if levels[0] - levels[-1] < 0.02 * distance:
        return []
    text = (
        f"The ground falls from outlet {outlet.id} to a building {length_text(distance, units)} away: its water would "
        "run there. Carry the pipe on past it or cut a swale (shallow ditch) between."
    )
    return [Finding("water.outlet_house", Verdict.ASK, text, outlet.id, source="PRACTICE", ask="office")]


def _under_ground(yard: Yard, outlet: Outlet) -> list[Finding]:
    """An outlet of the file far under the ground measured there: in a pit or ditch, or its level is wrong."""
    if outlet.kind != "given":
        return []
    under = float(yard.level_at([outlet.point_m])[0]) - outlet.invert_m
    if not under > _UNDER_M:
        return []
    deep = under > _TRENCH_M
    text = (
        f"Outlet {outlet.id} is named {length_text(under, yard.project.units)} under the ground measured there. A pit, "
        "a ditch or a drain must lie as deep there; else set its `level` right (`outlet` under [drain])."
    )
    if deep:
        text += " The trench to it is deeper than anyone may enter without shoring: ask who builds such drains."
    return [Finding("water.outlet_under", Verdict.ASK if deep else Verdict.WATCH, text, outlet.id, demand=under,
                    unit="m", source="PRACTICE", ask="engineer" if deep else "")]  # fmt: skip


def _unmeasured(yard: Yard, outlet: Outlet, off: float) -> Finding:
    text = (
        f"Outlet {outlet.id} lies {length_text(off, yard.project.units)} beyond the measured ground; its level is "
        "taken from the nearest reading. Take one where it comes out before you dig."
    )
    return Finding("water.outlet_unmeasured", Verdict.WATCH, text, outlet.id, source="PRACTICE",
                   cause="water.outlet_unmeasured")  # fmt: skip


def capacity_findings(yard: Yard, drains: Sequence[Drain], solids: Sequence[SolidPipe]) -> list[Finding]:
    """Pipes that carry less than comes."""
    settings = yard.settings
    flows = [(drain.id, drain.own_flow_l_s, drain.capacity_l_s, drain_fall(drain.points_m, drain.inverts_m),
              settings.roughness) for drain in drains]  # fmt: skip
    flows += [(solid.id, solid.flow_l_s, settings.solid_carries_l_s, settings.fall, settings.smooth_roughness)
              for solid in solids]  # fmt: skip
    return [_too_small(name, (flow, capacity), (settings.bore_m, fall, rough))
            for name, flow, capacity, fall, rough in flows if flow > capacity + 1e-9]  # fmt: skip


def _too_small(name: str, flows: tuple[float, float], pipe: tuple[float, float, float]) -> Finding:
    flow, capacity = flows
    given = tuple(zip(("diameter_m", "slope", "roughness"), pipe, strict=True))
    text = f"Pipe {name} carries {capacity:.2f} l/s running full; {flow:.2f} l/s come at the design rain."
    cures = (Cure("wider-pipe", "a wider pipe"), Cure("second-outlet", "a second outlet"))
    return Finding(
        "water.capacity", Verdict.STOP, text, name, demand=flow, capacity=capacity, ratio=capacity / flow, unit="l/s",
        source="Manning's formula, pipe full", cures=cures, withholds=("all",), working=("pipe_full_flow", given),
    )  # fmt: skip
