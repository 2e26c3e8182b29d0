"""The planting sheet: every plant at its place with the room it grows to, a letter for each species, light by bed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from math import cos, pi, sin

from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import landing_items, landing_key
from lynchet.drawings.letters import ASCENT, DESCENT, printable, width
from lynchet.drawings.model import Area, Item, Label, Sheet, Symbol, Text, View
from lynchet.drawings.paper import paper_of
from lynchet.drawings.pipes_under import shallow_items, shallow_notes
from lynchet.drawings.plan_built import bed_items, flight_items, wall_items
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.plan_sheet import Told, plan_sheet, spare_mm
from lynchet.drawings.plan_signs import north_items
from lynchet.drawings.plan_stays import stay_items
from lynchet.drawings.planting_links import link_items, tree_names
from lynchet.drawings.planting_list import planting_list_names
from lynchet.drawings.planting_names import clear_place
from lynchet.drawings.planting_rows import LIGHT_SAID, bed_rows, letters, plant_rows
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, KeyEntry, Note, Rows
from lynchet.drawings.symbols import circle
from lynchet.planting.model import Planting, Species

Point = tuple[float, float]
Box = tuple[float, float, float, float]
ID = "planting"
TITLE = "Planting plan"
_LARGEST = {"metric": 50, "us": 48}
_ROOM = (8.0, 8.0, 8.0, 8.0)
_LETTER_MM = 2.2
_AIR_MM = 0.25
_SQUARE_MM = 8.0
_HARMS = {"people": "Harms people and animals if eaten", "skin": "Hurts the skin",
          "animals": "Harms pets or other animals if eaten"}  # fmt: skip
_SPREAD = "May spread where not wanted"


@dataclass
class _Taken:
    """Boxes of the letters drawn so far, by the squares of the paper they touch."""

    squares: dict[tuple[int, int], list[Box]]

    def add(self, box: Box) -> bool:
        """Take a box, unless it meets one taken before."""
        touched = [(x, y) for x in range(int(box[0] // _SQUARE_MM), int(box[2] // _SQUARE_MM) + 1)
                   for y in range(int(box[1] // _SQUARE_MM), int(box[3] // _SQUARE_MM) + 1)]  # fmt: skip
        for square in touched:
            for b in self.squares.get(square, ()):
                if box[0] < b[2] and box[2] > b[0] and box[1] < b[3] and box[3] > b[1]:
                    return False
        for square in touched:
            self.squares.setdefault(square, []).append(box)
        return True


def planting_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Its name, or nothing where there is nothing to show."""
    return (ID,) if plan.planted.plantings else ()


def planting_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The planting sheet of a plan; None where nothing is planted.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    if not planting_sheet_names(plan):
        return None
    figures, system = Figures(plan.project.units), plan.project.units
    points = [*plan.project.area.outline_m, *(p for run in plan.walls.runs for p in run.outline_m)]
    layout = lay_out(plan, paper_of(plan.project), _ROOM, points, _LARGEST[system])
    view = layout.view
    items = [*_ground(plan, view, figures), *plant_items(plan, view)]
    items += north_items(plan, layout, items)
    whole = layout.with_items(items)
    return plan_sheet(plan, stamp, whole, _told(plan, stamp, whole, figures))


def _told(plan: Planned, stamp: Stamp, view: View, figures: Figures) -> Told:
    """The key with every plant, cautions and beds: each plant with its botanical name where there is room for that.

    Where there is little room each has one line, else a line of a table; where there is too little for all plants and
    beds they stand on a list of their own. None is ever left out.
    """
    caution, words = _cautions(plan), (("landing", landing_key(plan, figures)),)
    pipes = shallow_notes(plan, figures)
    dots = any(item.id.startswith("link-") for item in view.items)
    bare = Told(ID, "planting", TITLE, _alt(plan), (caution, *pipes), caution.text, words, (_crown_entry(dots),))
    if planting_list_names(plan):
        elsewhere = Note("Plants and beds", "Letters, numbers and distances of the plants, and the light of the beds: "
                         "on the plant list.")  # fmt: skip
        return replace(bare, parts=(caution, *pipes, elsewhere))
    beds, listed = _beds(plan, figures), letters(plan)
    keyed = [[_entry(one, letter, count, (figures, whole)) for one, letter, count in listed] for whole in (True, False)]
    ways = [replace(bare, parts=(caution, *pipes, beds), entries=(*plants, *bare.entries)) for plants in keyed]
    ways.append(replace(bare, parts=(caution, *pipes, _table(plan, figures), beds)))
    return next((way for way in ways if spare_mm(plan, stamp, view, way) >= 0.0), ways[-1])


def plant_items(plan: Planned, view: View) -> Iterable[Item]:
    """Every plant once: its letter where there is room for one, else a dot; and how wide its kind grows."""
    known = {species.botanical_name: letter for species, letter, _ in letters(plan)}
    taken = _Taken({})
    for planting in plan.planted.plantings:
        letter = known[planting.species.botanical_name]
        name = planting.id.replace("/", "-")
        rings = tuple(_crown(point, planting.species.spread_m / 2, view) for point in planting.points_m)
        yield Area(id=f"crowns-{name}", layer="plants", rings=rings, pen="hair", role="plant", of=planting.id)
        own = list(_plants(planting, letter, view, taken))
        yield from own
        yield from link_items(planting, letter, [isinstance(item, Text) for item in own])


def _crown(at: Point, radius: float, view: View) -> tuple[Point, ...]:
    count = max(10, min(36, round(2 * pi * radius * 1000.0 / view.scale / 1.2)))
    x, y = at
    return tuple([(x + radius * c, y + radius * s) for c, s in _turns(count)])


@cache
def _turns(count: int) -> tuple[Point, ...]:
    """Corners of a circle of 1."""
    return tuple((cos(2 * pi * n / count), sin(2 * pi * n / count)) for n in range(count))


def _plants(planting: Planting, letter: str, view: View, taken: _Taken) -> Iterable[Item]:
    wide = width(letter, _LETTER_MM, "semibold") / 2 + _AIR_MM
    up, down = _LETTER_MM * (ASCENT - 0.5) + _AIR_MM, _LETTER_MM * (DESCENT + 0.5) + _AIR_MM
    for plant in planting.plants:
        x, y = view.paper(plant.point_m)
        box = (x - wide, y - up, x + wide, y + down)
        name = f"plant-{plant.id.replace('/', '-')}"
        if not taken.add(box):
            yield Symbol(id=name, layer="plants", name="dot", at=plant.point_m, role="plant", of=plant.id)
            continue
        yield Text(id=name, layer="plants", z=1, at=plant.point_m, text=letter, h=_LETTER_MM, weight="semibold",
                   anchor="c", shift_mm=(0.0, _LETTER_MM / 2), of=plant.id)  # fmt: skip


def _ground(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """Beds with their light, walls, steps, and what stays."""
    for item in bed_items(plan, view, figures):
        if not isinstance(item, Label):
            yield item
        elif item.id.startswith("bed-level"):
            sun = plan.planted.sun_of(item.of)
            light = LIGHT_SAID[sun.light if sun else "unknown"]
            name = replace(item, lines=(f"BED {item.of[1:]}", light), h=2.5, key="", style="plain", priority=0)
            bed = plan.terraces.face(item.of)
            # Its light stands in the table too: where there is no clear place for both, the name alone.
            for said in (name, replace(name, lines=name.lines[:1]), replace(name, lines=name.lines[:1], h=_LETTER_MM)):
                clear = clear_place(plan, bed, said, view) if bed is not None else None
                if clear is not None:
                    yield replace(said, anchor=clear)
                    break
            else:
                yield replace(name, lines=name.lines[:1], h=_LETTER_MM)
    yield from wall_items(plan)
    yield from (item for item in landing_items(plan, figures) if not isinstance(item, Label))
    yield from (item for item in flight_items(plan) if not isinstance(item, Label))
    yield from shallow_items(plan)
    trees = {f"fixed-{thing.id}-{part}" for thing in plan.project.fixed for part in ("crown", "stem")}
    for item in stay_items(plan, view, figures):
        if item.id.startswith("house") or item.id in trees:
            yield item
    yield from tree_names(plan, view)


def _entry(species: Species, letter: str, count: int, how: tuple[Figures, bool]) -> KeyEntry:
    """A plant of the key: its letter, number, name and distance; with its botanical name if asked for."""
    figures, whole = how
    apart = f", {figures.apart(species.spacing_m)} apart"
    botanical = f" ({species.botanical_name})" if whole else ""
    said, size = printable(f"{count} {species.common_name}{botanical}{apart}"), 2.6 if whole else 2.1

    def sample(x: float, y: float) -> list[Item]:
        ring = Area(id=f"sample-{letter}", layer="key", rings=(circle((x, y), size),), pen="hair", role="plant")
        text = Text(id=f"sample-{letter}-l", layer="key", at=(x, y + 1.1), text=letter, h=_LETTER_MM,
                    weight="semibold", anchor="c")  # fmt: skip
        return [ring, text]

    return KeyEntry(f"plant {letter}", said, sample, 2 * size + 0.6)


def _crown_entry(dots: bool) -> KeyEntry:
    """What a circle is, and where some plants have no room for their letter, what their dot is."""
    dot = "; a dot: of the letter its line leads to" if dots else ""

    def sample(x: float, y: float) -> list[Item]:
        ring = Area(id="sample-crown", layer="key", rings=(circle((x, y), 2.4),), pen="hair", role="plant")
        return [ring, Symbol(id="sample-dot", layer="key", name="dot", at=(x, y), role="plant")]

    return KeyEntry("crown", f"a plant, its circle as wide as it grows{dot}", sample, 5.2)


def _table(plan: Planned, figures: Figures) -> Rows:
    columns = (Column("", 0.09, "l"), Column("plant", 0.59, "l"), Column("number", 0.14), Column("apart", 0.18))
    rows = tuple((letter, name, count, apart) for letter, name, _, count, apart in plant_rows(plan, figures))
    return Rows("Plants", columns, rows, "see the plants' page")


def _beds(plan: Planned, figures: Figures) -> Rows:
    columns = (Column("bed", 0.12, "l"), Column("light", 0.34, "l"), Column("sun", 0.18), Column("ground", 0.2),
               Column("plants", 0.16))  # fmt: skip
    return Rows("Beds and their light", columns, tuple(bed_rows(plan, figures)), "see the plants' page")


def _cautions(plan: Planned) -> Note:
    """Who should read the cautions of the book before buying, by letter."""
    known = {species.botanical_name: letter for species, letter, _ in letters(plan)}
    kinds: dict[str, list[str]] = {words: [] for words in (*_HARMS.values(), _SPREAD)}
    for one in plan.planted.cautions:
        letter = known.get(one.botanical_name)
        words = [_HARMS[who] for who in one.harms] if one.kind == "poison" else [_SPREAD] * (one.kind == "spread")
        if letter is not None:
            for kind in words:
                kinds[kind] += [] if letter in kinds[kind] else [letter]
    said = [f"{words}: {', '.join(found)}." for words, found in kinds.items() if found]
    said.append(
        "A plant without a warning may still harm or spread: look each one up. Set all plants out on the bed "
        "before planting the first."
    )
    return Note("Before you buy", " ".join(said), warn=True)


def _alt(plan: Planned) -> str:
    count = sum(planting.count for planting in plan.planted.plantings)
    return f"Plan of the beds with {count} plants of {len(letters(plan))} kinds at their places, and a key with counts."
