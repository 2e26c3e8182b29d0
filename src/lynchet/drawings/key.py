"""The key: one sample and its words for every sign a sheet may use.

A sheet's key holds what the sheet uses and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Area, Item, Level, Line, Symbol, Text, View
from lynchet.drawings.strip import KeyEntry

_L = "key"


class _Sample:
    """Draws into the cell of one entry, round its middle; paper mm, y down."""

    def __init__(self, name: str, x: float, y: float) -> None:
        self.name, self.x, self.y = name, x, y
        self.items: list[Item] = []

    def _id(self) -> str:
        return f"sample-{self.name}-{len(self.items)}"

    def line(self, *points: tuple[float, float], **look: Any) -> None:
        pts = tuple((self.x + dx, self.y + dy) for dx, dy in points)
        self.items.append(Line(id=self._id(), layer=_L, pts=pts, **look))

    def box(self, half: tuple[float, float], **look: Any) -> None:
        (w, h), x, y = half, self.x, self.y
        ring = ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))
        self.items.append(Area(id=self._id(), layer=_L, rings=(ring,), **look))

    def sign(self, name: str, dx: float = 0.0, dy: float = 0.0, **look: Any) -> None:
        self.items.append(Symbol(id=self._id(), layer=_L, name=name, at=(self.x + dx, self.y + dy), **look))

    def text(self, said: str, dx: float = 0.0, dy: float = 1.1, **more: Any) -> None:
        look: dict[str, Any] = {"anchor": "c", "h": 2.5} | more
        self.items.append(Text(id=self._id(), layer=_L, at=(self.x + dx, self.y + dy), text=said, **look))

    def ring(self, said: str) -> None:
        from lynchet.drawings.symbols import circle

        self.items.append(Area(id=self._id(), layer=_L, rings=(circle((self.x, self.y), 2.8),), fill="paper",
                               pen="visible"))  # fmt: skip
        self.text(said, h=2.3, weight="bold")


Draw = Callable[[_Sample, Figures], None]


def _wall(s: _Sample, _: Figures) -> None:
    s.box((8, 1.2), fill="timber", pen="outline")


def _piece(s: _Sample, _: Figures) -> None:
    s.box((8, 2.2), fill="timber", pen="outline")
    s.line((1.5, -2.2), (1.5, 2.2), pen="outline")
    s.text("2a", -3.2, 1.2, weight="bold", h=2.4)


def _tie_plan(s: _Sample, _: Figures) -> None:
    s.line((-8, -0.7), (5, -0.7), pen="fine", dash="hidden")
    s.line((-8, 0.7), (5, 0.7), pen="fine", dash="hidden")
    s.line((5, -2.2), (7, -2.2), (7, 2.2), (5, 2.2), pen="fine", dash="hidden", closed=True)


def _tie_above(s: _Sample, _: Figures) -> None:
    s.box((6.5, 0.8), fill="timber", pen="visible")
    s.items.append(Area(id=s._id(), layer=_L, rings=(tuple((s.x + dx, s.y + dy) for dx, dy in
                   ((5, -2.2), (7, -2.2), (7, 2.2), (5, 2.2))),), fill="timber", pen="outline"))  # fmt: skip


def _tie_end(s: _Sample, _: Figures) -> None:
    s.box((1.6, 1.6), pen="fine", dash="short")
    s.line((-1.6, -1.6), (1.6, 1.6), pen="fine", dash="short")
    s.line((-1.6, 1.6), (1.6, -1.6), pen="fine", dash="short")


def _level_new(s: _Sample, f: Figures) -> None:
    s.items.append(Level(id=s._id(), layer=_L, at=(s.x, s.y), text=f.level(0.6), value_m=0.6))


def _level_section(s: _Sample, f: Figures) -> None:
    s.line((-7, 2.2), (7, 2.2), pen="outline")
    s.items.append(Level(id=s._id(), layer=_L, at=(s.x - 4, s.y + 2.2), text=f.level(0.1524), value_m=0.1524,
                         style="section"))  # fmt: skip


def _level_old(s: _Sample, f: Figures) -> None:
    s.items.append(Level(id=s._id(), layer=_L, at=(s.x - 5, s.y), text=f.ground(0.27), value_m=0.27, kind="old"))


def _contour(s: _Sample, _: Figures) -> None:
    s.line((-9, -1.4), (9, -1.4), pen="thin", role="earth")
    s.line((-9, 0.0), (9, 0.0), pen="hair", role="earth")
    s.line((-9, 1.4), (9, 1.4), pen="hair", role="earth", dash="short")


def _fittings(s: _Sample, _: Figures) -> None:
    s.sign("rod eye", -3, role="water")
    s.sign("joint", 3, role="water")


def _flow(s: _Sample, _: Figures) -> None:
    s.line((-9, 0), (9, 0), pen="outline", role="water")
    s.sign("head", 2.0, role="water")


def _weep_plan(s: _Sample, _: Figures) -> None:
    s.box((8, 1.2), fill="barrow", pen="fine", role="mid")
    s.line((0, -1.2), (0, 1.2), pen="fine", role="water")
    s.sign("weep", dy=1.2, role="water")


def _lot(s: _Sample, _: Figures) -> None:
    s.line((-9, 0), (9, 0), pen="visible", dash="lot")
    s.sign("found mark", -8)


def _lot_guessed(s: _Sample, _: Figures) -> None:
    s.line((-9, 0), (9, 0), pen="visible", dash="lot")
    s.sign("unsure")


def _steps(s: _Sample, _: Figures) -> None:
    s.box((6, 2.2), pen="visible", fill="path")
    for x in (-2.0, 2.0):
        s.line((x, -2.2), (x, 2.2), pen="visible")
    s.line((-5, 0), (5.4, 0), pen="fine", arrow=True)


def _line_entry(**look: Any) -> Draw:
    return lambda s, _: s.line((-9, 0), (9, 0), **look)


def _box_entry(w: float = 8.0, h: float = 2.2, **look: Any) -> Draw:
    return lambda s, _: s.box((w, h), **look)


def _sign_entry(name: str, **look: Any) -> Draw:
    return lambda s, _: s.sign(name, **look)


def _timber_cut(s: _Sample, _: Figures) -> None:
    s.box((2.2, 2.2), fill="timber", pen="outline")
    s.line((-2.2, -2.2), (2.2, 2.2), pen="hair")
    s.line((-2.2, 2.2), (2.2, -2.2), pen="hair")


def _water_level(s: _Sample, _: Figures) -> None:
    s.line((-9, 0.6), (9, 0.6), pen="visible", role="water")
    s.line((-1.2, -1.4), (1.2, -1.4), (0, 0.6), pen="fine", role="water", closed=True)


def _bank(s: _Sample, _: Figures) -> None:
    s.line((-8, 2), (8, 2), pen="fine", role="earth")
    for n in range(9):
        s.line((-8 + 2 * n, -2), (-8 + 2 * n, 2 if n % 2 == 0 else 0), pen="hair", role="earth")


def _pin(s: _Sample, _: Figures) -> None:
    s.sign("pin", 0, -2.4, size_mm=4.8)


def _undug(s: _Sample, _: Figures) -> None:
    s.line((-9, -0.8), (9, -0.8), pen="cut")
    for x in (-6, -1, 4):
        for n in range(3):
            s.line((x + n, -0.6), (x + n - 1.2, 1.2), pen="hair")


def _heap(s: _Sample, _: Figures) -> None:
    from lynchet.earth.room import heap_foot

    box = ((s.x - 8, s.y - 2.2), (s.x + 8, s.y - 2.2), (s.x + 8, s.y + 2.2), (s.x - 8, s.y + 2.2))
    s.items.append(Area(id=s._id(), layer=_L, rings=(heap_foot(box),), fill="fill", pen="visible", role="earth"))
    s.line((-5.8, 0), (5.8, 0), pen="hair", role="earth")


def _barrow(s: _Sample, _: Figures) -> None:
    s.box((9, 1.6), fill="barrow", pen="fine", dash="short", role="mid")
    s.line((-9, 0), (9, 0), pen="fine", dash="hidden", arrow=True)


def _lot_distance(s: _Sample, _: Figures) -> None:
    s.line((-8, 0), (8, 0), pen="fine")
    for x in (-8, 8):
        s.line((x - 0.7, 0.7), (x + 0.7, -0.7), pen="visible")


def _load_cut(s: _Sample, _: Figures) -> None:
    s.line((-8, -2.0), (8, -2.0), pen="visible")
    for x in (-8, -4, 0, 4, 8):
        s.line((x, -2.0), (x, 2.0), pen="fine", arrow=True)


def _tree(s: _Sample, _: Figures) -> None:
    s.sign("tree", size_mm=2.2, role="plant")


_ENTRIES: dict[str, tuple[str, Draw]] = {
    "wall": ("timber wall", _wall),
    "wall grey": ("timber wall", _box_entry(8, 1.2, fill="barrow", pen="fine", role="mid")),
    "piece": ("piece with its mark; joint", _piece),
    "stood": ("stands already", _box_entry(fill="barrow", pen="outline")),
    "buried": ("below the finished ground", _box_entry(fill="timber", hatch="buried", hatch_role="mid", pen="outline")),
    "other wall": ("end of the wall that meets it", _box_entry(2.2, 2.2, fill="paper", hatch="left over", pen="fine")),
    "timber cut": ("timber, cut across", _timber_cut),
    "bubble": ("wall and the sheet it is on", lambda s, _: s.ring("W2")),
    "tie plan": ("tie with cross-piece, in the fill", _tie_plan),
    "tie above": ("tie with its cross-piece, from above", _tie_above),
    "tie end": ("tie behind this course, screwed from the front", _tie_end),
    "pin": ("pin, driven through into the ground", _pin),
    "corner pin": ("bar, driven down through the lap", _sign_entry("dot")),
    "screw": ("screw, down into the course below", _sign_entry("screw")),
    "tie screw": ("screw into the tie", _line_entry(pen="visible", dash="short")),
    "step timber": ("timber of a step, cut across", _timber_cut),
    "level new": ("finished level, new", _level_new),
    "level section": ("level", _level_section),
    "level old": ("ground level as measured", _level_old),
    "contour": ("ground before, each {step}, thick at {index}; dashed where it changes", _contour),
    "pipe": ("pipe with holes, in stone", _line_entry(pen="outline", dash="holes", role="water")),
    "solid pipe": ("pipe without holes", _line_entry(pen="outline", role="water")),
    "fittings": ("cleanout, joint", _fittings),
    "flow": ("the way the water runs", _flow),
    "pipe joint": ("joint of two pipes", _sign_entry("joint", role="water")),
    "cleanout": ("cleanout: upright pipe with a lid, to rinse the drain", _sign_entry("rod eye", role="water")),
    "pipe cap": ("cap, closed end", _sign_entry("cap", role="water")),
    "outlet": ("outlet; inv = level of the inside bottom", _sign_entry("outlet", role="water")),
    "weep": ("weep hole, bored through, with filter fabric behind it", _sign_entry("weep", role="water")),
    "weep plan": ("weep hole, its ring in front", _weep_plan),
    "weep cut": ("weep hole cut along, filter fabric behind it", _box_entry(9, 1.2, fill="paper", pen="fine",
                                                                           role="water")),
    "notch": ("notch in the timber for the pipe", _sign_entry("notch", role="water")),
    "pipe cut": ("pipe, cut across", _sign_entry("joint", role="water")),
    "pipe along": ("pipe without holes, cut along", _box_entry(9, 1.2, fill="paper", pen="visible", role="water")),
    "water level": ("water stands no higher than this while the pipe is open", _water_level),
    "water level dry": ("water stands no higher than this in the design rain", _water_level),
    "dish": ("shallow dish, the way the water runs", _line_entry(pen="thin", dash="chain", role="water", arrow=True)),
    "stone": ("drain stone, lets water down", _box_entry(fill="stone", hatch="stone small", pen="fine")),
    "drain stone": ("drain stone", _box_entry(8, 1.6, fill="stone", pen="hair", role="mid")),
    "stone bed": ("stone bed, tamped", _box_entry(fill="stone", hatch="stone small", pen="fine")),
    "fill": (
        "fill: own soil in layers, each tamped",
        _box_entry(fill="fill", hatch="fill", hatch_role="earth", pen="fine"),
    ),
    "bed soil": ("bed soil, never tamped", _box_entry(fill="bed", hatch="bed soil", pen="fine")),
    "mulch": ("mulch, on top of the soil", _box_entry(fill="mulch", pen="fine")),
    "ground after": ("ground when finished", _line_entry(pen="cut")),
    "ground before": ("ground before", _line_entry(pen="thin", dash="hidden", role="earth")),
    "fabric": ("filter fabric round the stone", _line_entry(pen="outline", dash="short")),
    "dig": ("edge of the digging", _line_entry(pen="fine", dash="chain")),
    "undug": ("ground that stays as it is", _undug),
    "planting": ("bed to plant", _box_entry(fill="planted")),
    "strip": ("path strip, kept free", _box_entry(fill="path", pen="fine")),
    "landing": ("{landing}", _box_entry(5, 2.0, fill="path", pen="fine")),
    "path": ("path at the level of the ground", _box_entry(fill="path", pen="fine")),
    "steps": ("steps, the arrow points up", _steps),
    "steps bare": ("steps", _box_entry(6, 2.2, fill="path", pen="visible")),
    "step cut": ("step, cut across", _box_entry(6, 2.0, fill="path", pen="visible")),
    "bank": ("bank at 1 in 2, ticks from its top down", _bank),
    "house": ("house", _box_entry(hatch="house", pen="cut")),
    "no dig": ("no digging, no heap, no barrow", _box_entry(fill="warn tone", hatch="no dig", hatch_role="warn",
                                                          pen="visible", dash="hidden", role="warn")),
    "tree": ("tree that stays", _tree),
    "load": ("load on the ground, counted behind the walls", _line_entry(pen="visible", dash="hidden")),
    "load cut": ("load on the ground", _load_cut),
    "on wall": ("stands on or just behind the wall: how thick and how far is not in the file",
                _box_entry(1.2, 2.2, pen="fine", dash="short")),
    "stays": ("thing that stays", _line_entry(pen="visible", dash="short", role="warn")),
    "lot": ("lot line by survey, mark found", _lot),
    "lot guessed": ("lot line, not by survey", _lot_guessed),
    "lot distance": ("shortest way from what is built to a lot line", _lot_distance),
    "area": ("edge of the area as measured", _line_entry(pen="fine", dash="chain")),
    "area moved": ("edge moved in by the inset", _line_entry(pen="hair", dash="short")),
    "benchmark": ("benchmark: {benchmark}", _sign_entry("benchmark", dy=1.6)),
    "heap": ("heap of soil, outline at its foot", _heap),
    "drop zone": ("timber and stone are set down here", _box_entry(fill="timber", pen="visible", dash="hidden")),
    "barrow run": ("way of the barrows, the arrow to the heap", _barrow),
    "truck stop": ("truck stop, as the file says", _sign_entry("truck")),
    "gate": ("gate, as the file says", _sign_entry("gate", dy=0.8)),
    "test hole": ("test hole, with what it told", _sign_entry("test hole", role="earth")),
    "spring": ("spring or wet ground", _sign_entry("spring", role="water")),
    "stop": ("stop: do not build this yet", _sign_entry("stop", role="warn")),
    "section mark": (
        "where a section is cut",
        _sign_entry("section mark", dx=-2.0, dy=3.2, text="A"),
    ),
}  # fmt: skip


_HIGH_MM = {"stop": 9.6, "section mark": 6.2, "bubble": 6.0, "tree": 5.2, "pin": 5.4, "level section": 6.4}
"""Room of samples that are higher than a line."""


def used(items: Iterable[Item]) -> list[str]:
    """Names of the entries that items ask for, in the key's own order."""
    asked = {item.key for item in items if item.key}
    unknown = asked - set(_ENTRIES)
    if unknown:
        raise KeyError(f"no entry in the key: {sorted(unknown)}")
    return [name for name in _ENTRIES if name in asked]


def seen(view: View) -> Iterable[Item]:
    """The items of a view without areas and lines that lie wholly beyond the edge it is cut at."""
    left, top, right, bottom = view.region
    for item in view.items:
        drawn = item.rings[0] if isinstance(item, Area) else item.pts if isinstance(item, Line) else ()
        if view.clip and item.key and drawn:
            xs, ys = zip(*view.papers(drawn), strict=True)
            if max(xs) < left or min(xs) > right or max(ys) < top or min(ys) > bottom:
                continue
        yield item


def entries(items: Iterable[Item], figures: Figures, words: dict[str, str] | None = None) -> tuple[KeyEntry, ...]:
    """The key of a sheet: an entry for every sign its items use.

    Args:
        items: all items of the sheet's views.
        figures: for samples with numbers.
        words: what stands for {names} in the entries' words.

    Raises:
        KeyError: an item asks for an entry that does not exist.
    """
    said = words or {}

    def entry(name: str) -> KeyEntry:
        text, draw = _ENTRIES[name]

        def sample(x: float, y: float) -> list[Item]:
            cell = _Sample(name, x, y)
            draw(cell, figures)
            return cell.items

        return KeyEntry(name, text.format(**said), sample, _HIGH_MM.get(name, 4.3))

    return tuple(entry(name) for name in used(items))
