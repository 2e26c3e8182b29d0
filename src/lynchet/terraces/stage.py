"""The terraces stage: cut the area into faces and give each a finished level."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import hypot

from lynchet.core.findings import Finding
from lynchet.core.plane import signed_area
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground, Surface
from lynchet.ground.prisms import prisms
from lynchet.ground.surface import off_ground_m
from lynchet.project.model import Project
from lynchet.project.things import LANDING_M
from lynchet.terraces.area import Area, RingEdge, Taken, fixed_taken, path_taken, subtract
from lynchet.terraces.assemble import bed_faces, course_lattice, face_names, taken_faces, wall_lines
from lynchet.terraces.bed_soil import top_timber_m
from lynchet.terraces.cleaning import cleaned
from lynchet.terraces.crossings import EdgeWall, Plot
from lynchet.terraces.fall import REACH_M, line_direction, mean_fall
from lynchet.terraces.flight_forms import riser_courses
from lynchet.terraces.flight_moves import with_moves
from lynchet.terraces.flight_net import LetIn, flight_faces, lay_out_again, let_in
from lynchet.terraces.flight_refusals import no_bed_beside
from lynchet.terraces.flights import Placed, place_flights
from lynchet.terraces.layout import Layout
from lynchet.terraces.lines import blocked_bands, offset_range, root_bands
from lynchet.terraces.model import Face, Flight, Lattice, Point, Terraces, WallLine
from lynchet.terraces.own_lines import own_fronts
from lynchet.terraces.path_strips import with_strips
from lynchet.terraces.refusal import Refused, refused
from lynchet.terraces.scheme import Scheme, Yard, find_scheme, wished_terraces
from lynchet.terraces.step_room import with_step_room
from lynchet.terraces.wishes import left_free, wish_findings
from lynchet.units.format import length as length_text


def terraces(project: Project, ground: Ground, standing: Standing, edge_walls: tuple[EdgeWall, ...] = ()) -> Terraces:
    """Faces, lines and levels of the terraces.

    Args:
        project: the file, in the own frame.
        ground: the measured ground.
        standing: what already stands; empty by default.
        edge_walls: what walls built on these terraces were found to stand on edges that end as banks.

    Returns:
        The terraces; where the yard cannot be laid out (``refused``) a ``stop`` says why and what would help.
    """
    findings: list[Finding] = []
    try:
        return _laid_out(project, ground.surface, (standing, edge_walls), findings)
    except Refused as refusal:
        return Terraces((), (), (), (), Lattice(project.timber.course_m, ()), (0.0, 0.0), (1.0, 0.0), (), 0, (),
                        (*findings, refusal.finding), refused=True)  # fmt: skip


def _laid_out(
    project: Project, surface: Surface, known: tuple[Standing, tuple[EdgeWall, ...]], findings: list[Finding]
) -> Terraces:
    standing, edge_walls = known
    _test_outline(project, surface)
    area = _area(project, findings)
    fall = mean_fall(surface, area.rings)
    along = line_direction(fall, area.rings, project.brief.lines == "fall")
    low, high = offset_range(area.rings, along)
    bands = tuple(blocked_bands(area.rings, along))
    own = own_fronts(project, area, along)
    even = frozenset(range(2, 100)) if project.steps and riser_courses(project.timber.course_m) == 2 else frozenset()
    yard = Yard(project, surface, area, along, bands, own, even, standing, hypot(*fall) * (high - low),
                top_timber_m(project, area.rings, along), edge_walls)  # fmt: skip
    wished = wished_terraces(project, fall, high - low)

    def laid(count: int, moves: bool, on: Yard = yard) -> Terraces:
        scheme = _clear_of_roots(on, count)
        return _assembled(on, fall, scheme, [*findings, *scheme.findings], moves)

    stood = _built_by(yard, wished, laid) if standing.firm and project.steps else 0
    return with_step_room(yard, wished, laid, stood)


def _built_by(yard: Yard, wished: int, laid: Callable[..., Terraces]) -> int:
    """Number of terraces of the same file with nothing standing; 0 where it can be laid out only round what stands."""
    free = replace(yard, standing=Standing())
    try:
        return len(with_step_room(free, wished, partial(laid, on=free)).levels_m)
    except Refused:
        return 0


def _clear_of_roots(yard: Yard, wished: int) -> Scheme:
    """The scheme with lines kept off wide root zones, if that costs no terrace; else without that wish."""
    roots = root_bands(yard.project.fixed, yard.along)
    if not roots:
        return find_scheme(yard, wished)
    aside = replace(yard, bands=(*yard.bands, *roots))
    if not yard.own and not isinstance(yard.project.brief.levels, tuple):
        # nothing that could be refused, and with all terraces wished there is nothing to compare with
        clear = find_scheme(aside, wished)
        if len(clear.levels.levels_m) >= wished:
            return clear
        scheme = find_scheme(yard, wished)
    else:
        scheme = find_scheme(yard, wished)
        clear = find_scheme(aside, wished)
    return clear if len(clear.levels.levels_m) >= len(scheme.levels.levels_m) else scheme


@dataclass(frozen=True)
class _Drawn:
    """Faces and lines of one laying out."""

    layout: Layout
    faces: list[Face]
    lines: list[WallLine]


def _drawn(yard: Yard, layout: Layout, scheme: Scheme, items: Sequence[LetIn]) -> _Drawn:
    under = scheme.under if not items else [prisms(yard.surface, polygon) for polygon in layout.net.faces]
    special, flights = flight_faces(layout, items)
    names = face_names(layout, yard.along, special)
    beds = bed_faces(layout, names, scheme.levels.levels_m, under)
    lines = wall_lines(layout, names, yard.project)
    beds = with_strips(beds, lines, yard.project, yard.surface)
    return _Drawn(layout, [*beds, *taken_faces(yard.project, yard.area.taken), *flights], lines)


def _assembled(yard: Yard, fall: Point, scheme: Scheme, findings: list[Finding], moves: bool) -> Terraces:
    project, surface, levels = yard.project, yard.surface, scheme.levels.levels_m
    lattice = course_lattice(project, surface, levels)
    drawn = _drawn(yard, scheme.layout, scheme, ())
    flights: tuple[Flight, ...] = ()
    if project.steps:
        plot = Plot({face.id: face for face in drawn.faces}, drawn.lines, lattice, surface, project.brief.freeboard_m,
                    LANDING_M[project.units], yard.edge_walls)  # fmt: skip
        placed = place_flights(project, plot)
        findings += with_moves(project, plot, placed) if moves else placed.findings
        drawn, flights = _with_flights(yard, scheme, placed, drawn, findings)
    findings += wish_findings(project, surface, drawn.faces, drawn.lines, flights)
    rings = tuple(tuple(edge.start for edge in ring) for ring in yard.area.rings)
    return Terraces(tuple(drawn.faces), tuple(drawn.lines), drawn.layout.net.points, flights, lattice, fall, yard.along,
                    levels, scheme.wished, _by_part(rings), tuple(findings))  # fmt: skip


def _with_flights(
    yard: Yard, scheme: Scheme, placed: Placed, drawn: _Drawn, findings: list[Finding]
) -> tuple[_Drawn, tuple[Flight, ...]]:
    """The flights placed; where some are let in, everything drawn again with the same lines and levels."""
    flights = placed.flights
    items = let_in(placed.flights, placed.forms)
    if items:
        layout = lay_out_again(yard.area, scheme.layout.fronts, yard.along, items)
        if layout is None:
            out = {item.flight.id for item in items}
            flights = tuple(flight for flight in flights if flight.id not in out)
            findings += [no_bed_beside(item.flight) for item in items]
        else:
            drawn = _drawn(yard, layout, scheme, items)
    return drawn, flights


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


def _area(project: Project, findings: list[Finding]) -> Area:
    """The cleaned area. Square pits round points lie along the outline's first edge, which is the own x axis."""
    import shapely

    paths = [path_taken(i, path) for i, path in enumerate(project.paths)]
    pits = [fixed_taken(i, fixed, (1.0, 0.0)) for i, fixed in enumerate(project.fixed)]
    taken = (*paths, *(pit for pit in pits if pit is not None))
    raw, sources = subtract(project, taken)
    rings, notes = cleaned(project, raw, sources)
    findings += [*notes, *left_free(project, taken)]
    if not rings:
        raise refused("terraces.no_area", "area", "Nothing of the area is left beside the house, paths and things that "
                      "stay that is wide enough for a bed.", "draw the area larger")  # fmt: skip
    area = _as_area(rings, taken)
    if not shapely.is_valid(area.polygon):
        raise refused("terraces.area", "area", "The area cannot be cleaned to edges a wall can follow: "
                      f"{shapely.is_valid_reason(area.polygon)}.", "draw its outline simpler there")  # fmt: skip
    return area


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
