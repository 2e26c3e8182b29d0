"""Screws and pins counted for the list, by kind and size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from lynchet.stability.constants import PIN_DIAMETER_M, PIN_LENGTH_M, SCREW_DIAMETER_M
from lynchet.timber.handling import coating
from lynchet.timber.model import Fastener, FastenerLine
from lynchet.timber.sizes import Sizes
from lynchet.timber.steps import Screwed, StepScrews

_CORNERS = "at the corners of a frame: through the timber that runs past into the end of the one between"


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
    steel = coating(SCREW_DIAMETER_M)
    rows = (
        FastenerLine("screw", "structural screws, each course to the one below", SCREW_DIAMETER_M, sizes.screw_m, 0.0,
                     steel, count["screw"]),
        FastenerLine("corner pin", "bars through the lapped corners", PIN_DIAMETER_M, sizes.corner_pin_m,
                     PIN_DIAMETER_M, coating(PIN_DIAMETER_M), count["corner pin"]),
        FastenerLine("tie screw", "lag screws through the face and the cross-piece into each tie", SCREW_DIAMETER_M,
                     sizes.tie_screw_m, sizes.tie_pilot_m, steel, count["tie screw"]),
        FastenerLine("base pin", "bars through the lowest course into the ground", PIN_DIAMETER_M, PIN_LENGTH_M,
                     PIN_DIAMETER_M, coating(PIN_DIAMETER_M), base_pins),
        *_level(steps.frames, _CORNERS, sizes, steel),
        *_level(steps.beside, "where a step is timber all through: through the narrower timber into the one behind it",
                sizes, steel),
        FastenerLine("step screw", "structural screws of the steps, each timber to the one below", SCREW_DIAMETER_M,
                     sizes.screw_m, 0.0, steel, steps.upright),
    )  # fmt: skip
    return tuple(row for row in rows if row.count)


def _level(screwed: Sequence[Screwed], what: str, sizes: Sizes, steel: str) -> Iterator[FastenerLine]:
    """Screws that lie level in the steps, by length."""
    count: Counter[float] = Counter()
    for first_m, behind_m, number in screwed:
        count[sizes.level_m(first_m, behind_m)] += number
    for length, number in sorted(count.items()):
        yield FastenerLine("step screw", f"lag screws of the steps, {what}", SCREW_DIAMETER_M, length,
                           sizes.tie_pilot_m, steel, number)  # fmt: skip
