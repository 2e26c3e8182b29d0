"""What a tie or a pin must stay clear of: pipes, other walls, flights, things that stay, lot lines, other ties."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from lynchet.core.kept import outlines_of
from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.stability.kinds import Array
from lynchet.stability.places import Yard

PIPE_CLEAR_M = 0.10
"""Clear of pipes and fittings to the side. PRACTICE."""
PIPE_OVER_M = 0.05
"""Clear of pipes over and under them: the gap the clash check asks of a tie and a pipe. PRACTICE."""
TIMBER_CLEAR_M = 0.02
SERVICE_CLEAR_M = 0.60
"""Hand-digging zone of a service line where the file gives none. PRACTICE."""
HOUSE_CLEAR_M = 0.05
LINE_CLEAR_M = 0.01
_SOFT = frozenset({"stone", "fabric", "cut-off stone"})
"""What ties and pins are driven through."""
_WITHIN = 0.99
"""Share of its radius within which a round thing surely fills its outline, which has 64 sides."""
_MITRE = 5.0
"""A sharp corner's clearance reaches so many clearances far at the most."""


@quick
@dataclass(frozen=True)
class Obstacle:
    """An outline with the levels between which it is in the way."""

    outline: Any
    """As it is; ``clear_m`` is kept all round it."""
    bottom_m: float
    top_m: float
    owner: str
    clear_m: float = 0.0
    sharp: bool = False
    """Its corners stay sharp when the clearance is put round them."""
    quarter: int = 16
    """Sides of a quarter of its round corners."""


@dataclass(frozen=True)
class Standing:
    """Many obstacles in columns, as ``Obstacle`` has them."""

    outlines: Any
    """(n,) shapes."""
    levels_m: Array
    """(n, 2) bottoms and tops."""
    owners: NDArray[np.str_]
    clear_m: Array
    sharp: NDArray[np.bool_]
    quarter: NDArray[np.intp]


def in_columns(rows: Sequence[Obstacle]) -> Standing:
    """One after another, in columns."""
    return Standing(
        np.array([one.outline for one in rows], dtype=object),
        np.array([(one.bottom_m, one.top_m) for one in rows], dtype=np.float64).reshape(-1, 2),
        np.array([one.owner for one in rows], dtype=np.str_),
        np.array([one.clear_m for one in rows], dtype=np.float64),
        np.array([one.sharp for one in rows], dtype=np.bool_),
        np.array([one.quarter for one in rows], dtype=np.intp),
    )


@dataclass
class Obstacles:
    """What stands before ties are placed, and the ties placed since.

    Most of what stands is never near anything in height: only what may be met gets its clearance put round it.
    """

    standing: Standing
    ties: list[Obstacle] = field(default_factory=list)
    _wide: dict[int, Any] = field(default_factory=dict)

    @cached_property
    def _tree(self) -> Any:
        box = shapely.bounds(self.standing.outlines)
        far = np.where(self.standing.sharp, _MITRE, 1.0) * self.standing.clear_m + 1e-6
        wide: Any = shapely.box(*(box[:, :2].T - far), *(box[:, 2:].T + far))
        return shapely.STRtree(wide)

    def _widened(self, numbers: NDArray[np.intp]) -> Any:
        """Outlines with their clearance, by number."""
        standing = self.standing
        alike: dict[tuple[bool, int], list[int]] = {}
        for number in np.unique(numbers).tolist():
            if number not in self._wide:
                alike.setdefault((bool(standing.sharp[number]), int(standing.quarter[number])), []).append(number)
        for (sharp, quarter), new in alike.items():
            style: Any = "mitre" if sharp else "round"
            wide = shapely.buffer(standing.outlines[new], standing.clear_m[new], join_style=style, quad_segs=quarter)
            self._wide.update(zip(new, wide, strict=True))
        return np.array([self._wide[number] for number in numbers.tolist()], dtype=object)

    def add(self, outline: Any, bottom_m: float, top_m: float, owner: str) -> None:
        """One more tie in the way."""
        self.ties.append(Obstacle(outline, bottom_m, top_m, owner))

    def blocks(self, outline: Any, bottom_m: float, top_m: float, but: str = "") -> bool:
        """True where a thing of this outline and these levels meets anything not owned by ``but``."""
        hit = self.hits(np.array([outline]), np.array([(bottom_m, top_m)]), but)
        return bool(hit[0]) or self.meets_tie(outline, bottom_m, top_m)

    def meets_tie(self, outline: Any, bottom_m: float, top_m: float) -> bool:
        """True where a thing of this outline and these levels meets a tie placed since."""
        return any(
            one.bottom_m < top_m - 1e-6 and one.top_m > bottom_m + 1e-6 and outline.intersects(one.outline)
            for one in self.ties
        )

    def hits(self, outlines: Any, levels_m: Array, but: str = "") -> NDArray[np.bool_]:
        """Whether each of many things meets what stands, what is owned by ``but`` left out.

        Args:
            outlines: (n,) polygons.
            levels_m: (n, 2) bottoms and tops.
            but: an owner.
        """
        thing, other = self._near(outlines, levels_m, but)
        return self._met(outlines, thing, other)

    def hits_round(self, points: Array, radius_m: float, levels_m: Array, but: Sequence[str]) -> NDArray[np.bool_]:
        """As ``hits``, of upright round things (n, 2) of one radius, for each what one owner has left out."""
        boxes = shapely.box(*(points.T - radius_m), *(points.T + radius_m))
        thing, other = self._near(boxes, levels_m, np.array(but, dtype=np.str_))
        found = np.zeros(len(points), dtype=np.bool_)
        if not len(thing):
            return found
        wide = self._widened(other)
        away = shapely.distance(shapely.points(points[thing]), wide)
        found[thing[away <= _WITHIN * radius_m]] = True
        close = (away > _WITHIN * radius_m) & (away <= radius_m + 1e-9)  # here it hangs on the corners of the outline
        if close.any():
            hit = shapely.intersects(round_things(points[thing[close]], radius_m), wide[close])
            found[thing[close][hit]] = True
        return found

    def _near(
        self, outlines: Any, levels_m: Array, but: str | NDArray[np.str_]
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """(thing, what stands) of pairs whose boxes and levels meet; ``but`` for all things or for each."""
        thing, other = self._tree.query(outlines)
        low, high = self.standing.levels_m.T
        meets = (low[other] < levels_m[thing, 1] - 1e-6) & (high[other] > levels_m[thing, 0] + 1e-6)
        meets &= self.standing.owners[other] != (but if isinstance(but, str) else but[thing])
        return thing[meets], other[meets]

    def _met(self, outlines: Any, thing: NDArray[np.intp], other: NDArray[np.intp]) -> NDArray[np.bool_]:
        found = np.zeros(len(outlines), dtype=np.bool_)
        if len(thing):
            found[thing[shapely.intersects(outlines[thing], self._widened(other))]] = True
        return found


def obstacles(yard: Yard) -> Obstacles:
    """Everything that stands before ties are placed; a leg's own timber is owned by the leg."""
    rest = in_columns([*_flights(yard), *_stays(yard)])
    parts = [_timber(yard), _pipes(yard), rest]
    names = [one.name for one in fields(Standing)]
    return Obstacles(Standing(*(np.concatenate([getattr(part, name) for part in parts]) for name in names)))


def _timber(yard: Yard) -> Standing:
    runs = yard.walls.runs
    levels = np.array([(run.bottom_m, run.top_m) for run in runs], dtype=np.float64).reshape(-1, 2)
    return _alike(outlines_of(Same(runs)), levels, [run.leg for run in runs], TIMBER_CLEAR_M, (True, 16))


def _pipes(yard: Yard) -> Standing:
    bodies = yard.water.bodies
    pipes = [body for body in bodies if body.kind not in _SOFT]
    levels = np.array([(body.bottom_m, body.top_m) for body in pipes], dtype=np.float64).reshape(-1, 2)
    levels += (-PIPE_OVER_M, PIPE_OVER_M)
    return _alike(outlines_of(Same(bodies), _SOFT), levels, [body.id for body in pipes], PIPE_CLEAR_M, (False, 8))


def _alike(outlines: Any, levels_m: Array, owners: Sequence[str], clear_m: float, corner: tuple[bool, int]) -> Standing:
    """Obstacles with one clearance and one kind of corner (sharp, sides of a quarter)."""
    clear, sharp, quarter = (np.full(len(owners), value) for value in (clear_m, *corner))
    return Standing(outlines, levels_m, np.array(owners, dtype=np.str_), clear, sharp, quarter)


def _flights(yard: Yard) -> Iterator[Obstacle]:
    for flight in yard.terraces.flights:
        low = min((tread.bottom_m for tread in flight.treads), default=flight.foot_level_m)
        outline = shapely.Polygon(flight.outline_m)
        yield Obstacle(outline, low - 0.1, flight.head_level_m, flight.id, TIMBER_CLEAR_M)


def _stays(yard: Yard) -> Iterator[Obstacle]:
    low, high = float("-inf"), float("inf")
    for house in yard.project.houses:
        yield Obstacle(shapely.Polygon(house.outline_m), low, high, "house", HOUSE_CLEAR_M)
    for fixed in yard.project.fixed:
        clear = fixed.clear_m or SERVICE_CLEAR_M
        yield Obstacle(fixed.shape, low, high, fixed.id, clear)
    for line in yard.project.lot_lines:
        yield Obstacle(shapely.LineString(line.line_m), low, high, line.name, LINE_CLEAR_M)


def round_things(points: Array, radius_m: float) -> Any:
    """(n,) outlines of round things, such as pins, in plan."""
    return shapely.buffer(shapely.points(points), radius_m, quad_segs=16)
