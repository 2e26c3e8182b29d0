"""Things found while digging against everything placed, in three dimensions, with what can be done about each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.ground.model import Ground
from lynchet.plan.placed import Placed
from lynchet.project.build_so_far import ANSWERS
from lynchet.project.model import Project
from lynchet.project.so_far import Found
from lynchet.units.format import length, small
from lynchet.walls.over_found import shape_of, top_of

LAID_ROUND = frozenset({"stone", "fabric", "stone bed", "cut-off stone", "plant"})
"""Kinds that fit round a thing and are laid by hand. PRACTICE."""
CLEAR_M = 0.02
"""Left over a thing by what is placed over it. PRACTICE: half an inch and the roughness of a trench."""
_SEEN_M = 0.002
"""A height that a tape shows."""
SOFT_M = 0.3
"""Soft ground is dug out and filled with stone down to this; deeper is an engineer's. PRACTICE."""
_ASK = {"pipe": "locator", "root": "arborist"}
_FIRST = {
    "pipe": "Stop digging there; have it marked and named before anything goes on",
    "root": "Do not cut it before an arborist has seen it",
    "rock": "Bare its top and see how far it goes",
    "concrete": "Bare it and find out what it carries",
}
_DOES = {
    "step up": "let the base step up over it by whole courses",
    "bridge": "let the first course bridge it, with room all round",
    "drain": "give it a drain of its own above the walls, with its own outlet",
    "dig out": "dig the soft ground out and fill with stone",
}


def found_findings(project: Project, ground: Ground, things: Sequence[Placed]) -> list[Finding]:
    """What is said of everything found: what it meets, and the ways on."""
    return [finding for found in project.so_far.found for finding in _of(found, project, ground, things)]


def _of(found: Found, project: Project, ground: Ground, things: Sequence[Placed]) -> Iterator[Finding]:
    if found.kind == "water":
        yield _water(found)
        return
    hits = _hits(found, ground, things)
    if found.kind == "soft":
        yield from _soft(found, project, hits)
    elif hits:
        yield _met(found, project, hits, top_of(found, ground.surface))
    else:
        verdict = Verdict.OK if found.answer else Verdict.WATCH
        text = f"{_named(found)} lies clear of everything that is placed. {_FIRST[found.kind]}."
        yield Finding("found.clear", verdict, text, found.name, ask=_ASK.get(found.kind, ""))


def _named(found: Found) -> str:
    return f"{found.name[0].upper()}{found.name[1:]}, found in the ground,"


def _hits(found: Found, ground: Ground, things: Sequence[Placed]) -> list[Placed]:
    """What is placed on or through it; soft ground is met by whatever stands on it."""
    shape = shape_of(found)
    soft = found.kind == "soft"
    top = top_of(found, ground.surface)
    wanted = [thing for thing in things if (thing.kind == "stone bed" if soft else thing.kind not in LAID_ROUND)]
    hits = []
    for thing in wanted:
        if not thing.polygon.intersects(shape):
            continue
        middle = shapely.intersection(thing.polygon, shape).representative_point()
        bottom, _ = thing.levels_at((float(middle.x), float(middle.y)))
        if soft or bottom < top + CLEAR_M - 1e-9:
            hits.append(thing)
    return hits


def _met(found: Found, project: Project, hits: Sequence[Placed], top_m: float) -> Finding:
    units = project.units
    owners = sorted({hit.owner for hit in hits})
    deep = max(top_m - hit.bottom_m for hit in hits)
    kinds = ", ".join(sorted({hit.kind for hit in hits}))
    wide = length(found.size_m, units)
    into = f"by up to {small(deep, units)} in height and {wide} in width"
    under = f"less than {small(CLEAR_M, units)} under it, {wide} wide"
    text = (
        f"{_named(found)} is in the way of {', '.join(owners)} ({kinds}), {into if deep >= _SEEN_M else under}. "
        f"{_FIRST[found.kind]}."
    )
    cures = [*_cures(found), Cure("move", _move(found, project, hits))]
    return Finding(
        "found.in_the_way", Verdict.STOP, text, owners[0], demand=max(deep, 0.0), unit="m", source="PRACTICE",
        cures=tuple(cures), withholds=("cut-sheet", "order-list"), cause=f"found.{found.name}",
        ask=_ASK.get(found.kind, ""),
    )  # fmt: skip


def _cures(found: Found) -> list[Cure]:
    number = found.written[2]
    words = [word for word in ANSWERS[found.kind] if word != found.answer]
    return [Cure(f"{word.replace(' ', '-')}-{number}", _DOES[word], ((f"found.{number}.answer", word),))
            for word in words if number]  # fmt: skip


def _move(found: Found, project: Project, hits: Sequence[Placed]) -> str:
    """How far what meets a thing would have to move to be clear of it, at the most."""
    far = 0.0
    for hit in hits:
        corners = shapely.get_coordinates(hit.polygon.minimum_rotated_rectangle)
        sides = [float(shapely.Point(corners[0]).distance(shapely.Point(corners[k]))) for k in (1, 3)]
        far = max(far, min(sides) + found.size_m)
    return (
        f"move it clear by up to {length(far + 0.05, project.units)}, with a line of your own ([[wall_line]]) or steps"
    )


def _soft(found: Found, project: Project, hits: Sequence[Placed]) -> Iterator[Finding]:
    walls = sorted({hit.owner for hit in hits})
    if not walls:
        return
    deep, answered = length(SOFT_M, project.units), found.answer == "dig out"
    text = (
        f"{_named(found)} lies under {', '.join(walls)}: dig it out down to firm ground and a hand wide round it, and "
        f"fill with stone tamped in layers. If it is not firm {deep} deeper, stop and ask an engineer."
    )
    yield Finding("found.soft", Verdict.WATCH if answered else Verdict.ASK, text, walls[0], source="PRACTICE",
                  cures=() if answered else tuple(_cures(found)), ask="" if answered else "engineer")  # fmt: skip


def _water(found: Found) -> Finding:
    if found.answer == "drain":
        text = f"{_named(found)} is taken for ground water all year and led away by a drain of its own."
        return Finding("found.water", Verdict.WATCH, text, found.name, source="PRACTICE")
    text = f"{_named(found)} is taken for ground water all year: leave the trench open to see where it comes from."
    return Finding("found.water", Verdict.WATCH, text, found.name, cures=tuple(_cures(found)), source="PRACTICE")
