"""Places told of things found, of undrained ground and of drains without a way out: where the thing is on site."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from lawbook.case import Case, plan
from lynchet.project.so_far import Found
from lynchet.units.measures import System
from lynchet.units.parse import parse
from lynchet.walls.model import Leg
from lynchet.walls.over_found import Over, over_findings
from lynchet.water.beside import Refused
from lynchet.water.cover import cover_findings, far_places
from lynchet.water.pockets import stretches_of
from lynchet.water.refusals import _finding
from lynchet.water.settings import settings_of
from lynchet.water.yard import Yard
from random_yards import Placing, realistic

YARDS = tuple((seed, turn, mirrored) for seed in (5, 11, 24) for turn in (0.4, 3.3) for mirrored in (False, True))
_END = " from its left end, seen from below"
_NEAR_M = 0.012
"""Lengths are told to a centimetre or a sixteenth of an inch, the own frame to a fraction of a millimetre."""


@dataclass(frozen=True)
class Site:
    """A wall as it stands on site, found from timber and finished levels in the file's own places alone."""

    left: Any
    along: Any
    """Unit vector from the left end to the right one."""
    long_m: float

    def told(self, point: tuple[float, float]) -> float:
        """How far from the left end a place lies, held to the timber."""
        return float(min(max((np.array(point) - self.left) @ self.along, 0.0), self.long_m))


def _site(case: Case, leg: Leg) -> Site:
    """Stand on the side where the finished level is lower, look at the wall: its left end is on the left hand."""
    out = case.project.frame.outward
    start, end = (np.array(out(point)) for point in (leg.start_m, leg.end_m))
    way = (end - start) / np.hypot(*(end - start))
    runs = [run for run in case.walls.runs if run.leg == leg.id and run.outline_m]
    ends = [(np.array(out(point)) - start) @ way for run in runs for point in _ends(leg, run)]
    lie = [
        (np.array(out(leg.point_at(span.start_m, 1.0))) - np.array(out(leg.point_at(span.start_m))))
        for span in leg.spans
    ]
    rise = sum(
        (np.diff(span.levels_at((span.start_m + span.end_m) / 2))[0] * -(span.end_m - span.start_m)) * side
        for span, side in zip(leg.spans, lie, strict=True)
    )
    uphill = rise / np.hypot(*rise)  # one who stands below looks this way
    to_left = np.array([-uphill[1], uphill[0]])
    low, high = start + min(ends) * way, start + max(ends) * way
    left, right = (high, low) if (high - low) @ to_left > 0.0 else (low, high)
    return Site(left, (right - left) / np.hypot(*(right - left)), float(np.hypot(*(right - left))))


def _ends(leg: Leg, run: Any) -> Iterator[tuple[float, float]]:
    yield from (leg.point_at(station) for station in run.outer_m)


@cache
def yard(seed: int, turn: float, mirrored: bool, units: System) -> tuple[Case, Yard]:
    """A realistic yard up to its walls."""
    project, ground = realistic(seed, Placing(turn, mirrored, (3.0, -2.0)))
    project = replace(project, units=units)
    case = plan(project, ground)
    return case, Yard(project, ground, case.terraces, case.walls, settings_of(project.drain))


def _legs(case: Case) -> list[Leg]:
    """Walls that hold one side all along: below is one place."""
    return [leg for leg in case.walls.legs if leg.segments and len({span.held for span in leg.spans}) == 1]


def _lengths(text: str, units: System) -> list[float]:
    """The places told from the left end: one, or two with "from ... to ..."."""
    before = text.split(_END, maxsplit=1)[0]
    pair = re.search(r"from ([^,:;]+?) to ([^,:;]+?)$", before)
    parts = pair.groups() if pair else (re.split(r", ", before)[-1],)
    return [parse(part, "length", units) for part in parts]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("place", YARDS)
def test_a_place_told_is_where_the_thing_is(place: tuple[int, float, bool], units: System) -> None:
    """A stretch over a thing found and the place of a refused drain, anywhere along every wall."""
    case, found = yard(*place, units)
    out, rng = case.project.frame.outward, np.random.default_rng(place[0])
    thing = Found("old footing", "concrete", ((0.0, 0.0),), 0.3, 0.4)
    for leg in _legs(case):
        site = _site(case, leg)
        low, high = sorted(rng.uniform(0.0, leg.length_m, 2).tolist())
        wanted = sorted(site.told(out(leg.point_at(station))) for station in (low, high))
        for why in ("", "it lies at the end of the wall"):
            for answer in ("step up", "bridge"):
                done = Over(replace(thing, answer=cast(Any, answer)), leg.id, 1, low, high, why)
                (said,) = over_findings(case.project, [done], found.seen)
                assert _lengths(said.text, units) == pytest.approx(wanted, abs=_NEAR_M), (leg.id, said.text)
        refused = Refused("B1/A0", leg.id, high, 1.0, 0.1)
        text = _finding(cast(Any, SimpleNamespace(yard=found)), refused).text
        assert _lengths(text, units) == pytest.approx([site.told(out(leg.point_at(high)))], abs=_NEAR_M), text


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("place", YARDS)
def test_undrained_ground_is_told_where_it_is_worst(place: tuple[int, float, bool], units: System) -> None:
    """With no pipe at all: the place told on each wall is one where it holds the most of all that is undrained."""
    case, found = yard(*place, units)
    out, legs = case.project.frame.outward, {leg.id: leg for leg in _legs(case)}
    stretches = stretches_of(case.walls, found.settings)
    places = far_places(stretches, [], found.settings.stone_only_m)
    said = [one for one in cover_findings(found, stretches, [], set(), []) if one.place in legs]
    assert {one.place for one in said} == {one.leg for one in places} & set(legs)
    for one in said:
        site, leg = _site(case, legs[one.place]), legs[one.place]
        mine = [far for far in places if far.leg == leg.id]
        most = max(far.held_m for far in mine)
        spots = [site.told(out(leg.point_at(far.station_m))) for far in mine if far.held_m > most - 1e-9]
        (told,) = _lengths(one.text, units)
        assert min(abs(told - spot) for spot in spots) < _NEAR_M, (one.text, spots)


def test_the_yards_have_walls_of_either_hand() -> None:
    """Both own frames, and in each walls whose line begins at their left end and at their right."""
    hands = set()
    for place in YARDS:
        case, _ = yard(*place, "metric")
        for leg in _legs(case):
            start = case.project.frame.outward(leg.start_m)
            hands.add((case.project.frame.mirrored, _site(case, leg).told(start) < leg.length_m / 2))
    assert len(hands) == 4
