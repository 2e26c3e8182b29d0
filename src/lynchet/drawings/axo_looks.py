"""Pens, tones and hatches of a picture of the work: before it light and thin, today's strong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lynchet.drawings.axo_scene import Part, Scene
from lynchet.drawings.kept import rings_of
from lynchet.drawings.model import Area, Item, Line

_FILLS = {
    "timber": "timber", "tie": "timber", "cross-piece": "timber", "step": "timber", "stone bed": "stone",
    "stone": "stone", "outlet": "stone", "soakaway": "stone", "fill": "fill", "strip": "path", "bed soil": "bed",
    "mulch": "mulch",
    "drain pipe": "water tone", "solid pipe": "water tone", "roof pipe": "water tone", "cut-off": "water tone",
    "fitting": "water tone", "plant": "planted", "dug ground": "fill",
}  # fmt: skip
_HATCHES = {
    "stone bed": "stone small", "stone": "stone small", "outlet": "stone small", "soakaway": "stone small",
    "fill": "fill", "strip": "fill", "bed soil": "bed soil",
}  # fmt: skip
_GROUND = frozenset({"existing ground", "dug ground", "fill", "strip", "bed soil", "mulch"})
_WATER = frozenset({"drain pipe", "solid pipe", "roof pipe", "cut-off", "fitting"})


def looks_of(scene: Scene, scale: int) -> Iterator[Item]:
    """The items of a scene.

    Args:
        scene: what is seen.
        scale: 1 : n of the picture; hatches are left out where they would be mud.
    """
    shapes = [(part, n, shape) for part in scene.parts
              for n, shape in enumerate(getattr(part.shape, "geoms", [part.shape]))]  # fmt: skip
    for (part, n, _), rings in zip(shapes, rings_of([shape for *_, shape in shapes]), strict=True):
        yield _area(part, f"{part.id}-{n}", rings, scale <= 60)
    for n, (line, new) in enumerate(scene.fabric):
        yield Line(id=f"fabric-{n}", layer="water", pts=line, pen="visible" if new else "fine", dash="short",
                   role="ink" if new else "mid")  # fmt: skip


def _area(part: Part, name: str, rings: tuple[Any, ...], near: bool) -> Area:
    if part.kind in _GROUND:
        return _ground(part, name, rings, near)
    if part.kind == "fabric":
        return Area(id=name, layer="walls", rings=rings, fill="paper", pen="thin" if part.new else "fine", dash="short",
                    role="ink" if part.new else "mid", of=part.id)  # fmt: skip
    role = "water" if part.kind in _WATER else "plant" if part.kind == "plant" else "ink"
    if not part.new:
        plant = part.kind == "plant"
        return Area(id=name, layer="plants" if plant else "tones", rings=rings, fill="paper" if plant else "barrow",
                    pen="fine", role="mid", of=part.id)  # fmt: skip
    hatch = _HATCHES.get(part.kind, "") if near and part.side in ("top", "cut", "side") else ""
    pen = "visible" if part.kind in _WATER or part.kind == "plant" or hatch else "outline"
    if part.kind == "plant":
        pen = "fine"
    layer = "plants" if part.kind == "plant" else "walls"
    return Area(id=name, layer=layer, rings=rings, fill=_FILLS.get(part.kind, "barrow"), hatch=hatch, pen=pen,  # type: ignore[arg-type]
                role=role, of=part.id)  # fmt: skip


def _ground(part: Part, name: str, rings: tuple[Any, ...], near: bool) -> Area:
    cut = part.side == "cut"
    if part.new:
        hatch = _HATCHES.get(part.kind, "") if near and (cut or part.side == "top") else ""
        return Area(id=name, layer="hatches", rings=rings, fill="soil" if cut and part.kind == "dug ground" else
                    _FILLS.get(part.kind, "soil"), hatch=hatch, hatch_role="earth" if part.kind == "fill" else "mid",
                    pen="visible", role="earth", of=part.id)  # fmt: skip
    fill = "soil" if cut else "paper" if part.kind == "existing ground" else "path"
    return Area(id=name, layer="tones", rings=rings, fill=fill, pen="fine", role="mid", of=part.id)
