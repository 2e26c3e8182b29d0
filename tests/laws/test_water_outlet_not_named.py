"""Water that leaves where the file names no outlet: told where it names others, asked about near a lot line."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from shapely.geometry import LineString, Point

from lawbook.case import plan
from lynchet.core.findings import Finding, Verdict
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.units.format import flow, length
from lynchet.water.model import Outlet, Water
from lynchet.water.outlet_checks import of_unknown_flow
from lynchet.water.stage import water
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
UP_THE_SLOPE = pm.DrainWish(outlets_m=((4.0, 9.0),), outlet_levels_m=(105.0,))
"""An outlet that no drain can reach."""


def _made(**parts: Any) -> Water:
    readings = readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y + 0.01 * x, margin_m=9.0)
    case = plan(*project_of(OUTLINE, readings, brief=pm.Brief(terraces=3), **parts))
    return water(case.project, case.ground, case.terraces, case.walls)


def _wish(named: bool) -> pm.DrainWish:
    return UP_THE_SLOPE if named else pm.DrainWish()


@cache
def _plain(named: bool) -> Water:
    """Without lot lines, the file naming an outlet or none."""
    return _made(drain=_wish(named))


def _told(made: Water) -> dict[str, Finding]:
    return {one.place: one for one in made.findings if one.code == "water.outlet_not_named"}


def _over(outlet: Outlet, away_m: float, aside: bool) -> things.LotLine:
    """A lot line so far from an outlet: beside where it pours, or straight before it."""
    (x, y), (dx, dy) = outlet.point_m, outlet.direction
    off = (-dy, dx) if aside else (dx, dy)
    mx, my = x + away_m * off[0], y + away_m * off[1]
    along = (dx, dy) if aside else (-dy, dx)
    return things.LotLine("lot", tuple((mx + s * along[0], my + s * along[1]) for s in (-9.0, 9.0)))


def test_every_outlet_of_a_file_that_names_another_is_told_with_its_flow() -> None:
    """Each place where water comes to daylight is care, with its litres a second; a named one in use is not told."""
    made = _plain(named=True)
    told, free = _told(made), [one for one in made.outlets if one.kind == "daylight"]
    assert free and sorted(told) == sorted(one.id for one in free)
    for outlet in free:
        assert told[outlet.id].verdict is Verdict.WATCH and flow(outlet.flow_l_s, "metric") in told[outlet.id].text
        assert "`outlet` under [drain]" in told[outlet.id].text
    reached = _made(drain=pm.DrainWish(outlets_m=((4.5, -3.0),), outlet_levels_m=(98.0,)))
    given = [one.id for one in reached.outlets if one.kind == "given"]
    assert given and not set(given) & set(_told(reached))
    assert not _told(_plain(named=False))


@pytest.mark.parametrize(
    ("named", "away_m", "aside"),
    [(True, 2.6, True), (True, 3.4, True), (True, 5.0, False), (False, 2.6, False), (False, 8.0, False)],
)
def test_an_outlet_nobody_named_near_a_lot_line_is_asked_about(named: bool, away_m: float, aside: bool) -> None:
    """Under 3 m from a lot line, or pointing at one within twice that, it is a question for the neighbour, with the
    distance, whether or not the file names others; else no more than care."""
    drain, plain = _wish(named), _plain(named)
    outlet = next(one for one in plain.outlets if one.kind == "daylight")
    lot = _over(outlet, away_m, aside)
    made = _made(drain=drain, lot_lines=(lot,))
    told, line, seen = _told(made), LineString(lot.line_m), 0
    frame_free = [one for one in made.outlets if one.kind == "daylight"]
    for one in frame_free:
        (x, y), (dx, dy) = one.point_m, one.direction
        away = line.distance(Point(one.point_m))
        if line.intersects(LineString([one.point_m, (x + 1.5 * dx, y + 1.5 * dy)])):
            continue  # that is a stop of its own
        asked = away < 3.0 or line.intersects(LineString([one.point_m, (x + 6.0 * dx, y + 6.0 * dy)]))
        assert (one.id in told) == (asked or named)
        if one.id in told:
            assert told[one.id].verdict is (Verdict.ASK if asked else Verdict.WATCH)
            assert (told[one.id].ask == "neighbour") == asked
            assert not asked or length(away, "metric") in told[one.id].text
        seen += 1
    assert seen or not frame_free


@pytest.mark.parametrize("flow_l_s", [None, 0.05])
def test_a_spring_nobody_measured_gives_no_number(flow_l_s: float | None) -> None:
    """Where its water comes out, how much is told only where the file says it: it is never none."""
    spring = things.Spring("seep", ((1.0, 6.6), (9.6, 6.6)), flow_l_s, cut_off=True)
    made = _made(drain=UP_THE_SLOPE, springs=(spring,))
    (cut,) = made.cut_offs
    outlet, text = next(one for one in made.outlets if one.id == cut.outlet), _told(made)[cut.outlet].text
    assert of_unknown_flow(outlet) == (flow_l_s is None) == ("how much is not known" in text)
    assert flow(0.0, "metric") not in text and (flow_l_s is None or flow(flow_l_s, "metric") in text)
