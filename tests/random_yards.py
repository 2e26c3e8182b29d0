"""Random yards from a seed: realistic ones by a fixed recipe, and crooked ones meant to break things."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, radians, sin

import numpy as np

from lynchet.ground.model import Ground
from lynchet.project import model as pm
from lynchet.project import things
from yards import PLACED, Point, project_of, timber

Rng = np.random.Generator
Level = Callable[[float, float], float]

SECTIONS = ((0.089, 0.14), (0.10, 0.10), (0.125, 0.25 / 2), (0.14, 0.14), (0.15, 0.15), (0.184, 0.14), (0.20, 0.20))
"""Course by thickness, metres."""
SHAPES = (("quad", 30), ("five", 12), ("ell", 15), ("u", 5), ("t", 5), ("notch", 9), ("side", 10), ("wedge", 8),
          ("curve", 6))  # fmt: skip


@dataclass(frozen=True)
class Draft:
    """A yard before it is turned into a project: everything in its own drawing coordinates, low side at y = 0."""

    outline: list[Point]
    level: Level
    readings: list[tuple[float, float, float]]
    brief: pm.Brief
    timber: pm.Timber
    houses: tuple[things.House, ...] = ()
    paths: tuple[things.Path, ...] = ()
    steps: tuple[things.StepsWish, ...] = ()
    fixed: tuple[things.Fixed, ...] = ()


@dataclass(frozen=True)
class Placing:
    """How a draft lies in the file: turned, mirrored, shifted."""

    turn_rad: float = 0.0
    mirrored: bool = False
    shift_m: Point = (0.0, 0.0)

    def __call__(self, point: Point) -> Point:
        x, y = (-point[0] if self.mirrored else point[0]), point[1]
        c, s = cos(self.turn_rad), sin(self.turn_rad)
        return c * x - s * y + self.shift_m[0], s * x + c * y + self.shift_m[1]


def realistic(seed: int, placing: Placing | None = None) -> tuple[pm.Project, Ground]:
    """One realistic yard; ``placing`` overrides the random turn and mirroring."""
    rng = np.random.default_rng([seed, 1])
    draft = _realistic_draft(rng)
    drawn = Placing(float(rng.uniform(0, 2 * pi)), bool(rng.random() < 0.5))
    return placed(draft, placing or drawn)


def realistic_draft(seed: int) -> Draft:
    """What a realistic yard is made from, not yet placed: quick to look at where many are passed over."""
    return _realistic_draft(np.random.default_rng([seed, 1]))


def crooked(seed: int, placing: Placing | None = None) -> tuple[pm.Project, Ground]:
    """One crooked yard."""
    rng = np.random.default_rng([seed, 2])
    draft = _crooked_draft(rng)
    drawn = Placing(float(rng.uniform(0, 2 * pi)), bool(rng.random() < 0.5))
    return placed(draft, placing or drawn)


def placed(draft: Draft, placing: Placing) -> tuple[pm.Project, Ground]:
    """The draft as a project at a place."""
    from dataclasses import replace

    outline = [placing(p) for p in draft.outline]
    readings = [(*placing((x, y)), z) for x, y, z in draft.readings]
    parts = {}
    for key in PLACED:
        if things_ := getattr(draft, key, ()):
            name = "outline_m" if key == "houses" else "line_m"
            parts[key] = tuple(replace(t, **{name: tuple(placing(p) for p in getattr(t, name))}) for t in things_)
    return project_of(outline, readings, brief=draft.brief, timber=draft.timber, **parts)


def _jitter(rng: Rng, points: list[Point], size: float) -> list[Point]:
    sd = min(0.3, 0.02 * size)
    return [(x + float(rng.normal(0, sd)), y + float(rng.normal(0, sd))) for x, y in points]


def _shape(rng: Rng) -> tuple[str, list[Point], float, float]:
    """Kind, outline anticlockwise from the low left corner, width, depth."""
    names, weights = zip(*SHAPES, strict=True)
    kind = str(rng.choice(names, p=np.array(weights) / sum(weights)))
    w = float(np.exp(rng.uniform(np.log(4), np.log(30))))
    d = float(np.exp(rng.uniform(np.log(3), np.log(25))))
    if kind == "side":
        w, d = float(rng.uniform(3, 4.5)), float(rng.uniform(8, 22))
    a, b = float(rng.uniform(0.3, 0.7)), float(rng.uniform(0.3, 0.7))
    points: list[Point]
    if kind == "five":
        points = [(0, 0), (w * a, -0.15 * d * b), (w, 0), (w, d), (0, d)]
        if rng.random() < 0.5:
            points.insert(3, (w * 1.12, d * b))
    elif kind == "ell":
        points = [(0, 0), (w, 0), (w, d * b), (w * a, d * b), (w * a, d), (0, d)]
    elif kind == "u":
        points = [(0, 0), (w, 0), (w, d), (w * 0.68, d), (w * 0.68, d * b), (w * 0.32, d * b), (w * 0.32, d), (0, d)]
    elif kind == "t":
        points = [
            (w * 0.3, 0),
            (w * 0.7, 0),
            (w * 0.7, d * b),
            (w, d * b),
            (w, d),
            (0, d),
            (0, d * b),
            (w * 0.3, d * b),
        ]
    elif kind == "wedge":
        points = [(0, 0), (w, 0), (w * float(rng.uniform(0.4, 1.1)), d), (w * float(rng.uniform(0.0, 0.3)), d)]
    elif kind == "curve":
        n = int(rng.integers(4, 8))
        sag = float(rng.uniform(0.05, 0.15)) * w
        points = [(w * i / n, -sag * 4 * (i / n) * (1 - i / n)) for i in range(n + 1)] + [(w, d), (0, d)]
    else:
        points = [(0, 0), (w, 0), (w, d), (0, d)]
    return kind, _jitter(rng, points, min(w, d)), w, d


def _level(rng: Rng, w: float, d: float) -> tuple[Level, float]:
    """Ground, and its slope."""
    slope = float(np.exp(rng.uniform(np.log(0.05), np.log(0.60))))
    off = float(rng.normal(0, 12)) + (90.0 if rng.random() < 0.08 else 0.0)
    gx, gy = slope * sin(radians(off)), slope * cos(radians(off))
    rise = slope * d
    along, across = float(rng.normal(0, 0.10)) * rise, float(rng.normal(0, 0.05)) * rise
    cross = float(rng.normal(0, 0.03)) if rng.random() < 0.5 else 0.0
    bumps = [(float(rng.uniform(0, w)), float(rng.uniform(0, d)), float(rng.normal(0, 0.15)),
              float(rng.uniform(1.5, 4.0))) for _ in range(int(rng.integers(0, 3)))]  # fmt: skip

    def level(x: float, y: float) -> float:
        z = 100.0 + (gx + cross) * x + gy * y
        z += along * 4 * (y / d) * (1 - y / d) + across * 4 * (x / w) * (1 - x / w)
        return z + sum(h * float(np.exp(-((x - bx) ** 2 + (y - by) ** 2) / r**2)) for bx, by, h, r in bumps)

    return level, slope


def _readings(rng: Rng, outline: list[Point], level: Level, noise_m: float) -> list[tuple[float, float, float]]:
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    size = max(max(xs) - min(xs), max(ys) - min(ys)) + 2.4
    step = min(3.0, max(1.0, size / 12.0))
    points: list[Point] = list(outline)
    for x in np.arange(min(xs) - 1.2, max(xs) + 1.2 + step, step):
        for y in np.arange(min(ys) - 1.2, max(ys) + 1.2 + step, step):
            points.append((float(x + rng.normal(0, 0.1)), float(y + rng.normal(0, 0.1))))
    return [(x, y, level(x, y) + float(rng.normal(0, noise_m))) for x, y in points]


def _house(rng: Rng, kind: str, outline: list[Point], w: float, d: float) -> tuple[things.House, ...]:
    if kind == "notch":
        x0, y0 = w * float(rng.uniform(0.5, 0.7)), d * float(rng.uniform(0.5, 0.7))
        return (things.House("house", ((x0, y0), (w + 3, y0), (w + 3, d + 3), (x0, d + 3))),)
    if rng.random() > 0.5:
        return ()
    side, lap = rng.choice(["back", "side", "low"], p=[0.6, 0.25, 0.15]), float(rng.uniform(-0.1, 0.5))
    if side == "back":
        box = ((-1.0, d - lap), (w * float(rng.uniform(0.6, 1.2)), d - lap), (w * 1.2, d + 7), (-1.0, d + 7))
    elif side == "side":
        box = ((w - lap, -2.0), (w + 7, -2.0), (w + 7, d * float(rng.uniform(0.5, 1.3))), (w - lap, d * 1.3))
    else:
        box = ((-1.0, -7.0), (w * float(rng.uniform(0.5, 1.2)), -7.0), (w * 1.1, lap), (-1.0, lap))
    return (things.House("house", box),)


def _realistic_draft(rng: Rng) -> Draft:
    kind, outline, w, d = _shape(rng)
    level, slope = _level(rng, w, d)
    readings = _readings(rng, outline, level, float(rng.choice([0.005, 0.012, 0.025])))
    course, thick = SECTIONS[int(rng.integers(len(SECTIONS)))]
    lean = 0.012 / course if rng.random() < 0.25 else 0.0
    count = max(1, min(7, round(slope * d / float(rng.uniform(0.45, 0.9))), int(d / 1.5)))
    houses = _house(rng, kind, outline, w, d)
    paths = steps = fixed = ()
    if rng.random() < 0.11:
        x = w * float(rng.uniform(0.3, 0.7))
        bottom, top = (x, -2.0), (x + w * float(rng.normal(0, 0.08)), d + 2.0)
        paths = (things.Path("path", (bottom, top), float(rng.uniform(0.9, 1.2))),)
    if rng.random() < 0.19:
        x = w * float(rng.uniform(0.2, 0.8))
        line = ((x, -1.5), (x + w * float(rng.normal(0, 0.05)), d + 0.5))
        steps = (things.StepsWish("steps", line, float(rng.uniform(0.9, 1.2))),)
    if rng.random() < 0.05:
        at = (w * float(rng.uniform(0.25, 0.75)), d * float(rng.uniform(0.25, 0.75)))
        fixed = (things.Fixed("tree", "tree", "tree", (at,), clear_m=float(rng.uniform(0.5, 0.9)), stem_m=0.2),)
    return Draft(outline, level, readings, pm.Brief(terraces=count, lean=lean), timber(course, thick), houses, paths,
                 steps, fixed)  # fmt: skip


def _crooked_draft(rng: Rng) -> Draft:
    """Star-shaped outlines with sharp and hollow corners, wild ground, too many terraces, things in the way."""
    n = int(rng.integers(4, 10))
    turn = np.sort(rng.uniform(0, 2 * pi, n))
    while np.max(np.diff([*turn, turn[0] + 2 * pi])) > 0.9 * pi or np.min(np.diff([*turn, turn[0] + 2 * pi])) < 0.15:
        turn = np.sort(rng.uniform(0, 2 * pi, n))
    size = float(rng.uniform(4, 12))
    radius = size * rng.uniform(0.35, 1.0, n)
    outline = [(float(r * cos(t)), float(r * sin(t))) for r, t in zip(radius, turn, strict=True)]
    slope = float(rng.choice([0.0, 0.03, 0.15, 0.3, 0.6]))
    way = float(rng.uniform(0, 2 * pi))
    saddle = float(rng.normal(0, 0.01))
    waves = [(float(rng.uniform(0.2, 0.9)), float(rng.uniform(0, 2 * pi)), float(rng.normal(0, 0.12)))
             for _ in range(3)]  # fmt: skip

    def level(x: float, y: float) -> float:
        z = 50.0 + slope * (x * cos(way) + y * sin(way)) + saddle * (x * x - y * y)
        return z + sum(h * sin(f * hypot(x, y) + p + atan2(y, x)) for f, p, h in waves)

    readings = _readings(rng, outline, level, 0.01)
    course, thick = SECTIONS[int(rng.integers(len(SECTIONS)))]
    brief = pm.Brief(terraces=int(rng.integers(1, 7)), lean=0.012 / course if rng.random() < 0.3 else 0.0,
                     lines="fall" if rng.random() < 0.2 else "edge",
                     levels="equal" if rng.random() < 0.2 else "balance")  # fmt: skip
    houses: tuple[things.House, ...] = ()
    paths = fixed = ()

    def box(cx: float, cy: float, half: float) -> tuple[Point, ...]:
        t = float(rng.uniform(0, pi))
        return tuple((cx + half * 1.4 * cos(t + k * pi / 2), cy + half * 1.4 * sin(t + k * pi / 2)) for k in range(4))

    if rng.random() < 0.4:
        t = float(rng.uniform(0, 2 * pi))
        houses = (things.House("house", box(0.8 * size * cos(t), 0.8 * size * sin(t), float(rng.uniform(1, 5)))),)
    if rng.random() < 0.3:
        t, off = float(rng.uniform(0, pi)), float(rng.normal(0, 1))
        ends = tuple((s * 2 * size * cos(t) + off, s * 2 * size * sin(t)) for s in (-1, 1))
        paths = (things.Path("path", ends, float(rng.uniform(0.8, 1.5))),)
    if rng.random() < 0.3:
        at = (float(rng.normal(0, size / 4)), float(rng.normal(0, size / 4)))
        fixed = (things.Fixed("rock", "rock", "rock", box(*at, float(rng.uniform(0.3, 1.2))), closed=True),)
    return Draft(outline, level, readings, brief, timber(course, thick), houses, paths, (), fixed)
