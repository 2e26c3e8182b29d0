"""Where the smaller sections are cut: through each flight of steps, each drain, and where a bed meets a house."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_uppercase

import numpy as np

from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import BANKED_M, end_words, landing_m, pad_words, stands_m
from lynchet.drawings.letters import printable, wrap
from lynchet.drawings.plan_built import walk
from lynchet.drawings.section_drains import drain_cuts
from lynchet.drawings.section_line import Cut
from lynchet.drawings.source import Planned
from lynchet.ground.surface import profile
from lynchet.terraces.model import HOUSE, Flight

Point = tuple[float, float]
UNDER_MM, UNDER_H = 138.0, 2.5
"""Width and letters of the lines under a head: of two sections side by side on a large sheet."""
_BED_M = 1.4
_INTO_M = 0.3
_BANK_M = 0.18
_LEAST_EDGE_M = 0.5
_CHECKS = {"fall away": "Fall away from the house", "siding clear": "Siding clear of the ground",
           "trench": "Trench clear of the footing"}  # fmt: skip


@dataclass(frozen=True)
class Place:
    """One section: its letter, what it is cut through, words under its head."""

    letter: str
    title: str
    under: tuple[str, ...]
    cut: Cut
    flight: Flight | None = None
    drain: str = ""
    """Id of the drain it shows."""


def section_places(plan: Planned, figures: Figures) -> tuple[Place, ...]:
    """All smaller sections in order: flights from the lowest up, drains, beds beside houses; from B, without I, O."""
    plain = [letter for letter in ascii_uppercase if letter not in "AIO"]
    letters = [*plain, *(a + b for a in plain for b in plain)]
    drains = (Place("", title, under, cut, None, one) for one, title, under, cut in drain_cuts(plan, figures))
    found = [*_flights(plan, figures), *drains, *_houses(plan, figures)]
    known = [place for place in found if _measured(plan, place.cut)]
    return tuple(Place(letters[n], one.title, one.under, one.cut, one.flight, one.drain) for n, one in enumerate(known))


def _measured(plan: Planned, cut: Cut) -> bool:
    """Whether the ground is known along most of a cut."""
    _, levels = profile(plan.ground.surface, cut.start_m, cut.end_m)
    return int((~np.isnan(levels)).sum()) > 1


def _flights(plan: Planned, figures: Figures) -> Iterable[Place]:
    for flight in plan.terraces.flights:
        (fx, fy), (hx, hy) = walk(flight)
        dx, dy = flight.direction
        beside = landing_m(plan, flight)
        low, high = (beside + _bank_m(plan, flight, where) for where in ("foot", "head"))
        cut = Cut((fx - low * dx, fy - low * dy), (hx + high * dx, hy + high * dy))
        legs = ", ".join(flight.lines or (flight.line,))
        rise = figures.small_words(flight.riser_m)
        deep = f", {figures.small_words(flight.going_m)} from front to front"
        steps = f"{flight.risers} up, each {rise} high{deep}" if flight.risers > 1 else f"One step, {rise} high"
        more = [*end_words(plan, flight, figures), pad_words(plan, figures, (flight.id,))]
        more = [f"{words[:1].upper()}{words[1:]}." for words in more if words]
        lines = (line for words in more for line in wrap(words, UNDER_MM, UNDER_H))
        under = (f"{steps}, {figures.words(flight.width_m, 8)} wide.", *lines)
        yield Place("", f"Steps at {legs}", under, cut, flight)


def _bank_m(plan: Planned, flight: Flight, where: str) -> float:
    """Ground to show past a landing, so that the soil banked against its edge is seen; 0 where there is none."""
    over = max((stands_m(plan, landing) for landing in flight.landings if landing.where == where), default=0.0)
    return _BANK_M if over > BANKED_M else 0.0


def _houses(plan: Planned, figures: Figures) -> Iterable[Place]:
    done: set[tuple[str, str]] = set()
    for line in plan.terraces.lines:
        dx, dy = ((line.end_m[k] - line.start_m[k]) / line.length_m for k in (0, 1))
        for side in sorted(line.sides, key=lambda one: one.start_m - one.end_m):
            bed = side.left if side.right == HOUSE else side.right if side.left == HOUSE else ""
            if not bed.startswith("B") or side.end_m - side.start_m < _LEAST_EDGE_M or (line.source, bed) in done:
                continue
            done.add((line.source, bed))
            middle = (side.start_m + side.end_m) / 2
            at = (line.start_m[0] + middle * dx, line.start_m[1] + middle * dy)
            # Into the house lies right of the line where the house is its right face.
            ux, uy = (dy, -dx) if side.right == HOUSE else (-dy, dx)
            cut = Cut((at[0] - _BED_M * ux, at[1] - _BED_M * uy), (at[0] + _INTO_M * ux, at[1] + _INTO_M * uy))
            yield Place("", f"Bed {bed[1:]} at the house", _checked(plan, bed, figures), cut)


def _checked(plan: Planned, bed: str, figures: Figures) -> tuple[str, ...]:
    """What was checked of this bed beside a building, as found and as wanted."""
    said = []
    for check in plan.water.house_checks:
        if check.face == bed and check.unit == "m" and check.what in _CHECKS:
            found, wanted = figures.small_words(check.measured), figures.small_words(check.needed)
            word = "" if check.ok else "; see findings"
            said.append(printable(f"{_CHECKS[check.what]}: {found}, wanted {wanted}{word}"))
    return tuple(dict.fromkeys(said))[:2]
