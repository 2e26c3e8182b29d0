"""Flights of steps: each wished one placed from the lowest wall up, clear of walls and of one another, or refused with
what would fit.

Three forms are tried in this order: projecting (boxes before the wall), recessed (let into the bench above), through (a
strip over several benches). The last two change the net: the terraces are laid out again, lines and levels kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.kept import grown
from lynchet.core.outlines import polygons_of
from lynchet.core.plane import Point, dot, left_of, minus, move
from lynchet.ground.surface import level_at, off_ground_m
from lynchet.project.model import Project
from lynchet.terraces.crossings import Crossing, Plot, banks_met, crossings
from lynchet.terraces.flight_forms import (
    LEAST_RISER_M,
    Form,
    goings,
    projecting,
    recessed,
    riser_courses,
    through,
    through_and_in,
)
from lynchet.terraces.flight_refusals import no_wall, on_bank, too_high, unfit
from lynchet.terraces.landing_stone import foot_stone, head_stone, renamed
from lynchet.terraces.model import Flight, Landing, Tread
from lynchet.terraces.step_frames import whole_courses
from lynchet.terraces.taken_ground import PLAY_M, TakenGround
from lynchet.units.format import length as length_text
from lynchet.units.format import small

UNMEASURED_M = 2.0
"""Outside the area a flight may run out this far over ground that was not measured, with a word about it."""
FOOT_SPARE_M = 0.2
"""Beside a side of a flight, on the wall it meets, over the thickness of the timber."""
NEARLY_M = 0.0254
"""A landing that lacks less is told so: an inch can be found on the site. PRACTICE."""
NEARLY_WORDS = "by less than"
HEAD_IN_M = 0.75
"""A head let into a bench lies this far behind its wall."""
SIDE_M = 0.6
"""Bed kept beside a flight that is let in."""


@dataclass(frozen=True)
class Placed:
    """Flights that fit, their forms, and what is told of the others."""

    flights: tuple[Flight, ...]
    forms: tuple[Form, ...]
    findings: tuple[Finding, ...]

    @property
    def change_net(self) -> bool:
        """Whether the terraces must be laid out again with the flights' sides."""
        return any(form.kind != "projecting" for form in self.forms)


def place_flights(project: Project, plot: Plot) -> Placed:
    """Every wished flight over every wall it crosses.

    Args:
        project: the wishes, houses, lot lines, timber.
        plot: the terraces before any flight.
    """
    forms: list[Form] = []
    findings: list[Finding] = []
    taken = TakenGround()
    for number, wish in enumerate(project.steps):
        met = crossings(number, wish, plot)
        findings += [on_bank(project, number, *bank) for bank in banks_met(wish, plot) if bank[1] > LEAST_RISER_M]
        if not met:
            findings.append(no_wall(project, number))
        if not riser_courses(project.timber.course_m):
            if met:
                findings.append(too_high(project, number))
            continue
        for found in climbed(met, project, plot, taken):
            if isinstance(found, Form):
                forms.append(found)
                findings += _unmeasured(found, project, plot)
            else:
                findings.append(unfit(project, *found))
    flights = _named([_flight(form, project, plot) for form in forms])
    return Placed(tuple(flights), tuple(forms), tuple(findings))


def climbed(
    met: Sequence[Crossing], project: Project, plot: Plot, taken: TakenGround
) -> Iterator[Form | tuple[Crossing, str]]:
    """The flights of one wish, from its foot on; a wall at which none fits comes with the reason.

    Args:
        met: the walls it crosses.
        project, plot: as above.
        taken: ground spoken for; what fits is added.
    """
    done = 0
    while done < len(met):
        form = _first_fit(met[done:], project, plot, taken)
        if isinstance(form, str):
            yield met[done], form
            done += 1
            continue
        reserve(form, taken, project.timber.thickness_m)
        yield form
        done = met.index(form.top) + 1


def _first_fit(met: Sequence[Crossing], project: Project, plot: Plot, taken: TakenGround) -> Form | str:
    """The first form that fits over the lowest of the walls met, or why none does."""
    course, thick = project.timber.course_m, project.timber.thickness_m
    crossing = met[0]

    def ground(point: Point) -> float:
        return float(level_at(plot.surface, [point], UNMEASURED_M)[0])

    reasons = []
    form = projecting(crossing, course, thick, ground)
    why = form if isinstance(form, str) else _misfit(form, project, plot, taken)
    if not why:
        return form
    reasons.append(why)
    form = recessed(crossing, course, thick)
    why = form if isinstance(form, str) else _misfit(form, project, plot, taken)
    if not why:
        return form
    reasons.append(why)
    for top in met[1:]:
        form = _strip(crossing, top, course, thick)
        why = form if isinstance(form, str) else _misfit(form, project, plot, taken)
        if not why:
            return form
    nearly = (why for why in reasons if NEARLY_WORDS in why)
    return _longer_strip(met, project, plot, taken) or next(nearly, reasons[0])


def _longer_strip(met: Sequence[Crossing], project: Project, plot: Plot, taken: TakenGround) -> Form | None:
    """The first strip that ends let into a bench further up, its going as near the step rule as fits."""
    course, thick = project.timber.course_m, project.timber.thickness_m
    low = met[0]
    if low.timber_low or not low.low_flat:
        return None
    for i, top in enumerate(met[1:], start=1):
        if top.timber_low or dot(low.way, top.way) < 1.0 - 1e-9:
            return None
        line = dot(minus(top.point, low.point), low.way)
        above = dot(minus(met[i + 1].point, low.point), low.way) if i + 1 < len(met) else line + 1e3
        for deep in goings(course * riser_courses(course)):
            form = through_and_in(low, top, deep, course, thick)
            if isinstance(form, str) or not line + HEAD_IN_M <= form.run_m <= above - thick - low.landing_m:
                continue
            if not _misfit(form, project, plot, taken):
                return form
    return None


def _strip(low: Crossing, top: Crossing, course_m: float, thick_m: float) -> Form | str:
    """A strip square to the lower wall up to the upper one, which must lie along it."""
    if low.timber_low or top.timber_low or not low.low_flat or top.line.role != "front":
        return "no bench lies on both sides"
    if dot(low.way, top.way) < 1.0 - 1e-9:
        return "the walls are not parallel"
    run = dot(minus(top.point, low.point), low.way)
    return through(low, top, run, course_m, thick_m)


def _misfit(form: Form, project: Project, plot: Plot, taken: TakenGround) -> str:
    """Why a form does not fit; "" where it does."""

    thick = project.timber.thickness_m
    deep = form.crossing.landing_m
    behind = form.box(form.run_m + form.head_gap_m + 0.001, form.run_m + form.head_gap_m + deep)
    foot, head, beyond, *steps = polygons_of([form.foot_landing, form.head_landing, behind, *_steps_of(form, thick)])
    low, high = form.crossing.low, form.top.high
    if not _free(low, foot, project, plot, taken):
        near = _free(low, polygons_of([form.box(-deep + NEARLY_M, 0.0)])[0], project, plot, taken)
        return _no_landing("foot", deep, project, near)
    if not _free(high, beyond, project, plot, taken):
        start = form.run_m + form.head_gap_m
        near = _free(high, polygons_of([form.box(start + 0.001, start + deep - NEARLY_M)])[0], project, plot, taken)
        return _no_landing("head", deep, project, near)
    for outline in steps:
        if form.kind == "projecting":
            if not _free(low, outline, project, plot, taken):
                return "there is no room for its treads before the wall"
            if edge := _edge_wall(outline, plot):
                return f"it would stand in the wall on {edge}, which is built where the bank there does not end"
        elif not _square_feet(form, thick):
            return "it would come too near a corner of the wall it is let into"
        elif not _let_in(form, plot, thick):
            return "there is no room to let it into the bench above"
        if any(_share(outline, other) for other in (*taken.outlines, *taken.landings)):
            return "it would stand on another flight or its landing"
        if form.kind != "projecting" and _beside_another(form, taken, thick):
            return "it would leave no bed beside another flight that is let in"
    if any(_share(landing, other) for landing in (foot, head) for other in taken.outlines):
        return "its landing would lie under another flight"
    return ""


def _no_landing(end: str, deep_m: float, project: Project, near: bool) -> str:
    """That a landing has no room; where it lacks hardly any, so that nobody gives up steps for a finger's breadth."""
    units = project.units
    text = f"there is no room for a landing of {length_text(deep_m, units)} at its {end}"
    if not near:
        return text
    return (
        f"{text}, {NEARLY_WORDS} {small(NEARLY_M, units, 1)}: the depth is common practice, and the building office "
        "may see it otherwise; or move what bounds the landing by that much"
    )


def _share(a: Any, b: Any, least_m2: float = 1e-3) -> bool:
    return bool(a.intersects(b) and a.intersection(b, grid_size=1e-6).area > least_m2)


def _free(face: str, polygon: Any, project: Project, plot: Plot, taken: TakenGround) -> bool:
    """Whether a piece of ground lies on one face, clear of timber, houses, lot lines and unmeasured ground."""
    import shapely

    known = plot.faces.get(face)
    if known is not None:
        return taken.covers(polygon, known, plot, project.timber.thickness_m)
    inner = grown(polygon, -PLAY_M, "mitre")
    if shapely.Polygon(project.area.outline_m).intersects(inner):
        return False
    if any(shapely.Polygon(house.outline_m).intersects(inner) for house in project.houses):
        return False
    if any(shapely.LineString(lot.line_m).intersects(inner) for lot in project.lot_lines):
        return False
    return bool(off_ground_m(plot.surface, polygon.exterior.coords).max() < UNMEASURED_M)


def _edge_wall(outline: Any, plot: Plot) -> str:
    """The edge that ends as a bank in whose wall this stands; empty where there is none."""
    shapes = polygons_of(wall.outline_m for wall in plot.edge_walls) if plot.edge_walls else ()
    met = (wall.line for wall, shape in zip(plot.edge_walls, shapes, strict=True) if _share(outline, shape, 1e-4))
    return next(met, "")


def _let_in(form: Form, plot: Plot, thick_m: float) -> bool:
    """Whether a recess or strip has bed enough on both sides and behind, on every bench it crosses."""
    import shapely

    beds = [face.polygon for face in plot.faces.values() if face.kind == "bed"]
    room = shapely.union_all(beds, grid_size=1e-5)
    right = left_of((-form.way[0], -form.way[1]))
    half = form.crossing.width_m / 2 + thick_m + SIDE_M + thick_m
    low = move(form.foot, form.way, 2 * thick_m)
    high = move(form.foot, form.way, form.run_m + (thick_m + SIDE_M if form.head_let_in else 0.0))
    need = shapely.Polygon([move(low, right, -half), move(low, right, half), move(high, right, half),
                            move(high, right, -half)])  # fmt: skip
    if not room.buffer(1e-3).covers(need):
        return False
    if form.kind == "recessed":
        return bool(plot.faces[form.top.high].polygon.buffer(1e-3).covers(need))
    return True


def _square_feet(form: Form, thick_m: float) -> bool:
    """Whether the walls that pass at foot and head are straight past both sides, clear of other walls."""
    ends = [(form.crossing.line, form.foot)]
    if not form.head_let_in:
        ends.append((form.top.line, move(form.foot, form.way, form.run_m)))
    need = form.crossing.width_m / 2 + 2.0 * (thick_m + FOOT_SPARE_M)
    for line, point in ends:
        way = ((line.end_m[0] - line.start_m[0]) / line.length_m, (line.end_m[1] - line.start_m[1]) / line.length_m)
        at = dot(minus(point, line.start_m), way)
        if not any(side.start_m <= at - need and at + need <= side.end_m for side in line.sides):
            return False
    return True


def _beside_another(form: Form, taken: TakenGround, thick_m: float) -> bool:
    """Whether a flight that is let in comes so near another one that no bed, or no room for their timber, is between
    them."""
    (wide,) = polygons_of([form.box(0.0, form.run_m, max(SIDE_M, 2.0 * thick_m) - PLAY_M)])
    return any(_share(wide, other) for other in taken.let_in)


def reserve(form: Form, taken: TakenGround, thick_m: float) -> None:
    """Speak for the ground of a flight and its landings.

    Args:
        form: a flight that fits.
        taken: ground spoken for so far; added to.
        thick_m: of the timber.
    """
    foot, head, *steps = polygons_of([form.foot_landing, form.head_landing, *_steps_of(form, thick_m)])
    taken.outlines += steps
    taken.landings += [foot, head]
    if form.kind != "projecting":
        taken.let_in.extend(polygons_of([form.outline]))


def _steps_of(form: Form, thick_m: float) -> list[tuple[Point, ...]]:
    """Outline of the steps themselves, with the timber beside what is let in; none where a riser alone is climbed."""
    return [form.box(0.0, form.run_m, 0.0 if form.kind == "projecting" else thick_m)] if form.run_m > 0 else []


def _flight(form: Form, project: Project, plot: Plot) -> Flight:
    head = plot.faces.get(form.top.high)
    beds = [face.terrace for face in plot.faces.values() if face.kind == "bed"]
    terrace = head.terrace if head is not None and head.terrace else max(beds) + 1
    name = f"S{form.crossing.wish}.{terrace}"
    below = () if form.crossing.low_flat else foot_stone(form, name, plot.surface)
    above = () if plot.flat(form.top.high) else head_stone(form, name, plot.surface)
    landings = (
        Landing("foot", form.foot_landing, form.foot_level_m, form.crossing.low, below),
        Landing("head", form.head_landing, form.head_level_m, form.top.high, above),
    )
    return Flight(
        name, form.kind, form.crossing.wish, form.crossing.line.id, form.crossing.station_m, form.crossing.width_m,
        form.risers, form.riser_m, form.going_m, form.foot_level_m, form.head_level_m, form.way,
        form.outline, _treads(form, name, project, plot), landings,
        tuple(dict.fromkeys((form.crossing.line.id, form.top.line.id))),
    )  # fmt: skip


BEHIND_M = 0.05
"""Between the timber of a wall, which may lean, and the first box behind it. PRACTICE."""
TOUCH_M = 0.005
"""The least of it, where wide timber leaves the first box little room: a wall a flight is let into stands plumb."""


def _behind_wall(project: Project, back_m: float) -> float:
    """Where the first box starts behind a wall that is itself the first riser: clear of its timber, however wide."""
    thick = project.timber.thickness_m
    return min(thick + BEHIND_M, max(0.5 * back_m, thick + TOUCH_M))


def _treads(form: Form, name: str, project: Project, plot: Plot) -> tuple[Tread, ...]:
    """Boxes from the foot: projecting ones each reach back to the wall and rest on the one below."""
    out = []
    for i in range(1, form.risers):
        back = form.run_m if form.kind == "projecting" else i * form.going_m
        front = (i - 1) * form.going_m
        if i == 1 and form.kind != "projecting":
            front = _behind_wall(project, back)
        outline = form.box(front, back)
        top = form.foot_level_m + i * form.riser_m
        bottom = top - form.riser_m
        if i == 1 and form.kind == "projecting":
            under = level_at(plot.surface, outline, 0.3)
            rest = form.foot_level_m - project.brief.freeboard_m if form.crossing.low_flat else float(under.min())
            bottom = whole_courses(top, min(bottom, rest), project.timber.course_m)
        out.append(Tread(f"{name}/{i}", outline, bottom, top))
    return tuple(out)


def _named(flights: Sequence[Flight]) -> list[Flight]:
    from dataclasses import replace

    seen: dict[str, int] = {}
    out = []
    for flight in flights:
        seen[flight.id] = seen.get(flight.id, 0) + 1
        if seen[flight.id] == 1:
            out.append(flight)
            continue
        name = flight.id + chr(ord("a") + seen[flight.id] - 1)
        treads = tuple(replace(t, id=f"{name}/{i}") for i, t in enumerate(flight.treads, start=1))
        out.append(replace(flight, id=name, treads=treads, landings=renamed(flight.landings, flight.id, name)))
    return out


def _unmeasured(form: Form, project: Project, plot: Plot) -> list[Finding]:
    """A word about a foot on ground whose level is only guessed from the nearest that was measured."""
    if form.crossing.low_flat:
        return []
    off = float(off_ground_m(plot.surface, form.foot_landing).max())
    if off < 0.1:
        return []
    line = form.crossing.line.id
    text = (
        f"The steps over {line} reach {length_text(off, project.units)} beyond the ground that was measured; their "
        "lowest riser is only as right as the level guessed there."
    )
    cure = Cure("measure-foot", f"take a reading at the foot of the steps before {line}")
    return [Finding("terraces.flight_unmeasured", Verdict.WATCH, text, line, cures=(cure,))]
