"""What the labels of a picture of the work say: the names of what came that day, with the size one checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from lynchet.drawings.axo_labels import MOST, Wish
from lynchet.drawings.axo_scene import Part, Scene
from lynchet.drawings.axo_window import Window
from lynchet.drawings.figures import Figures
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan

WORDS: dict[str, str] = {
    "trench": "trench, dug to {level}",
    "bench": "bench cut to {level}",
    "fill": "fill, tamped in thin layers, up to {level}",
    "bed soil": "bed soil up to {level}, not tamped",
    "mulch": "mulch, {small} thick",
    "existing ground": "ground as it was",
    "stone bed": "stone bed, {small} thick, tamped",
    "stone": "drain stone",
    "first": "first course, level all along",
    "course": "course {row}",
    "tie": "tie with its cross-piece",
    "step": "step: box of timber, filled",
    "drain pipe": "drain pipe with holes",
    "solid pipe": "pipe without holes",
    "roof pipe": "pipe from the roof",
    "fitting": "fitting of the drain",
    "outlet": "outlet, stones round it",
    "soakaway": "soakaway",
    "cut-off": "drain that catches water above",
    "fabric": "filter fabric round the stone",
    "plant": "{count} plants",
    "stands": "stands from the days before",
}
"""Words by what is named; {level}, {small}, {row}, {count} are filled in."""
_ORDER = ("trench", "stone bed", "first", "course", "tie", "cross-piece", "drain pipe", "fabric", "stone", "solid pipe",
          "outlet", "bench", "fill", "step", "bed soil", "plant", "mulch")  # fmt: skip


def wishes(days: BuildingDays, day: int, scene: Scene, figures: Figures) -> list[Wish]:
    """Labels of a picture, the most telling first.

    Args:
        days: of the plan.
        day: from 1.
        scene: what is seen.
        figures: for numbers.
    """
    found: dict[str, tuple[str, Any]] = {}
    for part in scene.parts:
        if not part.new or (part.side == "round" and part.kind == "fitting"):
            continue
        name, words = _said(days, part, figures)
        at = _largest(part.shape)
        if name and (name not in found or at.area > found[name][1].area):
            found[name] = words, at
    fabric = [line for line, new in scene.fabric if new]
    wished = [Wish(name, words, _inside(shape)) for name, (words, shape) in found.items()]
    if fabric:
        (ax, ay), (bx, by) = fabric[0][1:3]
        wished.append(Wish("fabric", WORDS["fabric"], ((ax + bx) / 2.0, (ay + by) / 2.0)))
    wished.sort(key=lambda wish: (_rank(wish.id), wish.id))
    plants = [part for part in scene.parts if part.kind == "plant" and part.new]
    if plants:
        wished = [wish for wish in wished if wish.id != "plant"]
        count = sum(days.day_of(thing.id) == day for thing in days.things if thing.kind == "plant")
        wished.append(Wish("plant", WORDS["plant"].format(count=count), _inside(_largest(plants[0].shape))))
    return [*wished, *_before(scene)][:MOST]


def _before(scene: Scene) -> Iterator[Wish]:
    """What was there already, told once."""
    ground = [_largest(part.shape) for part in scene.parts if part.kind == "existing ground" and part.side == "top"]
    if ground:
        yield Wish("existing ground", WORDS["existing ground"], _inside(max(ground, key=lambda one: one.area)), False)
    old = [_largest(part.shape) for part in scene.parts if part.thing is not None and not part.new]
    if old:
        yield Wish("stands", WORDS["stands"], _inside(max(old, key=lambda one: one.area)), False)


def _said(days: BuildingDays, part: Part, figures: Figures) -> tuple[str, str]:
    """Name and words of a part; empty where it needs no label."""
    thing, cell = part.thing, part.cell
    if cell is not None:
        name = cell.task.rpartition("/")[2] if part.kind == "dug ground" else part.kind
        if part.side == "cut" and name in ("trench", "bench"):
            return "", ""
        text = WORDS.get(name, "")
        return name, text.format(
            level=figures.ground(cell.top[2]), small=figures.small_words(cell.top[2] - cell.bottom[2])
        )
    if thing is None:
        return part.kind, ""
    if part.kind == "timber":
        leg, course = days.course_of(thing.id)
        row = course - days.plan.walls.leg(leg).lowest_course + 1
        first = days.coming[thing.id].task.endswith("/first course")
        return ("first", WORDS["first"]) if first else (f"course {row}", WORDS["course"].format(row=row))
    name = {"cross-piece": "tie"}.get(part.kind, part.kind)
    return name, WORDS.get(name, "").format(small=figures.small_words(thing.top_m - thing.bottom_m))


def _rank(name: str) -> int:
    first = name.partition(" ")[0] if name.startswith("course") else name
    return _ORDER.index(first) if first in _ORDER else len(_ORDER)


def _largest(shape: Any) -> Any:
    return max(getattr(shape, "geoms", [shape]), key=lambda one: one.area)


def _inside(shape: Any) -> tuple[float, float]:
    """A point well inside a polygon."""
    from shapely import maximum_inscribed_circle

    line = maximum_inscribed_circle(shape, tolerance=0.01)
    x, y = line.coords[0]
    return float(x), float(y)


def picture_words(plan: Plan, day: int, window: Window, asked: Sequence[Wish]) -> str:
    """The picture in words."""
    where = "the whole yard" if window.whole else f"the ground cut open at wall {window.leg}"
    new = "; ".join(wish.words for wish in asked if wish.strong)
    told = f" New on this day: {new}." if new else " Nothing new is built on this day."
    return f"Day {day} of {len(plan.works.days)}: {where}, seen from its lower side.{told}"
