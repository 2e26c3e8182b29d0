"""Pipes a spade can reach in a bed: a warning in the strip, and their line on the planting plan."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Label, Line
from lynchet.drawings.pipe_list import Pipe, pipes
from lynchet.drawings.source import Planned
from lynchet.drawings.strip import Note
from lynchet.water.beside import CutOff, RoofPipe
from lynchet.water.model import SolidPipe
from lynchet.water.under_beds import UnderBed, kept_words, pipes_under_beds, reached


def reached_pipes(plan: Planned) -> list[tuple[Pipe, UnderBed]]:
    """Every pipe in every bed in which a spade can reach it."""
    water, known = plan.water, {pipe.id: pipe for pipe in pipes(plan)}
    whole: tuple[SolidPipe | RoofPipe | CutOff, ...] = (*water.solids, *water.roof_pipes, *water.cut_offs)
    under = pipes_under_beds(plan.terraces, whole)
    told = reached(plan.terraces, water.drains, water.solids, under, plan.project.brief.dig_depth_m)
    return [(known[one.pipe], one) for one in told]


def shallow_notes(plan: Planned, figures: Figures) -> tuple[Note, ...]:
    """What lies in which bed under how much soil; none where a spade reaches no pipe."""
    found, deep = reached_pipes(plan), plan.project.brief.dig_depth_m
    if not found:
        return ()
    beds = {one.bed: "" for _, one in found}
    for pipe, one in found:
        soil = figures.small_words(max(0.0, one.shown_m(deep)))
        beds[one.bed] += f"{', ' if beds[one.bed] else ' '}{pipe.name}{_where(one, deep)} {soil}"
    told = "; ".join(f"in bed {bed}{said}" for bed, said in beds.items())
    kept = kept_words(figures.system)
    said = f"Soil over them: {told}. Mark the line; no spade or fork within {kept} of it, a hand trowel only."
    return (Note("Pipes a spade can reach", said, warn=True),)


def _where(one: UnderBed, dig_depth_m: float) -> str:
    """Where in the bed, if not all along."""
    return " in stone" if one.in_stone else " at the wall" if one.by_wall(dig_depth_m) else ""


def shallow_items(plan: Planned) -> Iterator[Item]:
    """Their lines with their names."""
    for name, pipe in {pipe.name: pipe for pipe, _ in reached_pipes(plan)}.items():
        for n, (points, holes) in enumerate(pipe.stretches):
            yield Line(id=f"pipe-{name}{'-on' * n}", layer="water", pts=points, pen="visible", role="water",
                       dash="holes" if holes else "solid", key="pipe" if holes else "solid pipe",
                       of=pipe.id)  # fmt: skip
        ends = max(zip(pipe.points_m, pipe.points_m[1:], strict=False),
                   key=lambda part: abs(part[0][0] - part[1][0]) + abs(part[0][1] - part[1][1]))  # fmt: skip
        middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
        yield Label(id=f"pipe-name-{name}", layer="labels", anchor=(middle,), lines=(name,), h=2.2, weight="bold",
                    role="water", priority=2, of=f"pipe-{name}")  # fmt: skip
