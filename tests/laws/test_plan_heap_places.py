"""Heaps by two tapes: what the day sheet says leads to the heap the soil account asks for."""

from __future__ import annotations

from math import dist, hypot

import pytest

from demo_plans import DEMOS, demo
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.plan.heap_places import heap_places


@pytest.mark.parametrize("name", DEMOS)
def test_two_tapes_meet_in_the_middle_of_the_heap(name: str) -> None:
    """Both circles round the known corners pass through the middle of the heap drawn on the plan."""
    plan = demo(name)
    known = dict(plan.walls.setting_out.known_m)
    assert [place.id for place in heap_places(plan)] == [heap.id for heap in plan.earth.heaps]
    for place, heap in zip(heap_places(plan), plan.earth.heaps, strict=True):
        assert (place.middle is None) == (not heap.outline_m)
        if place.middle is None:
            continue
        a, b, c, _ = heap.outline_m
        middle = (a[0] + c[0]) / 2, (a[1] + c[1]) / 2
        assert dist(middle, known[place.middle.from_a]) == pytest.approx(place.middle.distance_a_m, abs=1e-9)
        assert dist(middle, known[place.middle.from_b]) == pytest.approx(place.middle.distance_b_m, abs=1e-9)
        assert hypot(place.long_m, place.wide_m) == pytest.approx(dist(a, c), abs=1e-9)
        assert place.long_m >= place.wide_m and dist(b, c) == pytest.approx(min(dist(b, c), place.long_m), abs=1e-9)


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("name", DEMOS)
def test_the_day_that_strips_topsoil_says_where_its_heap_is(name: str, lang: str) -> None:
    """On every day with topsoil to strip the first words of a step tell the topsoil heap's two tapes, or that no room
    was found for it; the heap of the rest is told when it is marked."""
    plan, words = demo(name), Words(lang)
    contents = day_contents(plan, words)
    stripping = [day.number for day in plan.works.days if any(step.task.endswith("/topsoil") for step in day.steps)]
    assert stripping
    for content in contents:
        told = [step.text for step in content.steps]
        for place in heap_places(plan):
            due = content.number == 1 if place.id == "heap" else content.number in stripping
            if due and place.middle is not None:
                thing, _, number = place.middle.from_a.rpartition(", corner ")
                name = "area_corner" if thing == "area" else "corner"
                corner = words(f"day.heap.{name}", number=number, thing=thing)
                assert any(corner in text for text in told), (content.number, place.id)
            elif due:
                assert any(words("day.heap.nowhere") in text for text in told), (content.number, place.id)
