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
from lynchet.walls.model import Piece
from lynchet.walls.over_found import OVER_M, shape_of, top_of

LAID_ROUND = frozenset({"stone", "fabric", "stone bed", "cut-off stone", "plant"})
"""Kinds that fit round a thing and are laid by hand. PRACTICE."""
OVER_KINDS = frozenset({"timber", "pin", "screw", "corner pin"})
"""Kinds that go up with the base of a wall."""
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


_OUT = {
    "rock": "or, where it can be, break it or lift it out and tamp stone into the hole",
    "concrete": "or, where it carries nothing, break it out and tamp stone into the hole",
    "root": "or, where an arborist lets it be cut, cut it clean",
    "pipe": "or, where its owner says it is dead, cap it and take it out; or have a live one laid deeper or round the "
    "walls, and write where it then lies",
}
"""What else is done about a thing in the way; gone, it is gone from the file."""
_MET = {
    "rock": "if it was broken out",
    "concrete": "if it was broken out",
    "root": "if it was cut, have an arborist look, then",
    "pipe": "if it was cut, or timber lies on it, have it mended before stone and soil hide it; if it is gone",
}


def found_findings(
    project: Project, ground: Ground, things: Sequence[Placed], stands: Sequence[Piece] = ()
) -> list[Finding]:
    """What is said of everything found: what it meets, and the ways on.

    Args:
        project: the file.
        ground: for levels.
        things: everything placed.
        stands: timber that stands; what is in it stands too.
    """
    out: list[Finding] = []
    for found in project.so_far.found:
        if found.kind == "water":
            out.append(_water(found))
            continue
        hits = _hits(found, ground, things)
        coming = [hit for hit in hits if not _there(hit, stands, top_of(found, ground.surface, hit.polygon))]
        if found.kind == "soft":
            out += _soft(found, project, hits)
        elif hits and not coming:
            out.append(_under_standing(found, hits))
        else:
            out += _of(found, project, ground, coming)
    return out


def _of(found: Found, project: Project, ground: Ground, hits: Sequence[Placed]) -> Iterator[Finding]:
    if hits:
        deep = max(top_of(found, ground.surface, hit.polygon) - hit.bottom_m for hit in hits)
        yield _met(found, project, hits, deep)
    else:
        verdict = Verdict.OK if found.answer else Verdict.WATCH
        text = f"{_named(found)} lies clear of everything that is placed. {_FIRST[found.kind]}."
        yield Finding("found.clear", verdict, text, found.name, ask=_ASK.get(found.kind, ""))


def _there(hit: Placed, stands: Sequence[Piece], top_m: float) -> bool:
    """Whether a thing placed is timber that stands, or in it, under it, or on it where what is found ends under it."""
    low = min(hit.top_m, top_m) - CLEAR_M
    return any(one.leg == hit.owner and low <= one.top_m and one.polygon.intersects(hit.polygon) for one in stands)


def _under_standing(found: Found, hits: Sequence[Placed]) -> Finding:
    """It is said to be where timber lies: one of the two is measured wrong, or something happened to it."""
    owners = sorted({hit.owner for hit in hits})
    text = (
        f"{_named(found)} lies by the file where wall {', '.join(owners)} stands already: measure its place and depth "
        f"again and put them right; {_MET[found.kind]}, take its [[found]] out of the file."
    )
    return Finding(
        "found.under_standing", Verdict.ASK, text, owners[0], source="PRACTICE", ask=_ASK.get(found.kind, "")
    )


def _named(found: Found) -> str:
    return f"{found.name[0].upper()}{found.name[1:]}, found in the ground,"


def _hits(found: Found, ground: Ground, things: Sequence[Placed]) -> list[Placed]:
    """What is placed on or through it; soft ground is met by whatever stands on it."""
    shape = shape_of(found)
    soft = found.kind == "soft"
    wanted = [thing for thing in things if (thing.kind == "stone bed" if soft else thing.kind not in LAID_ROUND)]
    hits = []
    for thing in wanted:
        if not thing.polygon.intersects(shape):
            continue
        middle = shapely.intersection(thing.polygon, shape).representative_point()
        bottom, _ = thing.levels_at((float(middle.x), float(middle.y)))
        if soft or bottom < top_of(found, ground.surface, thing.polygon) + CLEAR_M - 1e-9:
            hits.append(thing)
    return hits


def _met(found: Found, project: Project, hits: Sequence[Placed], deep: float) -> Finding:
    units = project.units
    owners = sorted({hit.owner for hit in hits})
    kinds = ", ".join(sorted({hit.kind for hit in hits}))
    wide = length(found.size_m, units)
    into = f"by up to {small(deep, units)} in height and {wide} in width"
    under = f"less than {small(CLEAR_M, units)} under it, {wide} wide"
    text = (
        f"{_named(found)} is in the way of {', '.join(owners)} ({kinds}), {into if deep >= _SEEN_M else under}. "
        f"{_FIRST[found.kind]}."
    )
    stand = {entry.wall for entry in project.so_far.stands}
    walls = {hit.owner for hit in hits if hit.kind in OVER_KINDS}
    if found.answer in OVER_M and walls & stand:
        text += f" Wall {', '.join(sorted(walls & stand))} stands: its base goes over nothing any more."
    cures = [*(_cures(found) if walls - stand else ()), Cure("move", _move(found, project, hits)),
             Cure("take-out", f"{_OUT[found.kind]}; then its [[found]] goes out of the file")]  # fmt: skip
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
