"""The timber stage: sticks for every piece, fasteners, strength, weights, treatment."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.terraces.step_frames import StepPiece, step_pieces
from lynchet.timber.buying import MILLIMETRE, buy
from lynchet.timber.fastening import corner_pins, screws, tie_screws
from lynchet.timber.fixing_lines import fastener_lines
from lynchet.timber.fixing_strength import fixings_of
from lynchet.timber.grades import strength_of
from lynchet.timber.handling import CREW, lifts, mass_per_m, preservative_of, stamp_of, weights_of
from lynchet.timber.laps import Lap
from lynchet.timber.members import Job, Needs, check_members
from lynchet.timber.model import Fastener, Timber
from lynchet.timber.saying import Told, findings_of
from lynchet.timber.sizes import Sizes, sizes_of
from lynchet.timber.steps import sawn_along, sawn_faces_m2, step_screws
from lynchet.timber.to_come import ties_to_come, to_drive
from lynchet.units.format import TIMBER
from lynchet.units.measures import INCH
from lynchet.walls.model import Piece, Walls
from lynchet.walls.piece_marks import piece_marks


def timber(
    project: Project, terraces: Terraces, walls: Walls, pieces: Sequence[Piece], stability: Stability, cutting_work: int
) -> Timber:
    """What the walls, ties, cross-pieces and steps are cut from, and what holds them together.

    Courses that stand already are checked and keep their fasteners, and are neither cut, weighed nor counted.

    Args:
        project: the file.
        terraces: for the flights of steps.
        walls: the built geometry.
        pieces: of every course.
        stability: for ties, pins and what the timber must carry.
        cutting_work: for the least cost; 0 = the habit of the trade with a bound.
    """
    wood = project.timber
    steps = step_pieces(terraces.flights, wood.thickness_m, wood.course_m)
    new = [piece for piece in pieces if not walls.stands(piece)]
    wanted = wanted_of(project, walls, new, stability, steps)
    bought = buy(wood, wanted, cutting_work, INCH / TIMBER if project.units == "us" else MILLIMETRE)
    strength = strength_of(wood, project.units)
    job = Job(project, walls, pieces, stability, strength, fixings_of(strength, wood.course_m, wood.thickness_m))
    needs = check_members(job)
    sizes = sizes_of(wood.course_m, wood.thickness_m, project.units)
    fasteners, loose = _fasteners(project, walls, pieces, stability, (sizes, needs))
    weights = weights_of(wood, wanted, sawn_along(wood, steps))
    preservative = preservative_of(wood, bought.sticks, sawn_faces_m2(wood, steps))
    stamp, marks = stamp_of(project.units), piece_marks(walls.runs, pieces)
    told = Told(project, walls, new, bought, strength, needs.checks, weights, preservative, stamp, marks, steps, loose)
    come = to_drive(walls, pieces, stability, fasteners)
    base_pins = len(to_drive(walls, pieces, stability, stability.pins))
    lines = fastener_lines(come, base_pins, step_screws(steps, terraces), sizes)
    return Timber(
        sticks=bought.sticks,
        stock=bought.lines,
        bought_m=sum(stick.stock_m for stick in bought.sticks),
        used_m=sum(length for _, length in wanted),
        method=bought.method,
        least_sticks=bought.least_sticks,
        price=bought.price,
        proof=bought.proof,
        fasteners=fasteners,
        fastener_lines=lines,
        strength=strength,
        checks=needs.checks,
        preservative=preservative,
        stamp=stamp,
        weights=weights,
        lift_limit_kg=lifts().limits_kg[CREW - 1],
        volume_m3=_volume_m3(project, walls, new, stability) + sum(piece.volume_m3 for piece in steps),
        mass_kg=mass_per_m(wood) * sum(stick.stock_m for stick in bought.sticks),
        steps=steps,
        findings=findings_of(told),
    )


def wanted_of(
    project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability, steps: Sequence[StepPiece]
) -> list[tuple[str, float]]:
    """Id and length of everything to be cut: the pieces given, ties and cross-pieces not there yet, steps."""
    wanted = [(piece.id, piece.length_m) for piece in pieces]
    for tie in ties_to_come(walls, stability):
        wanted += [(tie.id, tie.length_m - project.timber.thickness_m), (f"{tie.id}/cross", tie.cross_length_m)]
    return wanted + [(piece.id, piece.length_m) for piece in steps]


def _volume_m3(project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability) -> float:
    """Timber of pieces and ties as built, skew ends taken at their mean length."""
    wood = project.timber
    found = sum(
        (piece.end_m[0] + piece.end_m[1] - piece.start_m[0] - piece.start_m[1]) / 2.0
        * wood.thickness_m * (piece.top_m - piece.bottom_m)
        for piece in pieces
    )  # fmt: skip
    ties = sum(tie.length_m - wood.thickness_m + tie.cross_length_m for tie in ties_to_come(walls, stability))
    return found + ties * wood.thickness_m * wood.course_m


def _fasteners(
    project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability, how: tuple[Sizes, Needs]
) -> tuple[tuple[Fastener, ...], list[Lap]]:
    """Screws, corner pins where pins are wished, screws of the ties; and laps left loose."""
    sizes, needs = how
    pins = corner_pins(walls, pieces, sizes, needs.corner_pins, stability.pins) if project.brief.pins else []
    upright, loose = screws(walls, pieces, stability, sizes, pins)
    return (*upright, *pins, *tie_screws(project, walls, stability, sizes, needs.tie_screws)), loose
