"""A lot line through a house is asked about; one along its outside, as where a house stands on it, is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.core.findings import Verdict
from lynchet.plan.effort import LIVE
from lynchet.plan.lots_and_houses import lot_findings
from lynchet.plan.pipeline import plan_project
from lynchet.project.things import House, LotLine
from yards import rectangle

HOUSE = House("house", ((-2.0, 8.0), (11.0, 8.0), (11.0, 14.0), (-2.0, 14.0)))


def _findings(line: tuple[tuple[float, float], ...], house: House = HOUSE) -> tuple[object, ...]:
    project, _ = rectangle()
    return lot_findings(replace(project, houses=(house,), lot_lines=(LotLine("east line", line),)))


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (((8.0, -5.0), (8.0, 20.0)), "for 6.00 m"),  # right through: as long as the house is deep
        (((14.0, 8.0), (8.0, 16.0)), "for 2.50 m"),  # cuts the corner off: from (11, 12) to (9.5, 14), 1.5 by 2
        (((8.0, 11.0), (8.0, 20.0)), "for 3.00 m"),  # ends inside
    ],
)
def test_a_lot_line_through_a_house_is_asked_about(line: tuple[tuple[float, float], ...], told: str) -> None:
    """By hand: the length inside; who is asked and which tables of the file are in doubt."""
    (found,) = _findings(line)
    assert found.verdict is Verdict.ASK and found.ask == "neighbour"
    assert told in found.text and "[[lot_line]]" in found.text and "[[house]]" in found.text


@pytest.mark.parametrize("x", [11.0, 11.03, 10.97, 11.5])
def test_a_lot_line_along_a_house_is_none(x: float) -> None:
    """A house may stand on the line; two tapes to one corner are no better than that."""
    assert _findings(((x, -5.0), (x, 20.0))) == ()


def test_the_question_is_among_the_plan_s_findings() -> None:
    """Also where nothing that is built comes near the line."""
    project, _ = rectangle()
    asked = replace(project, houses=(HOUSE,), lot_lines=(LotLine("east line", ((10.9, 9.0), (10.5, 20.0))),))
    codes = [finding.code for finding in plan_project(asked, effort=LIVE).findings]
    assert codes.count("stays.lot-through-house") == 1
