"""A wall that stands off its level: what is said of it, what follows, how it may be brought back."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.project.model import Project
from lynchet.units.format import small
from lynchet.walls.model import Leg

FINE_M = 0.003
"""Nothing is done about less: a saw cut, a turn of the level. PRACTICE."""
FOLLOWED_M = 0.015
"""What the rest of a wall and its neighbours may follow; more is bedded again. PRACTICE."""
LEAST_SHARE = 0.5
"""A thinned course keeps at least this share of its height. PRACTICE."""
SOURCE = "PRACTICE: up to 3 mm is left, up to 15 mm is followed, more is bedded again"


def whole(leg: Leg, known: LegStanding) -> bool:
    """Whether a wall stands to its top: there is no course to come that could follow, or come back to level."""
    return known.built is not None and known.built >= max(part.top for part in leg.segments)


def unanswered(leg: Leg, known: LegStanding) -> bool:
    """Whether nobody has said what is to be done that can be done: a wall that stands to its top has no course above
    that brings it back to level."""
    return known.built is not None and (not known.answer or (known.answer == "level" and whole(leg, known)))


def brought_back(leg: Leg, known: LegStanding | None) -> tuple[int, float]:
    """The course to come that brings a wall back to level, as the file answers, and how far off the wall stands there
    (m, down is negative); course -1 where none does.
    """
    if known is None or known.built is None or known.answer != "level" or whole(leg, known):
        return -1, 0.0
    off = known.top_offset_m
    return (known.built + 1, off) if abs(off) > FINE_M else (-1, 0.0)


def back_words(project: Project, leg: Leg, known: LegStanding | None) -> str:
    """How the next course of a wall brings it back to level, for its sheet; empty where none does."""
    course, off = brought_back(leg, known)
    return _back(project, off, course - leg.lowest_course) if course >= 0 else ""


def off_level(project: Project, leg: Leg, known: LegStanding, follow: Sequence[str]) -> Finding:
    """What is said of a wall that stands off its level.

    Args:
        project: for units, timber and freeboard.
        leg: the wall.
        known: how it stands.
        follow: walls not begun that follow.
    """
    units, off = project.units, known.top_offset_m
    assert known.built is not None
    row, top = known.built - leg.lowest_course + 1, whole(leg, known)
    size, way = small(abs(off), units), "low" if off < 0 else "high"
    much, asked = abs(off) > FOLLOWED_M + 1e-9, unanswered(leg, known)
    back = _lay_again(project, off, row) if top else _back(project, off, row)
    said = f"Wall {leg.id} stands {size} {way} at course {row}" + (", its highest." if top else ".")
    if known.answer == "level" and not top:
        text = f"{said} The courses above come back to level: {back or 'it cannot be done in one course'}."
    elif much and asked:
        limit = small(FOLLOWED_M, units)
        none = "No course above can bring it back to level. " if known.answer == "level" else ""
        rest = f"leave it and let what is joined to it follow, {size} {way}er too" if top else "let the rest follow it"
        ways = "; or ".join(one for one in (back, rest if top or not back else "") if one)
        text = f"{said} {none}That is more than the {limit} the rest may follow: lift it and bed it again; or {ways}."
    else:
        text = f"{said} {_left(project, off, top, known, follow)} {_or_back(back)}"
    stop = much and asked
    return Finding(
        "standing.off", Verdict.STOP if stop else Verdict.WATCH, text, leg.id, demand=abs(off),
        capacity=FOLLOWED_M, unit="m", source=SOURCE, cures=_cures(known, back, much and asked, top),
        withholds=("cut-sheet",) if stop else (),
    )  # fmt: skip


def _left(project: Project, off: float, top: bool, known: LegStanding, follow: Sequence[str]) -> str:
    """What follows, and how far the timber stands over the bed then."""
    units = project.units
    over = small(project.brief.freeboard_m, units)
    spare = f"the timber then stands {small(project.brief.freeboard_m + off, units)} over the bed instead of {over}"
    if not top:
        others = f"; {', '.join(follow)}, joined to it and not begun, follow too" if follow else ""
        return f"The courses above follow{others}: {spare}."
    if known.answer == "level":
        return f"No course above can bring it back to level: {spare}."
    others = f"{', '.join(follow)}, joined to it and not begun, follow" if follow else "It stays so"
    return f"{others}: {spare}."


def _or_back(back: str) -> str:
    return f"Or bring it back: {back or 'bed it again'}."


def _back(project: Project, off: float, row: int) -> str:
    """How the next course brings the wall back to level; empty where one course cannot."""
    course, size = project.timber.course_m, small(abs(off), project.units)
    if off < 0:
        return f"{size} of treated packing the full width of the timber, under course {row + 1}"
    if course - off < LEAST_SHARE * course:
        return ""
    if off <= FOLLOWED_M:
        return f"plane or saw {size} off the underside of course {row + 1}, and treat the cut"
    left = small(course - off, project.units)
    return f"one thin course: saw course {row + 1} down to {left}, and treat the cut"


def _lay_again(project: Project, off: float, row: int) -> str:
    """How the highest course itself is brought back; empty where it would be too thin."""
    course, size = project.timber.course_m, small(abs(off), project.units)
    again = "lay it again and measure once more"
    if off < 0:
        return f"take course {row} off, lay {size} of treated packing the full width of the timber, {again}"
    if course - off < LEAST_SHARE * course:
        return ""
    return f"take course {row} off, saw {size} off its underside, treat the cut, {again}"


def _cures(known: LegStanding, back: str, asked: bool, top: bool) -> tuple[Cure, ...]:
    again = Cure("bed-again", "lift it, rake the bed and lay it again, then measure once more")
    if not known.entry:
        return (again,)
    key = f"stands.{known.entry}.answer"
    found = [again] if abs(known.top_offset_m) > FOLLOWED_M + 1e-9 else []
    if known.answer != "level" and back and not top:
        found.append(_level(known, back))
    if asked:
        what = "walls joined to it" if top else "courses above"
        found.append(Cure(f"follow-{known.leg}", f"let the {what} follow, at another level", ((key, "follow"),)))
    return tuple(found)


def _level(known: LegStanding, back: str) -> Cure:
    text = f"bring {known.leg} back to level: {back}"
    return Cure(f"level-{known.leg}", text, ((f"stands.{known.entry}.answer", "level"),))


def level_cures(project: Project, legs: Sequence[Leg], standing: Standing) -> tuple[Cure, ...]:
    """For every wall off its level that its next course can bring back, the answer that says so."""
    found = []
    for leg in legs:
        known = standing.leg(leg.id)
        if known is None or known.built is None or not known.entry or known.answer == "level" or whole(leg, known):
            continue
        back = _back(project, known.top_offset_m, known.built - leg.lowest_course + 1)
        if back and abs(known.top_offset_m) > FINE_M:
            found.append(_level(known, back))
    return tuple(found)
