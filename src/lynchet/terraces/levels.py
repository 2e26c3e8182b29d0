"""Levels of the terraces: whole courses apart, the lot set so that the soil cut fills what is to be filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor

from lynchet.ground.prisms import Prisms, cut_fill, together

COMPACTION = 0.9
"""Compacted volume over the bank volume it came from. PRACTICE for mixed garden soil."""
SCANS = 30
SAME_M = 0.001
"""Between a lattice that stands and that of the same yard planned anew: what a file rounds off. PRACTICE."""
_ROUNDS = 60
_VOLUME_M3 = 1e-9
_LEVEL_M = 1e-9


@dataclass(frozen=True)
class LevelWish:
    """What is asked of the levels."""

    kind: str
    """balance, equal or list."""
    pinned_m: tuple[float, ...]
    """Levels of a list, the lowest first; else empty."""
    course_m: float
    even: frozenset[int] = frozenset()
    """Terraces (from 2) whose rise must be an even number of courses, for steps of two courses."""
    keep_m: float | None = None
    """A lattice level of an earlier plan, kept while it costs no more than 1 % more soil moved."""
    firm: bool = False
    """Keep it whatever it costs: timber stands on it."""


@dataclass(frozen=True)
class Levels:
    """Levels of all terraces, or the first pair that does not rise."""

    levels_m: tuple[float, ...]
    courses: tuple[int, ...]
    """Courses of each terrace above the lowest."""
    moved_m3: float
    flat: int | None = None
    """Number of the first terrace less than half a course above the one below; None where all rise."""


def balanced_level(under: Prisms) -> float:
    """Level at which the bank volume cut gives the compacted volume filled, by regula falsi (Illinois form)."""
    low, high = float(under.levels.min()), float(under.levels.max())
    if high - low < _LEVEL_M:
        return low
    v_low, v_high = _net(under, low), _net(under, high)
    last = 0
    for _ in range(_ROUNDS):
        level = high - v_high * (high - low) / (v_high - v_low)
        value = _net(under, level)
        if abs(value) < _VOLUME_M3 or high - low < _LEVEL_M:
            return level
        if value < 0.0:
            v_low = v_low / 2.0 if last < 0 else v_low
            high, v_high, last = level, value, -1
        else:
            v_high = v_high / 2.0 if last > 0 else v_high
            low, v_low, last = level, value, 1
    return 0.5 * (low + high)


def _net(under: Prisms, level: float) -> float:
    cut, fill = cut_fill(under, level)
    return float(cut[0] - fill[0] / COMPACTION)


def choose_levels(benches: Sequence[Prisms], wish: LevelWish) -> Levels:
    """Levels for the terraces.

    Args:
        benches: the ground under each terrace, the lowest first.
        wish: how to choose.

    Returns:
        The levels; ``flat`` names a terrace that would not rise by half a course at least.
    """
    if wish.kind == "list":
        return _pinned(benches, wish)
    return _unchanged(benches, wish) or _least_moved(benches, wish)


def _unchanged(benches: Sequence[Prisms], wish: LevelWish) -> Levels | None:
    """The levels of the same yard with nothing standing, where the timber stands by just these: on the lattice other
    counts of courses might move less, and the beds would change under walls half built."""
    if wish.keep_m is None or not wish.firm:
        return None
    free = _least_moved(benches, replace(wish, keep_m=None, firm=False))
    if free.flat is not None:
        return None
    off = _on_lattice(free.levels_m[0], wish.keep_m, wish.course_m) - free.levels_m[0]
    return replace(free, levels_m=tuple(level + off for level in free.levels_m)) if abs(off) <= SAME_M else None


def _least_moved(benches: Sequence[Prisms], wish: LevelWish) -> Levels:
    ideal = [balanced_level(bench) for bench in benches]
    best: Levels | None = None
    flat: Levels | None = None
    for courses in _course_choices(ideal, wish):
        flat_at = next((k + 1 for k in range(1, len(courses)) if courses[k] <= courses[k - 1]), None)
        if flat_at is not None:
            flat = flat or Levels((), courses, 0.0, flat_at)
            continue
        level, moved = _datum(benches, courses, wish)
        if best is None or moved < best.moved_m3 - 1e-9:
            best = Levels(tuple(level + k * wish.course_m for k in courses), courses, moved)
    if best is not None:
        return best
    assert flat is not None
    return flat


def _course_choices(ideal: Sequence[float], wish: LevelWish) -> list[tuple[int, ...]]:
    """Every way the ideal levels round to whole courses, as the lattice slides over one course."""
    course = wish.course_m
    if wish.kind == "equal" and len(ideal) > 1:
        rise = round((ideal[-1] - ideal[0]) / (len(ideal) - 1) / course)
        step = rise + (rise % 2 if wish.even else 0)
        return [tuple(step * k for k in range(len(ideal)))]
    found: dict[tuple[int, ...], None] = {}
    for scan in range(SCANS):
        datum = ideal[0] - course / 2 + course * (scan + 0.5) / SCANS
        courses = [0]
        for k, level in enumerate(ideal[1:], start=2):
            unit = 2 if k in wish.even else 1
            above = (level - datum) / course - courses[-1]
            courses.append(courses[-1] + unit * floor(above / unit + 0.5))
        found[tuple(courses)] = None
    return list(found)


def _datum(benches: Sequence[Prisms], courses: Sequence[int], wish: LevelWish) -> tuple[float, float]:
    """Level of the lowest terrace that balances the whole, and the soil moved (cut and fill added)."""
    whole = together(benches, [k * wish.course_m for k in courses])

    def moved(level: float) -> float:
        cut, fill = cut_fill(whole, level)
        return float(cut[0] + fill[0])

    best = balanced_level(whole)
    if wish.keep_m is not None:
        kept = _on_lattice(best, wish.keep_m, wish.course_m)
        if wish.firm or moved(kept) <= 1.01 * moved(best):
            best = kept
    return best, moved(best)


def _on_lattice(level: float, keep_m: float, course_m: float) -> float:
    """The level of the kept lattice nearest to a level; the level itself where it lies on it."""
    kept = keep_m + round((level - keep_m) / course_m) * course_m
    return level if abs(kept - level) < _LEVEL_M else kept


def _pinned(benches: Sequence[Prisms], wish: LevelWish) -> Levels:
    """The levels asked for, the upper ones moved to whole courses above the lowest."""
    low = wish.pinned_m[0]
    if wish.firm and wish.keep_m is not None:
        low = _on_lattice(low, wish.keep_m, wish.course_m)
    courses = tuple(floor((level - low) / wish.course_m + 0.5) for level in wish.pinned_m)
    flat = next((k + 1 for k in range(1, len(courses)) if courses[k] <= courses[k - 1]), None)
    levels = tuple(low + k * wish.course_m for k in courses)
    moved = sum(float(sum(part[0] for part in cut_fill(b, level))) for b, level in zip(benches, levels, strict=True))
    return Levels(levels, courses, moved, flat)
