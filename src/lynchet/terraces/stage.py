"""The terraces stage: cut the area into faces and give each a finished level."""

from __future__ import annotations

from lynchet.core.findings import Finding
from lynchet.core.plane import signed_area
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground, Surface
from lynchet.ground.surface import off_ground_m
from lynchet.project.model import Project
from lynchet.terraces.area import Area, RingEdge, Taken, fixed_taken, path_taken, subtract
from lynchet.terraces.assemble import bed_faces, course_lattice, face_names, taken_faces, wall_lines
from lynchet.terraces.cleaning import cleaned
from lynchet.terraces.fall import REACH_M, line_direction, mean_fall
from lynchet.terraces.lines import blocked_bands, offset_range
from lynchet.terraces.model import Lattice, Point, Terraces
from lynchet.terraces.own_lines import own_fronts
from lynchet.terraces.refusal import Refused, refused
from lynchet.terraces.scheme import Scheme, Yard, find_scheme, wished_terraces
from lynchet.units.format import length as length_text


def terraces(project: Project, ground: Ground, standing: Standing) -> Terraces:
    """Faces, lines and levels of the terraces.

    Args:
        project: the file, in the own frame.
        ground: the measured ground.
        standing: what already stands; empty by default.

    Returns:
        The terraces; where the yard cannot be laid out (``refused``) a ``stop`` says why and what would help.
    """
    findings: list[Finding] = []
    try:
        return _laid_out(project, ground.surface, standing, findings)
    except Refused as refusal:
        return Terraces((), (), (), (), Lattice(project.timber.course_m, ()), (0.0, 0.0), (1.0, 0.0), (), 0, (),
                        (*findings, refusal.finding), refused=True)  # fmt: skip


def _laid_out(project: Project, surface: Surface, standing: Standing, findings: list[Finding]) -> Terraces:
    _test_outline(project, surface)
    taken, area = _area(project, surface, findings)
    fall = mean_fall(surface, area.rings)
    along = line_direction(fall, area.rings, project.brief.lines == "fall")
    low, high = offset_range(area.rings, along)
    bands = tuple(blocked_bands(area.rings, along))
    own = own_fronts(project, area, along)
    yard = Yard(project, surface, area, along, bands, own, frozenset(), standing)
    scheme = find_scheme(yard, wished_terraces(project, fall, high - low))
    findings += scheme.findings
    return _assembled(yard, taken, fall, scheme, findings)


def _assembled(yard: Yard, taken: tuple[Taken, ...], fall: Point, scheme: Scheme, findings: list[Finding]) -> Terraces:
    project, surface, layout = yard.project, yard.surface, scheme.layout
    levels = scheme.levels.levels_m
    names = face_names(layout, yard.along, {})
    faces = [*bed_faces(layout, names, levels, surface), *taken_faces(project, taken)]
    lines = wall_lines(layout, names, project)
    rings = tuple(tuple(edge.start for edge in ring) for ring in yard.area.rings)
    return Terraces(tuple(faces), tuple(lines), layout.net.points, (), course_lattice(project, surface, levels), fall,
                    yard.along, levels, scheme.wished, _by_part(rings), tuple(findings))  # fmt: skip


def _by_part(rings: tuple[tuple[Point, ...], ...]) -> tuple[tuple[tuple[Point, ...], ...], ...]:
    """Rings grouped: each outer ring with the holes that lie in it."""
    parts: list[list[tuple[Point, ...]]] = []
    for ring in rings:
        if signed_area(ring) > 0:
            parts.append([ring])
        else:
            parts[-1].append(ring)
    return tuple(tuple(part) for part in parts)


def _test_outline(project: Project, surface: Surface) -> None:
    import shapely

    outline = shapely.Polygon(project.area.outline_m)
    if not outline.is_valid:
        raise refused("terraces.outline", "area", "The outline of the area crosses or touches itself: "
                      f"{shapely.is_valid_reason(outline)}.", "put its corners in order")  # fmt: skip
    off = off_ground_m(surface, project.area.outline_m)
    if off.max() > REACH_M:
        corner = int(off.argmax())
        far = length_text(float(off[corner]), project.units)
        raise refused("terraces.off_ground", f"A{corner}", f"Corner {corner} of the area lies {far} off the measured "
                      "ground.", "take readings out to the corners of the area, or draw it smaller")  # fmt: skip


def _area(project: Project, surface: Surface, findings: list[Finding]) -> tuple[tuple[Taken, ...], Area]:
    """The cleaned area. Square pits round points lie along the outline's first edge, which is the own x axis."""
    import shapely

    paths = [path_taken(i, path) for i, path in enumerate(project.paths)]
    pits = [fixed_taken(i, fixed, (1.0, 0.0)) for i, fixed in enumerate(project.fixed)]
    taken = (*paths, *(pit for pit in pits if pit is not None))
    raw, sources = subtract(project, taken)
    rings, notes = cleaned(project, raw, sources)
    findings += notes
    if not rings:
        raise refused("terraces.no_area", "area", "Nothing of the area is left beside the house, paths and things that "
                      "stay that is wide enough for a bed.", "draw the area larger")  # fmt: skip
    area = _as_area(rings, taken)
    if not shapely.is_valid(area.polygon):
        raise refused("terraces.area", "area", "The area cannot be cleaned to edges a wall can follow: "
                      f"{shapely.is_valid_reason(area.polygon)}.", "draw its outline simpler there")  # fmt: skip
    return taken, area


def _as_area(rings: list[list[RingEdge]], taken: tuple[Taken, ...]) -> Area:
    import shapely

    parts: list[tuple[list[Point], list[list[Point]]]] = []
    for ring in rings:
        points = [edge.start for edge in ring]
        if signed_area(points) > 0:
            parts.append((points, []))
        else:
            parts[-1][1].append(points)
    polygons = [shapely.Polygon(outer, holes) for outer, holes in parts]
    return Area(tuple(tuple(ring) for ring in rings), shapely.MultiPolygon(polygons), taken)
