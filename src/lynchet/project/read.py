"""Read a project: the file checked whole, all faults at once, everything in SI and in the project's own frame."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import hypot
from pathlib import Path
from typing import Any, Literal

from lynchet.core.errors import Fault, InputError
from lynchet.core.frame import Frame
from lynchet.project import build_money as money
from lynchet.project import build_works as works
from lynchet.project import build_yard as yards
from lynchet.project.build_earth import digging_of
from lynchet.project.build_firm import offer_of
from lynchet.project.build_planting import planting_of
from lynchet.project.build_sheet import sheet_of
from lynchet.project.build_so_far import found_fixed, found_springs, so_far_of
from lynchet.project.build_timber import timber_of
from lynchet.project.build_view import views_of
from lynchet.project.check import Got, check_table, path_of_place
from lynchet.project.faults import Faults
from lynchet.project.ground_source import Measured, measured_ground
from lynchet.project.house_edges import check_house_edges
from lynchet.project.in_frame import moved, places_of
from lynchet.project.keys_build import FILE
from lynchet.project.lines import KeyPath
from lynchet.project.load import Loaded, load, load_text
from lynchet.project.model import Area, Project
from lynchet.project.overlay import Edit, apply_edits
from lynchet.project.polygons import hull, outside_m, place_text
from lynchet.project.so_far import SoFar
from lynchet.project.soil import soil_of
from lynchet.project.taped import Yard
from lynchet.project.values import bare_word
from lynchet.units.format import length

VERSION = 1
"""Of the file's form."""
OFF_GROUND_M = 0.05
"""How far a corner of the area may lie off the measured ground, as in ``ground.surface``."""
_FAR_M = 10_000.0
_HIGH_M = 10.0
"""How far a level wished may lie over or under all measured ground: the highest wall a file may wish."""


def read_project(path: str | Path, edits: Iterable[Edit] = ()) -> Project:
    """A project from its file.

    Args:
        path: the file; files it names lie beside it.
        edits: laid over the file in memory first (cures).

    Raises:
        InputError: everything that is wrong, each with file, line, key, what was found and what is accepted.
    """
    return checked(load(Path(path)), edits)


def read_project_text(
    text: str, name: str = "project", folder: Path | None = None, edits: Iterable[Edit] = ()
) -> Project:
    """A project from a text that is not (yet) a file."""
    return checked(load_text(text, name, folder or Path()), edits)


@dataclass(frozen=True)
class _Job:
    got: Got
    raw: dict[str, Any]
    folder: Path
    faults: Faults
    other_brief: bool
    """Whether edits change the brief of the file."""


def checked(loaded: Loaded, edits: Iterable[Edit] = ()) -> Project:
    """A project from raw tables."""
    edits = tuple(edits)
    raw = apply_edits(loaded.raw, edits)
    system: Literal["metric", "us"] = "us" if bare_word(str(raw.get("units"))) == "us" else "metric"
    faults = Faults(system, loaded.sources)
    _version(raw, loaded)
    plain = {key: value for key, value in raw.items() if key != "scheme"}
    other_brief = any(key.split(".")[0] == "brief" for key, _ in edits)
    job = _Job(check_table(plain, FILE, (), faults), raw, loaded.folder, faults, other_brief)
    project, measured = _build(job)
    _measured_enough(job, project, measured)
    faults.raise_if_any()
    assert project is not None
    assert measured is not None
    flat = moved(replace(project, ground=replace(project.ground, readings=())), measured.flat)
    frame = Frame.of_outline(flat.area.outline_m)
    whole = replace(flat, ground=measured.source, defaults=tuple(faults.defaults), frame=frame)
    return moved(whole, frame.inward)


def _version(raw: dict[str, Any], loaded: Loaded) -> None:
    """A file of a later form is refused at once: its keys may mean other things."""
    version = raw.get("lynchet")
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        source = loaded.sources[0]
        accepted = f"{VERSION}; a later program is needed for this file"
        raise InputError(Fault(f"{version} found", accepted, "lynchet", source.name, source.lines.line(("lynchet",))))


def _build(job: _Job) -> tuple[Project | None, Measured | None]:
    """The project in file coordinates as taped, with the measured ground beside it; None where a part is missing."""
    got, faults = job.got, job.faults
    area = yards.area_of(got["area"], faults) if got["area"] else None
    brief_got = got["brief"]
    brief = works.brief_of(brief_got, faults)
    parts: dict[str, Any] = _yard_parts(job, area, brief.terraces) | _works_parts(job, brief_got)
    parts |= _with_found(so_far_of(got, faults), parts)
    parts["schemes"] = works.schemes_of(job.raw.get("scheme"), brief, faults, other_brief=job.other_brief)
    outline = area.outline_m if area else ()
    yard = Yard(outline, tuple(places_of(tuple(parts.values()))))
    measured = measured_ground(got["ground"], yard, job.folder, faults) if got["ground"] else None
    if area is not None:
        check_house_edges(got["area"], area, parts["houses"], faults)
    if area is None or measured is None or got["units"] is None:
        return None, measured
    name = got["name"] or Path(faults.sources[0].name).stem
    project = Project(
        units=got["units"], name=name, frame=Frame(), ground=measured.source, area=area, brief=brief, **parts
    )
    return project, measured


def _yard_parts(job: _Job, area: Area | None, terraces: int | None) -> dict[str, Any]:
    got, faults = job.got, job.faults
    return {
        "site": yards.site_of(got["site"]),
        "houses": yards.houses_of(got["house"], faults),
        "paths": yards.paths_of(got["path"], faults),
        "steps": yards.flights_of(got["steps"], faults),
        "fixed": yards.fixed_of(got["fixed"], faults),
        "lot_lines": yards.lot_lines_of(got["lot_line"], faults),
        "own_lines": yards.own_lines_of(got["wall_line"], area, terraces, faults),
        "loads": yards.loads_of(got["load"], faults),
        "on_wall": yards.on_wall_of(got["on_wall"], area, faults),
        "views": views_of(got["view"], faults),
    }


def _works_parts(job: _Job, brief: Got) -> dict[str, Any]:
    got, faults = job.got, job.faults
    return {
        "soil": soil_of(got["soil"], faults),
        "holes": works.holes_of(got["hole"], faults),
        "rain": works.rain_of(got["rain"], job.folder, faults),
        "springs": works.springs_of(got["spring"], faults),
        "drain": works.drain_of(got["drain"], got["soakaway"], faults),
        "soakaways": works.soakaways_of(got["soakaway"], faults),
        "timber": timber_of(got["timber"], brief["timber"], brief, faults),
        "access": works.access_of(got["access"], faults),
        "digging": digging_of(got["earth"], faults),
        "place": works.place_of(got["place"], faults),
        "planting": planting_of(got["planting"], faults),
        "prices": money.prices_of(got["prices"], job.folder, faults),
        "works": money.works_of(got["works"], got["rates"], faults),
        "offer": offer_of(got, job.folder, faults),
        "sheet": sheet_of(got["sheet"], faults),
    }


def _with_found(so_far: SoFar, parts: dict[str, Any]) -> dict[str, Any]:
    """What is so already; things found stand among those that stay, water among the springs."""
    return {
        "so_far": so_far,
        "fixed": (*parts["fixed"], *found_fixed(so_far.found)),
        "springs": (*parts["springs"], *found_springs(so_far.found)),
    }


def _measured_enough(job: _Job, project: Project | None, measured: Measured | None) -> None:
    """Every corner of the area lies on the measured ground, and nothing lies absurdly far away."""
    if project is None or measured is None:
        return
    faults, system = job.faults, job.faults.system
    corners = [measured.flat(corner) for corner in project.area.outline_m]
    ground = hull(reading.point_m for reading in measured.source.readings)
    path: KeyPath = ("area", "outline") if "outline" in job.got["area"].written else ("area",)
    for number, corner in enumerate(corners):
        off = outside_m(corner, ground)
        if off > OFF_GROUND_M:
            found = (
                f"corner {number} {place_text(corner, system)} lies {length(off, system, 2)} off the measured ground"
            )
            faults.add(path, found, "readings at or beyond every corner of the area")
    _levels_near(job, project, measured)
    bare = replace(project, ground=replace(project.ground, readings=()))  # readings of a plane lie around all the rest
    for place in (*places_of(bare), *places_of(project.ground)):
        if hypot(place[0] - corners[0][0], place[1] - corners[0][1]) > _FAR_M:
            path = path_of_place(job.got, place) or path
            faults.add(
                path, f"a place at {place_text(place, system)}", "places within 10 km of the area's first corner"
            )
            return


def _levels_near(job: _Job, project: Project, measured: Measured) -> None:
    """Levels wished lie within the highest wall of the ground measured: the rest is a slip in the zero or the unit."""
    levels = [reading.level_m for reading in measured.source.readings]
    low, high = min(levels) - _HIGH_M, max(levels) + _HIGH_M
    wished: list[tuple[KeyPath, object]] = [(("brief", "levels"), project.brief.levels)]
    wished += [(("scheme", n, "levels"), scheme.brief.levels) for n, scheme in enumerate(project.schemes)]
    for path, rows in wished:
        far = [row for row in rows if not low <= row <= high] if isinstance(rows, tuple) else []
        if far:
            system = job.faults.system
            found = f"{length(far[0], system)} lies over {length(_HIGH_M, system)} off all measured ground"
            job.faults.add(path, found, f"levels over the file's zero, {length(low, system)} to {length(high, system)}")
