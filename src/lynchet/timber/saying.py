"""What the timber stage tells people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.late import LateWorking
from lynchet.project.model import Project
from lynchet.terraces.step_frames import StepPiece
from lynchet.timber.buying import Bought
from lynchet.timber.handling import CREW, lifts, mass_per_m
from lynchet.timber.laps import Lap
from lynchet.timber.model import MemberCheck, PieceWeight, Preservative, Stamp, Strength
from lynchet.timber.short_pieces import short_findings
from lynchet.timber.steps import sawn_along
from lynchet.timber.worked import cutting_working, weight_working
from lynchet.units.format import TIMBER, force, length, mass, small, tins
from lynchet.units.measures import System
from lynchet.walls.joints import stick_m
from lynchet.walls.model import Piece, Walls

NO_SHEETS = ("cut-sheet", "order-list")


@dataclass(frozen=True)
class Told:
    """What there is to tell of."""

    project: Project
    walls: Walls
    pieces: Sequence[Piece]
    bought: Bought
    strength: Strength
    checks: Sequence[MemberCheck]
    weights: Sequence[PieceWeight]
    preservative: Preservative
    stamp: Stamp
    marks: Mapping[str, str]
    """Of all pieces, as on the sheets."""
    steps: Sequence[StepPiece] = ()
    loose: Sequence[Lap] = ()


def findings_of(told: Told) -> tuple[Finding, ...]:
    """Everything said of the timber."""
    parts = (_special, _one_stick, _short, _loose, _weak, _cutting, _steps, _assumed, _heavy, _stamp)
    return tuple(finding for part in parts for finding in part(told))


def _special(told: Told) -> Iterator[Finding]:
    """Pieces longer than any stock."""
    long = [stick for stick in told.bought.sticks if stick.source == "special"]
    if not long:
        return
    units, most = told.project.units, max(stick.stock_m for stick in long)
    longest = told.project.timber.longest_m
    stock = f"; the longest stock gives {length(longest, units)}" if longest else ""
    text = (
        f"{len(long)} piece{'s are' if len(long) > 1 else ' is'} longer than any stock, up to {length(most, units)}"
        f"{stock}. They are on the list as special lengths without a price: ask whether the yard has them, or keep "
        "pieces to the stock."
    )
    cures: tuple[Cure, ...] = ()
    if longest and told.project.brief.longest_piece_m and told.project.brief.longest_piece_m > longest:
        edits = (("brief.longest_piece", f"{longest:.4f} m"),)
        effect = "everything is cut from stock, with more joints"
        cures = (Cure("stock-lengths", f"no piece longer than {length(longest, units)}", edits, effect),)
    yield Finding("timber.special", Verdict.WATCH, text, long[0].pieces[0], demand=most, capacity=longest, unit="m",
                  cures=cures)  # fmt: skip


def _one_stick(told: Told) -> Iterator[Finding]:
    """Courses wished of one stick that are not."""
    if not told.project.brief.one_stick:
        return
    counts = Counter(piece.run for piece in told.pieces)
    longest = stick_m(told.project)
    by_leg: dict[str, list[float]] = {}
    for run in told.walls.runs:
        if counts[run.id] > 1:
            by_leg.setdefault(run.leg, []).append(run.outer_m[1] - run.outer_m[0])
    for leg, sizes in sorted(by_leg.items()):
        long = [size for size in sizes if size > longest + 1e-6]
        if long:
            yield _too_long(told, leg, long, longest)
        if len(long) < len(sizes):
            cut = len(sizes) - len(long)
            text = (
                f"{_courses(cut, leg)} cannot be one stick: a notch for the drain cuts {'them' if cut > 1 else 'it'}. "
                "The courses over and under a notch are whole."
            )
            yield Finding("timber.one_stick", Verdict.OK, text, leg, demand=max(sizes), unit="m")


def _short(told: Told) -> Iterator[Finding]:
    return short_findings(told.project, told.walls, told.pieces, told.marks)


def _loose(told: Told) -> Iterator[Finding]:
    """Where ties, pins and holes leave no room for the screws that hold a timber to the one below."""
    laps = [lap for lap in told.loose if not told.walls.stands(lap.upper)]
    if not laps:
        return
    where = ", ".join(dict.fromkeys(f"{told.marks[lap.upper.id]} of wall {lap.upper.leg}" for lap in laps))
    text = (
        f"Ties, pins or holes leave no room to screw {where} to the timber below all along. Before the soil is laid "
        "behind, hold the two together there with a galvanised steel plate screwed to the soil side of both."
    )
    yield Finding("timber.loose_lap", Verdict.WATCH, text, laps[0].upper.leg, source="PRACTICE")


def _courses(count: int, leg: str) -> str:
    return f"{count} course{'s' if count > 1 else ''} of wall {leg}"


def _too_long(told: Told, leg: str, sizes: Sequence[float], longest: float) -> Finding:
    """Courses that no stick gives: how much shorter the wall would have to be, and the stick that would do."""
    units, most = told.project.units, max(sizes)
    less, enough, limit = _up(most - longest, units), _up(most, units), _down(longest, units)
    text = (
        f"{_courses(len(sizes), leg)} cannot be one stick: up to {enough} long, and the longest stick gives {limit}. "
        f"They are laid with joints. The wall {less} shorter would do, or split by a return, or sticks that give "
        f"{enough}."
    )
    cure = Cure("shorter-wall", f"wall {leg} {less} shorter, or split by a return: no course over {limit}")
    return Finding("timber.one_stick", Verdict.WATCH, text, leg, demand=most, capacity=longest, unit="m", cures=(cure,))


def _up(value_m: float, units: System) -> str:
    """A length that must be reached: never said shorter than it is."""
    step = _STEP_M[units]
    return length(ceil(value_m / step - 1e-6) * step, units)


def _down(value_m: float, units: System) -> str:
    """A length that must not be passed: never said longer than it is."""
    step = _STEP_M[units]
    return length(floor(value_m / step + 1e-6) * step, units)


_STEP_M = {"metric": 0.01, "us": 0.0254 / TIMBER}
"""What a length is rounded to in words."""
_WHAT = {
    "bending": "a course bends more than its strength allows",
    "shear": "a course is sheared more than it may be at its support",
    "sag": "a course bows more than looks right",
    "bending over a notch": "the course over a notch bends more than it may",
    "joint between ties": "a joint hands over more than the screws beside it carry",
    "tie fixing": "a tie pulls more than its screws hold",
    "cross-piece bending": "a cross-piece bends more than it may",
    "corner pin": "a course pulls more on its corner than the pins hold",
}
SHUT = ("one outlet shut", "all shut", "earthquake")
"""Cases that pass: the strength is that for lasting loads, so a little too much there is watched. PRACTICE."""
_CURE = {
    "sag": "Shorter fronts, or a stiffer timber.", "corner pin": "Shorter fronts, or ties.",
    "tie fixing": "More ties, closer together.", "joint between ties": "Longer sticks, or screws every 0.3 m (12 in).",
}  # fmt: skip


def _weak(told: Told) -> Iterator[Finding]:
    """Every check that fails."""
    for check in told.checks:
        if check.ratio >= 1.0 - 1e-9:
            continue
        passing = check.what == "sag" or check.case in SHUT
        verdict = Verdict.WATCH if passing else Verdict.STOP
        cure = _CURE.get(check.what, "A thicker timber, a better grade, shorter spans, or ties closer together.")
        strength = told.strength
        known = " (assumed: the file does not say)" if strength.assumed else ""
        text = (
            f"Wall {check.leg}: {_WHAT[check.what]}, span {length(check.span_m, told.project.units)} "
            f"({check.case}): {_amount(told, check, check.demand)} against "
            f"{_amount(told, check, check.capacity)}, {strength.label}{known}. {cure}"
        )
        yield Finding(
            f"timber.{check.what.replace(' ', '_')}", verdict, text, check.leg, case=check.case, demand=check.demand,
            capacity=check.capacity, ratio=check.ratio, unit=check.unit, source=strength.source,
            withholds=() if verdict is Verdict.WATCH else NO_SHEETS, cause="timber.strength",
            working=check.workings[0] if check.workings else None, working_also=check.workings[1:],
        )  # fmt: skip


def _amount(told: Told, check: MemberCheck, value: float) -> str:
    units = told.project.units
    if check.unit == "kN":
        return force(value, units)
    if check.unit == "m":
        return small(value, units)
    if units == "us" and check.unit == "MPa":
        return f"{value / 0.00689475729:.0f} psi"
    return f"{value:.2f} {check.unit}"


def _cutting(told: Told) -> Iterator[Finding]:
    """How sure the number of sticks is."""
    if told.bought.sticks:
        proof = told.bought.proof
        of = (
            "cost"
            if proof.measure == "price"
            else "the least length bought, as the stock in the file does not give a price with every length"
        )
        text = f"{len(told.bought.sticks)} sticks ({of}): {proof.words}. Method: {told.bought.method}."
        text += "" if proof.measure == "price" else " The working counts length instead of money."
        if any(stick.source == "on hand" for stick in told.bought.sticks):
            text += " Sticks on hand cost nothing here; the working counts them as bought."
        yield Finding("timber.cutting", Verdict.OK, text, "site", demand=proof.cost, capacity=proof.bound,
                      source="Gilmore and Gomory, 1961; Valério de Carvalho, 1999",
                      working=LateWorking(partial(cutting_working, told.project.timber, told.bought)))  # fmt: skip


def _steps(told: Told) -> Iterator[Finding]:
    """Timbers of steps that are sawn along."""
    sawn = [piece for piece in told.steps if piece.id in sawn_along(told.project.timber, told.steps)]
    if not sawn:
        return
    units = told.project.units
    widths = sorted({small(piece.width_m, units) for piece in sawn})
    flights = ", ".join(dict.fromkeys(piece.flight for piece in sawn))
    text = (
        f"The treads of {flights} are no whole number of timbers deep: {len(sawn)} of their timbers "
        f"{'are' if len(sawn) > 1 else 'is'} sawn along, to {', '.join(widths)} wide. Turn the sawn face to the soil "
        "and brush it like a cut end."
    )
    yield Finding("timber.steps_sawn", Verdict.OK, text, sawn[0].flight)


def _assumed(told: Told) -> Iterator[Finding]:
    if told.strength.assumed and told.bought.sticks:
        text = (
            f"Species or grade is not said, or not in the tables: strength reckoned as {told.strength.label}, the "
            "weakest there. The stamp on the timber tells; write it under material."
        )
        yield Finding("timber.assumed", Verdict.OK, text, "site", source=told.strength.source)


def _heavy(told: Told) -> Iterator[Finding]:
    """Pieces too heavy for two."""
    over = [one for one in told.weights if one.people > CREW]
    if not over:
        return
    units, table = told.project.units, lifts()
    limit = table.limits_kg[CREW - 1]
    carry = limit / mass_per_m(told.project.timber)
    text = (
        f"{len(over)} of {len(told.weights)} pieces weigh more than two people should lift ({mass(limit, units)}), "
        f"the heaviest {mass(over[0].mass_kg, units)}: more hands, bars or straps, a trolley; never one at each "
        f"end on a slope. Two can lift {length(carry, units)} of this timber."
    )
    edits = (("brief.longest_piece", f"{carry - 5e-4:.3f} m"),)
    effect = "two people lift every piece; more joints"
    cure = Cure("pieces-to-carry", f"no piece longer than {length(carry, units)}", edits, effect)
    brief = told.project.brief
    cures = (cure,) if carry > 2.0 * brief.shortest_piece_m and not brief.one_stick else ()
    yield Finding("timber.lift", Verdict.OK, text, "site", demand=over[0].mass_kg, capacity=limit, unit="kg",
                  source=table.source, cures=cures, working=weight_working(told.project.timber, over[0]))  # fmt: skip


def _stamp(told: Told) -> Iterator[Finding]:
    if told.bought.sticks:
        liquid = told.preservative
        amount = tins(liquid.litres, told.project.units)
        text = (
            f"{told.stamp.words} Brush every sawn end twice ({liquid.cut_ends} ends, about {amount}) and every "
            "drilled hole, with the preservative the timber's maker names; gloves and glasses, nothing on the soil."
        )
        yield Finding("timber.stamp", Verdict.OK, text, "site", source=f"AWPA U1, EN 335 (MEMORY); {liquid.source}")
