"""Landings are as deep as the file asks, 36 in or 0.9 m where it says nothing, in ground kept free and on every sheet.

Least depth: International Residential Code (ICC 2021), R311.7.6: 36 in measured in the direction of travel (MEMORY).
"""

from __future__ import annotations

from functools import cache

import pytest

from lynchet.book.texts import Words
from lynchet.core.errors import InputError
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.landings import end_words, pad_words
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.units.measures import INCH
from lynchet.units.parse import parse

YARD = """
lynchet = 1
units = "{units}"
[ground]
held = "level"
slope = {{ fall = "1 in 4.5" }}
[area]
outline = [["0 m", "0 m"], ["12 m", "0 m"], ["12 m", "8 m"], ["0 m", "8 m"]]
[[steps]]
name = "left way"
line = [["3 m", "-1.2 m"], ["3 m", "9.4 m"]]
width = "1.1 m"
{left}
[[steps]]
name = "right way"
line = [["9 m", "-1.2 m"], ["9 m", "9.4 m"]]
width = "0.9 m"
{right}
[brief]
terraces = 3
path_strip = "0.6 m"
"""


@cache
def planned(units: str, left: str = "", right: str = "") -> Plan:
    """A plain slope with two ways up; what each says of its landings."""
    said = [f'landing = "{deep}"' if deep else "" for deep in (left, right)]
    return plan_project(read_project_text(YARD.format(units=units, left=said[0], right=said[1])), effort=LIVE)


def depths(plan: Plan, wish: int) -> set[float]:
    """How far the landings of a way reach along it, in tenths of a millimetre; what a wall takes of a head is not."""
    found = set()
    for flight in (one for one in plan.terraces.flights if one.wish == wish):
        (ux, uy) = flight.direction
        for landing in (one for one in flight.landings if one.where == "foot"):
            along = [x * ux + y * uy for x, y in landing.outline_m]
            found.add(round(max(along) - min(along), 4))
    return found


@pytest.mark.parametrize(("units", "deep_m"), [("metric", 0.9), ("us", 36 * INCH)])
def test_a_landing_nobody_spoke_of_is_36_inches_deep_or_90_centimetres(units: str, deep_m: float) -> None:
    """Exactly; and it is listed among what was assumed, as it would be written in such a file."""
    plan = planned(units)
    assert depths(plan, 0) == depths(plan, 1) == {round(deep_m, 4)}
    assumed = {one.key: one.value for one in plan.project.defaults}
    assert {assumed[key] for key in assumed if key.endswith("landing")} == {"36 in" if units == "us" else "0.9 m"}


@pytest.mark.parametrize(("units", "deep", "told"), [("metric", "1.2 m", ("1.20 m", "0.90 m")),
                                                     ("us", "4 ft", ("4 ft 0 in", "3 ft 0 in"))])  # fmt: skip
def test_landings_of_each_way_are_as_deep_as_it_asks(units: str, deep: str, told: tuple[str, str]) -> None:
    """One way asks for more, the other for nothing: the ground kept free, the words on sheets, sections and days."""
    plan, figures = planned(units, left=deep), Figures(units)  # type: ignore[arg-type]
    sizes = [parse(size, "length", units) for size in told]  # type: ignore[arg-type]
    assert [depths(plan, way) for way in (0, 1)] == [{round(size, 4)} for size in sizes]
    seen = 0
    for flight in plan.terraces.flights:
        words = " ".join((*end_words(plan, flight, figures), pad_words(plan, figures, (flight.id,))))
        mine, other = (figures.words(sizes[way]) for way in (flight.wish, 1 - flight.wish))
        assert f"{other} out" not in words and f"{other} deep" not in words
        seen += f"{mine} out" in words or f"{mine} deep" in words
    assert seen >= 2
    days = " ".join(
        text for day in day_contents(plan, Words()) for step in day.steps for text in (step.text, *step.more)
    )
    assert all(f"{size} out" in days for size in told)


@pytest.mark.parametrize(("units", "deep", "least"), [("metric", "0.6 m", "900 mm"), ("us", "35 1/2 in", "36 in")])
def test_a_landing_under_what_codes_ask_is_refused(units: str, deep: str, least: str) -> None:
    """With the line, the key, what was found and what is accepted."""
    with pytest.raises(InputError) as error:
        planned(units, left=deep)
    (fault,) = error.value.faults
    assert fault.key == "steps.1.landing" and fault.line == 13
    assert "deep" in fault.found and fault.accepted.startswith(f"{least} or more")
