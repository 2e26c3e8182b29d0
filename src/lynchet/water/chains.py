"""Chains: lines of pipe cut clear of what is in the way, with nodes wherever a level or a bound bends."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np

from lynchet.core.changed import changed
from lynchet.terraces.model import OUTSIDE
from lynchet.water.model import Chain, ChainEdge, ChainNode
from lynchet.water.openings import Opening, openings_along, spared
from lynchet.water.parts import Line, Part, Turn, bounds_at
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings
from lynchet.water.yard import Yard

Point = tuple[float, float]
Interval = tuple[float, float]
SHORT_M = 0.30
"""A pipe no longer than this is not laid: stone alone lies there. PRACTICE."""
_SAME_M = 2e-3
_LINE = 1
"""``shapely.GeometryType.LINESTRING``: to look its name up takes longer than all that it is asked of."""


@dataclass(frozen=True)
class DrawnChain:
    """A chain with what the search needs beside it."""

    chain: Chain
    stretches: tuple[Stretch, ...]
    """Of each edge."""
    openings: tuple[tuple[int, Opening], ...]
    """(node, opening in the timber there)."""

    @property
    def lowest_floor_m(self) -> float:
        """Lowest invert possible anywhere on it."""
        return min(node.floor_m for node in self.chain.nodes)


@dataclass(frozen=True)
class _Cut:
    """Part of a line with its turns before and after (None = a free end)."""

    parts: tuple[Part, ...]
    turns: tuple[Turn, ...]
    closed: bool = False


@dataclass(frozen=True, eq=False)
class _Pipe:
    """A chain drawn already, which others keep clear of."""

    line: Any
    clear_m: float

    @cached_property
    def grown(self) -> Any:
        """Its line with what keeps clear of it."""
        return self.line.buffer(self.clear_m)


def drawn_chains(yard: Yard, lines: list[Line]) -> list[DrawnChain]:
    """Chains of a yard, those with the lowest floor first.

    Args:
        yard: the earlier results.
        lines: linked stretches.
    """
    from shapely.geometry import LineString

    order = sorted(range(len(lines)), key=lambda i: (_line_floor(lines[i], yard.settings), i))
    near = yard.settings.outside_m + yard.settings.clear_m
    laid: list[_Pipe] = []
    found: list[DrawnChain] = []
    for number in order:
        mine: list[_Pipe] = []
        for cut in _clear_of(yard, lines[number], laid):
            for part in _apart(yard, cut, mine):
                chain = _chain(yard, part)
                if chain is None:
                    continue
                found.append(chain)
                points = [node.point_m for node in chain.chain.nodes]
                mine.append(_Pipe(LineString(points + points[:1] if part.closed else points), near))
        laid += mine
    return _named(found)


def _line_floor(line: Line, settings: Settings) -> float:
    return min(bounds_at(part.stretch, s, settings)[0] for part in line.parts for s in part.stretch.breaks())


def _clear_of(yard: Yard, line: Line, pipes: list[_Pipe]) -> list[_Cut]:
    """The line without the parts that timber, houses, roots or another drain bar."""
    pieces: list[tuple[int, Part, bool, bool]] = []
    for number, part in enumerate(line.parts):
        for start, end in _free(yard, part, pipes):
            cut = replace(part, from_m=part.station_at(start), to_m=part.station_at(end))
            pieces.append((number, cut, start < 1e-9, end > part.length_m - 1e-9))
    if line.closed and len(pieces) == len(line.parts) and all(a and b for _, _, a, b in pieces):
        return [_Cut(line.parts, line.turns, True)]
    cuts: list[tuple[list[Part], list[Turn]]] = []
    last: tuple[int, bool] | None = None
    for number, cut, at_start, at_end in pieces:
        if last == (number - 1, True) and at_start:
            cuts[-1][0].append(cut)
            cuts[-1][1].append(line.turns[number - 1])
        else:
            cuts.append(([cut], []))
        last = (number, at_end)
    if line.closed and len(cuts) > 1 and pieces[0][2] and pieces[-1][3]:
        parts, turns = cuts.pop()
        cuts[0] = (parts + cuts[0][0], [*turns, line.turns[-1], *cuts[0][1]])
    return [_Cut(tuple(parts), tuple(turns)) for parts, turns in cuts if sum(p.length_m for p in parts) > SHORT_M]


def _apart(yard: Yard, cut: _Cut, mine: list[_Pipe]) -> list[_Cut]:
    """A cut of a line without what lies too near to those drawn before: round a barred corner two ends may."""
    import shapely

    near = yard.settings.outside_m + yard.settings.clear_m
    lines = [shapely.linestrings((part.point_at(0.0), part.point_at(part.length_m))) for part in cut.parts if mine]
    if not any(shapely.dwithin([pipe.line for pipe in mine], line, near).any() for line in lines):
        return [cut]
    return _clear_of(yard, Line(cut.parts, cut.turns, False), mine)


def _free(yard: Yard, part: Part, pipes: list[_Pipe]) -> list[Interval]:
    """Distances along a part between which the pipe is clear."""
    import shapely

    settings, stretch, length = yard.settings, part.stretch, part.length_m
    line = shapely.linestrings((part.point_at(0.0), part.point_at(length)))
    bottom = min(piece.base_m for piece in stretch.pieces) - settings.stone_bed_m
    # the stone and the upright cleanouts stand up to the surface, past timber that the pipe itself would clear
    top = max(piece.high_at(s) for piece in stretch.pieces for s in (piece.start_m, piece.end_m)) - settings.cover_m
    top = max(top, max(bounds_at(stretch, s, settings)[1] for s in stretch.breaks()) + settings.outside_m)
    timber = yard.timber_round(line, bottom, top, settings.radius_m + settings.clear_m)
    barred = []
    if not yard.barred.is_empty and shapely.dwithin(yard.barred, line, settings.radius_m):
        barred.append(yard.barred_round)
    if pipes:
        near = shapely.dwithin([pipe.line for pipe in pipes], line, settings.outside_m + settings.clear_m)
        barred += [pipes[i].grown for i in np.flatnonzero(near)]
    if stretch.high_face == OUTSIDE:  # square to a wall that leaves a corner aslant, its end may lie past that
        barred += [part for part in yard.cleaned if part.intersects(line)]
    free = _without((0.0, length), _inside(line, [*timber, *barred]))
    room = yard.bed_room(stretch.high_face)
    if room is not None and not room.covers(line):
        free = [(max(a, c), min(b, d)) for a, b in free for c, d in _inside(line, [room])]
    return sorted((a if a > 1e-9 else 0.0, b) for a, b in free if b - a > 0.02)


def _inside(line: Any, shapes: list[Any]) -> list[Interval]:
    """Distances along a straight line between which it lies inside each shape."""
    import shapely

    if not shapes:
        return []
    parts = shapely.get_parts(shapely.intersection(line, shapes))
    parts = parts[shapely.get_type_id(parts) == _LINE]
    if not len(parts):
        return []
    start = shapely.get_coordinates(line)[0]
    first, last = (shapely.get_coordinates(shapely.get_point(parts, at)) - start for at in (0, -1))
    ends = np.sort(np.stack([np.hypot(*first.T), np.hypot(*last.T)], axis=1), axis=1)
    return [(a, b) for a, b in ends.tolist() if b > a]


def _without(whole: Interval, taken: list[Interval]) -> list[Interval]:
    """What is left of an interval without others."""
    left, at = [], whole[0]
    for start, end in sorted(taken):
        if start > at:
            left.append((at, start))
        at = max(at, end)
    return [*left, (at, whole[1])] if at < whole[1] else left


def _chain(yard: Yard, cut: _Cut) -> DrawnChain | None:
    """Nodes and edges of one cut line; its lower end first."""
    settings = yard.settings
    nodes: list[ChainNode] = []
    edges: list[ChainEdge] = []
    stretches: list[Stretch] = []
    openings: list[tuple[int, Opening]] = []
    for number, part in enumerate(cut.parts):
        ways = openings_along(yard, part)
        stops = _stations(part, settings, [opening.station_m for opening in ways])
        for index, station in enumerate(stops):
            node = _node(part.stretch, station, settings)
            if index:
                edges.append(_edge(part.stretch, stops[index - 1], station))
                stretches.append(part.stretch)
            if index == 0 and (number or cut.closed):
                turn = cut.turns[number - 1] if number else cut.turns[-1]
                node = _cornered(node, turn, nodes.pop() if number else None)
            nodes.append(node)
            openings += [(len(nodes) - 1, o) for o in ways if abs(o.station_m - station) < _SAME_M]
    if not edges:
        return None
    openings = spared(yard, openings)
    if cut.closed:
        nodes[0] = _cornered(nodes[0], cut.turns[-1], nodes.pop())
        openings = [(0 if node == len(nodes) else node, o) for node, o in openings]
    face = cut.parts[0].stretch.high_face
    chain = Chain("", face, tuple(nodes), tuple(edges), cut.closed, 0.0)
    drawn = DrawnChain(chain, tuple(stretches), tuple(openings))
    return drawn if cut.closed else _low_end_first(drawn)


def pocket_chain(stretch: Stretch, stations_m: Interval, settings: Settings) -> Chain:
    """A line without a pipe behind part of one stretch, as a chain of its own; its id is still to be given.

    Args:
        stretch: the held ground.
        stations_m: start and end on its leg, which may pass the ends of the stretch.
        settings: sizes.
    """
    stops = _stations(Part(stretch, *stations_m), settings, [])
    nodes = tuple(_node(stretch, station, settings) for station in stops)
    edges = tuple(_edge(stretch, a, b) for a, b in pairwise(stops))
    drawn = DrawnChain(Chain("", stretch.high_face, nodes, edges, False, 0.0), (stretch,) * len(edges), ())
    return _low_end_first(drawn).chain


def _stations(part: Part, settings: Settings, wanted: list[float]) -> list[float]:
    """Stations of nodes along a part in walking order: its ends, bends of levels, places for openings."""
    low, high = sorted((part.from_m, part.to_m))
    inner = set(wanted)
    for piece in part.stretch.pieces:
        inner.update((piece.start_m, piece.end_m))
        h0, h1 = piece.high0_m - piece.low0_m, piece.high1_m - piece.low1_m
        for limit in {settings.stone_only_m, settings.unpiped_m}:
            if (h0 - limit) * (h1 - limit) < 0:
                inner.add(piece.start_m + (limit - h0) / (h1 - h0) * (piece.end_m - piece.start_m))
    stops = [low]
    first = set(wanted)
    for station in sorted(inner, key=lambda s: (s, s not in first)):
        if low + _SAME_M < station < high - _SAME_M and station - stops[-1] > _SAME_M:
            stops.append(station)
    stops.append(high)
    return stops if part.to_m >= part.from_m else stops[::-1]


def _node(stretch: Stretch, station: float, settings: Settings) -> ChainNode:
    floor, ceiling = bounds_at(stretch, station, settings)
    pieces = stretch.pieces_at(station)
    step = len(pieces) > 1 and pieces[0].base != pieces[1].base
    return ChainNode(
        id="",
        point_m=stretch.pipe_at(station),
        leg=stretch.leg.id,
        station_m=station,
        kind="step" if step else "plain",
        floor_m=floor,
        ceiling_m=ceiling,
        low_m=min(piece.low_at(station) for piece in pieces),
        surface_m=min(piece.high_at(station) for piece in pieces),
        wall_top_m=min(piece.top_m for piece in pieces),
    )


def _cornered(node: ChainNode, turn: Turn, before: ChainNode | None) -> ChainNode:
    """The corner where two parts meet, with the bounds of its turn."""
    pair = [node] if before is None else [before, node]
    return changed(
        pair[0],
        kind="corner",
        point_m=turn.point_m,
        floor_m=turn.floor_m,
        ceiling_m=turn.ceiling_m,
        low_m=min(n.low_m for n in pair),
        surface_m=min(n.surface_m for n in pair),
        wall_top_m=min(n.wall_top_m for n in pair),
    )


def _edge(stretch: Stretch, start: float, end: float) -> ChainEdge:
    low, high = sorted((start, end))
    # a node may lie so much beside a step of the footing: what reaches in by no more than that is not its ground
    inside = [p for p in stretch.pieces if p.start_m < high - _SAME_M and p.end_m > low + _SAME_M]
    pieces = inside or stretch.pieces_at((low + high) / 2)
    held = max(p.high_at(s) - p.low_at(s) for p in pieces for s in (low, high))
    return ChainEdge(
        leg=stretch.leg.id, start_station_m=start, end_station_m=end, held=stretch.held, length_m=high - low,
        held_height_m=held, base_m=min(p.base_m for p in pieces), low_face=pieces[0].low_face,
    )  # fmt: skip


def _low_end_first(drawn: DrawnChain) -> DrawnChain:
    chain = drawn.chain
    nodes = (changed(chain.nodes[0], kind="end"), *chain.nodes[1:-1], changed(chain.nodes[-1], kind="end"))
    first, last = nodes[0], nodes[-1]
    if (first.floor_m, first.low_m) <= (last.floor_m, last.low_m):
        return changed(drawn, chain=changed(chain, nodes=nodes))
    edges = tuple(
        changed(edge, start_station_m=edge.end_station_m, end_station_m=edge.start_station_m)
        for edge in reversed(chain.edges)
    )
    openings = tuple((len(nodes) - 1 - node, opening) for node, opening in drawn.openings)
    return DrawnChain(changed(chain, nodes=nodes[::-1], edges=edges), drawn.stretches[::-1], openings)


def _named(found: list[DrawnChain]) -> list[DrawnChain]:
    """Chains with ids of high face and first leg in the file's order; a second of the same name counts on."""
    used = set[str]()
    named = []
    for drawn in found:
        chain = drawn.chain
        leg = min(edge.leg for edge in chain.edges)
        first, number = f"{chain.high_face}/{leg}", 1
        name = first
        while name in used:  # legs have such endings too: leg "W2.2" against the second chain of leg "W2"
            number += 1
            name = f"{first}.{number}"
        used.add(name)
        nodes = tuple(changed(node, id=f"{name}/n{i}") for i, node in enumerate(chain.nodes))
        named.append(changed(drawn, chain=changed(chain, id=name, nodes=nodes)))
    return named
