"""The water sheet: the terraces in grey, and over them every pipe with its levels, its fall and where it ends."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Item, Label, Sheet, View
from lynchet.drawings.paper import paper_of
from lynchet.drawings.pipe_list import outlet_names, pipes
from lynchet.drawings.pipes_under import shallow_notes
from lynchet.drawings.plan_built import bed_items, flight_items, wall_items
from lynchet.drawings.plan_holes import hole_items, hole_notes, weep_items
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.plan_pipes import pipe_items
from lynchet.drawings.plan_sheet import Told, plan_sheet
from lynchet.drawings.plan_signs import north_items
from lynchet.drawings.plan_stays import benchmark_words, stay_items
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Note, Rows
from lynchet.units.format import flow
from lynchet.water.outlet_checks import of_unknown_flow
from lynchet.water.told_points import is_drop

ID = "water"
TITLE = "Water plan"
ENDS = {"daylight": "open end", "given": "your drain", "soakaway": "pit of stone"}
_ROOM = (12.0, 12.0, 12.0, 12.0)
CAUTION = (
    "Pour a bucket in at every cleanout before stone covers the pipe: go on only when the water comes out at the "
    "outlet. Holes face down. Roof water never goes into a drain behind a wall."
)
WEEP_CAUTION = (
    "Rinse every weep hole once a year, from the front: it is the way out for the water in the stone behind. Heap no "
    "soil and plant nothing over it."
)


def water_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Its name, or nothing where there is nothing to show."""
    shown = pipes(plan) or plan.water.refused or plan.water.soakaways or plan.stability.weeps
    return (ID,) if shown else ()


def water_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The water sheet of a plan; None where no pipe is laid, none is missing and no weep hole is bored.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    if not water_sheet_names(plan):
        return None
    figures = Figures(plan.project.units)
    layout = lay_out(plan, paper_of(plan.project), _ROOM)
    view = layout.view
    items = [*_grey(plan, view, figures), *weep_items(plan), *pipe_items(plan, view, figures),
             *hole_items(plan, view, figures)]  # fmt: skip
    items += north_items(plan, layout, items)
    words = (("benchmark", benchmark_words(plan, figures)),)
    told = Told(ID, "water", TITLE, _alt(plan), tuple(_parts(plan, view, figures)), _caution(plan), words)
    return plan_sheet(plan, stamp, layout.with_items(items), told)


def _grey(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """What is built, thin and without colour, so that the water is seen first."""
    for item in bed_items(plan, view, figures):
        if isinstance(item, Label):
            yield replace(item, role="mid", priority=3, optional=True)
    for item in wall_items(plan):
        if isinstance(item, Area):
            yield replace(item, fill="barrow", pen="fine", role="mid", key="wall grey")
        elif isinstance(item, Label):
            yield replace(item, role="mid", priority=3, optional=True)
    for item in flight_items(plan):
        if isinstance(item, Area):
            yield replace(item, fill="", pen="hair", role="mid", key="")
    yield from stay_items(plan, view, figures)


def _caution(plan: Planned) -> str:
    return CAUTION if pipes(plan) else WEEP_CAUTION if plan.stability.weeps else ""


def _parts(plan: Planned, view: View, figures: Figures) -> Iterable[Note | Rows]:
    if pipes(plan):
        yield Note("Before you cover it", CAUTION, warn=True)
    elif plan.stability.weeps:
        yield Note("Keep them open", WEEP_CAUTION, warn=True)
    yield from shallow_notes(plan, figures)
    lost = list(dict.fromkeys(one.leg for one in plan.water.refused))
    if lost:
        said = (
            f"No way out was found for the water behind {', '.join(lost)}: see the findings. Build none of these yet."
        )
        yield Note("Stop", said, warn=True)
    if plan.water.outlets:
        yield _outlets(plan, figures)
    if pipes(plan):
        yield _schedule(plan, figures)
    yield from hole_notes(plan, view, figures)


def _schedule(plan: Planned, figures: Figures) -> Rows:
    """Every stretch of every arm of every pipe, from its upper to its lower invert, with the fall it is laid to.

    Pipes without holes come first: no wall shows where they lie.
    """
    rows = []
    for pipe in sorted(pipes(plan), key=lambda one: one.holes):
        arms = [(part, part is parts[-1]) for arm in pipe.arms for parts in (pipe.parts(arm),) for part in parts]
        for n, (part, ends) in enumerate(arms):
            high, low, long = pipe.inverts_m[part[0]], pipe.inverts_m[part[-1]], pipe.length(part)
            fall = "drop" if is_drop(long, high - low) else figures.ratio((high - low) / long)
            rows.append((pipe.name if n == 0 else "", figures.level(high), figures.level(low), figures.length(long),
                         fall, pipe.into if ends else ""))  # fmt: skip
    columns = (Column("pipe", 0.0935, "l"), Column("from inv", 0.212), Column("to inv", 0.212),
               Column("length", 0.165), Column("falls", 0.183), Column("into", 0.1345))  # fmt: skip
    return Rows("Pipes as laid", columns, tuple(rows), "at the end of the book", in_full=True)


def _outlets(plan: Planned, figures: Figures) -> Rows:
    names = outlet_names(plan)
    rows = tuple(
        (names[o.id], ENDS[o.kind], figures.level(o.invert_m), figures.small_words(max(0.0, o.drop_m)),
         "not known" if of_unknown_flow(o) else flow(o.flow_l_s, figures.system))
        for o in plan.water.outlets
    )  # fmt: skip
    columns = (Column("end", 0.13, "l"), Column("what", 0.24, "l"), Column("inv", 0.22), Column("drop", 0.16),
               Column("in a storm", 0.25))  # fmt: skip
    return Rows("Outlets", columns, rows, "at the end of the book", in_full=True)


def _alt(plan: Planned) -> str:
    water = plan.water
    return (
        f"Plan of {len(water.drains)} drains with holes, {len(water.solids)} pipes without, "
        f"{len(water.roof_pipes)} roof pipes and {len(water.outlets)} outlets, with their levels and falls; "
        f"{len(plan.stability.weeps)} weep holes."
    )
