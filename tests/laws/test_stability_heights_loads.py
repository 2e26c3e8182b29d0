"""Place rules that a load sets off, and not a height: said so wherever the rule is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.book.parts.engineer_checks import _asks
from lynchet.drawings.figures import Figures
from lynchet.drawings.permit_walls import permit_walls
from lynchet.drawings.stamp import stamp_of
from lynchet.plan.model import Plan
from lynchet.project.model import HeightRule
from lynchet.stability.heights import check_heights
from lynchet.stability.site import height_findings
from stacked_yards import stacked
from told.pages import sheet_rows

RULES = tuple(
    HeightRule(f"{limit:g} m {measure} {word} {at}", measure, limit, "always", 2.0, at, word == "any load")
    for limit in (0.2, 30.0) for measure in ("retained", "exposed", "base_to_top") for word in ("no load", "any load")
    for at in (False, True)
)  # fmt: skip


def _with_load(units: str, wall: str, known: bool) -> Plan:
    """Three walls up a slope under these rules, a load above one of them."""
    plan = stacked(3, 4, units)
    place = replace(plan.project.place, known=known, heights=RULES)
    project = replace(plan.project, place=place)
    places = tuple(replace(one, surcharge_kpa=5.0 if one.leg == wall else 0.0) for one in plan.stability.places)
    checks = tuple(check_heights(project, plan.walls, places, plan.stability.tiers))
    return replace(plan, project=project, stability=replace(plan.stability, places=places, heights=checks))


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("wall", ["W2", "W3", ""])
def test_what_sets_a_rule_off_is_the_height_or_the_load(units: str, wall: str) -> None:
    """Off by its height: no wall is named for a load. Off under its limit: the loaded wall is named. Else neither."""
    plan = _with_load(units, wall, True)
    rules = {rule.name: rule for rule in RULES}
    assert {check.rule for check in plan.stability.heights} == set(rules)
    for check in plan.stability.heights:
        rule, over = rules[check.rule], check.height_m > check.limit_m
        load = bool(wall) and rule.surcharge_counts
        assert check.triggered == (over or load)
        assert check.loaded == ((wall,) if load and not over else ())


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("known", [True, False])
def test_no_page_calls_a_load_a_height(units: str, known: bool) -> None:
    """Finding, permit sheet and engineer's table name the load and never say the height is over a limit it is under."""
    plan = _with_load(units, "W2", known)
    said = Figures(plan.project.units)
    by_load = [check for check in plan.stability.heights if check.loaded]
    assert by_load
    texts = [one.text for one in height_findings(plan.project, by_load)]
    assert len(texts) == len(by_load)
    assert all(
        "not over the" in text and "load" in text and "W2" in text and ", over the" not in text for text in texts
    )
    assert {_asks(check) for check in by_load} == {"yes, for the load above W2 alone"}
    sheet = permit_walls(plan, stamp_of(plan))
    rows = [row for row in sheet_rows(sheet) if len(row) == 5]
    words = " ".join(item.text for item in sheet.marks if hasattr(item, "text"))
    assert "LOAD: under the limit" in words and "here W2." in " ".join(words.split())
    for check in by_load:
        assert [check.rule[:4], f"{said.height(check.height_m)} LOAD"] in [[row[0][:4], row[4]] for row in rows]
    assert {row[4] for row in rows if row[4].endswith("OVER") and row[3] == said.height(30.0)} == set()
