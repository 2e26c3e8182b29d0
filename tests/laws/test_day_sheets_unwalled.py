"""Day sheets of yards in which no wall is built: they speak of soil and plants, and of nothing else."""

from __future__ import annotations

from string import Formatter
from typing import Any

import pytest

from by_command import changed
from demo_plans import demo
from lynchet.book.day_lines import day_lines
from lynchet.book.texts import LANGUAGES, Words, texts
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

EDGES = ", ".join(f'{{ from = {edge}, finish = "bank", width = "4 ft" }}' for edge in range(4))
OF_WALLS = {
    "en": ("wall", "course", "timber", "every string", "offcut", "sawdust", "fence"),
    "es": ("muro", "hilada", "madera", "cada cuerda", "recorte", "serrín"),
}
UNWALLED = "_unwalled"


@pytest.fixture(scope="module", params=["banks", "level"])
def plan(request: Any, tmp_path_factory: Any) -> Plan:
    """One bench between banks on a slope, and one bed on level ground."""
    between = {'depth = "14 ft"': f'depth = "14 ft"\nedges = [{EDGES}]', "terraces = 2": "terraces = 1"}
    level = {'fall = "8 %"': 'fall = "0 %"', "terraces = 2": "terraces = 1"}
    change = between if request.param == "banks" else level
    file = changed(tmp_path_factory.mktemp(request.param), "plain.toml", change)
    made = plan_project(checked(load(file), []), effort=LIVE)
    assert not made.walls.runs and made.works.days
    return made


def _said(day: DayContent) -> str:
    steps = " ".join(" ".join((step.text, *step.more, step.caution, step.look)) for step in day.steps)
    more = (day.hold, day.expected.intro, day.expected.off, *day.evening, day.stop, day.tools)
    return " ".join((steps, *more)).casefold()


def test_a_bed_on_level_ground_is_dug_out_and_a_slope_is_cut(plan: Plan) -> None:
    """Where the ground lies at the finished level only room for bed soil is dug: nobody cuts a bench there, and no bank
    stands to fall from; between banks a bench is cut."""
    level = not plan.walls.banks
    said = " ".join([*(task.name for task in plan.works.tasks),
                     *(f"{day.title} {_said(day)}" for day in day_contents(plan, Words("en")))]).casefold()  # fmt: skip
    assert ("dig the bed out" in said) == level
    assert ("cut the bench" in said) != level and ("above or below the bank" in said) != level


@pytest.mark.parametrize("lang", LANGUAGES)
def test_no_day_speaks_of_walls(plan: Plan, lang: str) -> None:
    """Neither on paper nor on the phone, in no language; what is seen in the end is soil and water."""
    days = day_contents(plan, Words(lang))
    for day in days:
        for word in OF_WALLS[lang]:
            assert word not in _said(day), (day.number, word)
        assert day.hold and day.stop and day.evening
    assert ("beds lie level" if lang == "en" else "bancales a nivel") in days[-1].hold


def test_the_list_of_days_says_the_same(plan: Plan) -> None:
    """The spreadsheet's holds and evenings are those of the sheets."""
    words = Words(unwalled=True)
    for day in plan.works.days:
        lines = day_lines(plan.works, day, words, plan.project.units)
        for text in (*lines.looks, *lines.evening):
            assert not any(word in text.casefold() for word in OF_WALLS["en"]), text


def test_yards_with_walls_are_told_to_look_at_them() -> None:
    """Where walls are built the sheets say so as before."""
    said = " ".join(_said(day) for day in day_contents(demo("side_yard"), Words()))
    for words in ("look along every wall first", "no fill above the top course fixed", "every wall's lean"):
        assert words in said, words


@pytest.mark.parametrize("lang", LANGUAGES)
def test_each_of_these_texts_stands_beside_one_of_walls(lang: str) -> None:
    """A text for yards without walls has its other, asks for no more blanks, and is in every language."""
    own = texts(lang)
    names = [name for name in own if name.endswith(UNWALLED)]
    assert names and set(names) == {name for name in texts("en") if name.endswith(UNWALLED)}
    for name in names:
        other = own[name.removesuffix(UNWALLED)]
        assert isinstance(own[name], type(other))
        assert _blanks(own[name]) <= _blanks(other), name


def _blanks(text: str | list[str]) -> set[str]:
    rows = [text] if isinstance(text, str) else text
    return {blank for row in rows for _, blank, *_ in Formatter().parse(row) if blank}
