"""Thousands of random walls laid and screwed together, held to a checker that looks at the timber alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import dist
from types import SimpleNamespace

import numpy as np
import pytest

from lawbook.case import plan
from lawbook.fastener_laws import fasteners, layings, screws_hold_every_lap
from lynchet.stability.model import Pin
from lynchet.timber.fastening import corner_pins, screws
from lynchet.timber.sizes import sizes_of
from lynchet.walls.joints import Avoid, JointRules, Opening, lay_pieces
from lynchet.walls.model import Piece, Walls
from random_yards import realistic

YARDS, DRAWS = 6, 8


def _avoid(rng: np.random.Generator, walls: Walls) -> tuple[Avoid, SimpleNamespace]:
    """Notches and ties in some courses, base pins in the lowest, as water and stability might place them."""
    openings, ties, pins = [], [], []
    for leg in walls.legs:
        if not leg.segments:
            continue
        course = leg.lowest_course + int(rng.integers(0, 3))
        for window in walls.windows(leg.id, course, 0.15)[:1]:
            low, high = window.stations_m[0]
            if rng.random() < 0.4:
                middle = float(rng.uniform(low, high))
                openings.append(Opening(leg.id, course, middle - 0.075, middle + 0.075))
        for run in walls.runs_of(leg.id, leg.lowest_course + 1):
            low, high = run.inner_m
            notched = {o.course for o in openings if o.leg == leg.id}
            if rng.random() < 0.5 and run.course not in notched:
                ties += [SimpleNamespace(leg=leg.id, course=run.course, station_m=float(s))
                         for s in np.arange(low + 0.5, high - 0.5, rng.choice([0.9, 1.2, 1.8]))]  # fmt: skip
        for run in walls.runs_of(leg.id, leg.lowest_course):
            low, high = run.inner_m
            taken = [o for o in openings if o.leg == leg.id]
            pins += [SimpleNamespace(leg=leg.id, course=run.course, station_m=float(s))
                     for s in np.arange(low + 0.2, high - 0.2, 1.2)
                     if not any(o.start_m - 0.2 < s < o.end_m + 0.2 for o in taken)]  # fmt: skip
    fixings = tuple((one.leg, one.course, one.station_m) for one in (*ties, *pins))
    return Avoid(tuple(openings), fixings), SimpleNamespace(ties=ties, pins=pins, weeps=())


def test_a_corner_pin_keeps_off_the_pins_of_the_base() -> None:
    """Wherever one pin of the base would stand in the very place of a corner pin, that takes another place, an eighth
    of the timber or more away; elsewhere it stays."""
    case = plan(*realistic(0))
    laid = lay_pieces(case.walls, JointRules(0.6, 0.4, 3.6), Avoid((), ()))
    sizes = sizes_of(case.project.timber.course_m, case.project.timber.thickness_m, "metric")
    plain = {pin.id: pin for pin in corner_pins(case.walls, laid.pieces, sizes, {})}
    moved = 0
    for pin in list(plain.values())[:12]:
        base = Pin("pin", pin.leg, pin.course - 1, pin.station_m, pin.point_m, 0.0127, pin.bottom_m, pin.bottom_m - 0.5)
        now = {one.id: one for one in corner_pins(case.walls, laid.pieces, sizes, {}, (base,))}
        away = dist(now[pin.id].point_m, base.point_m) if pin.id in now else 1.0
        assert away > case.project.timber.thickness_m / 8.0
        moved += pin.id in now
    assert moved > 6


@pytest.mark.parametrize("chunk", range(6))
def test_layings_and_fasteners_of_random_walls_are_legal(chunk: int) -> None:
    """Some two thousand walls under random rules, notches, ties and pins: filled, joints apart, steel within timber."""
    wrong: dict[str, list[str]] = {}
    walls_seen = 0
    for seed in range(YARDS * chunk, YARDS * chunk + YARDS):
        case = plan(*realistic(seed))
        for draw in range(DRAWS):
            rng = np.random.default_rng([seed, draw])
            rules = JointRules(float(rng.choice([0.45, 0.6, 0.9])), float(rng.choice([0.4, 0.6])),
                               float(rng.uniform(1.9, 4.9)))  # fmt: skip
            avoid, held = _avoid(rng, case.walls)
            laid = lay_pieces(case.walls, rules, avoid)
            told = {f.place: f.capacity or 0.0 for f in laid.findings if f.code == "walls.joint_offset"}
            wood = case.project.timber
            sizes = sizes_of(wood.course_m, wood.thickness_m, "metric")
            pins = corner_pins(case.walls, laid.pieces, sizes, {})
            steel = [*screws(case.walls, laid.pieces, held, sizes, pins)[0], *pins]
            walls_seen += sum(bool(leg.segments) for leg in case.walls.legs)
            found = [
                *layings(case.walls, laid.pieces, rules, avoid, told),
                *fasteners(case.walls, laid.pieces, steel, avoid),
                *screws_hold_every_lap(case.walls, laid.pieces, steel),
            ]
            if found:
                wrong[f"{seed}.{draw}"] = found
    assert wrong == {}
    assert walls_seen > 200


def _laps(walls: Walls, pieces: Sequence[Piece], low_m: float, high_m: float) -> Iterator[tuple[Piece, float]]:
    """Pieces that lie between these lengths on a piece of the course below, and the station where that begins."""
    by_course: dict[tuple[str, int], list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_course[piece.leg, piece.course].append(piece)
    for piece in pieces:
        for below in by_course[piece.leg, piece.course - 1]:
            start, end = max(*piece.start_m, *below.start_m), min(*piece.end_m, *below.end_m)
            if low_m <= end - start <= high_m:
                yield piece, start


def test_screws_give_way_to_a_neighbour_that_has_one_place_only() -> None:
    """Two ties bar all of a lap but its ends; the screws of the laps beside it leave those free."""
    seen = 0
    for seed in range(4):
        case = plan(*realistic(seed))
        laid = lay_pieces(case.walls, JointRules(0.6, 0.6, 3.6), Avoid((), ()))
        wood = case.project.timber
        sizes = sizes_of(wood.course_m, wood.thickness_m, "metric")
        for piece, start in list(_laps(case.walls, laid.pieces, 0.6, 0.66))[:8]:
            ties = [SimpleNamespace(leg=piece.leg, course=course, station_m=start + off)
                    for course, off in ((piece.course - 1, 0.2411), (piece.course, 0.4755))]  # fmt: skip
            held = SimpleNamespace(ties=ties, pins=(), weeps=())
            steel, loose = screws(case.walls, laid.pieces, held, sizes)
            assert not loose and screws_hold_every_lap(case.walls, laid.pieces, steel) == []
            fixings = tuple((tie.leg, tie.course, tie.station_m) for tie in ties)
            assert fasteners(case.walls, laid.pieces, steel, Avoid((), fixings)) == []
            seen += 1
    assert seen > 10


def test_every_lap_that_no_screw_finds_room_in_is_told() -> None:
    """Ties side by side all along one course: the laps that the law finds unheld are those told, no more, no fewer."""
    seen = 0
    for seed in range(4):
        case = plan(*realistic(seed))
        laid = lay_pieces(case.walls, JointRules(0.6, 0.4, 3.0), Avoid((), ()))
        wood = case.project.timber
        leg = max(case.walls.legs, key=lambda leg: max((seg.top - seg.base for seg in leg.segments), default=0))
        ties = [SimpleNamespace(leg=leg.id, course=leg.lowest_course + 1, station_m=float(s))
                for s in np.arange(0.0, 40.0, 0.2)]  # fmt: skip
        held = SimpleNamespace(ties=ties, pins=(), weeps=())
        steel, loose = screws(case.walls, laid.pieces, held, sizes_of(wood.course_m, wood.thickness_m, "metric"))
        unheld = screws_hold_every_lap(case.walls, laid.pieces, steel)
        assert sorted(line.split(" on ")[0] for line in unheld) == sorted(lap.upper.id for lap in loose)
        seen += len(loose)
    assert seen > 5
