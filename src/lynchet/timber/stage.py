"""The timber stage: sticks for every piece, fasteners, strength, weights, treatment."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from lynchet.project.model import Project
from lynchet.stability.constants import PIN_DIAMETER_M, PIN_LENGTH_M, SCREW_DIAMETER_M
from lynchet.stability.model import Stability
from lynchet.timber.buying import buy
from lynchet.timber.fastening import corner_pins, screws, tie_screws
from lynchet.timber.fixing_strength import fixings_of
from lynchet.timber.grades import strength_of
from lynchet.timber.handling import CREW, coating, lifts, mass_per_m, preservative_of, stamp_of, weights_of
from lynchet.timber.members import Job, Needs, check_members
from lynchet.timber.model import Fastener, FastenerLine, Timber
from lynchet.timber.saying import Told, findings_of
from lynchet.timber.sizes import Sizes, sizes_of
from lynchet.walls.model import Piece, Walls


def timber(project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability, cutting_s: float) -> Timber:
    """What the walls, ties and cross-pieces are cut from, and what holds them together.

    Args:
        project: the file.
        walls: the built geometry.
        pieces: of every course.
        stability: for ties, pins and what the timber must carry.
        cutting_s: seconds for the least cost; 0 = the habit of the trade with a bound.
    """
    wood = project.timber
    wanted = wanted_of(project, pieces, stability)
    bought = buy(wood, wanted, cutting_s)
    strength = strength_of(wood, project.units)
    needs = check_members(
        Job(project, walls, pieces, stability, strength, fixings_of(strength, wood.course_m, wood.thickness_m))
    )
    sizes = sizes_of(wood.course_m, wood.thickness_m, project.units)
    fasteners = _fasteners(project, walls, pieces, stability, (sizes, needs))
    weights, preservative, stamp = (
        weights_of(wood, wanted),
        preservative_of(wood, bought.sticks),
        stamp_of(project.units),
    )
    used = sum(length for _, length in wanted)
    told = Told(project, walls, pieces, bought, strength, needs.checks, weights, preservative, stamp)
    return Timber(
        sticks=bought.sticks,
        stock=bought.lines,
        bought_m=sum(stick.stock_m for stick in bought.sticks),
        used_m=used,
        method=bought.method,
        least_sticks=bought.least_sticks,
        price=bought.price,
        proof=bought.proof,
        fasteners=fasteners,
        fastener_lines=_lines(fasteners, len(stability.pins), sizes),
        strength=strength,
        checks=needs.checks,
        preservative=preservative,
        stamp=stamp,
        weights=weights,
        lift_limit_kg=lifts().limits_kg[CREW - 1],
        volume_m3=_volume_m3(project, pieces, stability),
        mass_kg=mass_per_m(wood) * sum(stick.stock_m for stick in bought.sticks),
        findings=findings_of(told),
    )


def wanted_of(project: Project, pieces: Sequence[Piece], stability: Stability) -> list[tuple[str, float]]:
    """Id and length of every piece, tie and cross-piece."""
    wanted = [(piece.id, piece.length_m) for piece in pieces]
    for tie in stability.ties:
        wanted += [(tie.id, tie.length_m - project.timber.thickness_m), (f"{tie.id}/cross", tie.cross_length_m)]
    return wanted


def _volume_m3(project: Project, pieces: Sequence[Piece], stability: Stability) -> float:
    """Timber as built, skew ends taken at their mean length."""
    wood = project.timber
    found = sum(
        (piece.end_m[0] + piece.end_m[1] - piece.start_m[0] - piece.start_m[1]) / 2.0
        * wood.thickness_m * (piece.top_m - piece.bottom_m)
        for piece in pieces
    )  # fmt: skip
    ties = sum(tie.length_m - wood.thickness_m + tie.cross_length_m for tie in stability.ties)
    return found + ties * wood.thickness_m * wood.course_m


def _fasteners(
    project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability, how: tuple[Sizes, Needs]
) -> tuple[Fastener, ...]:
    """Screws, corner pins where pins are wished, screws of the ties."""
    sizes, needs = how
    pins = corner_pins(walls, pieces, sizes, needs.corner_pins) if project.brief.pins else []
    found = [*screws(walls, pieces, stability, sizes, pins), *pins]
    return (*found, *tie_screws(project, walls, stability, sizes, needs.tie_screws))


def _lines(fasteners: Sequence[Fastener], base_pins: int, sizes: Sizes) -> tuple[FastenerLine, ...]:
    """How many of each kind and size."""
    count = Counter(fastener.kind for fastener in fasteners)
    rows = (
        FastenerLine("screw", "structural screws, each course to the one below", SCREW_DIAMETER_M, sizes.screw_m, 0.0,
                     coating(SCREW_DIAMETER_M), count["screw"]),
        FastenerLine("corner pin", "bars through the lapped corners", PIN_DIAMETER_M, sizes.corner_pin_m,
                     PIN_DIAMETER_M, coating(PIN_DIAMETER_M), count["corner pin"]),
        FastenerLine("tie screw", "lag screws through the face and the cross-piece into each tie", SCREW_DIAMETER_M,
                     sizes.tie_screw_m, sizes.tie_pilot_m, coating(SCREW_DIAMETER_M), count["tie screw"]),
        FastenerLine("base pin", "bars through the lowest course into the ground", PIN_DIAMETER_M, PIN_LENGTH_M,
                     PIN_DIAMETER_M, coating(PIN_DIAMETER_M), base_pins),
    )  # fmt: skip
    return tuple(row for row in rows if row.count)
