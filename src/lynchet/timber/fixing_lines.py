"""Screws and pins counted for the list, by kind and size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from lynchet.stability.constants import PIN_DIAMETER_M, PIN_LENGTH_M, SCREW_DIAMETER_M
from lynchet.timber.handling import coating
from lynchet.timber.model import Fastener, FastenerLine
from lynchet.timber.sizes import SAME_M, Sizes
from lynchet.timber.steps import Screwed, StepScrews

_CORNERS = "at the corners of a frame: through the timber that runs past into the end of the one between"
OTHER = " where one of the two is thinner, let in or packed"
"""Said of screws and pins of other lengths than between whole courses."""


def fastener_lines(
    fasteners: Sequence[Fastener], base_pins: int, steps: StepScrews, sizes: Sizes
) -> tuple[FastenerLine, ...]:
    """How many of each kind and size.

    Args:
        fasteners: placed and still to be driven.
        base_pins: still to be driven.
        steps: screws of the flights of steps.
        sizes: lengths and drills.
    """
    count = Counter(fastener.kind for fastener in fasteners)
    own = {"screw": _by_length(fasteners, "screw", sizes.screw_m),
           "corner pin": _by_length(fasteners, "corner pin", sizes.corner_pin_m)}  # fmt: skip
    steel = coating(SCREW_DIAMETER_M)
    rows = (
        *(FastenerLine("screw", f"structural screws, each course to the one below{more}", SCREW_DIAMETER_M, long, 0.0,
                       steel, number) for long, number, more in own["screw"]),
        *(FastenerLine("corner pin", f"bars through the lapped corners{more}", PIN_DIAMETER_M, long, PIN_DIAMETER_M,
                       coating(PIN_DIAMETER_M), number) for long, number, more in own["corner pin"]),
        FastenerLine("tie screw", "lag screws through the face and the cross-piece into each tie", SCREW_DIAMETER_M,
                     sizes.tie_screw_m, sizes.tie_pilot_m, steel, count["tie screw"]),
        FastenerLine("base pin", "bars through the lowest course into the ground", PIN_DIAMETER_M, PIN_LENGTH_M,
                     PIN_DIAMETER_M, coating(PIN_DIAMETER_M), base_pins),
        *_level(steps.frames, _CORNERS, sizes, steel),
        *_level(steps.beside, "where a step is timber all through: through the narrower timber into the one behind it",
                sizes, steel),
        *(FastenerLine("step screw", f"structural screws of the steps, each timber to the one below{more}",
                       SCREW_DIAMETER_M, long, 0.0, steel, number) for long, number, more in _upright(steps, sizes)),
    )  # fmt: skip
    return tuple(row for row in rows if row.count)


def _by_length(fasteners: Sequence[Fastener], kind: str, whole_m: float) -> list[tuple[float, int, str]]:
    """Length and count of upright ones, those between whole courses first, and words for the others."""
    return _whole_first(Counter(one.length_m for one in fasteners if one.kind == kind), whole_m)


def _upright(steps: StepScrews, sizes: Sizes) -> list[tuple[float, int, str]]:
    """The same of steps."""
    count: Counter[float] = Counter()
    for over_m, under_m, number in steps.upright:
        count[sizes.screw_for(over_m, under_m)] += number
    return _whole_first(count, sizes.screw_m)


def _whole_first(count: Counter[float], whole_m: float) -> list[tuple[float, int, str]]:
    return [(long, count[long], "" if abs(long - whole_m) < SAME_M else OTHER)
            for long in sorted(count, key=lambda long: (abs(long - whole_m), long))]  # fmt: skip


def _level(screwed: Sequence[Screwed], what: str, sizes: Sizes, steel: str) -> Iterator[FastenerLine]:
    """Screws that lie level in the steps, by length."""
    count: Counter[float] = Counter()
    for first_m, behind_m, number in screwed:
        count[sizes.level_m(first_m, behind_m)] += number
    for length, number in sorted(count.items()):
        yield FastenerLine("step screw", f"lag screws of the steps, {what}", SCREW_DIAMETER_M, length,
                           sizes.tie_pilot_m, steel, number)  # fmt: skip
