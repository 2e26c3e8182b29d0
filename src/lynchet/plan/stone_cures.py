"""Low walls that give way in the design rain by the sum: a pipe in place of stone alone, or lower walls."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.figures import figures, rounded_money
from lynchet.plan.model import Plan
from lynchet.plan.terrace_cures import MORE_TERRACES, more_terraces
from lynchet.project.model import Project
from lynchet.stability.thresholds import STANDS
from lynchet.units.format import DIGGING, length, rule_for_file, small

LOW_PIPES = "low-pipes"
STONE_CURES = frozenset({LOW_PIPES, *MORE_TERRACES})
_WALL = "stability.wall"
_PIPE_FROM_M = 0.15
"""Height held from which the cure lays a pipe: about one course. PRACTICE."""
_SAME = 0.01
"""A smaller difference of what holds, or of metres of pipe, is none."""
_PIPES = ("drain_pipe", "solid_pipe")


def on_stone(plan: Plan) -> list[Finding]:
    """Findings on walls of care of which less holds than pushes in the design rain: most often stone alone drains
    them."""
    low = [one for one in plan.findings if one.code == _WALL and one.verdict is Verdict.WATCH
           and one.ratio is not None and one.ratio < STANDS]  # fmt: skip
    rain = _in_rain(plan) if low else {}
    return [one for one in low if rain.get(one.place, STANDS) < STANDS]


def stone_cures(plan: Plan) -> Iterator[Cure]:
    """Edits against these, in words: nothing is known of their effect before they are planned."""
    found = on_stone(plan)
    if not found:
        return
    project, stone = plan.project, {p.leg for p in plan.stability.places if p.by_stone or p.undrained}
    if any(one.place in stone for one in found):
        yield from low_pipes(project)
    if isinstance(project.brief.levels, tuple):
        return
    yield from more_terraces(plan)


def low_pipes(project: Project) -> Iterator[Cure]:
    """Pipes behind low walls too, where the file does not ask for them yet."""
    if project.drain.pipe_from_m is not None and project.drain.pipe_from_m <= _PIPE_FROM_M + 1e-9:
        return
    text = (
        f"a pipe behind every wall that holds over {small(_PIPE_FROM_M, project.units)}, wherever one finds a way out, "
        "in place of stone alone"
    )
    yield Cure(LOW_PIPES, text, (("drain.pipe_from", rule_for_file(_PIPE_FROM_M, project.units)),))


def lays_pipes(before: Plan, after: Plan) -> bool:
    """Whether more held ground has a pipe behind it: where none finds a way out, the wish for one changes nothing."""
    rows = (plan.water.levels for plan in (before, after))
    piped = [sum(row.end_m - row.start_m for row in own if row.drained == "pipe") for own in rows]
    return piped[1] > piped[0] + _SAME


def pipes_told(before: Plan, after: Plan) -> str:
    """What low pipes bring that sticks and soil do not show: pipe, ways out of the ground, and money where known."""
    pipes = (sum(line.quantity for line in plan.works.order if line.key in _PIPES) for plan in (before, after))
    outlets = (str(len(plan.water.outlets)) for plan in (before, after))
    units = before.project.units
    told = [
        f"pipe {' → '.join(length(one, units, DIGGING) for one in pipes)}",
        f"places where water comes out {' → '.join(outlets)}",
    ]
    first, then = figures(before), figures(after)
    if first.price is not None and then.price is not None:
        money = " → ".join(rounded_money(one) for one in (first.price, then.price))
        told.append(f"{first.currency or 'money'} {money} before tax, of what has a price")
    return "; ".join(told)


def rain_told(before: Plan, after: Plan) -> list[str]:
    """What a cure does to the walls it is for and to others; empty where it helps none of them.

    Args:
        before, after: the plan without and with it.
    """
    asked = [one.place for one in on_stone(before)]
    first, then = _in_rain(before), _in_rain(after)
    dry = {wall.leg: wall for wall in after.stability.walls if wall.leg not in then}
    better = [leg for leg in asked if leg not in then or then[leg] > first[leg] + _SAME]
    if not better:
        return []
    parts = []
    for leg in better:
        wall = dry.get(leg)
        if leg in then:
            parts.append(f"what holds at {leg} in the design rain {first[leg]:.2f} → {then[leg]:.2f} times what pushes")
        elif wall is not None and wall.factor is not None:
            parts.append(
                f"what holds at {leg} {first[leg]:.2f} → {wall.factor:.2f} times what pushes: too low to drain"
            )
        else:
            parts.append(f"no more wall {leg}")
    parts += [f"at {leg} still {then[leg]:.2f} in the design rain" for leg in asked if leg not in better]
    return [*parts, *_worse(before, after)]


def _worse(before: Plan, after: Plan) -> Iterator[str]:
    """Walls of which less holds than pushes with it, in whichever case, that were not or less so without."""
    old = {wall.leg: wall.factor for wall in before.stability.walls}
    for wall in after.stability.walls:
        was = old.get(wall.leg)
        if wall.factor is not None and wall.factor < STANDS and (was is None or wall.factor < was - _SAME):
            came = f"{wall.factor:.2f}" if was is None else f"{was:.2f} → {wall.factor:.2f}"
            yield f"but at {wall.leg} {came} {_CASES.get(wall.case, '')}".rstrip()


_CASES = {
    "dry": "dry", "wet": "in the design rain", "one outlet shut": "with its drain shut",
    "all shut": "with its drain shut",
}  # fmt: skip


def _in_rain(plan: Plan) -> dict[str, float]:
    """The least factor of each wall in the design rain."""
    least: dict[str, float] = {}
    for joint in plan.stability.joints:
        if joint.case == "wet":
            factor = min(joint.sliding, joint.overturning)
            least[joint.place.leg] = min(factor, least.get(joint.place.leg, factor))
    return least
