"""Figures that a reader would compare are the same on the first look as on the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lynchet.commands.report import figure_lines
from lynchet.drawings.dump import dump
from lynchet.drawings.first_look_sheet import first_look_sheet
from lynchet.drawings.stamp import stamp_of

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
