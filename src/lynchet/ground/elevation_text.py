"""Elevation text read into points in metres: spot levels, ASCII grids, LandXML surfaces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.ground.elevation_grid import parse_grid
from lynchet.ground.elevation_landxml import parse_landxml
from lynchet.ground.elevation_points import ElevationPoints, Unit
from lynchet.ground.elevation_xyz import parse_xyz

Format = Literal["xyz_csv", "esri_ascii", "landxml"]


@dataclass(frozen=True)
class ReadElevation:
    """What was read, in metres."""

    points: int
    holes: int
    min_m: float
    max_m: float
    x_min_m: float
    x_max_m: float
    y_min_m: float
    y_max_m: float
    points_xyz: list[list[float]]
    triangles: int | None = None
    triangles_ijk: list[list[int]] | None = None
    sample_m: float | None = None


def parse_elevation(
    form: str, text: str, unit: str | None = None, columns: str = "xyz", surface: str | None = None
) -> ElevationPoints:
    """Elevation text of any of the three formats as points in metres; faults are refused."""
    if form == "esri_ascii":
        return parse_grid(text, unit)
    if form == "landxml":
        return parse_landxml(text, unit, surface)
    return parse_xyz(text, unit, columns)


def _elevation_steps(given: Mapping[str, Any], result: ReadElevation) -> list[Step]:
    steps = [
        Step("points with a level", f"read as {given['format']}", result.points),
        Step("holes", "cells without a level", result.holes),
        Step("lowest level", "", result.min_m, "m"),
        Step("highest level", "", result.max_m, "m"),
    ]
    if result.sample_m is not None:
        how = f"between the points round {given['sample_x_m']:g}, {given['sample_y_m']:g}"
        steps.append(Step("level at the place asked for", how, result.sample_m, "m"))
    return steps


@calculator(
    source="Esri, ASCII raster format (help page); LandXML 1.2 files; spot levels have no standard",
    known="SEEN",
    example={"format": "xyz_csv", "unit": "m", "text": "x,y,level\n0,0,10.2\n6,0,10.5\n6,4,11.1\n"},
    working=_elevation_steps,
)
def read_elevation(
    *,
    format: Format,  # noqa: A002
    text: str,
    unit: Unit | None = None,
    columns: Literal["xyz", "pnez"] = "xyz",
    surface: str | None = None,
    sample_x_m: float | None = None,
    sample_y_m: float | None = None,
) -> ReadElevation:
    """Read spot levels, an ASCII grid or a LandXML surface into points in metres.

    Equation: metres = ft x 0.3048, us_ft x 1200/3937; level between points by straight lines on the Delaunay net (spot
    levels), bilinear between cell centres (grid), on the plane of the face (LandXML).

    Symbols: format, xyz_csv, esri_ascii or landxml; columns, xyz or pnez (point, northing, easting, level) where no
    heading says otherwise; surface, name of the LandXML surface; sample, a plan point in metres.

    Limits: all lengths of a text in one unit, plan and levels alike. A grid's first row is the northern one, a corner
    is the outer corner of the south-west cell. Northing goes to y, easting to x. Cells in degrees are refused.
    """
    half = (sample_x_m is not None) + (sample_y_m is not None) == 1
    refuse_if(half, "sample", "one coordinate found", "sample_x_m and sample_y_m, or neither")
    read = parse_elevation(format, text, unit, columns, surface)
    sample = None
    if sample_x_m is not None and sample_y_m is not None:
        sample = read.level_at(sample_x_m, sample_y_m)
        if sample is None:
            raise refuse("sample", f"{sample_x_m:g}, {sample_y_m:g} lies outside", "a place within the measured ground")
    low, high = read.points.min(axis=0).tolist(), read.points.max(axis=0).tolist()
    return ReadElevation(
        points=len(read.points),
        holes=read.holes,
        min_m=low[2],
        max_m=high[2],
        x_min_m=low[0],
        x_max_m=high[0],
        y_min_m=low[1],
        y_max_m=high[1],
        points_xyz=read.points.tolist(),
        triangles=None if read.triangles is None else len(read.triangles),
        triangles_ijk=None if read.triangles is None else read.triangles.tolist(),
        sample_m=sample,
    )
