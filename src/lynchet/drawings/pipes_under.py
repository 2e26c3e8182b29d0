"""Pipes a spade can reach in a bed: a warning in the strip, and their line on the planting plan."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Label, Line
from lynchet.drawings.pipe_list import Pipe, pipes
from lynchet.drawings.source import Planned
from lynchet.drawings.strip import Note
from lynchet.water.under_beds import UnderBed, kept_words, pipes_under_beds, shallow


def _reached(plan: Planned) -> list[tuple[Pipe, UnderBed]]:
    under = shallow(pipes_under_beds(plan.terraces, plan.water.solids), plan.project.brief.dig_depth_m)
    known = {pipe.id: pipe for pipe in pipes(plan)}
    return [(known[one.pipe], one) for one in under]


def shallow_notes(plan: Planned, figures: Figures) -> tuple[Note, ...]:
    """What lies in which bed under how much soil; none where a spade reaches no pipe."""
    reached = _reached(plan)
    if not reached:
        return ()
    told = ", ".join(f"{pipe.name} in bed {one.bed} under {figures.small_words(max(0.0, one.cover_m))} of soil"
                     for pipe, one in reached)  # fmt: skip
    kept = kept_words(figures.system)
    said = f"{told}. Mark the line; no spade or fork within {kept} of it."
    return (Note("Pipes a spade can reach", said, warn=True),)


def shallow_items(plan: Planned) -> Iterator[Item]:
    """Their lines with their names."""
    for name, pipe in {pipe.name: pipe for pipe, _ in _reached(plan)}.items():
        yield Line(id=f"pipe-{name}", layer="water", pts=pipe.points_m, pen="visible", role="water", dash="solid",
                   key="solid pipe", of=pipe.id)  # fmt: skip
        ends = max(zip(pipe.points_m, pipe.points_m[1:], strict=False),
                   key=lambda part: abs(part[0][0] - part[1][0]) + abs(part[0][1] - part[1][1]))  # fmt: skip
        middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
        yield Label(id=f"pipe-name-{name}", layer="labels", anchor=(middle,), lines=(name,), h=2.2, weight="bold",
                    role="water", priority=2, of=f"pipe-{name}")  # fmt: skip
