"""Days as lines of text for lists and spreadsheets: what is done, what is looked at, how the place is left."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.book.day_evening import evening_line
from lynchet.book.texts import Words
from lynchet.units.format import DIGGING, length, small
from lynchet.units.measures import System
from lynchet.works.holds import LEVEL_M
from lynchet.works.listed import listed
from lynchet.works.model import Day, Step, Works


@dataclass(frozen=True)
class DayLines:
    """One day."""

    done: tuple[str, ...]
    """One line a task, however many of its parts are done; in the order a wall goes up."""
    looks: tuple[str, ...]
    """Hold points, each said once with the tasks after which it is looked at."""
    evening: tuple[str, ...]


def day_lines(works: Works, day: Day, words: Words, system: System) -> DayLines:
    """Lines of a day.

    Args:
        works: for the tasks.
        day: the day.
        words: texts.
        system: units of sizes.
    """
    done = [_together(works, group, words) for group in listed(day.steps)]
    looks: dict[str, list[str]] = {}
    drained = any(task.kind == "drain" for task in works.tasks)
    for name in day.holds:
        task = works.task(name)
        dry = "_dry" if task.kind == "clear up" and not drained else ""
        text = words("day.hold." + task.kind.replace(" ", "_") + dry, off=small(LEVEL_M, system))
        text += " " + words("day.hold.inspect") if task.inspect else ""
        looks.setdefault(text, []).append(task.name)
    evening = (
        evening_line(words, left, length(left.height_m, system, DIGGING), length(left.length_m, system, DIGGING))
        for left in day.evening
    )
    said = (words("days.hold_after", what=text, after="; ".join(after)) for text, after in looks.items())
    return DayLines(tuple(done), tuple(said), tuple(evening))


def _together(works: Works, steps: list[Step], words: Words) -> str:
    """Steps of one task on one day as one line: "cut the bench (parts 1 to 3 of 7)"."""
    name, first, last, of = works.task(steps[0].task).name, steps[0].part, steps[-1].part, steps[0].of
    if (first, last) == (1, of):
        return name
    if first == last:
        return words("days.part", what=name, part=first, of=of)
    return words("days.parts", what=name, first=first, last=last, of=of)
