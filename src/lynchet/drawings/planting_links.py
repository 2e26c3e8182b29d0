"""What tells the kind of a plant that has no room for its letter: a line to one that has; and the names of trees."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from lynchet.drawings.letters import LEAST_MM, printable
from lynchet.drawings.model import Item, Label, Line, View
from lynchet.drawings.plan_stays import circle_of, shown_part
from lynchet.drawings.source import Planned
from lynchet.planting.model import Planting

Point = tuple[float, float]
_STEM_M = 0.3


def link_items(planting: Planting, letter: str, lettered: Sequence[bool]) -> Iterable[Item]:
    """Lines from every dot of a planting to the nearest plant that has the letter, or leads to one.

    Where no plant of it has room for the letter, the letter stands beside with a line to the first.

    Args:
        planting: plants of one kind.
        letter: of the kind.
        lettered: whether each plant, in order, has its letter.
    """
    if all(lettered):
        return
    name, points = planting.id.replace("/", "-"), np.array([plant.point_m for plant in planting.plants])
    known = np.array(lettered, dtype=bool)
    if not known.any():
        at = planting.plants[0].point_m
        yield Label(id=f"plants-{name}", layer="labels", anchor=(at,), lines=(letter,), h=LEAST_MM, weight="semibold",
                    priority=0, halo="ground", of=planting.id)  # fmt: skip
        known[0] = True
    apart = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    far = np.where(known, np.inf, apart[:, known].min(axis=1))
    near = np.flatnonzero(known)[apart[:, known].argmin(axis=1)]
    while not known.all():
        one = int(far.argmin())
        ends = (planting.plants[int(near[one])].point_m, planting.plants[one].point_m)
        yield Line(id=f"link-{name}-{one:04d}", layer="plants", pts=ends, pen="hair", role="plant", of=planting.id)
        known[one], far[one] = True, np.inf
        closer = ~known & (apart[one] < far)
        far[closer], near[closer] = apart[one][closer], one


def tree_names(plan: Planned, view: View) -> Iterable[Item]:
    """The name of every tree of which stem or crown is on the sheet, on that part of it."""
    for thing in plan.project.fixed:
        if thing.kind != "tree":
            continue
        at = thing.line_m[0]
        shown = shown_part(circle_of(at, max((thing.crown_m or 0.0) / 2, (thing.stem_m or 0.0) / 2, _STEM_M)), view)
        if shown:
            yield Label(id=f"tree-name-{thing.id}", layer="labels", anchor=shown, kind="area", priority=1,
                        lines=(printable(f"{thing.name or thing.kind},"), "keep"), h=LEAST_MM, weight="semibold",
                        of=f"fixed-{thing.id}-crown")  # fmt: skip
