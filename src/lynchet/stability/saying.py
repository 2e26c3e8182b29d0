"""The findings on single walls, in plain words: where, what gives way, what holds with what share, what is assumed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.model import Project
from lynchet.project.soil_words import soil_name
from lynchet.stability.boxes import by_returns
from lynchet.stability.checks import Numbers, Table
from lynchet.stability.helps import base_friction_deg
from lynchet.stability.kinds import tangent
from lynchet.stability.model import BaseCheck, CornerCheck, Help, HelpName, Place, TieCheck
from lynchet.stability.thresholds import (
    BARE_COURSES,
    BARE_RETAINED_M,
    LOW_WALL_M,
    SHUT_CASES,
    SOURCE,
    STANDS,
    is_bare_low,
    shown_factor,
)
from lynchet.stability.tie_by_hand import ties_by_hand, ties_cure
from lynchet.stability.tying import Untied
from lynchet.stability.words import Word, word_on_corner
from lynchet.stability.worked import corner_workings, workings
from lynchet.units.format import force, inches, length, small
from lynchet.walls.model import Leg
from lynchet.walls.seen import FROM_LEFT, Seen

_WHAT: dict[HelpName, str] = {
    "own weight": "the timber's own weight", "back friction": "friction of the soil on the back",
    "buried course": "the ground in front of the buried course", "pins": "the steel pins in the ground",
    "screws": "the screws between the courses",
}  # fmt: skip
WEEPS = "weeps"
NO_HOLES = " Weep holes find no place there: none is counted."
_SHARED = "shares the ground in front with"


@dataclass(frozen=True)
class Told:
    """What the texts read."""

    project: Project
    table: Table
    legs: dict[str, Leg]
    untied: frozenset[str]
    """Legs on which ties were wanted and none would help."""
    bare: Untied
    seen: dict[str, Seen]
    """Each wall as one stands before it."""
    blocked: Mapping[tuple[str, str], float]
    """What holds over what pushes on each wall in each case with an outlet shut, were weep holes shut too."""


def place_words(told: Told, place: Place) -> str:
    """A wall and a place on it as a builder finds it: 'Wall W2 (front of terrace 2), 4 ft 3 in from its left end'."""
    leg = told.legs[place.leg]
    number = leg.id.removeprefix("W").split(".")[0]
    what = f"front of terrace {number}" if leg.role == "front" and number.isdigit() else {
        "front": "a front", "edge": "at the edge of the area", "cheek": "beside the steps"}[leg.role]  # fmt: skip
    seen = told.seen[leg.id]
    end = seen.at_end(place.station_m)
    where = f"at its {end} end" if end else f"{length(seen.along(place.station_m), told.project.units, 2)} {FROM_LEFT}"
    return f"Wall {leg.id} ({what}), {where}{', seen from below' if end else ''}"


def case_words(case: str) -> str:
    """A load case as people say it."""
    return {
        "dry": "dry", "wet": "in the design rain", "one outlet shut": "with one outlet shut",
        "all shut": "with every outlet shut", "load": "with the load behind it", "earthquake": "in an earthquake",
    }[case]  # fmt: skip


def helps_at(table: Table, row: int) -> tuple[Help, ...]:
    """What holds at one joint in one case, against sliding and against overturning."""
    return helps_of(table, np.array([row]))[0]


def helps_of(table: Table, rows: Numbers) -> list[tuple[Help, ...]]:
    """What holds at each of these rows of the table."""
    p, f = table.pushes, tangent(table.friction_deg[rows])
    lifted = p.uplift[rows] * f
    columns = (
        lifted, p.weight[rows] * f - lifted, p.weight_turn[rows] - p.uplift_turn[rows], p.down[rows] * f,
        p.down_turn[rows], table.buried_kn[rows], table.buried_turn[rows], table.pins_kn[rows], table.screws_kn[rows],
        table.screws_turn[rows],
    )  # fmt: skip
    return [_helps(*numbers) for numbers in zip(*(column.tolist() for column in columns), strict=True)]


def _helps(lifted: float, own: float, own_turn: float, *more: float) -> tuple[Help, ...]:
    down, down_turn, buried, buried_turn, pins, screws, screws_turn = more
    return (
        Help("own weight", own, own_turn, True, "less what the water lifts" if lifted > 0 else ""),
        Help("back friction", down, down_turn, down > 0),
        Help("buried course", buried, buried_turn, buried >= pins and buried > 0,
             "" if buried >= pins else f"{_SHARED} the pins; they hold more"),
        Help("pins", pins, 0.0, pins > buried, "" if pins > buried else f"{_SHARED} the buried course; it holds more"),
        Help("screws", screws, screws_turn, screws > 0),
    )  # fmt: skip


def shares_words(table: Table, word: Word) -> str:
    """The helps a factor rests on, each with its share in hundredths."""
    if word.row < 0:
        return ""
    sliding = word.what.startswith("sliding")
    parts = [(h.name, h.kn_per_m if sliding else h.kn_m_per_m) for h in helps_at(table, word.row)
             if h.counted or (not sliding and h.name == "buried course")]  # fmt: skip
    total = sum(amount for _, amount in parts)
    if total <= 1e-9:
        return "the water lifts more than the timber weighs"
    said = [f"{_WHAT[name]} {100 * amount / total:.0f} %" for name, amount in parts if abs(amount) > 0.005 * total]
    return ", ".join(said)


def finding_on(told: Told, places: Sequence[Place], word: Word) -> Finding:
    """The finding on one wall whose word is not a plain go."""
    place, table = word.place, told.table
    worked = workings(told.project, table, places, word)
    demand, capacity, unit = _amounts(table, word)
    stop = word.verdict is Verdict.STOP
    code = _code(word)
    return Finding(
        code=code,
        verdict=word.verdict,
        text=_text(told, word),
        place=place.leg,
        case=word.case,
        demand=demand,
        capacity=capacity,
        ratio=word.factor,
        unit=unit,
        source=SOURCE,
        withholds=("cut-sheet", "order-list") if stop else (),
        cause=f"{code}.{word.what.split(' ')[0]}",
        ask="engineer" if word.verdict is Verdict.ASK else "",
        cures=(*_ties(told, word), *returns_cure(told, places, word)) if stop else _weeps(told, word),
        working=worked[0] if worked else None,
        working_also=worked[1:],
    )


def _ties(told: Told, word: Word) -> tuple[Cure, ...]:
    found = ties_by_hand(told.bare, word)
    return () if found is None else (ties_cure(told.project, found),)


def _amounts(table: Table, word: Word) -> tuple[float | None, float | None, str]:
    """What is asked for, what there is, and their unit, where a word compares two forces."""
    check = word.check
    if isinstance(check, BaseCheck):
        return check.pressure_kpa, check.allowable_kpa, "kpa"
    if isinstance(check, TieCheck) and word.capacity:
        return check.demand_kn, min(check.capacity_kn, check.fixing_kn), "kn"
    if isinstance(check, TieCheck):
        return check.base_demand_kn_per_m, check.base_capacity_kn_per_m, "kn_per_m"
    if word.row >= 0 and word.what.startswith("sliding"):
        demand = float(table.pushes.horizontal[word.row])
        return demand, demand * word.factor, "kn_per_m"
    return None, None, ""


def _code(word: Word) -> str:
    if "corners" in word.holds:
        return "stability.corners"
    return "stability.ties" if "ties" in word.holds else "stability.wall"


def _text(told: Told, word: Word) -> str:
    units, place = told.project.units, word.place
    times = max(word.factor, 0.0)
    text = (
        f"{place_words(told, place)}, holding {length(place.retained_m, units)} with {place.courses} courses: "
        f"{word.what} {_case(word)} — what holds is {shown_factor(times, word.enough)} times what pushes "
        f"({word.enough:g} is enough)."
    )
    shares = shares_words(told.table, word)
    if shares:
        text += f" It is held by {shares}."
    elif "ties" in word.holds:
        text += " It is held by its ties, its weight and the friction under its base."
    if (word.row >= 0 and told.table.joint[word.row] == 0) or "ties" in word.holds:
        text += f" {base_words(told.project)}"
    return text + _advice(told, word)


def _case(word: Word) -> str:
    """Where no pipe is laid there is no outlet to shut."""
    if word.place.undrained and word.case in ("wet", *SHUT_CASES):
        return "with water to its top"
    if word.place.weep_m is not None and word.case in SHUT_CASES:
        shut = "with the stone full" if word.place.by_stone else case_words(word.case)
        return f"{shut}, its weep holes open"
    return "with the stone full of water" if word.place.by_stone and word.case in SHUT_CASES else case_words(word.case)


def base_words(project: Project) -> str:
    """What the friction under the base rests on."""
    soil = project.soil
    degrees = base_friction_deg(project)
    on = "a stone pad keyed into the ground" if soil.base == "stone pad" else "bare soil"
    ground = "soil nobody looked at (weak soil assumed)" if not soil.known else soil_name(soil)
    return f"Assumed: {on}, friction {degrees:.3g}° under the base, {ground}."


def _advice(told: Told, word: Word) -> str:
    text = ""
    if word.place.undrained and word.verdict is Verdict.WATCH and word.case in ("wet", *SHUT_CASES):
        text += " Neither pipe nor stone counts as its drain."
        text += _let_stand(told, word) if word.factor < STANDS else _in_hand(told, word)
    elif word.case in SHUT_CASES and word.verdict is Verdict.WATCH:
        stone = " Stone alone drains it: keep it and its fabric clean, so that water always finds its way out."
        both = " Keep both its outlets open and rinse them each spring: it rests on one of them."
        piped = both if word.place.two_ways else " Keep the outlet open: it rests on that."
        text += stone + _clay(told, word.place) if word.place.by_stone else piped
        text += _holes(told, word)
        if word.factor < STANDS and not word.place.two_ways:
            text += _let_stand(told, word)
    elif word.verdict is Verdict.WATCH:
        text += _let_stand(told, word) if word.factor < STANDS else _in_hand(told, word)
    elif word.case in SHUT_CASES and word.verdict is Verdict.STOP:
        holes = "" if told.project.brief.weeps else "weep holes bored in its lowest seen course, or "
        text += (
            f" A blocked drain would push it out: {holes}a second outlet may let enough water out (plan it again to "
            "see); lower walls do more."
        )
        text += NO_HOLES if told.project.brief.weeps and word.place.weep_m is None else ""
    if word.place.leg in told.untied and word.verdict > Verdict.WATCH:
        text += " Ties would not cure it here: nothing deep enough to hold them, or no room."
    return text


def _let_stand(told: Told, word: Word) -> str:
    """What is said of a low wall that is let stand though the sum is against it: what happens, why it is no stop, and
    what to do."""
    place, moves = (
        word.place,
        "would tip it forward" if word.what.startswith("overturning") else "would push it out of line",
    )
    if word.case in SHUT_CASES or place.undrained:
        text = f" By this sum the water then {moves}."
    elif place.by_stone:
        text = f" By this sum the rain {moves}. Stone alone drains it: how high the rain stands there is a guess."
    else:
        text = f" By this sum the rain {moves}, though its drain runs."
    low = small(BARE_RETAINED_M, told.project.units)
    what = "it is" if is_bare_low(place.held_courses, place.retained_m) else "what stands above that joint is"
    clay = _clay(told, place) if word.case == "wet" and place.by_stone else ""
    return (
        f"{text} This is care and no stop only because {what} so low (no more than {BARE_COURSES} courses that hold, "
        f"up to {low}) with no load on the ground above; a higher wall would be a stop. Look after heavy rain whether "
        f"it has moved.{clay}"
    )


def _in_hand(told: Told, word: Word) -> str:
    """Why a low wall with less in hand than is asked is a matter of care; with an outlet shut every wall is."""
    if word.case in SHUT_CASES:
        return ""
    low = small(LOW_WALL_M, told.project.units)
    return (
        f" It stands, with less in hand than the {word.enough:g} asked: care on a wall that holds no more than {low} "
        "and no load, a question for an engineer on a higher one. Build it no higher than drawn, and look each year "
        "whether it has moved."
    )


def _weeps(told: Told, word: Word) -> tuple[Cure, ...]:
    """Weep holes in a wall that leans on stone in clay, to be planned before it is said that they help."""
    if word.factor >= STANDS or not word.place.by_stone or not told.project.soil.clay or told.project.brief.weeps:
        return ()
    return (Cure(WEEPS, "bore weep holes through the lowest seen course and rinse them each year, so that the water in "
                 "the stone comes out", (("brief.weeps", True),)),)  # fmt: skip


def _holes(told: Told, word: Word) -> str:
    """What is said of the weep holes of a wall that rests on them, or of those that find no place."""
    key = word.place.leg, word.case
    if word.place.weep_m is None:
        return NO_HOLES if told.project.brief.weeps else ""
    text = " It counts on its weep holes: rinse them each year."
    if word.row < 0 or key not in told.blocked:
        return text
    shut = max(told.blocked[key], 0.0)
    return f"{text} With them blocked as well, what holds would be {shown_factor(shut, word.enough)} times what pushes."


def _clay(told: Told, place: Place) -> str:
    """Stone in clay is a tub: what its water leaves by must be made."""
    if not told.project.soil.clay or place.weep_m is not None:
        return ""
    if told.project.brief.weeps:
        return " In clay the stone holds its water like a tub: have a pipe laid before you rely on it."
    return (
        " In clay the stone holds its water like a tub: have weep holes bored in the lowest seen course "
        "(`weeps = true` under [brief]), or a pipe laid, before you rely on it."
    )


def corner_finding(told: Told, places: Sequence[Place], pair: tuple[CornerCheck, CornerCheck], place: Place) -> Finding:
    """A front that stands by its corners: what each lapped corner must carry goes to the timber and the pins."""
    dry, worst = pair
    units, most = told.project.units, max(dry.sag_mm, worst.sag_mm)
    box, *more = corner_workings(told.project, told.table, places, worst)
    pulls = ", ".join(force(one, units) for one in worst.corner_pulls_kn if one > 0)
    cut = " (a course cut by an outlet leans on those beside it)" if 0.0 in worst.corner_pulls_kn else ""
    sag = f"{most:.1f} mm" if units == "metric" else inches(most / 1000.0, 16)
    across = length(dry.end_m - dry.start_m, units)
    open_ = ", its weep holes open" if place.weep_m is not None and worst.case in SHUT_CASES else ""
    case = case_words(worst.case) + open_
    return Finding(
        code="stability.corners",
        verdict=Verdict.WATCH,
        text=(
            f"{place_words(told, place).split(',')[0]} stands by its corners, without ties: every held course is one "
            f"stick {across} long, lapped and pinned to returns of {length(dry.return_m, units)}. As one body with "
            f"them what holds is {dry.overturning:.2f} times what turns it over and {dry.sliding:.2f} times what "
            f"pushes it out, dry; {worst.overturning:.2f} and {worst.sliding:.2f} {case}. A corner "
            f"must then carry {pulls}, course by course from the top{cut}; its pin carries "
            f"{force(worst.fixing_kn, units)}. The sticks sag up to {sag}. Never a joint in these courses."
        ),
        place=dry.leg,
        case=worst.case,
        demand=worst.corner_pull_kn,
        capacity=worst.fixing_kn,
        ratio=min(worst.sliding, worst.overturning),
        unit="kn",
        source="Statics of the box (no published allowance for corners was found); pin by the yield limit equations, "
        "NDS 2018, 12.3",
        cause="stability.corners.box",
        working=box,
        working_also=tuple(more),
    )


def returns_cure(told: Told, places: Sequence[Place], word: Word) -> tuple[Cure, ...]:
    """Beds no longer than one stick between returns, where that would hold the wall: to be drawn, no edit of a key."""
    brief = told.project.brief
    if word.place.surcharge_kpa > 0 or not brief.pins or "returns" in brief.helps_off:
        return ()
    checks = by_returns(told.project, told.table, places, word)
    if not checks:
        return ()
    units, one = told.project.units, checks[0]
    worst = max(checks, key=lambda check: word_on_corner(check, word.place).badness)
    text = (
        f"cut wall {word.place.leg} into beds no longer than {length(one.end_m, units)}, one stick a course, each end "
        f"lapped and pinned to a return of {length(one.return_m, units)} run back into the bank (draw them as edges of "
        "the area)"
    )
    pull = force(max(check.corner_pull_kn for check in checks), units)
    rests = ", which is care and no stop on so low a wall" if min(worst.overturning, worst.sliding) < 1.0 else ""
    least = f", {min(worst.overturning, worst.sliding):.2f} {case_words(worst.case)}"
    then = "" if worst.case == "dry" else least
    effect = (
        f"it stands by its corners: dry {one.overturning:.2f} against turning over and {one.sliding:.2f} against "
        f"sliding{then}{rests}; a corner carries {pull} a course at most"
    )
    return (Cure("returns", text, (), effect),)


def findings_on_walls(told: Told, places: Sequence[Place], words: Sequence[Word]) -> list[Finding]:
    """One finding for each wall that is not a plain go."""
    return [finding_on(told, places, word) for word in words if word.verdict is not Verdict.OK]
