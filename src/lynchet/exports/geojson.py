"""``plan.geojson``: the plan on the map (RFC 7946: WGS 84, longitude before latitude, right-hand rings)."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from lynchet.core.frame import Point
from lynchet.drawings.stamp import stop_words
from lynchet.exports.earth_place import EarthPlace
from lynchet.plan.building_steps import BuildingSteps
from lynchet.plan.further_pegs import further_pegs, sets_out
from lynchet.plan.model import Plan
from lynchet.plan.placed import placed

_SMALL = ("screw", "corner pin", "tie screw", "pin")
"""Too small for a map; they stand in plan.json and plan.glb."""
_DIGITS = 10
"""A hundredth of a millimetre."""
ABOUT = (
    "Latitude and longitude of the project file are taken as those of the first corner of the area's outline as drawn "
    "there; the map is no better than they are. Levels are metres in the file's own datum."
)


def place_on_earth(plan: Plan) -> EarthPlace | None:
    """Where the yard lies; None where latitude, longitude or north is not in the file."""
    site = plan.project.site
    if site.latitude_deg is None or site.longitude_deg is None or site.north_deg is None:
        return None
    zero = plan.project.frame.outward(plan.project.area.corners_m[0])
    return EarthPlace(site.latitude_deg, site.longitude_deg, site.north_deg, zero)


def missing_for_map(plan: Plan) -> tuple[str, ...]:
    """Keys of ``[site]`` that a map needs and the file lacks."""
    site = plan.project.site
    values = {"latitude": site.latitude_deg, "longitude": site.longitude_deg, "north": site.north_deg}
    return tuple(key for key, value in values.items() if value is None)


def plan_geojson(plan: Plan, place: EarthPlace) -> str:
    """The file: area, faces, houses, lot lines, placed things (no screws and pins), pegs, corners; a stop in words."""
    writer = _Writer(plan, place)
    features = [*writer.yard(), *writer.things(), *writer.points()]
    stop = {"stop": words} if (words := stop_words(plan)) else {}
    data = {"type": "FeatureCollection", "about": ABOUT, **stop, "features": features}
    return (
        json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace(
            '{"type":"Feature",', '\n{"type":"Feature",'
        )
        + "\n"
    )


class _Writer:
    """Features of one plan."""

    def __init__(self, plan: Plan, place: EarthPlace) -> None:
        self.plan, self.place = plan, place

    def yard(self) -> Iterator[dict[str, Any]]:
        """What the yard is made of."""
        project = self.plan.project
        yield self._area("area", "area", [project.area.outline_m])
        for face in self.plan.terraces.faces:
            level: dict[str, Any] = {"level_m": face.level_m} if face.kind == "bed" else {}
            yield self._area(face.id, face.kind, [face.outline_m, *face.holes_m], **level)
        for number, house in enumerate(project.houses):
            yield self._area(f"house {number}", "house", [house.outline_m], name=house.name)
        for number, lot in enumerate(project.lot_lines):
            line = [self._at(point) for point in lot.line_m]
            shape = (
                {"type": "LineString", "coordinates": line}
                if len(line) > 1
                else {"type": "Point", "coordinates": line[0]}
            )
            yield _feature(f"lot line {number}", shape, kind="lot line", name=lot.name, trust=lot.trust)

    def things(self) -> Iterator[dict[str, Any]]:
        """Placed things; a plant is a point."""
        steps = BuildingSteps(self.plan)
        for thing in placed(self.plan):
            if thing.kind in _SMALL:
                continue
            more: dict[str, Any] = {
                "owner": thing.owner,
                "step": steps.of(thing),
                "bottom_m": thing.bottom_m,
                "top_m": thing.top_m,
            }
            if thing.kind != "plant":
                yield self._area(thing.id, thing.kind, [thing.outline_m], **more)
        for planting in self.plan.planted.plantings:
            name, botanical = planting.species.common_name, planting.species.botanical_name
            for plant in planting.plants:
                shape = {"type": "Point", "coordinates": self._at(plant.point_m)}
                yield _feature(plant.id, shape, kind="plant", owner=planting.bed, name=name, botanical_name=botanical)

    def points(self) -> Iterator[dict[str, Any]]:
        """Pegs, the corners they are taped from, points of steps, pipes and places of the soil."""
        card = self.plan.walls.setting_out
        if sets_out(self.plan):
            for name, point in card.known_m:
                yield _feature(name, {"type": "Point", "coordinates": self._at(point)}, kind="known corner")
        for corner in card.moved:
            shape = {"type": "Point", "coordinates": self._at(corner.point_m)}
            yield _feature(corner.id, shape, kind="moved corner", what=corner.what)
        for peg in card.points:
            yield _feature(
                f"peg {peg.id}", {"type": "Point", "coordinates": self._at(peg.point_m)}, kind="peg", what=peg.what
            )
        for one in further_pegs(self.plan):
            level = {} if one.level_m is None else {"level_m": one.level_m}
            shape = {"type": "Point", "coordinates": self._at(one.peg.point_m)}
            yield _feature(f"{one.kind} {one.peg.id}", shape, kind=f"{one.kind} point", what=one.peg.what, **level)

    def _at(self, point: Point) -> list[float]:
        return [round(value, _DIGITS) for value in self.place.lon_lat(self.plan.project.frame.outward(point))]

    def _area(self, key: str, kind: str, rings: Iterable[Sequence[Point]], **more: Any) -> dict[str, Any]:
        """A polygon: outer ring anticlockwise, holes clockwise, each closed."""
        found = []
        for number, ring in enumerate(rings):
            points = [self._at(point) for point in ring]
            if (_twice_area(points) > 0) == (number > 0):
                points.reverse()
            found.append([*points, points[0]])
        return _feature(key, {"type": "Polygon", "coordinates": found}, kind=kind, **more)


def _feature(key: str, shape: dict[str, Any], **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "id": key, "properties": properties, "geometry": shape}


def _twice_area(ring: Sequence[Sequence[float]]) -> float:
    (x0, y0) = ring[0]
    after = [*ring[1:], ring[0]]
    return sum((a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0) for a, b in zip(ring, after, strict=True))
