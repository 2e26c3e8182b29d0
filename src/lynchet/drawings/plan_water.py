"""Drains on a plan: pipes, fittings, notches, outlets, soakaways, springs, with the inverts one sets by."""

from __future__ import annotations

from collections.abc import Iterable

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Area, Item, Label, Line, Symbol, View
from lynchet.drawings.pipe_list import outlet_names
from lynchet.drawings.source import Planned
from lynchet.water.model import Fitting

_JOINTS = {"wye", "tee"}
_EYES = {"cleanout", "cap"}
_SMALL = 90
"""Beyond this scale fittings are left out: they would crowd the plan."""


def water_items(plan: Planned, view: View, figures: Figures) -> Iterable[Item]:
    """All pipes, and what is set along them; at small scales only pipes and outlets."""
    water = plan.water
    for drain in water.drains:
        yield Line(id=f"drain-{drain.id}", layer="water", pts=drain.points_m, pen="outline", dash="holes", role="water",
                   bed_mm=1.1, key="pipe", of=drain.id)  # fmt: skip
    closed = [(pipe.id, pipe.points_m) for pipe in water.solids] + [(p.id, p.points_m) for p in water.roof_pipes]
    closed += [(cut.id, cut.solid_points_m) for cut in water.cut_offs]
    for name, points in closed:
        yield Line(id=f"solid-{name}", layer="water", pts=points, pen="outline", role="water", bed_mm=1.1,
                   key="solid pipe", of=name)  # fmt: skip
    for pipe in water.cut_offs:
        yield Line(id=f"cut-off-{pipe.id}", layer="water", pts=pipe.holed_points_m, pen="outline", dash="holes",
                   role="water", bed_mm=1.1, key="pipe", of=pipe.id)  # fmt: skip
    yield from _ends(plan, figures)
    if view.scale > _SMALL:
        return
    yield from _fittings(plan, figures)
    for notch in water.notches:
        x = sum(point[0] for point in notch.outline_m) / len(notch.outline_m)
        y = sum(point[1] for point in notch.outline_m) / len(notch.outline_m)
        yield Symbol(id=f"notch-{notch.id}", layer="water", z=1, name="notch", at=(x, y), role="water", key="notch",
                     of=notch.id)  # fmt: skip


def _fittings(plan: Planned, figures: Figures) -> Iterable[Item]:
    """One sign and one invert for everything set at one place: a joint before a rod eye."""
    at: dict[tuple[float, float], tuple[Fitting, str]] = {}
    for fitting in plan.water.fittings:
        name = "joint" if fitting.kind in _JOINTS else "rod eye" if fitting.kind in _EYES else ""
        place = (round(fitting.point_m[0], 1), round(fitting.point_m[1], 1))
        if name and (place not in at or name == "joint"):
            at[place] = (fitting, name)
    for fitting, name in at.values():
        yield Symbol(id=f"fitting-{fitting.id}", layer="water", z=1, name=name, at=fitting.point_m, role="water",
                     key="fittings", of=fitting.id)  # fmt: skip
        yield Label(id=f"inv-{fitting.id}", layer="labels", anchor=(fitting.point_m,), role="water",
                    lines=(f"inv {figures.level(fitting.invert_m)}",), priority=2 if name == "joint" else 3,
                    optional=True, gap_mm=2.0)  # fmt: skip


def _ends(plan: Planned, figures: Figures) -> Iterable[Item]:
    names = outlet_names(plan)
    for outlet in plan.water.outlets:
        if outlet.apron_m:
            yield Area(id=f"apron-{outlet.id}", layer="hatches", rings=(outlet.apron_m,), hatch="stone small",
                       hatch_role="water", of=outlet.id)  # fmt: skip
        yield Symbol(id=f"outlet-{outlet.id}", layer="water", z=1, name="outlet", at=outlet.point_m, role="water",
                     key="outlet", of=outlet.id)  # fmt: skip
        yield Label(id=f"inv-{outlet.id}", layer="labels", anchor=(outlet.point_m,), role="water", weight="semibold",
                    lines=(f"{names[outlet.id]} inv {figures.level(outlet.invert_m)}",), priority=1,
                    gap_mm=3.0)  # fmt: skip
    for pit in (one for one in plan.water.soakaways if one.drains):
        yield Area(id=f"soakaway-{pit.name}", layer="water", rings=(pit.outline_m,), fill="paper", hatch="stone small",
                   hatch_role="water", pen="visible", role="water", of=pit.name)  # fmt: skip
        yield Label(id=f"soakaway-name-{pit.name}", layer="labels", anchor=(pit.point_m,), role="water", priority=1,
                    lines=(f"{printable(pit.name)}, inlet {figures.level(pit.inlet_m)}",), gap_mm=4.0)  # fmt: skip
    for spring in plan.project.springs:
        at = spring.line_m[len(spring.line_m) // 2]
        yield Symbol(id=f"spring-{spring.name}", layer="water", z=1, name="spring", at=at, role="water", key="spring")
        yield Label(id=f"spring-name-{spring.name}", layer="labels", anchor=(at,), role="water", priority=2,
                    lines=(printable(spring.name),), gap_mm=2.5)  # fmt: skip
