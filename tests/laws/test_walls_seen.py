"""A place along a wall in a finding is where the wall sheet's own axis has it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from lawbook.whole import whole
from lynchet.core.plane import left_of
from lynchet.drawings.wall_face import Face, face_of
from lynchet.plan.model import Plan
from lynchet.units.format import length
from lynchet.units.parse import parse
from lynchet.walls.limits import bank_held
from random_yards import realistic

_AT = re.compile(
    r"^Wall (\S+) \([^)]*\), (?:(.+?) from its left|at its (left|right)) end, seen from below, holding (.+?) with"
)
_STRETCH = re.compile(
    r"^Wall (\S+) holds the ground outside the area from ([^a]+?) to ([^a]+?) from its left end, seen"
)
_SEEDS = (0, 5, 11, 17, 24, 29)


@cache
def _plans() -> tuple[Plan, ...]:
    return (*(demo(name) for name in DEMOS), *(whole(*realistic(seed)).plan for seed in _SEEDS))


def _station(face: Face, along_m: float) -> float:
    """The leg's own station of a distance on the sheet's axis."""
    return face.end_m - along_m if face.flipped else face.start_m + along_m


def test_a_station_in_a_finding_lands_on_its_place_on_the_wall_sheet() -> None:
    """Read back on the sheet's axis, a finding on a wall lies by a place checked that holds what it says."""
    seen = 0
    for plan in _plans():
        units = plan.project.units
        for found in plan.findings:
            told = _AT.match(found.text)
            if told is None or not found.code.startswith("stability."):
                continue
            wall, at, end, holds = told.groups()
            face = face_of(plan, plan.walls.leg(wall))
            along = parse(at, "length", units) if at else 0.0 if end == "left" else face.length_m
            places = [p for p in plan.stability.places if p.leg == wall and length(p.retained_m, units) == holds]
            away = min(abs(min(max(face.x(p.station_m), 0.0), face.length_m) - along) for p in places)
            assert away < (0.04 if at else 0.06), found.text
            seen += 1
    assert seen > 5


def test_a_stretch_in_a_finding_is_the_one_that_holds_the_bank() -> None:
    """Both ends of "from .. to .." stand on the sheet's axis where the wall begins and ends to hold the bank."""
    seen = 0
    for plan in _plans():
        units = plan.project.units
        for found in plan.findings:
            told = _STRETCH.match(found.text)
            if told is None:
                continue
            face = face_of(plan, plan.walls.leg(told.group(1)))
            ends = sorted(_station(face, parse(text, "length", units)) for text in told.groups()[1:])
            held = [part for part in bank_held(face.leg) if part[1] - part[0] > 0.1]
            assert len(held) == 1
            timber = [min(max(one, face.start_m), face.end_m) for one in held[0]]
            assert ends == pytest.approx(sorted(timber), abs=0.02), found.text
            seen += 1
    assert seen > 2


def test_left_is_left_of_one_who_looks_at_the_wall_from_below() -> None:
    """By vectors: who faces the higher ground has the left end on his left hand, in a mirrored yard too."""
    project, ground = realistic(11)
    plan = whole(project, ground).plan
    for mirrored in (False, True):
        turned = replace(plan, project=replace(project, frame=replace(project.frame, mirrored=mirrored)))
        for leg in plan.walls.legs:
            if not any(run.leg == leg.id for run in plan.walls.runs):
                continue
            face = face_of(turned, leg)
            up = sum(s.held * (s.end_m - s.start_m) for s in leg.spans) >= 0
            ahead = leg.normal if up else (-leg.normal[0], -leg.normal[1])
            hand = left_of(ahead)
            if mirrored:
                hand = -hand[0], -hand[1]
            left, right = leg.point_at(_station(face, 0.0)), leg.point_at(_station(face, face.length_m))
            assert (left[0] - right[0]) * hand[0] + (left[1] - right[1]) * hand[1] > 0.0, leg.id
