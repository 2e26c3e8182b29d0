"""From checked tables to what is so already."""

from __future__ import annotations

from itertools import pairwise
from math import dist
from typing import Literal

from lynchet.core.plane import Point
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.keys_so_far import COUNTED
from lynchet.project.lines import KeyPath
from lynchet.project.so_far import (
    Found,
    FoundAnswer,
    KeptCuts,
    KeptNotch,
    KeptStretch,
    SoFar,
    SoilMoved,
    Stands,
    Written,
)
from lynchet.project.things import Fixed, Spring
from lynchet.units.format import length, small

APART_M = 0.06
"""Readings of one course further apart are slips, not timber out of level. PRACTICE."""
PAST_M = 0.30
"""Timber may go past the end of its wall's line so far: round a corner by its own thickness. PRACTICE."""
NOTCH_M = 0.60
"""An opening for one pipe is no wider: more is a gap in the wall. PRACTICE."""
ANSWERS: dict[str, tuple[FoundAnswer, ...]] = {
    "rock": ("step up",), "concrete": ("step up",), "root": ("bridge",), "pipe": ("bridge",), "water": ("drain",),
    "soft": ("dig out",),
}  # fmt: skip
"""What can be done about each kind of thing found, beside moving the wall."""


def so_far_of(got: Got, faults: Faults) -> SoFar:
    """What stands, was found and moved."""
    return SoFar(
        _stands(got["stands"], faults),
        _found(got["found"], faults),
        tuple(
            SoilMoved(row["way"], row["volume"], row["measure"] or "loose", bool(row["topsoil"]))
            for row in got["moved"]
            if row.complete("way", "volume")
        ),
    )


def _written(path: KeyPath, faults: Faults) -> Written:
    number = next((part + 1 for part in path if isinstance(part, int)), 1)
    return (*faults.place(path), number)


def _stands(rows: tuple[Got, ...], faults: Faults) -> tuple[Stands, ...]:
    found = []
    seen: set[tuple[str, int]] = set()
    for row in rows:
        if not row.complete("wall", "course"):
            continue
        key = (row["wall"], row["course"])
        if key in seen:
            faults.add(row.path, f"course {key[1]} of wall {key[0]} stands twice", "one entry for a course of a wall")
        seen.add(key)
        off = _off(row, faults)
        kept = tuple(
            KeptStretch(part["from"], part["to"], part["base"], part["top"])
            for part in row["stretch"]
            if part.complete("from", "to", "base", "top")
        )
        _check_kept(row, kept, faults)
        found.append(
            Stands(
                wall=row["wall"],
                course=row["course"],
                readings_m=_readings(row, faults),
                off_m=off,
                answer=row["answer"] or "",
                bottom_m=row["bottom"],
                line_m=row["line"] or (),
                stretches=kept,
                cuts=_cuts(row),
                notches=_notches(row, faults),
                written=_written(row.path, faults),
            )
        )
    _check_together(rows, faults)
    return tuple(found)


def _check_together(rows: tuple[Got, ...], faults: Faults) -> None:
    """What is said of a wall as it was planned is read only beside its stretches."""
    pinned = {row["wall"] for row in rows if "stretch" in row.written}
    accepted = "`stretch`, `bottom`, `line` and `cuts` of a wall together, as --built writes them; or none of them"
    for row in rows:
        for key in ("bottom", "line", "cuts") if row["wall"] not in pinned else ():
            if key in row.written:
                faults.add(row.at(key), f"`{key}` of a wall without its `stretch`", accepted)


def _off(row: Got, faults: Faults) -> float | None:
    said = [key for key in ("readings", "low", "high") if key in row.written]
    if len(said) > 1:
        faults.add(row.path, " and ".join(said), "one of readings, low, high")
    if row["low"] is not None:
        return -float(row["low"])
    return None if row["high"] is None else float(row["high"])


def _readings(row: Got, faults: Faults) -> tuple[float, ...]:
    levels = tuple(float(part["level"]) for part in row["readings"] if part["level"] is not None)
    if levels and max(levels) - min(levels) > APART_M:
        found = f"readings {small(max(levels) - min(levels), faults.system)} apart"
        accepted = f"readings of one course within {small(APART_M, faults.system)} of each other; read them again"
        faults.add(row.at("readings"), found, accepted)
    return levels


def _check_kept(row: Got, kept: tuple[KeptStretch, ...], faults: Faults) -> None:
    if kept and row["bottom"] is None and "bottom" not in row.written:
        faults.add(row.at("stretch"), "stretches without `bottom`", "`bottom`: the underside of the lowest course")
    for number, part in enumerate(kept):
        if part.to_m <= part.from_m or part.top < part.base:
            accepted = f"`from` less than `to`, `base` not above `top`; {COUNTED}"
            faults.add(row.at("stretch", number), "it ends before it begins", accepted)
    _check_reach(row, kept, faults)


def _check_reach(row: Got, kept: tuple[KeptStretch, ...], faults: Faults) -> None:
    """Distances along the wall lie on its line, where the file says it."""
    if not row["line"]:
        return
    long_m = sum(dist(a, b) for a, b in pairwise(row["line"]))
    ends = [(row.at("stretch", number), part.to_m) for number, part in enumerate(kept)]
    ends += [(row.at("cuts", number), max(one.stations_m, default=0.0)) for number, one in enumerate(_cuts(row))]
    ends += [(row.at("notches", number), part["to"] or 0.0) for number, part in enumerate(row["notches"])]
    for path, end_m in ends:
        if end_m > long_m + PAST_M:
            found = f"{length(end_m, faults.system)} along a line of {length(long_m, faults.system)}"
            faults.add(path, found, f"a distance on the line; {COUNTED}")


def _cuts(row: Got) -> tuple[KeptCuts, ...]:
    return tuple(
        KeptCuts(part["course"], tuple(at["station"] for at in part["at"] if at["station"] is not None))
        for part in row["cuts"]
        if part["course"] is not None
    )


def _notches(row: Got, faults: Faults) -> tuple[KeptNotch, ...] | None:
    """Openings for pipes, each in a course that is laid; None where nothing is said of them."""
    if "notches" not in row.written:
        return None
    found = []
    for number, part in enumerate(row["notches"]):
        if not part.complete("course", "from", "to"):
            continue
        course, start, end = part["course"], part["from"], part["to"]
        path = row.at("notches", number)
        if course > row["course"]:
            laid = f"1 to {row['course']}: the courses this entry says are laid"
            faults.add((*path, "course"), f"a notch in course {course}", laid)
        if end <= start:
            faults.add(path, "it ends before it begins", f"`from` less than `to`; {COUNTED}")
        elif end - start > NOTCH_M:
            accepted = f"up to {small(NOTCH_M, faults.system)}: an opening for one pipe"
            faults.add(path, f"a notch {length(end - start, faults.system)} wide", accepted)
        found.append(KeptNotch(course, start, end))
    return tuple(found)


def _found(rows: tuple[Got, ...], faults: Faults) -> tuple[Found, ...]:
    found = []
    for number, row in enumerate(rows, start=1):
        given = {"at", "line"} & row.written
        if len(given) != 1:
            faults.add(row.path, "both a place and a line" if given else "no place", "one of at, line")
            continue
        kind, line = row["what"], _place(row)
        if kind is None or line is None:
            continue
        answer: FoundAnswer = row["answer"] or ""
        if answer and answer not in ANSWERS[kind]:
            accepted = (
                ", ".join(f'"{word}"' for word in ANSWERS[kind]) + ", or move the wall in [brief] or [[wall_line]]"
            )
            faults.add(row.at("answer"), f'"{answer}" for {kind}', accepted)
        name = row["name"] or f"{kind} {number}"
        size = 0.3 if row["size"] is None else row["size"]
        found.append(Found(name, kind, line, row["depth"] or 0.0, size, answer, _written(row.path, faults)))
    return tuple(found)


def _place(row: Got) -> tuple[Point, ...] | None:
    if row["at"] is not None:
        return (row["at"],)
    line: tuple[Point, ...] | None = row["line"]
    return line


_AS_FIXED: dict[str, Literal["rock", "service", "other"]] = {
    "rock": "rock", "concrete": "other", "root": "other", "pipe": "service",
}  # fmt: skip


def found_fixed(found: tuple[Found, ...]) -> tuple[Fixed, ...]:
    """Hard things found, as things that stay: ties, drains and pins keep clear of them."""
    return tuple(
        Fixed(f"found {number}", _AS_FIXED[one.kind], one.name, one.line_m, clear_m=max(0.05, 0.5 * one.size_m),
              depth_m=one.depth_m, buried=True)
        for number, one in enumerate(found, start=1)
        if one.kind in _AS_FIXED
    )  # fmt: skip


def found_springs(found: tuple[Found, ...]) -> tuple[Spring, ...]:
    """Water met while digging is ground water, whatever the weather; answered with a drain of its own or not."""
    return tuple(Spring(one.name, one.line_m, None, one.answer == "drain") for one in found if one.kind == "water")
