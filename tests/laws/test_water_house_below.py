"""Houses below the beds: rain that runs over the lowest walls must not run to them."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from lawbook.case import plan
from lynchet.core.findings import Finding, Verdict
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.water.model import Water
from lynchet.water.stage import water
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
FT = 0.3048


def _slope(x: float, y: float) -> float:
    return 100.0 + 0.2 * y


def _made(house: tuple[tuple[float, float], ...]) -> tuple[Water, list[Finding]]:
    parts: dict[str, Any] = {"houses": (things.House("the cottage", house),), "brief": pm.Brief(terraces=3)}
    case = plan(*project_of(OUTLINE, readings_over(OUTLINE, _slope, margin_m=4.0), **parts))
    made = water(case.project, case.ground, case.terraces, case.walls)
    return made, [one for one in made.findings if one.code == "water.house_below"]


def _below(gap_m: float) -> tuple[tuple[float, float], ...]:
    return (0.0, -gap_m - 5.0), (9.0, -gap_m - 5.0), (9.0, -gap_m), (0.0, -gap_m)


def test_a_house_just_below_is_asked_about_with_all_the_water() -> None:
    """A house 2 ft below the lowest wall of a yard that falls straight to it: the question names the house, and the
    water is what the rational method gives of all benches together, as each of them spills onto the one below. The
    fall asked is 5 % of the way (IRC R401.3: a nearer barrier), against ground that falls the wrong way."""
    made, (finding,) = _made(_below(2 * FT))
    assert finding.verdict is Verdict.ASK and finding.ask == "office" and finding.place == "the cottage"
    whole = sum(one.flow_l_s for one in made.top_water)
    assert f"{whole:.2f} l/s" in finding.text
    assert finding.demand == pytest.approx(0.05 * 2 * FT) and finding.capacity == pytest.approx(-0.2 * 2 * FT, abs=0.01)


def test_the_farther_the_milder() -> None:
    """As the house moves down the slope the word never grows graver; past 10 m nothing is said."""
    words = [max((one.verdict for one in _made(_below(gap))[1]), default=Verdict.OK) for gap in (0.3, 2.5, 4.0, 12.0)]
    assert all(near >= far for near, far in pairwise(words))
    assert words[0] is Verdict.ASK and words[2] is Verdict.WATCH and words[-1] is Verdict.OK


@pytest.mark.parametrize(
    "house", [((0.0, 6.5), (9.0, 6.5), (9.0, 10.0), (0.0, 10.0)), ((9.6, 0.0), (12.0, 0.0), (12.0, 6.0), (9.6, 6.0))]
)
def test_a_house_above_or_beside_is_not_in_the_way(house: tuple[tuple[float, float], ...]) -> None:
    """Water runs down the slope: of a house above the beds or across from them nothing is said."""
    assert not _made(house)[1]
