"""Wall sheets: walls by course, in parts of paper length, with their laying order and both heights."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lynchet.core.enumerated import enumerated
from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import end_words, pad_words
from lynchet.drawings.model import Item, Sheet, Text, View
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import paper_of
from lynchet.drawings.section import both_scales
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, Note, Rows, strip
from lynchet.drawings.wall_above import above_items
from lynchet.drawings.wall_elevation import part_items
from lynchet.drawings.wall_face import Face
from lynchet.drawings.wall_facts import built_m
from lynchet.drawings.wall_notes import beside_pictures
from lynchet.drawings.wall_order import (
    courses,
    left_end_words,
    length_words,
    level_words,
    order_items,
    pin_words,
    stands_whole,
    weep_words,
)
from lynchet.drawings.wall_pages import (
    HEAD_MM,
    Block,
    Page,
    legs_on,
    order_at,
    page_names,
    taken_on,
    wall_pages,
)
from lynchet.drawings.wall_sizes import size_items
from lynchet.drawings.wall_used import used_notes
from lynchet.drawings.wall_words import goes_on_words, said_of
from lynchet.plan.flight_places import flight_places
from lynchet.water.model import Notch

CHECKS = (
    "Top level end to end. Joints clear of the joints below. Cut ends brushed with end-cut liquid before they are "
    "laid. Wear gloves, mask and glasses when cutting treated timber; no offcuts on a fire."
)
ONCE = (
    "Look once: top level end to end, face upright or leaning back as it was built. After the first heavy rain look "
    "again: no bulge, no leaning forward, no soil washed out; pipes and weep holes run."
)
"""What is left to look at where a wall stands."""
HEIGHTS = (
    "Seen: finished ground in front to the top. With buried: underside of the lowest timber to the top. Offices count "
    "one or the other: ask which."
)


def wall_sheets(plan: Planned, stamp: Stamp, legs: Sequence[str] = ()) -> tuple[Sheet, ...]:
    """The sheets of the walls; none where nothing stands.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
        legs: ids of legs; empty = all walls, as many to a sheet as it holds.
    """
    pages = wall_pages(plan, legs)
    names = page_names(pages)
    return tuple(_sheet(plan, page, (names[n], _titled(pages, n)), stamp) for n, page in enumerate(pages))


def _titled(pages: Sequence[Page], n: int) -> str:
    """ "Wall W2", "Walls A0 and A2", "Wall A0 (1 of 2)": the walls of a sheet, with those that go on on another."""
    said = []
    for leg in legs_on(pages[n]):
        on = [k for k, page in enumerate(pages) if leg in legs_on(page)]
        said.append(leg + (f" ({on.index(n) + 1} of {len(on)})" if len(on) > 1 else ""))
    return f"Wall{'' if len(said) == 1 else 's'} {enumerated(said)}"


def _sheet(plan: Planned, page: Page, named: tuple[str, str], stamp: Stamp) -> Sheet:
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    name, title = named
    views, heads = [], []
    for k, block in enumerate(page):
        view, said = block.view, said_of(block.face, block.shown, block.view.scale, figures)
        items = tuple(_drawn(block, figures))
        views.append(View(view.id, view.kind, view.scale, items, view.region, said[0], view.at_world, view.at_paper))
        heads += _heads(block, k, said, figures)
        if block.order:
            heads += order_items(block.face, block.parts, order_at(page, block, paper.field[2] - 4.5), figures)
    scales = tuple(sorted({view.scale for view in views}))
    fields = stamp.fields(name, f"{title} by course", both_scales(scales[0], scales[-1], figures), plan)
    entries = key.entries([item for view in views for item in view.items], figures)
    faces = {block.face.leg.id: block.face for block in page}
    notes_of: tuple[Note | Rows, ...] = (
        *_laying(page, figures),
        *_stand_note(tuple(faces.values()), figures),
        *_steps_along(plan, tuple(faces), figures),
        *_landings(plan, tuple(faces), figures),
        *used_notes(tuple(faces.values()), figures),
        *numbered(views, [view.title.split(",")[0] for view in views]),
        # Last what is the same on every sheet: where the strip is short it is what is cut.
        *_course_note(tuple(faces.values())),
        Note("Heights counted both ways", HEIGHTS),
    )
    whole = Content(title, entries, notes_of, scales)
    content, beside = beside_pictures(paper, fields, whole, taken_on(page, paper))
    marks, notes = strip(paper, fields, content, figures)
    alt = " ".join(_alt(face, figures) for face in faces.values())
    cautions = tuple(note.text for note in notes_of if isinstance(note, Note) and note.title.startswith("Check "))
    return Sheet(name, "wall", paper, fields, tuple(views), (*heads, *beside, *marks), stamp.theme, cautions=cautions,
                 alt=alt, notes=notes)  # fmt: skip


def _course_note(faces: Sequence[Face]) -> Iterable[Note]:
    """What to look at course by course, where any is still to be laid."""
    if not all(stands_whole(face) for face in faces):
        yield Note("Check each course", CHECKS)


def _stand_note(faces: Sequence[Face], figures: Figures) -> Iterable[Note]:
    """What to look at once where walls stand to their tops, and notches that may still have to be sawn."""
    there = [face.leg.id for face in faces if stands_whole(face)]
    if there:
        who = "This wall stands" if len(faces) == 1 else f"{enumerated(there)} stand{'s' if len(there) == 1 else ''}"
        cuts = [f"{face.leg.id}, {figures.words(face.x(notch.station_m), 8)} from its left end"
                for face in faces if face.leg.id in there for notch in _closed(face)]  # fmt: skip
        saw = f" Not known to be open for a pipe, to be sawn: the notch of {'; '.join(cuts)}." if cuts else ""
        yield Note("Check what stands", f"{who}. {ONCE}{saw}")


def _closed(face: Face) -> list[Notch]:
    """Notches of a wall through timber that stands and is not known to be open there."""
    known, half = face.plan.walls.standing.leg(face.leg.id), face.plan.project.drain.outside_m / 2
    notches = face.plan.water.notches_of(face.leg.id) if known else ()
    return [one for one in notches if known and known.closed(one.courses, one.station_m, half)]


def _steps_along(plan: Planned, legs: Sequence[str], figures: Figures) -> Iterable[Rows]:
    """Both sides of every flight over these walls, from the wall's left end."""
    rows = tuple((one.flight, one.leg, figures.height(one.left_m), figures.height(one.right_m))
                 for one in flight_places(plan) if one.leg in legs)  # fmt: skip
    columns = (Column("steps", 0.19, "l"), Column("wall", 0.17, "l"), Column("left side", 0.32),
               Column("right side", 0.32))  # fmt: skip
    if rows:
        yield Rows("Steps, from the left end", columns, rows, "see the setting-out card", in_full=True)


def _landings(plan: Planned, legs: Sequence[str], figures: Figures) -> tuple[Note, ...]:
    """What is to be built up at the foot and the head of steps over these walls, each flight by its name."""
    over = [one for one in plan.terraces.flights if set(legs) & {one.line, *one.lines}]
    pads = pad_words(plan, figures, [one.id for one in over]) if over else ""
    words = [pads] if pads else []
    for flight in over:
        first, *more = end_words(plan, flight, figures) or ("",)
        words += [f"{flight.id}: {first[:1].lower()}{first[1:]}", *more] if first else []
    said = " ".join(f"{text[:1].upper()}{text[1:]}." for text in words)
    return (Note("Landings of steps", said),) if said else ()


def _drawn(block: Block, figures: Figures) -> Iterable[Item]:
    """What a view shows."""
    shown = block.shown
    if isinstance(shown[1], tuple):
        yield from above_items(block.face, int(shown[0]), (shown[1], block.view.scale), figures)
    else:
        part = (shown[0], shown[1])
        yield from part_items(block.face, part, figures)
        yield from size_items(block.face, part, figures)


def _heads(block: Block, k: int, said: tuple[str, str], figures: Figures) -> list[Item]:
    """Title of a picture and the line under it; one line where a wall goes on."""
    left, top = block.view.region[0] + 2.0, block.view.region[1] - block.head_mm + 1.0
    if block.head_mm < HEAD_MM:
        words = goes_on_words(block.face, (block.shown[0], block.shown[1]), figures)  # type: ignore[arg-type]
        return [Text(id=f"head-{k}", layer="labels", at=(left, top + 5.0), text=words, weight="semibold")]
    return [
        Text(id=f"head-{k}", layer="labels", at=(left, top + 5.0), text=said[0], h=4.0, weight="bold"),
        Text(id=f"under-{k}", layer="labels", at=(left, top + 10.0), text=said[1]),
    ]


def _laying(page: Page, figures: Figures) -> Iterable[Note | Rows]:
    """Courses that show on the sheet, and the pins and weep holes of what shows, of walls that have them not beside
    their picture."""
    beside = {block.face.leg.id for block in page if block.order}
    legs = [leg for leg in legs_on(page) if leg not in beside]
    alone, unit = len(legs_on(page)) == 1, "" if figures.system == "us" else " m"
    lines: list[tuple[str, ...]] = []
    pins, lengths, holes, backs, ends = list[str](), list[str](), list[str](), list[str](), list[str]()
    for leg in legs:
        blocks = [block for block in page if block.face.leg.id == leg]
        parts = [(one.shown[0], one.shown[1]) for one in blocks if not isinstance(one.shown[1], tuple)]
        face = blocks[0].face
        rows = courses(face, parts or [(0.0, face.length_m)], figures)
        lines += rows if alone else [(leg, *row) for row in rows]
        pins += [f"{leg}: {said}{unit}" for said in (pin_words(face, parts, figures),) if said]
        holes += [f"{leg}: {said}{unit}" for said in (weep_words(face, parts, figures),) if said]
        lengths += [f"{leg}: {said}" for said in (length_words(face, parts, figures),) if said]
        backs += [f"{leg}: {said}" for said in (level_words(face),) if said]
        ends += [f"{leg}: {said}" for said in (left_end_words(face, figures),) if said]
    if not lines:
        return
    columns: tuple[Column, ...] = (Column("course", 0.16, "l"), Column("lay from the left", 0.58, "l"),
                                   Column("bottom at", 0.26))  # fmt: skip
    if not alone:
        columns = (Column("wall", 0.13, "l"), Column("course", 0.15, "l"), Column("lay from the left", 0.48, "l"),
                   Column("bottom at", 0.24))  # fmt: skip
    title = f"Laying order, wall {legs[0]}" if alone else "Laying order"
    if alone and stands_whole(blocks[0].face):
        title = f"Wall {legs[0]} stands: nothing to lay"
    yield Rows(title, columns, tuple(lines), "at the end of the book", in_full=True)
    if backs:
        yield Note("Back to level", "; ".join(backs) + ".")
    if lengths:
        yield Note("No room in the piece", f"Lengths{', mm' if unit else ''}: {'; '.join(lengths)}.")
    if ends:
        yield Note("Left end of the timber", "; ".join(ends) + ".")
    if pins:
        yield Note("Pins, from the left end", "; ".join(pins) + ".")
    if holes:
        yield Note("Weep holes, from the left end", "; ".join(holes) + ".")


def _alt(face: Face, figures: Figures) -> str:
    leg = face.leg
    count = sum(piece.leg == leg.id for piece in face.plan.pieces)
    long = figures.words(built_m(face.plan, leg))
    return f"Wall {leg.id}, {long} long, by course: {count} pieces with their marks and lengths."
