"""Chains without a way out: where an outlet would do, at which level, how far the best way misses, what would help."""

from __future__ import annotations

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.units.format import length as length_text
from lynchet.units.format import small as small_text
from lynchet.walls.seen import FROM_LEFT
from lynchet.water.beside import Refused
from lynchet.water.chains import DrawnChain
from lynchet.water.options import Mouth
from lynchet.water.problem import Net, Problem
from lynchet.water.settings import Settings
from lynchet.water.tails import closest_miss_m, look_ahead

BESIDE_M = 1.0
"""Things found no farther than this from a wall may bar the way of its drain. PRACTICE."""


LEAST_TOLD_M = 0.3
"""Ends of walls shorter than this are no loss where a pipe was wished. PRACTICE."""


def highest_outlet_m(drawn: DrawnChain, node: int, settings: Settings) -> float:
    """Highest invert at a node from which every edge that must have a pipe is still below its ceiling.

    Args:
        drawn: the chain.
        node: where it would be let out.
        settings: least fall and the height stone alone may drain.
    """
    chain = drawn.chain
    count = len(chain.nodes)
    at = [0.0]
    for edge in chain.edges:
        at.append(at[-1] + edge.length_m)
    highest = chain.nodes[node].ceiling_m
    for index, edge in enumerate(chain.edges):
        if edge.held_height_m <= settings.stone_only_m + 1e-9:
            continue
        for end in (index, index + 1):
            away = abs(at[end] - at[node])
            if chain.closed:
                away = min(away, at[-1] - away)
            highest = min(highest, chain.nodes[end % count].ceiling_m - settings.fall * away)
    return highest


def refused_of(problem: Problem, net: Net, number: int) -> tuple[Refused, Finding]:
    """Why a chain is refused and what would do.

    Args:
        problem: the search's constants.
        net: the final net.
        number: index of the chain.
    """
    drawn = problem.chains[number]
    best = _best_try(problem, net, number)
    if best is None:
        node = min(range(len(drawn.chain.nodes)), key=lambda i: drawn.chain.nodes[i].low_m)
        place = drawn.chain.nodes[node]
        level = highest_outlet_m(drawn, node, problem.yard.settings)
        refused = Refused(drawn.chain.id, place.leg, place.station_m, level, None)
    else:
        mouth, level, miss = best
        opening = mouth.opening
        node = mouth.node
        place = drawn.chain.nodes[node]
        station = opening.station_m if opening else place.station_m
        refused = Refused(drawn.chain.id, opening.leg if opening else place.leg, station, level, miss)
    return refused, _finding(problem, refused)


def stone_last_findings(problem: Problem, net: Net) -> list[Finding]:
    """Chains that kept stone alone behind a little more than stone should drain, because no pipe finds a way out."""
    found = []
    s, units = problem.yard.settings, problem.yard.project.units
    for laid in net.laid:
        chain = problem.chains[laid.chain].chain
        count = len(chain.edges)
        served = {i % count for reach in laid.reaches for i in range(reach.first, reach.last)}
        bare = [e for i, e in enumerate(chain.edges) if i not in served and e.held_height_m > s.stone_only_m + 1e-9]
        if not bare:
            continue
        legs = " and ".join(dict.fromkeys(edge.leg for edge in bare))
        length = length_text(sum(edge.length_m for edge in bare), units)
        highest = small_text(max(edge.held_height_m for edge in bare), units)
        text = (
            f"Behind {legs}, {length} that hold up to {highest}, no pipe finds a way out: stone alone lies there, and "
            "the wall is checked as if water stood to the top. A soakaway or a lower outlet would drain it."
        )
        cures = (
            Cure("soakaway", "a soakaway (stone pit) that takes this water"),
            Cure("lower-outlet", "an outlet of your own on lower ground"),
        )
        found.append(
            Finding(
                "water.stone_only", Verdict.WATCH, text, chain.id, demand=max(e.held_height_m for e in bare),
                capacity=s.stone_only_m, unit="m", source="PRACTICE", cures=cures, cause="water.stone_only",
            )
        )  # fmt: skip
    return found


def unpiped_findings(problem: Problem, net: Net) -> list[Finding]:
    """Walls that the file wishes a pipe behind (``pipe_from``) and that have stone alone: no pipe finds a way out."""
    yard = problem.yard
    wish, most, units = yard.project.drain.pipe_from_m, yard.settings.stone_only_m, yard.project.units
    if wish is None:
        return []
    metres: dict[str, float] = {}
    for laid in net.laid:
        edges = problem.chains[laid.chain].chain.edges
        served = {i % len(edges) for reach in laid.reaches for i in range(reach.first, reach.last)}
        for index, edge in enumerate(edges):
            if index not in served and wish + 1e-9 < edge.held_height_m <= most + 1e-9:
                metres[edge.leg] = metres.get(edge.leg, 0.0) + edge.length_m
    parts = [f"{leg} ({length_text(run, units)})" for leg, run in metres.items() if run >= LEAST_TOLD_M]
    if not parts:
        return []
    text = (
        f"`pipe_from` under [drain] asks for a pipe behind walls that hold over {small_text(wish, units)}. None finds "
        f"a way out behind {', '.join(parts)}: stone alone drains them, and so they are checked. Steps, other walls or "
        "things that stay may bar the way: an outlet on lower ground (`outlet` under [drain]) or steps elsewhere may "
        "open one; else leave `pipe_from` out."
    )
    run = sum(metres.values())
    return [Finding("water.pipe_wish", Verdict.WATCH, text, "site", demand=run, unit="m", source="PRACTICE",
                    cause="water.pipe_wish")]  # fmt: skip


def _best_try(problem: Problem, net: Net, number: int) -> tuple[Mouth, float, float] | None:
    """The outside mouth with the least miss: (mouth, level that would do, miss)."""
    best: tuple[Mouth, float, float] | None = None
    settings = problem.yard.settings
    drawn = problem.chains[number]
    for mouth in problem.mouths[number]:
        if not mouth.outside or mouth.ring_m is None:
            continue
        level = min(mouth.highest_m, highest_outlet_m(drawn, mouth.node, settings))
        lead = settings.fall * (mouth.through_m + mouth.stub_m)
        for way in (1, -1):
            ahead, _ = look_ahead(problem.ring, mouth.ring_m, way, list(net.tenants), settings)
            miss = closest_miss_m(ahead, level - lead, settings)
            if miss is not None and (best is None or miss < best[2] - 1e-9):
                best = (mouth, level, miss)
    return best


def _barred(problem: Problem, refused: Refused) -> str:
    """What was found in the ground beside a wall and is kept clear of, in words; empty where nothing was."""
    import shapely

    leg = problem.yard.walls.leg(refused.leg)
    wall = shapely.LineString([leg.start_m, leg.end_m])
    names = []
    for one in problem.yard.project.so_far.found:
        away = wall.distance(shapely.LineString([*one.line_m, one.line_m[-1]])) - one.size_m / 2.0
        if one.kind not in ("water", "soft") and away < BESIDE_M:
            names.append(one.name)
    if not names:
        return ""
    return f" It keeps clear of {' and '.join(names)}, found there: once that is gone it may find a way."


def _finding(problem: Problem, refused: Refused) -> Finding:
    units = problem.yard.project.units
    along = problem.yard.seen[refused.leg].along(refused.station_m)
    at = f"at wall {refused.leg}, {length_text(along, units)} {FROM_LEFT},"
    level = length_text(refused.highest_outlet_m, units)
    text = (
        f"The drain behind {refused.leg} finds no way out. An outlet {at} would have to lie at level {level} or lower"
    )
    if problem.yard.settings.named_only:
        text += ", and a pipe from there reach an outlet or soakaway of the file (`named_only = true` under [drain])."
    elif refused.misses_m is None:
        text += "; no water may come out anywhere near it."
    elif refused.misses_m > 0:
        text += f"; the nearest place where it comes to daylight lies {small_text(refused.misses_m, units)} too high."
    else:
        text += "; the level would do, but the pipe cannot be laid there without meeting timber or another pipe."
    text += _barred(problem, refused)
    cures = (
        Cure(
            "soakaway",
            f"a soakaway (stone pit) with its inlet at {level} or lower, less 1 in "
            f"{round(1 / problem.yard.settings.fall)} for the way to it",
        ),
        Cure(
            "lower-outlet",
            f"name an outlet of your own (key outlet in [drain]) at {level} or lower, a longer pipe "
            "to lower ground for example",
        ),
        Cure("wall-one-course-higher", "one course more on this wall, so that the drain may lie one course higher"),
    )
    return Finding(
        code="water.no_way_out", verdict=Verdict.STOP, text=text, place=refused.chain,
        demand=refused.highest_outlet_m, unit="m", source="PRACTICE", cures=cures, withholds=("all",),
        cause="water.no_way_out",
    )  # fmt: skip
