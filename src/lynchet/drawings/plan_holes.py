"""Holes on a plan: weep holes bored through walls, and test holes dug with what they told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Item, Label, Line, Symbol, View
from lynchet.drawings.plan_built import walls_drawn
from lynchet.drawings.source import Planned
from lynchet.drawings.strip import Note
from lynchet.plan.weep_places import bore_of
from lynchet.project.things import Hole

WEEPS = "weep holes"
TESTS = "test holes"
"""Layers, in sheets and in the drawing file."""
_FILLED = {"metric": "150 mm", "us": "6″"}
"""Of water poured into a test hole, as the file asks for it."""
_IN_MM = 6.0
"""From the edge of a view, so that a sign and its words stand inside."""


def weep_items(plan: Planned) -> Iterator[Item]:
    """Every weep hole: its bore through the timber, and its mouth."""
    for hole in plan.stability.weeps:
        front, back = bore_of(hole)
        yield Line(id=f"bore-{hole.id}", layer=WEEPS, pts=(back, front), pen="fine", role="water", of=hole.id)
        yield Symbol(id=f"weep-{hole.id}", layer=WEEPS, z=1, name="weep", at=front, role="water", key="weep plan",
                     of=hole.id)  # fmt: skip


def hole_items(plan: Planned, view: View, figures: Figures) -> Iterator[Item]:
    """Test holes that lie on the sheet, each with what it told beside it."""
    for hole in plan.project.holes:
        if hole.point_m is not None and _on_sheet(view, hole):
            yield Symbol(id=f"hole-{hole.name}", layer=TESTS, z=1, name="test hole", at=hole.point_m, role="earth",
                         key="test hole")  # fmt: skip
            yield Label(id=f"hole-told-{hole.name}", layer="labels", anchor=(hole.point_m,), role="earth", h=2.2,
                        lines=told_lines(hole, figures), priority=1, gap_mm=2.2,
                        off=walls_drawn(plan))  # fmt: skip


def hole_points(plan: Planned) -> list[tuple[float, float]]:
    """Where test holes are, as far as the file says."""
    return [hole.point_m for hole in plan.project.holes if hole.point_m is not None]


def hole_notes(plan: Planned, view: View, figures: Figures) -> tuple[Note, ...]:
    """What test holes told that are not drawn: without a place in the file, or off the sheet."""
    rest = [hole for hole in plan.project.holes if hole.point_m is None or not _on_sheet(view, hole)]
    if not rest:
        return ()
    told = "; ".join(", ".join((*told_lines(hole, figures), *_where(hole))) for hole in rest)
    return (Note("Test holes not drawn", f"{told}."),)


def _where(hole: Hole) -> Iterable[str]:
    yield "no place in the file" if hole.point_m is None else "off this sheet"


def told_lines(hole: Hole, figures: Figures) -> tuple[str, ...]:
    """Name and depth of a hole, and what it told: where water stood, what stopped the spade, how fast water went."""
    lines = [f"{printable(hole.name)}, {figures.words(hole.depth_m)} deep"]
    if hole.water_depth_m is not None:
        lines.append(f"water {figures.words(hole.water_depth_m)} down")
    if hole.refusal_depth_m is not None:
        lines.append(f"spade stopped {figures.words(hole.refusal_depth_m)} down")
    if hole.soak_min is not None:
        lines.append(f"{_FILLED[figures.system]} of water went in {_time(hole.soak_min)}")
    return tuple(lines)


def _time(minutes: float) -> str:
    """ "45 min", "2 h", "2 h 30 min"."""
    whole = round(minutes)
    if whole < 1:
        return "under a minute"
    hours, rest = divmod(whole, 60)
    return " ".join(text for count, text in ((hours, f"{hours} h"), (rest, f"{rest} min")) if count)


def _on_sheet(view: View, hole: Hole) -> bool:
    if hole.point_m is None:
        return False
    left, top, right, bottom = view.region
    x, y = view.paper(hole.point_m)
    return left + _IN_MM < x < right - _IN_MM and top + _IN_MM < y < bottom - _IN_MM
