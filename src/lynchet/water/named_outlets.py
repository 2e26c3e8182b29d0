"""Outlets that the file names and no drain comes out at: why, and what drains the walls instead."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import dist

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.units.format import length as length_text
from lynchet.units.format import small
from lynchet.water.inside import Target, target_options
from lynchet.water.model import Outlet, WaterLevel
from lynchet.water.options import Mouth, Option
from lynchet.water.problem import Net, Problem

UNUSED, NOT_NAMED = "water.outlet_unused", "water.outlet_not_named"
NAMED_ONLY = "named-outlets"
_REACHES = "could reach it"
_OWN = frozenset({"direct", "tail", "across"})
"""Ways out to daylight."""


def led_to_named() -> Cure:
    """The edit that lets water of the walls leave where the file says so, and nowhere else."""
    text = "lead the drains of the walls to the outlets and soakaways of the file alone"
    return Cure(NAMED_ONLY, text, (("drain.named_only", True),))


def unused_findings(
    problem: Problem, net: Net, outlets: Sequence[Outlet], levels: Sequence[WaterLevel]
) -> list[Finding]:
    """Outlets of the file that no drain comes out at: water comes out elsewhere, which must be said.

    Args:
        problem: chains, their mouths, what the file names.
        net: what is laid.
        outlets: ends of the net.
        levels: what drains each stretch of wall.
    """
    used = {outlet.point_m for outlet in outlets if outlet.kind == "given"}
    named = problem.yard.project.drain.outlets_m
    left = [number for number, point in enumerate(named) if point not in used]
    if not left:
        return []
    names = "Outlet" + ("s " if len(left) > 1 else " ") + ", ".join(str(number + 1) for number in left)
    cures: tuple[Cure, ...] = ()
    text = f"{names} under [drain] {'are' if len(left) > 1 else 'is'} not used: "
    if outlets:
        why = [_why(problem, net, number) for number in left]
        told = why if len(left) == 1 else [f"{number + 1}, {one}" for number, one in zip(left, why, strict=True)]
        text += f"{'; '.join(told)}. Water comes out at the places on the water sheet; look whether it may."
        if any(_REACHES in one for one in why):
            text += " To have the drains led to the outlets of the file alone, write `named_only = true` under [drain]."
            cures = (led_to_named(),)
    else:
        text += f"no pipe is laid in this plan. {_without_pipe(levels)}"
    return [Finding("water.outlet_unused", Verdict.WATCH, text, "drain", source="PRACTICE", cures=cures)]


def _why(problem: Problem, net: Net, number: int) -> str:
    """What keeps a named place from being reached: its level, what lies in the way, or a shorter way out."""
    units = problem.yard.project.units
    target = next((one for one in problem.targets if (one.kind, one.name) == ("given", str(number))), None)
    if target is None:
        return "its ground is not measured"
    piped = _let_out(net)
    reaching = [(chain, one) for chain in piped for one in _reaching(problem, chain, target)]
    if reaching:
        chain, nearest = min(reaching, key=lambda pair: _long(pair[1]))
        taken = sum(_taken_m(one) for laid in net.laid if laid.chain == chain for one in laid.options)
        wall = _wall(problem, chain, nearest)
        return (
            f"a pipe of {length_text(_long(nearest), units)} from wall {wall} {_REACHES}, but the way out that was "
            f"taken ({length_text(taken, units)} of pipe outside the wall) is less to dig, or lets more of the drain "
            "fall to it"
        )
    mouths = [mouth for chain in piped for mouth in problem.mouths[chain] if mouth.outside]
    if not mouths:
        return "no drain opens to the free ground round the walls"
    high = min(_too_high_m(problem, mouth, target) for mouth in mouths)
    if high > 0:
        return f"it lies {small(high, units)} too high for a pipe at the fall asked from the drain nearest in level"
    return "a house, a root, a wall, a lot line or ground where nobody may dig lies in the way to it"


def _let_out(net: Net) -> list[int]:
    """Chains whose water comes out where nobody named a place; all that have a pipe where there is none such."""
    own = [laid.chain for laid in net.laid if any(one.kind in _OWN and not one.into for one in laid.options)]
    return own or [laid.chain for laid in net.laid if laid.reaches]


def _reaching(problem: Problem, chain: int, target: Target) -> list[Option]:
    return target_options(problem.yard, problem.rooms, list(problem.mouths[chain]), [target])


def _long(option: Option) -> float:
    path = (option.mouth.point_m, *option.way_m)
    return option.mouth.through_m + sum(dist(a, b) for a, b in pairwise(path))


def _taken_m(option: Option) -> float:
    """Solid pipe of a way out to daylight."""
    outside = 0.0 if option.tail is None else option.tail.length_m
    path = (option.mouth.point_m, *option.way_m)
    stub = option.mouth.stub_m if option.kind == "tail" else 0.0
    return option.mouth.through_m + stub + outside + sum(dist(a, b) for a, b in pairwise(path))


def _wall(problem: Problem, chain: int, option: Option) -> str:
    opening = option.mouth.opening
    return opening.leg if opening is not None else problem.chains[chain].chain.nodes[option.mouth.node].leg


def _too_high_m(problem: Problem, mouth: Mouth, target: Target) -> float:
    """How far a place lies too high for water from the highest invert, on the straight way there."""
    way = dist(mouth.point_m, target.point_m) + mouth.through_m
    return target.invert_m + problem.yard.settings.fall * way - mouth.highest_m


def _without_pipe(levels: Sequence[WaterLevel]) -> str:
    """What drains the walls where no pipe is laid, wall by wall: stone alone, or nothing."""
    legs = {how: sorted({row.leg for row in levels if row.drained == how}) for how in ("stone", "none")}
    told = []
    if legs["stone"]:
        told.append(f"Stone alone drains {_walls_named(legs['stone'])}.")
    if legs["none"]:
        named = _walls_named(legs["none"])
        verb = "finds" if len(legs["none"]) == 1 else "find"
        part = ", in part" if set(legs["none"]) & set(legs["stone"]) else ""
        told.append(f"{named[0].upper()}{named[1:]} {verb} no way out for water{part}.")
    return " ".join(told) or "No wall holds enough ground to need one."


def _walls_named(legs: Sequence[str]) -> str:
    """ "wall W2", "walls A0, W2 and W3"."""
    return f"wall{'' if len(legs) == 1 else 's'} {enumerated(legs)}"
