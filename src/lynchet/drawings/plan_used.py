"""What the yard is used for round the walls, on a plan: paths that stay, loads on the ground, what stands on walls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Area, Item, Label
from lynchet.drawings.source import Planned
from lynchet.drawings.strip import Note
from lynchet.project.things import OnWall
from lynchet.units.format import pressure

_LEAST_M2 = 0.01
_FIXED = {"top course": "screwed to the top course", "behind": "behind the wall", "own posts": "on posts of its own"}


def path_items(plan: Planned) -> Iterator[Item]:
    """Paths that stay, at their whole width; inside the area they are faces of the terraces."""
    from shapely.geometry import LineString, Polygon

    area = Polygon(plan.project.area.outline_m).buffer(0)
    for n, path in enumerate(plan.project.paths):
        whole = LineString(path.line_m).buffer(path.width_m / 2, cap_style="flat", join_style="mitre")
        outside = whole.difference(area)
        for k, part in enumerate(getattr(outside, "geoms", [outside])):
            if part.geom_type == "Polygon" and part.area > _LEAST_M2:
                ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
                yield Area(id=f"way-that-stays-{n}-{k}", layer="tones", z=-1, rings=(ring,), fill="path", pen="fine",
                           key="path")  # fmt: skip


def load_items(plan: Planned, figures: Figures) -> Iterator[Item]:
    """Loads with what they weigh: they push on the walls below them."""
    for n, load in enumerate(plan.project.loads):
        yield Area(id=f"load-{n}", layer="things that stay", rings=(load.outline_m,), pen="visible", dash="hidden",
                   key="load", of=load.name)  # fmt: skip
        weighs = pressure(load.pressure_kpa, figures.system)
        yield Label(id=f"load-name-{n}", layer="labels", anchor=load.outline_m, kind="area", weight="semibold",
                    lines=(printable(load.name or "load"), weighs), priority=1, of=f"load-{n}")  # fmt: skip


def on_wall_notes(plan: Planned, figures: Figures) -> Iterable[Note]:
    """What stands on walls or just behind them, wall by wall."""
    told = [_on_wall(thing, figures) for thing in plan.project.on_wall]
    return [Note("On the walls", " ".join(told))] if told else []


def _on_wall(thing: OnWall, figures: Figures) -> str:
    return f"{thing.at or 'Every wall but those beside steps'}: {fixed_words(thing, figures)}."


def fixed_words(thing: OnWall, figures: Figures) -> str:
    """What a thing is, how high it stands over the wall, and how it is fixed."""
    high = f" {figures.words(thing.height_m)} over its top" if thing.height_m > 0 else ""
    return f"{thing.kind}{high}" + ("" if thing.kind == "cap" else f", {_FIXED[thing.fixed_to]}")
