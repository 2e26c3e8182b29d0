"""Pictures of the work: every day has one, in its box, with few labels whose leaders never cross."""

from __future__ import annotations

from itertools import combinations

import pytest

from demo_plans import DEMOS, demo
from lynchet.drawings.axo_labels import MOST
from lynchet.drawings.axo_scene import scene_of
from lynchet.drawings.axo_window import window_of
from lynchet.drawings.axo_words import WORDS, height_words, joined
from lynchet.drawings.display import Display, Letters
from lynchet.drawings.faults import blank, covered, meeting, small
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Fields, Leader, Sheet, Text, View
from lynchet.drawings.paper import Paper
from lynchet.drawings.step_pictures import step_picture_svg, step_view
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.model import Plan

REGION = (18.0, 67.0, 205.0, 159.0)
Point = tuple[float, float]


@pytest.fixture(scope="module", params=DEMOS)
def plan(request: pytest.FixtureRequest) -> Plan:
    """The demos."""
    return demo(request.param)


@pytest.fixture(scope="module")
def views(plan: Plan) -> list[View]:
    """The pictures of all days."""
    return [step_view(plan, day.number, REGION) for day in plan.works.days]


def _drawn(view: View) -> Display:
    fields = Fields(firm="", job="", title="", scale="", units="")
    return lower(Sheet("t", "axo", Paper("A4", 223.0, 297.0, 0.0), fields, (view,)))


def test_every_mark_keeps_to_the_box(views: list[View]) -> None:
    """Lines, areas and texts lie inside the box given; texts do not meet and are large enough to be read."""
    for view in views:
        display = _drawn(view)
        left, top, right, bottom = REGION
        for mark in display.marks:
            points = mark.corners() if isinstance(mark, Letters) else [p for path in mark.paths for p in path]
            assert all(left - 0.3 <= x <= right + 0.3 and top - 0.3 <= y <= bottom + 0.3 for x, y in points), view.id
        assert [*meeting(display), *small(display), *blank(display), *covered(display)] == []


def test_labels_are_few_and_leaders_never_cross(views: list[View]) -> None:
    """At most eight labels, in one column; no two leaders cross; each leader ends on what is drawn."""
    import shapely

    for view in views:
        leaders = [item for item in view.items if isinstance(item, Leader)]
        assert 1 <= len(leaders) <= MOST
        texts = [item for item in view.items if isinstance(item, Text)]
        assert len({round(view.paper(text.at)[0], 3) for text in texts}) == 1
        for one, two in combinations(leaders, 2):
            assert not _cross((one.start, one.end), (two.start, two.end)), (view.id, one.id, two.id)
        shapes = [shapely.Polygon(item.rings[0]).buffer(1e-6) for item in view.items if isinstance(item, Area)]
        fabric = [leader for leader in leaders if leader.id == "leader-fabric"]
        for leader in leaders:
            spot = shapely.Point(leader.end)
            assert leader in fabric or any(shape.contains(spot) for shape in shapes), (view.id, leader.id)


def _cross(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    import shapely

    return bool(shapely.LineString(one).crosses(shapely.LineString(two)))


def test_what_is_new_is_what_came_that_day(plan: Plan) -> None:
    """A placed thing drawn strong came on that day, or is stone that rose on it; one drawn thin came before."""
    days = BuildingDays(plan)
    for day in plan.works.days:
        scene = scene_of(days, day.number, window_of(days, day.number))
        for part in scene.parts:
            if part.thing is not None and not scene.finished and part.kind != "stone":
                assert (days.day_of(part.thing.id) == day.number) == part.new
                assert days.day_of(part.thing.id) <= day.number


def test_words_tell_the_picture(plan: Plan, views: list[View]) -> None:
    """The words for who cannot see a picture name its day, and every strong label of it."""
    for view, day in zip(views, plan.works.days, strict=True):
        assert view.alt.startswith(f"Day {day.number} of {len(plan.works.days)}: ")
        strong = " ".join(i.text for i in view.items if isinstance(i, Text) and i.weight == "semibold")
        assert all(word in view.alt for word in strong.split())


def test_the_same_plan_gives_the_same_picture(plan: Plan) -> None:
    """Drawn twice, also with another's picture between, a picture is equal to the last point."""
    one = step_view(plan, 2, REGION)
    step_view(demo(DEMOS[0]), 1, REGION)
    assert step_view(plan, 2, REGION) == one


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_phone_picture_is_as_wide_as_asked(plan: Plan, theme: str) -> None:
    """The picture for a phone is one SVG of the width asked for, with its words inside."""
    svg, words = step_picture_svg(plan, 1, 95.0, theme)  # type: ignore[arg-type]
    assert svg.startswith("<svg") and 'width="95mm"' in svg and words in svg.replace("&amp;", "&")
    assert "@font-face" not in svg


def test_a_day_that_is_not_there_is_refused(plan: Plan) -> None:
    """Days count from 1 to the last."""
    for day in (0, len(plan.works.days) + 1):
        with pytest.raises(ValueError, match="no day"):
            step_view(plan, day, REGION)


def test_numbers_are_said_as_people_say_them() -> None:
    """A row of numbers is said shortest."""
    assert [joined(n, WORDS) for n in ([2], [2, 3], [2, 3, 4], [2, 4, 7])] == ["2", "2 and 3", "2 to 4", "2, 4 and 7"]


def test_heights_in_pictures_count_from_the_mark_of_the_readings(plan: Plan) -> None:
    """A bench 0.45 m over the mark is told so, as the staff reads it, wherever the zero of the file lies."""
    mark = plan.walls.setting_out.benchmark_m
    assert plan.walls.setting_out.benchmark
    for off, said in (
        (0.45, "450 mm above the mark"),
        (-1.2, "1200 mm below the mark"),
        (0.0, "the height of the mark"),
    ):
        assert height_words(plan, mark + off, Figures("metric"), WORDS) == said
    assert height_words(plan, mark - 0.5 * 0.3048, Figures("us"), WORDS) == "6 in below the mark"
