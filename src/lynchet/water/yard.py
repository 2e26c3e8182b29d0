"""What a drain layout asks of the yard: timber by level, what stays, lot lines, where one may dig, ground levels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.kept import grown, joined_up, outlines_of
from lynchet.core.outlines import polygons_of
from lynchet.core.same import Same
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.terraces.model import OUTSIDE, Terraces
from lynchet.walls.model import Run, Walls, Windows
from lynchet.walls.seen import Seen, all_seen
from lynchet.water.pockets import Boxes
from lynchet.water.settings import Settings
from lynchet.water.stays import houses_of, kept_of, near_houses, paths_of
from lynchet.water.ways import Room

Point = tuple[float, float]
FloatArray = NDArray[np.float64]
_OFF_M = 0.02
"""Between drain stone and a building or lot line."""


@dataclass(frozen=True)
class Yard:
    """The earlier results side by side with what the drain layout looks up in them again and again."""

    project: Project
    ground: Ground
    terraces: Terraces
    walls: Walls
    settings: Settings
    _free: dict[tuple[Any, ...], Room] = field(default_factory=dict, compare=False, repr=False)

    def with_settings(self, settings: Settings) -> Yard:
        """The same under other settings: free ground that they leave as it was is searched no second time."""
        return replace(self, settings=settings)

    def free(self, ground: Any, taken: Sequence[Any] = ()) -> Room:
        """Free ground for pipes: the same one for the same shapes."""
        return self._free.setdefault((ground, *taken), Room(ground, taken))

    @cached_property
    def seen(self) -> dict[str, Seen]:
        """Each wall as one stands before it."""
        return all_seen(self.walls.legs, self.walls.runs, mirrored=self.project.frame.mirrored)

    def level_at(self, points: ArrayLike) -> FloatArray:
        """Ground levels; NaN too far off the readings."""
        return level_at(self.ground.surface, points, self.settings.ground_reach_m)

    def low_face_kind(self, face: str) -> str:
        """Kind of a face, ``outside`` and ``house`` included."""
        found = self.terraces.face(face)
        return found.kind if found is not None else face

    @cached_property
    def outline(self) -> Any:
        """The area's own outline as a polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.project.area.outline_m)

    @cached_property
    def cleaned(self) -> list[Any]:
        """Parts of the area as it is laid out, prepared: no pipe of the ground outside lies in one."""
        from shapely import prepare
        from shapely.geometry import Polygon

        parts = [Polygon(rings[0], rings[1:]) for rings in self.terraces.area_outlines_m]
        prepare(parts)
        return parts

    @cached_property
    def timber(self) -> Any:
        """Search tree over the plan outlines of all runs, in their order."""
        from shapely import STRtree

        return STRtree(outlines_of(Same(self.walls.runs)))

    @cached_property
    def _grown(self) -> dict[tuple[int, float], Any]:
        return {}

    def timber_round(self, line: Any, bottom_m: float, top_m: float, apart_m: float) -> list[Any]:
        """Plan outlines of the runs ``timber_near``, grown by ``apart_m``."""
        import shapely

        near = self._near(line, bottom_m, top_m, apart_m)
        new = [i for i in near if (i, apart_m) not in self._grown]
        if new:
            grown = shapely.buffer(self.timber.geometries[new], apart_m, quad_segs=16)
            self._grown.update(zip(((i, apart_m) for i in new), grown, strict=True))
        return [self._grown[i, apart_m] for i in near]

    @cached_property
    def run(self) -> dict[str, Run]:
        """Runs by id."""
        return {run.id: run for run in self.walls.runs}

    @cached_property
    def _windows(self) -> dict[tuple[str, int], tuple[Windows, ...]]:
        return {}

    def windows(self, leg: str, course: int) -> tuple[Windows, ...]:
        """Where the middle of a notch may lie in one course of a leg."""
        if (leg, course) not in self._windows:
            self._windows[leg, course] = self.walls.windows(leg, course, self.settings.notch_m)
        return self._windows[leg, course]

    @cached_property
    def strips(self) -> Any:
        """Plan strip of every standing stretch of wall, lean included: an array of polygons."""
        found = []
        for leg in self.walls.legs:
            high = max((s.top for s in leg.segments), default=0)
            for segment in leg.segments:
                left = leg.thickness_m + leg.setback_m * (high - leg.lowest_course)
                a, b = segment.start_m, segment.end_m
                found.append((leg.point_at(a), leg.point_at(b), leg.point_at(b, left), leg.point_at(a, left)))
        return polygons_of(found)

    def kept_clear(self, chosen: Any) -> Any:
        """Some of the strips with the room round them that the middle of a pipe keeps clear of."""
        import shapely

        return shapely.buffer(self.strips[chosen], self.settings.radius_m + self.settings.clear_m, join_style="mitre")

    @cached_property
    def bars_crossings(self) -> Any:
        """Union of what pipe under a bench keeps clear of on its way to the ring."""
        import shapely

        s = self.settings
        timber = shapely.union_all(self.strips, grid_size=1e-5).buffer(s.radius_m + s.clear_m, join_style="mitre")
        return shapely.union_all([timber, self.barred.buffer(s.radius_m), self.no_dig, self.lot_lines], grid_size=1e-5)

    @cached_property
    def _levels(self) -> tuple[FloatArray, FloatArray]:
        """(n,) underside and top of the runs, in their order."""
        runs = self.walls.runs
        return np.array([run.bottom_m for run in runs]), np.array([run.top_m for run in runs])

    def _near(self, line: Any, bottom_m: float, top_m: float, apart_m: float) -> list[int]:
        import shapely

        bottoms, tops = self._levels
        found = np.flatnonzero((bottoms < top_m - 1e-9) & (tops > bottom_m + 1e-9))
        near: list[int] = found[shapely.dwithin(self.timber.geometries[found], line, apart_m)].tolist()
        return near

    def timber_near(self, line: Any, bottom_m: float, top_m: float, apart_m: float) -> list[Run]:
        """Runs nearer to a plan line than ``apart_m`` whose height range meets bottom..top."""
        return [self.walls.runs[i] for i in self._near(line, bottom_m, top_m, apart_m)]

    def timber_shapes_near(self, line: Any, bottom_m: float, top_m: float, apart_m: float) -> list[Any]:
        """Plan outlines of the runs ``timber_near``."""
        return [self.timber.geometries[i] for i in self._near(line, bottom_m, top_m, apart_m)]

    @cached_property
    def _rooms(self) -> dict[str, Any]:
        return {}

    def bed_room(self, face: str) -> Any:
        """A bed's own ground a hair's breadth wider, prepared; None for any other face."""
        from shapely import prepare

        if face not in self._rooms:
            found = self.terraces.face(face)
            room = grown(found.polygon, 1e-3) if found is not None and found.kind == "bed" else None
            if room is not None:
                prepare(room)
            self._rooms[face] = room
        return self._rooms[face]

    @cached_property
    def _rims(self) -> dict[str, Any]:
        return {}

    def bed_rim(self, face: str) -> Any:
        """The edge of a bed's own ground, prepared; None for any other face."""
        from shapely import boundary, prepare

        if face not in self._rims:
            room = self.bed_room(face)
            rim = None if room is None else boundary(room)
            if rim is not None:
                prepare(rim)
            self._rims[face] = rim
        return self._rims[face]

    @cached_property
    def houses(self) -> Any:
        """Union of the buildings (may be empty)."""
        return houses_of(self.project.houses)

    @cached_property
    def kept(self) -> Any:
        """Union of the ground that what stays needs: roots, septic fields, services with their clearance."""
        return kept_of(self.project.fixed)

    @cached_property
    def lot_lines(self) -> Any:
        """The lot lines as one geometry (may be empty)."""
        from shapely.geometry import MultiLineString

        return MultiLineString([line.line_m for line in self.project.lot_lines])

    @cached_property
    def walked(self) -> list[Any]:
        """Paths and flights with their landings: no water is let out there."""
        landings = (landing.outline_m for flight in self.terraces.flights for landing in flight.landings)
        flights = (grown(shape, 0.3) for shape in self._flights)
        return [*paths_of(self.project.paths), *flights, *polygons_of(landings)]

    @cached_property
    def _flights(self) -> Any:
        """(n,) outlines of all flights."""
        return polygons_of(flight.outline_m for flight in self.terraces.flights)

    @cached_property
    def boxes(self) -> dict[str, Boxes]:
        """The boxes of each flight, by its id: that of its face, where it is let in."""
        return {flight.id: Boxes(flight.riser_m, flight.direction) for flight in self.terraces.flights}

    def step_near(self, shape: Any, apart_m: float) -> bool:
        """Whether the steps of a flight lie nearer to a plan shape than ``apart_m``."""
        import shapely

        return bool(len(self._flights)) and bool(shapely.dwithin(self._flights, shape, apart_m).any())

    @cached_property
    def _before_walls(self) -> list[Any]:
        """Flights that stand before their wall."""
        return [
            shape
            for shape, flight in zip(self._flights, self.terraces.flights, strict=True)
            if flight.kind == "projecting"
        ]

    @cached_property
    def barred(self) -> Any:
        """Ground no pipe passes: buildings and their near ground, what stays, flights."""
        return joined_up((near_houses(self.project.houses), self.kept, *self._before_walls), 1e-5)

    @cached_property
    def barred_round(self) -> Any:
        """The barred ground with half a pipe round it."""
        return grown(self.barred, self.settings.radius_m)

    @cached_property
    def bars_stone(self) -> Any:
        """Union of what drain stone keeps off: buildings, what stays, lot lines, flights; prepared."""
        from shapely import prepare

        shapes = (grown(self.houses, _OFF_M), self.kept, grown(self.lot_lines, _OFF_M), *self._before_walls)
        bars = joined_up(shapes, 1e-5)
        prepare(bars)
        return bars

    @cached_property
    def no_dig(self) -> Any:
        """Ground outside the outline where one may not dig for a pipe."""
        from shapely import union_all
        from shapely.geometry import LineString

        outline = self.project.area.outline_m
        if not self.project.drain.dig_outside:
            return self.outline.buffer(30.0).difference(self.outline, grid_size=1e-5)
        shapes = []
        for rule in self.project.area.edges:
            if rule.dig_beyond_m is None:
                continue
            if rule.dig_beyond_m < self.settings.ring_m + self.settings.radius_m:
                ends = outline[rule.edge], outline[(rule.edge + 1) % len(outline)]
                strip = LineString(ends).buffer(2.0, cap_style="flat")
                allowed = self.outline.buffer(rule.dig_beyond_m, join_style="mitre")
                shapes.append(strip.difference(allowed, grid_size=1e-5))
        return union_all(shapes, grid_size=1e-5)

    def pours_over_lot_line(self, mouth: Point, direction: Point) -> bool:
        """Whether water leaving here points over a lot line close by, or starts beyond one."""
        from shapely.geometry import LineString

        if self.lot_lines.is_empty:
            return False
        reach = self.settings.pours_m
        ray = LineString([mouth, (mouth[0] + reach * direction[0], mouth[1] + reach * direction[1])])
        return bool(self.lot_lines.intersects(ray))

    def may_pour(self, mouth: Point) -> bool:
        """Whether water may come out at a plan point outside: clear of houses, paths and flights."""
        from shapely.geometry import Point as Dot

        dot = Dot(mouth)
        far = self.houses.is_empty or self.houses.distance(dot) >= self.settings.house_mouth_m - 1e-9
        return bool(far and not any(shape.contains(dot) for shape in self.walked))

    def lies_outside(self, face: str) -> bool:
        """Whether a face is the ground round the area."""
        return face == OUTSIDE
