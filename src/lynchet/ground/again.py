"""Readings to take again: which, why those, and what to write into the project file then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.core.findings import Cure
from lynchet.project.model import GroundSource, Reading

AGAIN = "read-again"
_MEASURED = ("laser", "level_book", "points")
"""Readings with places of their own, which a person can go back to."""
_MISSED = "what the readings then miss by as `misclosure` under [ground]"
_WHY = {
    "slope": "every level hangs on these two",
    "steps": "these differ most from the even fall of the rest, so a slip is likeliest there",
    "laser": "the instrument moved between them, or one of them was misread",
    "level_book": "these turning points carry the heights on, over the longest sights or last",
    "points": "the round began and ended there",
}
_WRITE = {
    "slope": f"the drop and its run as `fall` of `slope`, and {_MISSED}",
    "steps": f"their `rise` and `run` in `each` of `steps`, and {_MISSED}",
    "laser": "the mark's as `zero` and, read last of all, as `check` of `laser`, every other as the `rod` of its name",
    "level_book": "the page read anew in the rows of the level book's file",
    "points": f"their `level` in the points of the file, and {_MISSED}",
}
_ONE = {
    "laser": "the new reading as `rod` of this name in `readings` of `laser`, under [ground]",
    "level_book": "the new reading in its row of the level book's file",
    "points": "the new level in its row of the points of the file",
}


@dataclass(frozen=True)
class Again:
    """What to take again."""

    names: str
    """In words: "the zero mark and K"."""
    why: str
    cure: Cure


def closing(source: GroundSource) -> Again:
    """The readings to take first where the way round does not close."""
    names = " and ".join(source.repeat) or "the first and the last reading"
    cure = Cure(AGAIN, f"read {names} again and write {_WRITE[source.kind]}")
    return Again(names, _WHY[source.kind], cure)


def one_reading(source: GroundSource, name: str) -> Cure:
    """What to write where one reading is taken again and comes out otherwise."""
    return Cure(AGAIN, f'read "{name}" again and write {_ONE.get(source.kind, "it in its place")}')


def up_the_slope(source: GroundSource, up: Sequence[float]) -> str:
    """What to tape again, held level, to see how the tape lay: the two readings furthest apart up the slope.

    Args:
        source: the readings.
        up: unit vector up the slope in plan.
    """
    if source.kind not in _MEASURED:
        return "the length up the slope, from the low edge to the high one"

    def along(reading: Reading) -> float:
        return reading.point_m[0] * up[0] + reading.point_m[1] * up[1]

    low, high = min(source.readings, key=along), max(source.readings, key=along)
    return f'from "{low.name}" up to "{high.name}", which lie furthest apart up the slope, so that it shows most there'
