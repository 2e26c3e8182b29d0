"""Details cut across: tie with cross-piece, drain and notch, house edge, flight of steps, cap."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import partial

from lynchet.drawings.detail_faces import face_items, face_window
from lynchet.drawings.detail_model import BESIDE, Detail, Picture, Window, also
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import pad_words
from lynchet.drawings.model import Area, Dim, Item, Label, Leader, Line, Text
from lynchet.drawings.pipe_list import pipes
from lynchet.drawings.plan_built import walk
from lynchet.drawings.section_cells import place_items, place_window
from lynchet.drawings.section_data import Cutting, cutting, stretches
from lynchet.drawings.section_detail import detail_items, detail_window
from lynchet.drawings.section_drains import place_of, square_cut
from lynchet.drawings.section_line import Cut
from lynchet.drawings.section_places import Place, section_places
from lynchet.drawings.wall_face import Face, Interval, face_of
from lynchet.plan.model import Plan
from lynchet.stability.model import Tie
from lynchet.terraces.model import Flight
from lynchet.terraces.step_frames import packed_m
from lynchet.water.model import Drain, Notch

_UNDER_MM = 16.0
_ASIDE_MM = 12.0
_OVER_MM = 4.0
_BEYOND_TIE_M = 0.12
_FRONT_M = 0.2
_UNDER_TIE_M = 0.45
_OVER_TIE_M = 0.28
_DRAIN_HIGH_M = 0.82
_HALF_M = 0.22
_BEHIND_M = 0.42
_BESIDE_M = 0.42
_BED_M = 0.8
_INTO_M = 0.25


def tie_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The longest tie, cut along it."""
    ties = plan.stability.ties
    if not ties:
        return
    tie = max(ties, key=lambda one: (round(one.length_m, 3), one.top_m))
    leg = plan.walls.leg(tie.leg)
    cut = square_cut(leg, tie.station_m, tie.held, _FRONT_M, tie.length_m + _BEYOND_TIE_M)
    found = cutting(plan, cut)
    if not found.of_leg(leg.id) or len(found.before) < 2:
        return
    _, low, _, high = detail_window(plan, found, leg.id)
    window = (0.0, max(low, tie.bottom_m - _UNDER_TIE_M), cut.length_m, min(high, tie.top_m + _OVER_TIE_M))
    picture = Picture("section", window, partial(_tie_items, plan, (found, cut, tie), (window, figures)), (),
                      (17.0, 12.0, 14.0, 18.0))  # fmt: skip
    run = next((run for run in plan.walls.runs_of(leg.id, tie.course)), None)
    row = f"course {run.row}" if run else "its course"
    every = sorted({one.station_m for one in plan.stability.ties_of(leg.id)})
    words = (
        f"Fill and tamp up to the underside of {row}, then lay the tie level, square to the wall: "
        f"{figures.words(tie.length_m, 8)} from the back of the wall to the far side of the cross-piece.",
        f"Lay the cross-piece, {figures.words(tie.cross_length_m, 8)} long, across its end, on undisturbed or tamped "
        "ground.",
        *_tie_screws(plan, figures),
        f"Tamp over tie and cross-piece before {row} is loaded. {leg.id} has {len(every)}: see its sheet.",
    )
    legs = list(dict.fromkeys(one.leg for one in ties))
    yield Detail("tie", "Tie with cross-piece", also(leg.id, legs), (picture,), words,
                 "Never cut or leave out a tie. Nobody works alone in a trench.", 3)  # fmt: skip


def _tie_screws(plan: Plan, figures: Figures) -> Iterator[str]:
    for line in plan.timber.fastener_lines:
        if line.kind == "tie screw":
            drill = f"Drill {figures.small_words(line.drill_m)} first. " if line.drill_m else ""
            driven = sum(one.kind == "tie screw" for one in plan.timber.fasteners)
            count = driven // (2 * len(plan.stability.ties))
            each = f"{count} screws" if count > 1 else "screws"
            yield (f"{drill}Drive {each} from the front of the wall into the tie, as many through the cross-piece: "
                   f"{figures.small_words(line.diameter_m)} by {figures.small_words(line.length_m)}.")  # fmt: skip


def _tie_items(plan: Plan, shown: tuple[Cutting, Cut, Tie], look: tuple[Window, Figures], scale: int) -> Iterable[Item]:
    (found, cut, tie), (window, figures) = shown, look
    yield from _plain(detail_items(plan, found, tie.leg, (window, figures, scale)))
    near = plan.project.timber.thickness_m
    stations = [cut.station_of(point) for point in (*tie.outline_m, *tie.cross_outline_m)]
    ends = tuple((x, window[1]) for x in (min(stations), max(stations)))
    yield Dim(id="tie-length", layer="dimensions", pts=ends, values_m=(tie.length_m,), along="h",
              texts=(figures.length(tie.length_m, 8),), off_mm=-11.0)  # fmt: skip
    for one in plan.timber.fasteners:
        here = one.leg == tie.leg and one.course == tie.course and abs(one.station_m - tie.station_m) < near
        if one.kind == "tie screw" and here:
            level = (one.top_m + one.bottom_m) / 2
            pts = ((cut.station_of(one.point_m), level), (cut.station_of(one.end_m), level))
            yield Line(id=f"screw-{one.id}", layer="pins", z=4, pts=pts, pen="visible", dash="short", key="tie screw",
                       of=one.id)  # fmt: skip


def _plain(items: Iterable[Item]) -> Iterator[Item]:
    """Without heights of the wall and levels: they are the wall sheet's, and the picture may be cut above."""
    return (item for item in items if not item.id.startswith(("height-", "head-", "level-")))


def drain_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The drain of the highest wall with a notch: seen from the front and cut across; without a notch cut alone."""
    drains = list(plan.water.drains)
    if not drains:
        return
    chains = {chain.id: chain for chain in plan.water.chains}

    def held(drain: Drain) -> tuple[bool, float]:
        _, _, _, notch = place_of(plan, drain, chains[drain.chain])
        return notch is not None, max(edge.held_height_m for edge in chains[drain.chain].edges)

    drain = max(drains, key=held)
    leg, station, side, notch = place_of(plan, drain, chains[drain.chain])
    cut = square_cut(leg, station, side, 0.2, _BEHIND_M)
    found = cutting(plan, cut)
    if not found.of_leg(leg.id) or len(found.before) < 2:
        return
    _, low, _, high = detail_window(plan, found, leg.id)
    levels = low + 0.1, min(high, low + _DRAIN_HIGH_M)
    window = (0.0, levels[0], cut.length_m, levels[1])
    pictures = [Picture("section", window, partial(_drain_items, plan, (found, leg.id), (window, figures)),
                        ("cut across",), (20.0, 12.0, 12.0, 22.0))]  # fmt: skip
    if notch is not None:
        pictures.insert(0, _notch_picture(plan, notch, levels, figures))
    name = next(pipe.name for pipe in pipes(plan) if pipe.id == drain.id)
    places = [f"{one.leg}" for one in plan.water.notches] or [leg.id]
    yield Detail("drain", "Drain and notch" if notch else "Drain behind the wall",
                 also(leg.id, places).rstrip(".") + f". Drain {name}.", tuple(pictures),
                 tuple(_drain_words(plan, drain, notch, figures)),
                 "Water first seen running out of the outlet, then fill: a blocked drain pushes the wall over.",
                 3)  # fmt: skip


def _notch_picture(plan: Plan, notch: Notch, levels: Interval, figures: Figures) -> Picture:
    face = face_of(plan, plan.walls.leg(notch.leg))
    x = face.x(notch.station_m)
    part = max(0.0, x - _HALF_M), min(face.length_m, x + _HALF_M)
    left, _, right, _ = face_window(face, part, 1)
    window = (left, levels[0], right, levels[1])
    return Picture("elevation", window, partial(_notch_items, face, (part, notch, window[1]), figures),
                   ("from the front",), (11.0, 12.0, 4.0, 22.0))  # fmt: skip


def _notch_items(face: Face, place: tuple[Interval, Notch, float], figures: Figures, scale: int) -> Iterable[Item]:
    part, notch, foot = place
    yield from face_items(face, part, figures)
    a, b = face.span(*notch.stations_m)
    yield Dim(id="notch-wide", layer="dimensions", pts=((a, foot), (b, foot)), along="h",
              values_m=(b - a,), texts=(figures.small(b - a),), off_mm=-4.0)  # fmt: skip
    high = notch.top_m - notch.bottom_m
    yield Dim(id="notch-high", layer="dimensions", pts=((part[0], notch.bottom_m), (part[0], notch.top_m)), along="v",
              values_m=(high,), texts=(figures.small(high),), off_mm=6.0)  # fmt: skip


def _drain_items(plan: Plan, shown: tuple[Cutting, str], look: tuple[Window, Figures], scale: int) -> Iterable[Item]:
    (found, leg), (window, figures), named = shown, look, set[tuple[str, ...]]()
    for item in _plain(detail_items(plan, found, leg, (window, figures, scale))):
        if isinstance(item, Label) and item.id.startswith("stone-of"):
            yield from () if item.lines in named else _over(item, window)
            named.add(item.lines)
            continue
        if not (isinstance(item, Label) and item.id.startswith("name-bore")):
            yield item
            continue
        # Under the picture, where nothing is crossed but stone.
        at = (item.anchor[0][0], window[1])
        for n, line in enumerate(item.lines):
            yield Text(id=f"{item.id}-{n}", layer="labels", at=at, text=line, anchor="c",
                       shift_mm=(_ASIDE_MM, _UNDER_MM + 3.9 * n))  # fmt: skip
        yield Leader(id=f"{item.id}-leader", layer="labels", start=at, end=item.anchor[0],
                     start_mm=(_ASIDE_MM, _UNDER_MM - 3.4))  # fmt: skip


def _over(item: Label, window: Window) -> Iterator[Item]:
    """A name over the near end of the picture, with a line down to what it names: the stone is too narrow for it."""
    x, z = item.anchor[0]
    right = not item.id.endswith("--1")
    end = (min(max(x, window[0] + 0.03), window[2] - 0.03), min(z, window[3] - 0.05))
    at = (window[2] if right else window[0], window[3])
    yield Text(id=item.id, layer="labels", at=at, text=item.lines[0], anchor="r" if right else "l",
               shift_mm=(0.0, -_OVER_MM))  # fmt: skip
    yield Leader(id=f"{item.id}-leader", layer="labels", start=at, end=end,
                 start_mm=(-8.0 if right else 8.0, 0.8 - _OVER_MM))  # fmt: skip


def _drain_words(plan: Plan, drain: Drain, notch: Notch | None, figures: Figures) -> Iterator[str]:
    stone = next((one for one in plan.water.stone if one.chain == drain.chain and one.pipe), None)
    if stone is not None:
        yield (f"Lay fabric in the trench, stone {figures.small_words(stone.width_m)} wide on it, the pipe with its "
               "holes down.")  # fmt: skip
    low = min(drain.inverts_m)
    yield f"Set the pipe by level: inside bottom {figures.level(low)} at its lowest, rising to its ends."
    if notch is not None:
        yield _notch_words(plan, notch, figures)
    yield "Fold the fabric over the stone before soil goes on. Water poured in at the cleanout comes out below."


def _notch_words(plan: Plan, notch: Notch, figures: Figures) -> str:
    """How the opening comes about: left open, open already, or sawn into what stands."""
    wide, high = figures.small_words(notch.width_m), figures.small_words(notch.top_m - notch.bottom_m)
    from_left = figures.words(face_of(plan, plan.walls.leg(notch.leg)).x(notch.station_m), 8)
    size = f"the notch {wide} wide, {high} high, its middle {from_left} from the left end of {notch.leg}"
    known = plan.walls.standing.leg(notch.leg)
    if known is None or not any(known.stands(course, notch.station_m) for course in notch.courses):
        return f"Leave {size}: the timber stops on both sides of it. Brush the cut ends."
    if known.closed(notch.courses, notch.station_m, plan.project.drain.outside_m / 2):
        return (f"Where it is not open yet, saw {size}, into the timber that stands: first find its pins, screws and "
                "ties. Brush the cut.")  # fmt: skip
    return f"Lay the pipe through {size}: it stands open."


def house_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The first bed beside a house."""
    places = [place for place in section_places(plan, figures) if place.flight is None and not place.drain]
    if not places:
        return
    place = places[0]
    cut = place.cut
    house = [a for one in cutting(plan, cut).houses for a in (one.start_m,)]
    face = max(house, default=cut.length_m - _INTO_M)
    near = Cut(cut.at(max(0.0, face - _BED_M)), cut.at(min(cut.length_m, face + _INTO_M)))
    place = replace(place, cut=near)
    picture = _place_picture(plan, place, figures)
    words = (
        *(f"{line}." for line in place.under),
        "Keep soil, mulch and timber clear of its siding, vents and damp course.",
        "Shape the ground so that water runs away from the house.",
    )
    used = also(f"{place.title[:1].lower()}{place.title[1:]}", [one.title.lower() for one in places])
    yield Detail("house-edge", "Edge at the house", used + f" Section {place.letter}–{place.letter}.", (picture,),
                 words, "Do not dig under or beside a footing: ask first.")  # fmt: skip


def flight_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """The flight with the most risers that has a step of its own."""
    places = [place for place in section_places(plan, figures) if place.flight is not None]
    stepped = [place for place in places if place.flight is not None and place.flight.treads]
    if not stepped:
        return
    place = max(stepped, key=lambda one: one.flight.risers if one.flight else 0)
    flight = place.flight
    assert flight is not None
    (fx, fy), (hx, hy), (dx, dy) = *walk(flight), flight.direction
    near = Cut((fx - _BESIDE_M * dx, fy - _BESIDE_M * dy), (hx + _BESIDE_M * dx, hy + _BESIDE_M * dy))
    picture = _place_picture(plan, replace(place, cut=near), figures)
    names = [", ".join(one.flight.lines or (one.flight.line,)) for one in places if one.flight]
    rise, going = figures.small_words(flight.riser_m), figures.small_words(flight.going_m)
    words = (
        f"Set each top by level: {flight.risers} risers of {rise}, all alike; {going} from front to front, "
        f"{figures.words(flight.width_m, 8)} wide.",
        f"Lay the lowest box on tamped stone; {_box_filling(plan)}.",
        *_packed(plan, flight, figures),
        *_sides_through(plan),
        *([f"Build up and tamp {pad}."] if (pad := pad_words(plan, figures, (flight.id,))) else []),
        *_step_screws(plan, figures),
    )
    used = also(", ".join(flight.lines or (flight.line,)), names)
    yield Detail("flight", "Flight of steps", used + f" Section {place.letter}–{place.letter}.", (picture,), words,
                 "One riser unlike the others trips people: measure each before it is screwed.", 2)  # fmt: skip


def _box_filling(plan: Plan) -> str:
    """What goes into the boxes: soil where there is room between the timbers."""
    boxes = {piece.tread for piece in plan.timber.steps}
    hollow = {piece.tread for piece in plan.timber.steps if piece.hollow}
    if not hollow:
        return "each is timber all through, so no soil goes in"
    every = "every box" if boxes == hollow else "every box that has room between its timbers"
    return f"fill {every} with soil in layers and tamp it"


def _packed(plan: Plan, flight: Flight, figures: Figures) -> Iterator[str]:
    """How boxes between walls off their level come to risers that are alike."""
    off = packed_m(flight, plan.project.timber.course_m)
    if off:
        size = figures.small_words(abs(off))
        how = f"Lay {size} of treated packing under" if off > 0 else f"Saw {size} off the underside of"
        yield f"{how} every box that rests on another{'' if off > 0 else ', and treat the cut'}."


def _sides_through(plan: Plan) -> Iterator[str]:
    """How boxes are framed in which sides between front and back would be too short."""
    if any(piece.between and not piece.hollow for piece in plan.timber.steps):
        yield "Where a box is short its sides run from front to back, and front and back stand between them."


def _step_screws(plan: Plan, figures: Figures) -> Iterator[str]:
    for line in plan.timber.fastener_lines:
        if line.kind == "step screw":
            words = line.what[:1].upper() + line.what[1:]
            yield f"{words}: {figures.small_words(line.diameter_m)} by {figures.small_words(line.length_m)}."


def _place_picture(plan: Plan, place: Place, figures: Figures) -> Picture:
    found = cutting(plan, place.cut)
    window = place_window(found, place)
    around = (12.0, 9.0, 24.0, 14.0) if place.flight is None else (21.0, 9.0, 14.0, 14.0)
    draw = partial(_place_items, plan, (found, place), (window, figures))
    return Picture("section", window, draw, (), around)


def _place_items(plan: Plan, shown: tuple[Cutting, Place], look: tuple[Window, Figures], scale: int) -> Iterable[Item]:
    (found, place), (window, figures) = shown, look
    for item in place_items(found, place, window, (figures, scale)):
        if isinstance(item, Area) and item.id.startswith("tread-"):
            yield replace(item, fill="fill", hatch="fill", hatch_role="earth", key="fill")
        elif isinstance(item, Label) and item.id.startswith(BESIDE):
            yield replace(item, lines=tuple(word for line in item.lines for word in line.split()))
        else:
            yield item
    if place.flight is None:
        return
    line = place.cut.line()
    from shapely.geometry import Polygon

    for piece in plan.timber.steps:
        if piece.flight != place.flight.id:
            continue
        for a, b in stretches(place.cut, Polygon(piece.outline_m), line):
            ring = ((a, piece.bottom_m), (b, piece.bottom_m), (b, piece.top_m), (a, piece.top_m))
            yield Area(id=f"step-{piece.id}", layer="steps", z=1, rings=(ring,), fill="timber", pen="outline",
                       key="step timber", of=piece.id)  # fmt: skip
            for n, pts in enumerate(((ring[0], ring[2]), (ring[1], ring[3]))):
                yield Line(id=f"step-{piece.id}-x{n}", layer="steps", z=2, pts=pts, pen="hair", of=piece.id)
    steps = sorted((block.start_m, block.top0_m) for block in found.treads)
    for n, (start, top) in enumerate(steps):
        foot = place.flight.foot_level_m if n == 0 else steps[n - 1][1]
        yield Dim(id=f"riser-{n}", layer="dimensions", pts=((start, foot), (start, top)), along="v",
                  values_m=(top - foot,), texts=(figures.small(top - foot),), off_mm=4.5)  # fmt: skip


def cap_detail(plan: Plan, figures: Figures) -> Iterator[Detail]:
    """A cap the file asks for, on the top of the wall it is for."""
    caps = [one for one in plan.project.on_wall if one.kind == "cap"]
    legs = [leg for leg in plan.walls.legs if leg.segments and any(one.at in ("", leg.id) for one in caps)]
    if not legs:
        return
    leg = max(legs, key=lambda one: max(segment.top for segment in one.segments))
    segment = max(leg.segments, key=lambda one: one.end_m - one.start_m)
    station = (segment.start_m + segment.end_m) / 2
    cut = square_cut(leg, station, leg.span_at(station).held or 1, 0.3, 0.4)
    found = cutting(plan, cut)
    blocks = found.of_leg(leg.id)
    if not blocks or len(found.before) < 2:
        return
    cap = next(one for one in caps if one.at in ("", leg.id))
    top = blocks[-1]
    high = cap.height_m
    window = (top.start_m - 0.25, top.bottom_m - (top.top0_m - top.bottom_m), top.end_m + 0.3, top.top0_m + high + 0.05)
    picture = Picture("section", window, partial(_cap_items, (found, leg.id), (window, figures), high), (),
                      (20.0, 12.0, 8.0, 6.0))  # fmt: skip
    said = f"{figures.small_words(high)} high" if high > 0 else "its height is not in the file"
    words = (f"Lay the cap on the top course of {leg.id}, {said}; keep its joints off those of the top course.",
             "Fix it from above or below as its maker says; brush every cut end.")  # fmt: skip
    yield Detail("cap", "Cap", also(leg.id, [one.id for one in legs]), (picture,), words,
                 "A cap is no seat or rail unless it is checked as one.")  # fmt: skip


def _cap_items(shown: tuple[Cutting, str], look: tuple[Window, Figures], high: float, scale: int) -> Iterable[Item]:
    from lynchet.drawings.section_items import built_items, ground_items, soil_items

    (found, leg), (window, figures) = shown, look
    yield from soil_items(found, window, scale)
    yield from ground_items(found)
    yield from built_items(found, "stone large", cross=True)
    top = found.of_leg(leg)[-1]
    level = top.top0_m
    if high > 0:
        ring = ((top.start_m, level), (top.end_m, level), (top.end_m, level + high), (top.start_m, level + high))
        yield Area(id="cap", layer="walls", z=1, rings=(ring,), fill="timber", pen="outline", key="timber cut")
        yield Dim(id="cap-high", layer="dimensions", pts=((top.start_m, level), (top.start_m, level + high)), along="v",
                  values_m=(high,), texts=(figures.small(high),), off_mm=8.0)  # fmt: skip
    yield Label(id="cap-name", layer="labels", anchor=(((top.start_m + top.end_m) / 2, level + high),), lines=("cap",),
                gap_mm=3.0)  # fmt: skip
