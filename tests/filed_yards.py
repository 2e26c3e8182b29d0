"""Random yards as people file them: a project file in metres or feet, with wishes, read like any other."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi
from pathlib import Path

import numpy as np

from lynchet.project.load import load_text
from lynchet.project.model import Project
from lynchet.project.read import checked
from random_yards import Draft, Placing, Rng, realistic_draft

FOOT_M = 0.3048
SECTIONS = {
    "metric": ("150 mm x 150 mm", "150 mm x 200 mm", "100 mm x 200 mm", "125 mm x 125 mm"),
    "us": ("5 1/2 in x 5 1/2 in", "3 1/2 in x 5 1/2 in", "5 1/2 in x 7 1/2 in"),
}
"""Course by width."""
STOCK = {"metric": ("2.4 m", "3.6 m", "4.8 m"), "us": ("8 ft", "10 ft", "12 ft", "16 ft")}
SOILS = ('feel = "gritty"', 'class = "SM"', 'class = "GW"', 'class = "CL"', 'feel = "sticky"', 'feel = "unknown"',
         "friction_angle = { value = 34, spread = 1 }")  # fmt: skip


def filed(seed: int) -> Project:
    """One yard, read from its text."""
    return checked(load_text(yard_text(seed), f"yard {seed}", Path()), [])


def yard_text(seed: int) -> str:
    """A project file: the ground and shape of a realistic yard, low walls wished, and some of all that can be."""
    draft = realistic_draft(seed)
    placing, units, rng = laid(seed)
    parts = [*_head(units, rng), *_ground(draft, placing, units, rng), *_stays(draft, placing, units)]
    parts += [*_build(draft, units, rng), *_around(draft, placing, units, rng), *_brief(draft, units, rng)]
    return "\n".join(parts) + "\n"


def laid(seed: int) -> tuple[Placing, str, Rng]:
    """How the yard lies in its file, the file's units, and the chances of all that follows."""
    rng = np.random.default_rng([seed, 11])
    placing = Placing(float(rng.uniform(0.0, 2.0 * pi)), bool(rng.random() < 0.5))
    return placing, "us" if rng.random() < 0.5 else "metric", rng


def _some(rng: Rng, share: float) -> bool:
    return bool(rng.random() < share)


def _pick(rng: Rng, *of: str) -> str:
    return str(of[int(rng.integers(len(of)))])


def _size(value_m: float, units: str) -> str:
    """A plain number of the file."""
    return f"{value_m / FOOT_M:.4f}" if units == "us" else f"{value_m:.4f}"


def _written(value_m: float, units: str) -> str:
    """A length with its unit."""
    return f'"{value_m / FOOT_M:.3f} ft"' if units == "us" else f'"{value_m:.3f} m"'


def _points(points: Iterator[tuple[float, float]], placing: Placing, units: str) -> str:
    moved = (placing(point) for point in points)
    return "[" + ", ".join(f"[{_size(x, units)}, {_size(y, units)}]" for x, y in moved) + "]"


def _head(units: str, rng: Rng) -> Iterator[str]:
    yield f'lynchet = 1\nunits = "{units}"\nname = "random yard"'
    if _some(rng, 0.5):
        yield f"[site]\nlatitude = {rng.uniform(35, 58):.2f}\nlongitude = {rng.uniform(-120, 20):.2f}"
        yield f"north = {rng.uniform(0, 359):.0f}"


def _ground(draft: Draft, placing: Placing, units: str, rng: Rng) -> Iterator[str]:
    yield '[ground]\nheld = "level"\npoints = { readings = ['
    flatter = float(rng.choice([1.0, 0.5, 0.25]))  # most random slopes are too steep for walls that stand
    for n, (x, y, level) in enumerate(draft.readings):
        z = 100.0 + flatter * (level - 100.0)
        (px, py) = placing((x, y))
        yield (f'  {{ name = "g{n}", at = [{_size(px, units)}, {_size(py, units)}], '
               f"level = {_size(z, units)} }},")  # fmt: skip
    yield f"] }}\n[area]\noutline = {_points(iter(draft.outline), placing, units)}"
    if _some(rng, 0.3):
        edge, finish = int(rng.integers(len(draft.outline))), _pick(rng, "open", "bank", "wall")
        more = f", width = {_written(float(rng.uniform(0.8, 2.0)), units)}" if finish == "bank" else ""
        yield f'edges = [{{ from = {edge}, finish = "{finish}"{more} }}]'


def _stays(draft: Draft, placing: Placing, units: str) -> Iterator[str]:
    for house in draft.houses:
        yield f'[[house]]\nname = "house"\noutline = {_points(iter(house.outline_m), placing, units)}'
    for path in draft.paths:
        yield f"[[path]]\nline = {_points(iter(path.line_m), placing, units)}\nwidth = {_written(path.width_m, units)}"
    for steps in draft.steps:
        yield f'[[steps]]\nname = "steps"\nline = {_points(iter(steps.line_m), placing, units)}'
        yield f"width = {_written(steps.width_m, units)}"
    for fixed in draft.fixed:
        yield f'[[fixed]]\nkind = "tree"\nname = "tree"\nat = {_points(iter(fixed.line_m), placing, units)[1:-1]}'
        yield f"clear = {_written(fixed.clear_m or 0.6, units)}\nstem = {_written(0.2, units)}"


def _build(draft: Draft, units: str, rng: Rng) -> Iterator[str]:
    yield f"[soil]\n{_pick(rng, *SOILS)}"
    stock = ", ".join(f'{{ length = "{one}" }}' for one in STOCK[units])
    species = _pick(rng, "pine", "larch") if units == "metric" else _pick(rng, "southern pine", "douglas fir")
    yield f'[[timber]]\nsection = "{_pick(rng, *SECTIONS[units])}"\nstock = [{stock}]'
    yield f'material = {{ species = "{species}", treatment = "ground contact" }}'
    if _some(rng, 0.3):
        yield f"[drain]\nways_out = {int(rng.integers(1, 3))}"
    if _some(rng, 0.3):
        yield f"[works]\ncrew = {int(rng.integers(1, 4))}\nstart = 2027-0{int(rng.integers(3, 6))}-15"
    if _some(rng, 0.3):
        yield '[prices]\ncurrency = "XXX"\nitems = { timber = "9.5 per m", stone = "46 per t", labour = 32 }'
    if _some(rng, 0.4):
        yield '[planting]\nzone = "7a"\nwishes = ["English lavender", "chives"]'


def _around(draft: Draft, placing: Placing, units: str, rng: Rng) -> Iterator[str]:
    xs, ys = zip(*draft.outline, strict=True)
    at = iter([(float(rng.uniform(min(xs), max(xs))), float(rng.uniform(min(ys), max(ys))))])
    place = _points(at, placing, units)[1:-1]
    if _some(rng, 0.2):
        more = f"\nwater = {_written(float(rng.uniform(0.3, 1.2)), units)}" if _some(rng, 0.5) else ""
        yield f'[[hole]]\nat = {place}\ndepth = {_written(1.3, units)}\nfeel = "gritty"{more}'
    if _some(rng, 0.15):
        yield f'[[spring]]\nat = {place}\nflow = "0.05 l/s"\ncut_off = {_pick(rng, "true", "false")}'
    if _some(rng, 0.15):
        low, wide = max(ys) + 1.0, (min(xs), max(xs))
        box = iter([(wide[0], low), (wide[1], low), (wide[1], low + 3.0), (wide[0], low + 3.0)])
        yield f'[[load]]\nname = "drive"\noutline = {_points(box, placing, units)}\npressure = "5 kPa"'
    if _some(rng, 0.2):
        line = iter([(min(xs) - 3.0, min(ys) - 1.5), (max(xs) + 3.0, min(ys) - 1.5)])
        yield f'[[lot_line]]\nname = "lot"\nline = {_points(line, placing, units)}'
    if _some(rng, 0.1):
        yield f'[[on_wall]]\nkind = "rail"\nheight = {_written(1.0, units)}'


def _brief(draft: Draft, units: str, rng: Rng) -> Iterator[str]:
    """Wishes of people whose walls are to stand: low ones mostly, a strip undug before them, weep holes, ties."""
    deep = max(y for _, y in draft.outline) - min(y for _, y in draft.outline)
    yield "[brief]"
    if _some(rng, 0.5):
        yield f"terraces = {max(1, min(6, int(deep / float(rng.uniform(1.2, 3.0)))))}"
    if _some(rng, 0.6):
        yield f"path_strip = {_written(0.6, units)}"
    if _some(rng, 0.6):
        yield "weeps = true"
    if _some(rng, 0.3):
        yield f'ties = "{_pick(rng, "auto", "always", "never")}"'
    if _some(rng, 0.3):
        yield f"dig_depth = {_written(float(rng.uniform(0.05, 0.3)), units)}"
    if _some(rng, 0.2):
        yield f"lean = {_pick(rng, '0', '0.08')}"
    if _some(rng, 0.15):
        yield "pins = false"
    if _some(rng, 0.1):
        yield "one_stick = true"
    if _some(rng, 0.1):
        yield 'levels = "equal"'
