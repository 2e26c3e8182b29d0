"""The picture of a day: what stands before it light and thin, what is added strong, cut open where the work is."""

from __future__ import annotations

from functools import lru_cache

from lynchet.core.same import Same
from lynchet.drawings.axo_labels import MOST, column
from lynchet.drawings.axo_looks import looks_of
from lynchet.drawings.axo_pegs import pegs_of
from lynchet.drawings.axo_scene import Scene, scene_of
from lynchet.drawings.axo_window import Window, window_of
from lynchet.drawings.axo_words import WORDS, Say, picture_words, wishes
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Fields, Item, Sheet, View
from lynchet.drawings.paper import Box, Paper
from lynchet.drawings.roles import Theme
from lynchet.drawings.svg import to_svg
from lynchet.plan.building_days import days_of
from lynchet.plan.model import Plan

LABELS_MM = 42.0
"""Width of the column of labels at the right of a picture on paper."""
_PHONE_LABELS_MM = 30.0
_MARGIN_MM = 1.0
_GAP_MM = 4.0


def step_view(plan: Plan, day: int, region: Box, say: Say = WORDS) -> View:
    """The picture of a day as a view of the sheet model; its alt says in words what is seen.

    Args:
        plan: with its days.
        day: number of a day of the plan, from 1.
        region: box of the sheet, paper mm: the picture at the left, its labels in one column at the right.
        say: words of its labels, as ``WORDS`` has them.

    Raises:
        ValueError: the plan has no such day.
    """
    return _view(plan, day, region, LABELS_MM if region[2] - region[0] > 120.0 else _PHONE_LABELS_MM, say)


def step_picture_svg(
    plan: Plan, day: int, width_mm: float = 95.0, theme: Theme = "light", say: Say = WORDS
) -> tuple[str, str]:
    """The picture of a day alone, for a phone: SVG without its font, and the words for who cannot see it.

    Args:
        plan: with its days.
        day: number of a day, from 1.
        width_mm: of the picture.
        theme: its colours.
        say: words of its labels.

    Raises:
        ValueError: the plan has no such day.
    """
    high = round(0.78 * width_mm, 1)
    view = _view(plan, day, (0.0, 0.0, width_mm, high), _PHONE_LABELS_MM, say)
    paper = Paper("A4", width_mm, high, 0.0)
    fields = Fields(firm="", job=plan.project.name, title=view.title, scale="", units="")
    sheet = Sheet(view.id, "axo", paper, fields, (view,), theme=theme, alt=view.alt)
    return to_svg(sheet, lower(sheet), embed_font=False), view.alt


def _view(plan: Plan, day: int, region: Box, labels_mm: float, say: Say) -> View:
    if not 1 <= day <= len(plan.works.days):
        raise ValueError(f"the plan has no day {day}: its days are 1 to {len(plan.works.days)}")
    work = _work(plan)
    days = work.days
    window, scene = work.seen(day)
    figures = Figures(plan.project.units)
    left, top, right, bottom = region
    box = (left + _MARGIN_MM, top + _MARGIN_MM, right - labels_mm - _GAP_MM, bottom - _MARGIN_MM)
    view = _placed(f"day-{day}", scene, region, box)
    items: list[Item] = list(looks_of(scene, view.scale))
    texts = (right - labels_mm, top + _MARGIN_MM, right - _MARGIN_MM, bottom - _MARGIN_MM)
    marks, named = pegs_of(days, day, scene, say["pegs"])
    items += marks
    asked = [*named, *wishes(days, day, scene, figures, say)][:MOST]
    items += column(asked, view, texts)
    alt = picture_words(plan, day, window, asked, say)
    return View(view.id, "axo", view.scale, tuple(items), region, f"Day {day}", view.at_world, view.at_paper, alt=alt)


def _placed(name: str, scene: Scene, region: Box, box: Box) -> View:
    """A view with nothing in it yet: as large as fits its box, in the middle of it."""
    from shapely import total_bounds

    left, low, right, high = (float(value) for value in total_bounds([part.shape for part in scene.parts]))
    wide, tall = box[2] - box[0], box[3] - box[1]
    scale = max((right - left) * 1000.0 / wide, (high - low) * 1000.0 / tall)
    middle = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    return View(name, "axo", max(1, int(scale) + 1), (), region, at_world=((left + right) / 2.0, (low + high) / 2.0),
                at_paper=middle)  # fmt: skip


class _Work:
    """The days of a plan and what was seen of each: a day is looked at once, for paper and for a phone."""

    def __init__(self, plan: Plan) -> None:
        self.days = days_of(plan)
        self._seen: dict[int, tuple[Window, Scene]] = {}

    def seen(self, day: int) -> tuple[Window, Scene]:
        if day not in self._seen:
            window = window_of(self.days, day)
            self._seen[day] = window, scene_of(self.days, day, window)
        return self._seen[day]


@lru_cache(maxsize=2)
def _work_of(key: Same[Plan]) -> _Work:
    return _Work(key.thing)


def _work(plan: Plan) -> _Work:
    return _work_of(Same(plan))


__all__ = ["LABELS_MM", "Window", "step_picture_svg", "step_view"]
