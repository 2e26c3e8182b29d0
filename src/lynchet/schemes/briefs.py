"""The small set of briefs that named schemes are looked for among: each an edit of the project file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lynchet.plan.model import Plan
from lynchet.project.inset import edge_rows
from lynchet.schemes.model import Edit, Edits
from lynchet.terraces.model import HOUSE

MORE = 3
"""Terraces more than the file's own that are tried."""
FEWER = 2
"""Terraces fewer that are tried, one terrace always among them."""


def freed(base: Plan) -> Edits:
    """Edits that let the program lay out lines and levels where the file pins them."""
    found: list[Edit] = []
    if isinstance(base.project.brief.levels, tuple):
        found.append(("brief.levels", "balance"))
    if base.project.own_lines:
        found.append(("wall_line", None))
    return tuple(found)


def with_count(base: Plan, count: int) -> Edits:
    """That many terraces."""
    return ("brief.terraces", count), *freed(base)


def turned(base: Plan) -> Edits:
    """Lines laid the other way: square to the fall, or along the edge where the file lays them so."""
    return (("brief.lines", "edge" if base.project.brief.lines == "fall" else "fall"),)


def more_terraces(base: Plan) -> Iterator[Edits]:
    """One to three terraces more."""
    count = len(base.terraces.levels_m)
    yield from (with_count(base, count + k) for k in range(1, MORE + 1))


def fewer_terraces(base: Plan) -> Iterator[Edits]:
    """One and two terraces fewer, and one terrace alone."""
    count = len(base.terraces.levels_m)
    kept = {max(1, count - k) for k in range(1, FEWER + 1)} | {1}
    yield from (with_count(base, k) for k in sorted(kept - {count}, reverse=True))


def lowest_walls(base: Plan) -> Iterator[Edits]:
    """More terraces, lines either way."""
    yield from more_terraces(base)
    yield turned(base)
    count = len(base.terraces.levels_m)
    yield from ((*turned(base), *with_count(base, count + k)) for k in (1, 2))


def least_soil(base: Plan) -> Iterator[Edits]:
    """More and shallower benches, or fewer; lines either way; benches equal steps apart."""
    yield from lowest_walls(base)
    yield from fewer_terraces(base)
    if base.project.brief.levels != "equal":
        yield (("brief.levels", "equal"), *(edit for edit in freed(base) if edit[0] != "brief.levels"))


def most_bed(base: Plan) -> Iterator[Edits]:
    """Fewer lines, lines either way, no path strips."""
    yield from fewer_terraces(base)
    yield turned(base)
    if base.project.brief.path_strip_m is not None:
        yield (("brief.path_strip", None),)


def fewest_sticks(base: Plan) -> Iterator[Edits]:
    """Fewer lines, or more and lower walls; lines either way; no tie-backs where the walls stand without them."""
    yield from fewer_terraces(base)
    yield from lowest_walls(base)
    if base.stability.ties:
        yield (("brief.ties", "never"),)


def one_wall_fewer(base: Plan) -> Iterator[Edits]:
    """One terrace fewer, lines either way."""
    count = len(base.terraces.levels_m)
    if count > 1:
        yield with_count(base, count - 1)
        yield (*turned(base), *with_count(base, count - 1))


def banks(base: Plan) -> Edits | None:
    """One level bed with a bank outside it in place of every wall; None where the file does not let one dig there.

    A bank stands at 1 in 2 outside the outline, so it wants ground there that the file says one may dig
    (``dig_beyond`` of each edge, or an edge that is a bank already).
    """
    legs = {leg.id: leg for leg in base.walls.legs}
    banked = {}
    for edge in range(len(base.project.area.outline_m)):
        rule = base.project.area.rule(edge)
        mine = [leg for name, leg in legs.items() if name == f"A{edge}" or name.startswith(f"A{edge}.")]
        housed = all(HOUSE in (span.left, span.right) for leg in mine for span in leg.spans)
        if rule.finish in ("open", "house") or housed:
            continue
        room = max(rule.dig_beyond_m or 0.0, rule.width_m or 0.0 if rule.finish == "bank" else 0.0)
        if room <= 0.0:
            return None
        banked[edge] = replace(rule, finish="bank", width_m=room)
    return (*with_count(base, 1), ("area.edges", edge_rows(base.project.area, banked, base.project.units)))
