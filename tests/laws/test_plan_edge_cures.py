"""Cures of walls round the edge: ground sloped outside, beds short of the edge; planned whole before they are told."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

import pytest

from lynchet.core.findings import Verdict
from lynchet.plan.cure_edits import WALL_CODES, cure_edits
from lynchet.plan.edge_cures import BANKS_OUTSIDE, ENDS_SHORT
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project, read_project_text

STEEP = """
lynchet = 1
units = "metric"
[ground]
slope = {{ fall = "1.5 m in 6 m", cross_fall = "{cross}" }}
[area]
outline = [[0, 0], [7, 0], [7, 6], [0, 6]]
{edges}
[soil]
feel = "gritty"
[[timber]]
section = "140 mm x 140 mm"
stock = ["2.4 m", "4.8 m"]
"""


def test_the_demo_that_stops_has_a_way_out() -> None:
    """Banks outside it, and beds a little shorter where the ground falls too steeply, leave no stop."""
    with as_file(files("lynchet.demos")) as folder:
        file = Path(folder) / "spot_levels.toml"
        plan = plan_project(read_project(file), effort=LIVE)
        cure = next(cure for cure in cure_edits(plan) if cure.name == BANKS_OUTSIDE)
        after = plan_project(read_project(file, edits=cure.edits), effort=LIVE)
    ((_, rows),) = cure.edits
    assert isinstance(rows, list) and "10 ft" in {row.get("width") for row in rows}  # as the file writes its lengths
    assert any(f.verdict is Verdict.STOP for f in plan.findings)
    assert not [f for f in after.findings if f.verdict is Verdict.STOP]
    assert not [leg.id for leg in after.walls.legs if leg.id.startswith("A") and leg.segments]
    assert {bank.line for bank in after.walls.banks} >= {"A0", "A1", "A3"}


@pytest.mark.parametrize("cross", ["0 %", "12 %"])
def test_edits_say_what_their_words_say(cross: str) -> None:
    """Only edges whose wall is stopped are changed; what the file says of the others stays."""
    text = STEEP.format(cross=cross, edges='edges = [{ from = 2, finish = "open", inset = "0.2 m" }]')
    plan = plan_project(read_project_text(text), effort=LIVE)
    failed = {f.place.partition(".")[0] for f in plan.findings if f.verdict is Verdict.STOP and f.code in WALL_CODES}
    edges = {int(place[1:]) for place in failed if place.startswith("A")}
    cures = {cure.name: cure for cure in cure_edits(plan)}
    if not edges:
        assert not {BANKS_OUTSIDE, ENDS_SHORT} & cures.keys()
        return
    for name in (BANKS_OUTSIDE, ENDS_SHORT):
        area = read_project_text(text, edits=cures[name].edits).area
        assert area.rule(2).finish == "open"
        assert area.rule(2).inset_m == pytest.approx(0.2)
        for edge in edges:
            rule = area.rule(edge)
            assert f"A{edge}" in cures[name].text
            assert (rule.finish, rule.width_m) == (("bank", 3.0) if name == BANKS_OUTSIDE else ("wall", None))
            assert rule.inset_m == pytest.approx(0.9) or name == BANKS_OUTSIDE
    assert edges
