"""Pieces shorter than asked are told, every one."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lynchet.core.findings import Verdict
from lynchet.drawings.wall_facts import wall_piece_names
from lynchet.timber.saying import _down, _up
from lynchet.timber.short_pieces import short_findings
from lynchet.units.measures import System
from lynchet.units.parse import parse
from lynchet.walls.piece_marks import piece_marks


@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_shorter_than_asked_is_counted_in_a_finding(name: str) -> None:
    """The counts told add up to the pieces under the shortest asked; the shortest of each kind is named."""
    plan = demo(name)
    asked = plan.project.brief.shortest_piece_m
    short = [piece for piece in plan.pieces if piece.length_m < asked - 1e-3]
    names = wall_piece_names(plan)
    told = [one for one in plan.findings if one.code in ("timber.short_piece", "timber.short_course")]
    assert sum(int(one.text.split()[0]) for one in told) == len(short)
    for one in told:
        assert one.capacity in [piece.length_m for piece in short]
        named = re.findall(r"(\S+) of wall (\S+) \(", one.text)
        assert named and {f"{wall} {mark}" for mark, wall in named} <= {names[piece.id] for piece in short}


def test_a_piece_under_half_of_what_was_asked_is_care() -> None:
    """With the same pieces, the word follows the length asked; none is told where nothing is short."""
    plan = demo("spot_levels")
    brief = plan.project.brief
    words = {}
    for asked in (0.05, 0.6, 1.2):
        project = replace(plan.project, brief=replace(brief, shortest_piece_m=asked))
        found = short_findings(project, plan.walls, plan.pieces, piece_marks(plan.walls.runs, plan.pieces))
        words[asked] = {one.code: one.verdict for one in found}
    assert words[0.05] == {}
    assert words[0.6]["timber.short_piece"] is Verdict.OK and words[1.2]["timber.short_piece"] is Verdict.WATCH


@pytest.mark.parametrize(("units", "step"), [("metric", 0.01), ("us", 0.0254 / 8)])
def test_lengths_that_are_limits_are_never_rounded_past_them(units: System, step: float) -> None:
    """A length to be reached is said no shorter, one not to be passed no longer, and both within a step of it."""
    for value in (3.594, 3.5901, 2.4384, 2.43, 0.0127, 1.0):
        up, down = (parse(text(value, units), "length", units) for text in (_up, _down))
        assert value - 1e-5 <= up < value + step and value - step < down <= value + 1e-5
