"""The readings of a day in words: where, what to expect, how far it may be off, what to do when it is more."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings.day_places import Naming
from lynchet.drawings.letters import printable
from lynchet.plan.day_parts import DayParts
from lynchet.plan.day_readings import MOST, Reading, readings
from lynchet.walls.seen import seen_of
from lynchet.walls.setting_out import STAFF_M

_COARSE_M = 0.01
"""What may be off by more is told to half an inch."""


@dataclass(frozen=True)
class Read:
    """One reading."""

    place: str
    value: str
    tolerance: str
    """After "below" or "above" where it is a level."""


@dataclass(frozen=True)
class Expected:
    """All readings of a day."""

    head: str
    intro: str
    reads: tuple[Read, ...]
    off: str
    """What to do when one is off; empty without readings."""


def expected_of(named: Naming, today: DayParts) -> Expected:
    """The readings; a sentence in their place where nothing laid today has a level."""
    words, found = named.words, readings(named.plan, today)
    head = words.many("day.readings_heads")[min(len(found), MOST)]
    if not found:
        return Expected(head, words("day.readings_none"), (), "")
    if any(reading.level for reading in found):
        intro = words("day.readings_carried" if named.carried else "day.readings_mark", mark=named.mark)
        if any(reading.level and abs(reading.value_m) > STAFF_M for reading in found):
            intro += " " + words("day.readings_far")
    else:
        intro = words("day.readings_taped")
    first = found[0]
    off = words(f"day.off.{first.what.replace(' ', '_')}", off=named.size(first.tolerance_m))
    return Expected(head, intro, tuple(_read(named, reading) for reading in found), off)


def _read(named: Naming, reading: Reading) -> Read:
    words = named.words
    # No finer than it may be off, as the picture of the day says the same level.
    told = named.ground if reading.tolerance_m > _COARSE_M else named.tape
    value = told(abs(reading.value_m))
    ends = [_end(named, end) for end in reading.place.split("|")]
    where = words(f"day.reading.{_side(named, reading)}") if reading.where else ""
    mark = named.marks.get(reading.mark, "").partition(" ")[2]
    text = "day.reading." + reading.what.replace(" ", "_")
    said = words(
        text, place=named.pipes.get(reading.place, printable(reading.place)), where=where, mark=mark,
        number=reading.number, first=ends[0], last=ends[-1],
        station=named.digging(reading.station_m),
    )  # fmt: skip
    off = f"± {named.size(reading.tolerance_m)}"
    if reading.level:
        off = words("day.below" if reading.value_m >= 0 else "day.above", off=off)
    return Read(said, value, off)


def _side(named: Naming, reading: Reading) -> str:
    """Which end of a piece: left or right as one stands before the wall, as the wall sheet draws it."""
    leg = next((one for one in named.plan.walls.legs if one.id == reading.place), None)
    if reading.where == "middle" or leg is None:
        return "middle"
    seen = seen_of(leg, named.plan.walls.runs, mirrored=named.plan.project.frame.mirrored)
    return "left" if (reading.where == "start") != seen.flipped else "right"


def _end(named: Naming, end: str) -> str:
    """An end of a check tape: "W2.a", "corner 0 of the area"."""
    bed, _, corner = end.partition(" corner ")
    return named.words("day.reading.corner", bed=bed, corner=corner) if corner else printable(end)
