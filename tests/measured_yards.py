"""Random yards measured in every way a file knows: a rough slope, board and level, one set-up of a level, a level book,
points with a slip, a gap or a thousand too many; on ground that is flat, a hollow, a mound or a saddle."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from filed_yards import FOOT_M, yard_text
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load_text
from lynchet.project.read import checked
from wished_yards import Yard

Point3 = tuple[float, float, float]
Rows = list[dict[str, object]]


def measured_plan(seed: int) -> Plan:
    """The filed yard of this seed, its ground read another way; which one goes by the seed."""
    yard = Yard(seed, np.random.default_rng([seed, 37]))
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    with TemporaryDirectory() as name:
        folder = Path(name)
        way = WAYS[seed % len(WAYS)]
        project = checked(replace(loaded, folder=folder), [("ground", way(yard, folder))])
    return plan_project(project, effort=LIVE)


def _points(yard: Yard, step_m: float = 0.0) -> list[Point3]:
    """Places of the draft with their levels, at a quarter of its steepness; a grid where a step is given."""
    if not step_m:
        return [(x, y, 100.0 + 0.25 * (z - 100.0)) for x, y, z in yard.draft.readings]
    x0, x1, y0, y1 = yard.box
    return [(float(x), float(y), 100.0 + 0.25 * (yard.draft.level(float(x), float(y)) - 100.0))
            for x in np.arange(x0 - 2.0, x1 + 2.0, step_m) for y in np.arange(y0 - 2.0, y1 + 2.0, step_m)]  # fmt: skip


def _size(yard: Yard, metres: float) -> float:
    return round(metres / (FOOT_M if yard.units == "us" else 1.0), 4)


def _written(yard: Yard, points: list[Point3]) -> dict[str, object]:
    rows: Rows = [{"name": f"g{n}", "at": yard.at(x, y), "level": _size(yard, z)} for n, (x, y, z) in enumerate(points)]
    return {"points": {"readings": rows}, "held": yard.pick("level", "ground", "unknown")}


def _slope(yard: Yard, folder: Path) -> dict[str, object]:
    return {
        "slope": {"fall": f"{yard.between(2.0, 25.0):.1f} %", "cross_fall": "2 %"},
        "held": yard.pick("level", "unknown"),
    }


def _steps(yard: Yard, folder: Path) -> dict[str, object]:
    """One line or two, up the slope; on the way back they miss by little or much."""
    x0, x1, y0, y1 = yard.box
    lines: Rows = []
    count = int((y1 - y0 + 2.0) / 1.5) + 2
    two = yard.some(0.5)
    for number, x in enumerate((x0 - 1.0, x1 + 1.0) if two else ((x0 + x1) / 2.0,)):
        rises = [yard.between(0.02, 0.25) for _ in range(count)]
        lines.append({"name": f"line {number}", "from": yard.at(x, y0 - 1.0), "toward": yard.at(x, y1),
                      "each": [{"rise": yard.long(rise), "run": yard.long(1.5)} for rise in rises]})  # fmt: skip
    more: dict[str, object] = {"misclosure": yard.long(yard.between(0.002, 0.15))} if yard.some(0.6) else {}
    return {"steps": lines, "held": "level", **more}


def _laser(yard: Yard, folder: Path) -> dict[str, object]:
    rows: Rows = [{"name": f"g{n}", "at": yard.at(x, y), "rod": _size(yard, 104.0 - z)}
                  for n, (x, y, z) in enumerate(_points(yard)) if 94.5 < z < 112.0]  # fmt: skip
    zero = {"zero": _size(yard, 4.0), "zero_level": _size(yard, 100.0), "zero_name": "doorstep"}
    return {"laser": {**zero, "check": _size(yard, 4.0 + yard.between(-0.03, 0.03)), "readings": rows}, "held": "level"}


def _book(yard: Yard, folder: Path) -> dict[str, object]:
    """Two set-ups from a mark and back to it; now and then a level booked wrong beside right readings."""
    points = _points(yard)
    lines = ["point,backsight,intermediate,foresight,known,level"]
    high, half = max(z for _, _, z in points) + 1.2, len(points) // 2
    slip = 0.05 if yard.some(0.5) else 0.0
    lines.append(f"mark,{high - 100.0:.3f},,,100.000,100.000")
    for n, (_, _, z) in enumerate(points):
        if n == half:
            lines.append(f"turn,{high - 100.4:.3f},,{high - 100.5:.3f},,100.500")
            high += 0.1
        lines.append(f"g{n},,{high - z:.3f},,,{z + (slip if n == 1 else 0.0):.3f}")
    lines.append(f"mark,,,{high - 100.0 + yard.between(-0.02, 0.02):.3f},100.000,")
    (folder / "book.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    places = {f"g{n}": yard.at(x, y) for n, (x, y, _) in enumerate(points)}
    places |= {"mark": yard.at(-50.0, -50.0), "turn": yard.at(-51.0, -50.0)}
    return {"level_book": {"file": "book.csv", "unit": "m", "places": places}, "held": "level"}


def _slip(yard: Yard, folder: Path) -> dict[str, object]:
    points = _points(yard)
    n = len(points) - 1 - int(yard.rng.integers(len(points) // 2))
    x, y, z = points[n]
    return _written(yard, [*points[:n], (x, y, z + (0.7 if yard.some(0.5) else -0.9)), *points[n + 1 :]])


def _gap(yard: Yard, folder: Path) -> dict[str, object]:
    """Nobody read the middle."""
    x0, x1, y0, y1 = yard.box
    x, y, far = (x0 + x1) / 2.0, (y0 + y1) / 2.0, 0.35 * max(x1 - x0, y1 - y0)
    left = [one for one in _points(yard) if abs(one[0] - x) > far or abs(one[1] - y) > far]
    return _written(yard, left if len(left) > 8 else _points(yard))


def _bowl(yard: Yard, folder: Path) -> dict[str, object]:
    """A saddle, a hollow, a mound, or as good as flat ground."""
    x0, x1, y0, y1 = yard.box
    over = {"saddle": (1.0, -1.0), "hollow": (1.0, 1.0), "mound": (-1.0, -1.0), "flat": (0.0, 0.0)}
    a, b = over[yard.pick(*over)]
    high = yard.between(0.3, 1.0)

    def level(x: float, y: float) -> float:
        u, v = 2.0 * (x - x0) / (x1 - x0) - 1.0, 2.0 * (y - y0) / (y1 - y0) - 1.0
        return 100.0 + high * (a * u * u + b * v * v)

    return _written(yard, [(x, y, level(x, y)) for x, y, _ in yard.draft.readings])


def _many(yard: Yard, folder: Path) -> dict[str, object]:
    """A file of so many points that it is thinned."""
    x0, x1, y0, y1 = yard.box
    step = (((x1 - x0) + 4.0) * ((y1 - y0) + 4.0) / 26_000.0) ** 0.5
    scale = FOOT_M if yard.units == "us" else 1.0
    rows = ["x,y,z"]
    for x, y, z in _points(yard, step):
        px, py = yard.at(x, y)
        rows.append(f"{px},{py},{z / scale:.4f}")
    (folder / "scan.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    return {"points": {"file": "scan.csv"}, "held": "level"}


def _taped(yard: Yard, folder: Path) -> dict[str, object]:
    """Readings as they are, or none outside the area: outlets then lie where nobody measured."""
    (x0, x1, y0, y1), corners = yard.box, len(yard.draft.outline)
    points = _points(yard)
    if yard.some(0.5):
        points = [one for n, one in enumerate(points) if n < corners or (x0 < one[0] < x1 and y0 < one[1] < y1)]
    return _written(yard, points)


WAYS: tuple[Callable[[Yard, Path], dict[str, object]], ...] = (
    _slope, _steps, _laser, _book, _slip, _gap, _bowl, _taped, _many,
)  # fmt: skip
"""By the seed, in turn."""
