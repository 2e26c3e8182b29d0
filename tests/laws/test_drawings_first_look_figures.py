"""Figures that a reader would compare are the same on the first look as on the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lynchet.commands.report import figure_lines
from lynchet.drawings.dump import dump
from lynchet.drawings.first_look_sheet import first_look_sheet
from lynchet.drawings.model import Text
from lynchet.drawings.permit_heights import wall_heights
from lynchet.drawings.stamp import stamp_of
from lynchet.units.format import length

SIGNS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}


def _plain(text: str) -> str:
    """The short signs of a drawing as words: 1′-4¼″ as 1 ft 4 1/4 in."""
    for sign, words in SIGNS.items():
        text = text.replace(sign, words)
    return " ".join(text.replace("′-", " ft ").replace("″", " in").split())


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_highest_wall_is_one_figure(name: str, system: str) -> None:
    """The height held is written alike, to the same fraction, on the screen of a plan and on the page."""
    plan = demo(name)
    plan = replace(plan, project=replace(plan.project, units=system))
    screen = " ".join(" ".join(figure_lines(plan)).split())
    held = screen.partition("the highest holds ")[2].partition(" (")[0]
    assert held
    page = _plain(dump(first_look_sheet(plan, stamp_of(plan))))
    assert f"| holds {held}, " in page


def test_the_tallest_timber_is_named_where_it_is_another_wall() -> None:
    """Courses times their height is the height told beside them; where another wall is taller, its name stands by."""
    plan = demo("side_yard")
    course = plan.project.timber.course_m
    page = _plain(dump(first_look_sheet(plan, stamp_of(plan))))
    assert "3 courses" in page and f"| {length(3 * course, 'us')} with buried timber |" in page
    fewer = tuple(replace(place, courses=min(place.courses, 2)) for place in plan.stability.places)
    plan = replace(plan, stability=replace(plan.stability, places=fewer))
    page = _plain(dump(first_look_sheet(plan, stamp_of(plan))))
    tall = {wall.leg for wall in (*wall_heights(plan).stack, *wall_heights(plan).others)
            if abs(wall.whole_m - 3 * course) < 1e-6}  # fmt: skip
    assert any(f"{length(3 * course, 'us')} with buried timber: wall {leg} |" in page for leg in tall)


@pytest.mark.parametrize("name", DEMOS)
def test_a_reason_cut_short_ends_with_a_sentence(name: str) -> None:
    """What stands before "in full with the findings" is a whole sentence wherever one ends in the lines that fit."""
    plan = demo(name)
    texts = [mark.text for mark in first_look_sheet(plan, stamp_of(plan)).marks if isinstance(mark, Text)]
    cut = [n for n, text in enumerate(texts) if text.startswith("… in full")]
    assert cut or name != "side_yard"
    for n in cut:
        before = " ".join(texts[max(0, n - 3) : n])
        assert texts[n - 1].endswith((".", "?", "!")) or ". " not in before, texts[n - 1]
