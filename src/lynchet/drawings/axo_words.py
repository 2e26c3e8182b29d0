"""What the labels of a picture of the work say: the names of what came that day, with the size one checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, islice
from typing import Any

from lynchet.drawings.axo_labels import MOST, Wish
from lynchet.drawings.axo_scene import Part, Scene
from lynchet.drawings.axo_trenches import is_trench, trenches_of
from lynchet.drawings.axo_window import Window
from lynchet.drawings.day_figures import ground_tape
from lynchet.drawings.day_figures import size as short_size
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan
from lynchet.works.volumes import dug_for_soil

WORDS: dict[str, str] = {
    "pegs": "pegs, a level string from peg to peg",
    "trench": "trench, dug to {level}",
    "trench of": "trench of {wall}, dug to {level}",
    "trench here": "trench of {wall}, in steps, dug here to {level}",
    "bench": "bench cut to {level}",
    "bench dug": "dug out to {level} for bed soil",
    "bank": "bank, sloped 1 in 2",
    "bank topsoil": "topsoil laid back on the bank",
    "fill": "fill, tamped in thin layers, up to {level}",
    "strip": "path strip and landings, tamped",
    "bed soil": "bed soil up to {level}, not tamped",
    "mulch": "mulch, {small} thick",
    "existing ground": "ground as it was",
    "stone bed": "stone bed, {small} thick, tamped",
    "landing": "landing of stone, tamped level",
    "stone": "drain stone",
    "first": "first course, level all along",
    "course": "{wall}: {rows}",
    "wall": "timber walls",
    "tie": "tie with its cross-piece",
    "step": "step: box of timber, filled",
    "solid step": "step: timber all through",
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
    "one row": "course {number}",
    "more rows": "courses {numbers}",
    "and": "{first} and {last}",
    "to": "{first} to {last}",
    "whole yard": "the whole yard",
    "cut open": "the ground cut open at wall {wall}",
    "new": "Day {day} of {of}: {where}, seen from its lower side. New on this day: {new}.",
    "above": "{size} above the mark",
    "below": "{size} below the mark",
    "level": "the height of the mark",
    "nothing new": "Day {day} of {of}: {where}, seen from its lower side. Nothing new is built on this day.",
}
"""English words by what is named, with blanks; another language has them under the same names."""
Say = Mapping[str, str]
_ORDER = ("trench", "stone bed", "first", "course", "wall", "tie", "cross-piece", "drain pipe", "fabric", "stone",
          "solid pipe", "outlet", "bench", "bank", "fill", "step", "landing", "bed soil", "bank topsoil",
          "strip", "plant", "mulch")  # fmt: skip


_NO_SCRAP = 0.5
"""Share of the largest part seen that the part a label points at has at least."""
_END = 0.3
_LEAST_M = 0.2
_TRENCHES = 2
"""Walls of which the trench is told apart."""


def wishes(days: BuildingDays, day: int, scene: Scene, figures: Figures, say: Say) -> list[Wish]:
    """Labels of a picture, the most telling first.

    Args:
        days: of the plan.
        day: from 1.
        scene: what is seen.
        figures: for numbers.
        say: words by what is named, as ``WORDS`` has them.
    """
    every: dict[str, list[tuple[str, Any]]] = {}
    rows = _rows(days, scene)
    for part in scene.parts:
        if not part.new or (part.side == "round" and part.kind == "fitting") or is_trench(part):
            continue
        if part.kind == "timber":
            name, words = _of_timber(days, part, rows, scene.finished, say)
        else:
            name, words = _said(part, figures, say, days.plan)
        if name and not (scene.finished and name == "fill"):  # all under beds and path by then
            every.setdefault(name, []).append((words, _largest(part.shape)))
    for name, words, shape in _of_trenches(days, day, scene, (figures, say)):
        every.setdefault(name, []).append((words, _largest(shape)))
    found = {name: _near_labels(shapes) for name, shapes in every.items()}
    fabric = [line for line, new in scene.fabric if new]
    if "fabric" in found:
        fabric = []
    wished = [Wish(name, words, _inside(shape)) for name, (words, shape) in found.items()]
    if fabric:
        (ax, ay), (bx, by) = fabric[0][1:3]
        wished.append(Wish("fabric", say["fabric"], ((ax + bx) / 2.0, (ay + by) / 2.0)))
    wished.sort(key=lambda wish: (_rank(wish.id), wish.id))
    plants = [part for part in scene.parts if part.kind == "plant" and part.new]
    if plants:
        wished = [wish for wish in wished if wish.id != "plant"]
        all_plants = [days.day_of(thing.id) for thing in days.things if thing.kind == "plant"]
        count = sum(on <= day if scene.finished else on == day for on in all_plants)
        _, shape = _near_labels([("", _largest(part.shape)) for part in plants])
        wished.append(Wish("plant", say["plant"].format(count=count), _inside(shape)))
    return list(islice(chain(wished, _before(scene, say)), MOST))


def _of_trenches(
    days: BuildingDays, day: int, scene: Scene, said: tuple[Figures, Say]
) -> Iterator[tuple[str, str, Any]]:
    """Name, words and shape of what is seen of the trenches dug today: of the walls of which most is seen."""
    figures, say = said
    seen = list(trenches_of(days, day, scene))
    walls = sorted(
        {one.wall for one in seen}, key=lambda wall: (-sum(t.shape.area for t in seen if t.wall == wall), wall)
    )
    for one in seen:
        if one.wall in walls[:_TRENCHES]:
            level = height_words(days.plan, one.level_m, figures, say)
            name = "trench" if not one.wall else "trench here" if one.stepped else "trench of"
            words = say[name].format(wall=printable(one.wall), level=level)
            yield f"trench {one.wall}".strip(), words, one.shape


def _near_labels(shapes: Sequence[tuple[str, Any]]) -> tuple[str, Any]:
    """Of what is told with one label, that which reaches farthest toward the labels and is no mere scrap."""
    least = _NO_SCRAP * max(shape.area for _, shape in shapes)
    return max((one for one in shapes if one[1].area >= least), key=lambda one: one[1].bounds[2])


def _before(scene: Scene, say: Say) -> Iterator[Wish]:
    """What was there already, told once."""
    ground = [_largest(part.shape) for part in scene.parts if part.kind == "existing ground" and part.side == "top"]
    if ground:
        yield Wish("existing ground", say["existing ground"], _inside(max(ground, key=lambda one: one.area)), False)
    old = [_largest(part.shape) for part in scene.parts if part.thing is not None and not part.new]
    if old:
        yield Wish("stands", say["stands"], _inside(max(old, key=lambda one: one.area)), False)


def _said(part: Part, figures: Figures, say: Say, plan: Plan) -> tuple[str, str]:
    """Name and words of a part; empty where it needs no label."""
    thing, cell = part.thing, part.cell
    if cell is not None:
        name = cell.task.rpartition("/")[2] if part.kind == "dug ground" else part.kind
        if cell.task and (cell.top[0] or cell.top[1]):
            name = "bank topsoil" if name == "bed soil" else "bank"
        if name == "trench" or (part.side == "cut" and name == "bench"):
            return "", ""
        dug = name == "bench" and int(cell.task.partition("/")[0]) in dug_for_soil(plan.earth, plan.terraces)
        text = say.get("bench dug" if dug else name, "")
        return name, text.format(
            level=height_words(plan, cell.top[2], figures, say),
            small=short_size(cell.top[2] - cell.bottom[2], figures.system),
        )
    if thing is None:
        return part.kind, ""
    name = {"cross-piece": "tie"}.get(part.kind, part.kind)
    if name == "stone bed" and thing.id.rpartition("/")[2].startswith(("foot", "head")):
        return "landing", say["landing"]
    if name == "step" and not any(piece.tread == thing.id and piece.hollow for piece in plan.timber.steps):
        return name, say["solid step"]
    return name, say.get(name, "").format(small=short_size(thing.top_m - thing.bottom_m, figures.system))


def height_words(plan: Plan, level_m: float, figures: Figures, say: Say) -> str:
    """A height of ground as one takes it on the day, from the mark of the readings; a level where there is no mark.

    Args:
        plan: for its mark.
        level_m: of the ground.
        figures: for numbers.
        say: words by what is named, as ``WORDS`` has them.
    """
    setting, us = plan.walls.setting_out, figures.system == "us"
    if not setting.benchmark:
        return figures.ground(level_m) + ("" if us else " m")
    off = level_m - setting.benchmark_m
    size = ground_tape(abs(off), figures.system)
    if size == ground_tape(0.0, figures.system):
        return say["level"]
    return say["above" if off > 0 else "below"].format(size=size)


def _rows(days: BuildingDays, scene: Scene) -> dict[str, set[int]]:
    """Courses over the first, by wall, of what is new and seen; counted from the lowest course of the wall."""
    found: dict[str, set[int]] = {}
    for part in scene.parts:
        if part.new and part.thing is not None and part.kind == "timber" and not _is_first(days, part.thing.id):
            leg, course = days.course_of(part.thing.id)
            found.setdefault(leg, set()).add(course - days.plan.walls.leg(leg).lowest_course + 1)
    return found


def _is_first(days: BuildingDays, piece: str) -> bool:
    return days.coming[piece].task.endswith("/first course")


def _of_timber(days: BuildingDays, part: Part, rows: dict[str, set[int]], finished: bool, say: Say) -> tuple[str, str]:
    if part.thing is None or finished:
        return "wall", say["wall"]
    if _is_first(days, part.thing.id):
        return "first", say["first"]
    leg, _ = days.course_of(part.thing.id)
    numbers = sorted(rows[leg])
    one = len(numbers) == 1
    said = say["one row"].format(number=numbers[0]) if one else say["more rows"].format(numbers=joined(numbers, say))
    return f"course {leg}", say["course"].format(wall=leg, rows=said)


def joined(numbers: Sequence[int], say: Say) -> str:
    """ "2", "2 and 3", "2 to 5", "2, 4 and 7"."""
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return say["to"].format(first=numbers[0], last=numbers[-1])
    texts = [str(number) for number in numbers]
    return texts[0] if len(texts) == 1 else say["and"].format(first=", ".join(texts[:-1]), last=texts[-1])


def _rank(name: str) -> int:
    first = name.partition(" ")[0] if name.startswith(("course ", "trench ")) else name
    return _ORDER.index(first) if first in _ORDER else len(_ORDER)


def _largest(shape: Any) -> Any:
    return shape if shape.geom_type == "Polygon" else max(getattr(shape, "geoms", [shape]), key=lambda one: one.area)


def _inside(shape: Any) -> tuple[float, float]:
    """A point well inside a polygon, toward its right end: nearer the labels."""
    from shapely import maximum_inscribed_circle
    from shapely.geometry import box

    left, low, right, high = shape.bounds
    end = shape.intersection(box(right - max(_END * (right - left), _LEAST_M), low, right, high))
    end = _largest(end)
    shape = end if end.geom_type == "Polygon" and end.area > 0 else shape
    line = maximum_inscribed_circle(shape, tolerance=0.01)
    x, y = line.coords[0]
    return float(x), float(y)


def picture_words(plan: Plan, day: int, window: Window, asked: Sequence[Wish], say: Say) -> str:
    """The picture in words."""
    where = say["whole yard"] if window.whole else say["cut open"].format(wall=window.leg)
    new = "; ".join(wish.words for wish in asked if wish.strong)
    return say["new" if new else "nothing new"].format(day=day, of=len(plan.works.days), where=where, new=new)
