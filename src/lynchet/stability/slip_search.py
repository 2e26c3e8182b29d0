"""The slip circle with the least factor: a wide first look, then closing in from many starts at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Annotated, Any

import numpy as np
from annotated_types import Len
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse
from lynchet.core.kinds import Fraction, NotNegative, Positive
from lynchet.stability.kinds import SLACK, SLOPE_CAUTION, Array, deny, filled
from lynchet.stability.slices import OrdinaryForm
from lynchet.stability.slip_arcs import Arcs, prepared, x_at
from lynchet.stability.slip_bulges import Bulges, Chords, arcs_of, chords_of, first_touch, open_bulges, touching_bulges
from lynchet.stability.slip_circle import Circle, CircleMethod, deny_spencer, factor_of
from lynchet.stability.slip_factors import Engine, factors
from lynchet.stability.slip_section import (
    Line,
    Section,
    SectionGiven,
    SlipLayer,
    SlipTie,
    TieConvention,
    build_section,
)
from lynchet.stability.slip_slices import REPORTED_SLICES, Method
from lynchet.stability.thrust import WATER_KN_M3

Window = Annotated[list[float], Len(2, 2)]

_LEVELS = np.array([0.0, 0.03, 0.08, 0.15, 0.25, 0.37, 0.5, 0.65, 0.82, 1.0])
"""Shares of the open bulges tried in the first look; touching circles are tried besides."""
_FREE = 0
"""Mode of a start whose bulge is free; mode k keeps it touching the base of layer k."""
_MOVES = np.array([[a, b, c] for a in (-1, 0, 1) for b in (-1, 0, 1) for c in (-1, 0, 1) if (a, b, c) != (0, 0, 0)])
_GROW, _SHRINK = 1.6, 0.7


@dataclass(frozen=True)
class Fineness:
    """How hard to look: quick while someone drags a corner, full for a plan."""

    ends: int = 44
    """Places tried along each window."""
    first_slices: int = 16
    slices: int = 60
    starts: int = 14
    rounds: int = 80
    chances: int = 12
    """Random directions tried in every round beside the regular ones."""
    kept: int = 8
    """Starts followed to the end."""
    least_step: float = 2e-4
    """Smallest move, as a share of the window."""


FULL = Fineness()
LIVE = Fineness(ends=26, first_slices=12, slices=40, starts=8, rounds=40, chances=6, kept=4, least_step=1e-3)


@dataclass(frozen=True)
class Hunt:
    """What is looked for, and where."""

    section: Section
    method: CircleMethod = "bishop"
    form: OrdinaryForm = "buoyant"
    left_m: tuple[float, float] = (-np.inf, np.inf)
    right_m: tuple[float, float] = (-np.inf, np.inf)
    min_depth_m: float = 0.1
    fineness: Fineness = FULL
    engine: Engine = "auto"


@dataclass(frozen=True)
class Tried:
    """Circles tried, every field of one shape."""

    left: Array
    right: Array
    share: Array
    """Of the open bulges."""
    bulge: Array
    """Radians; NaN where no circle fits."""
    mode: Array
    factor: Array
    """Infinite where refused."""

    def take(self, rows: NDArray[np.intp]) -> Tried:
        """Some of them."""
        return Tried(*(getattr(self, field.name)[rows] for field in fields(self)))

    def better(self, other: Tried, where: NDArray[np.bool_]) -> Tried:
        """These, but the others where so said."""
        names = [field.name for field in fields(self)]
        return Tried(*(np.where(where, getattr(other, name), getattr(self, name)) for name in names))


def least_circle(hunt: Hunt) -> tuple[Circle, Arcs, float] | None:
    """The circle with the least factor, its mass and the factor; None where no circle fits.

    Spencer's method looks with Bishop's and reports its own factor on the circle found. A circle that has no factor
    with the slices it is reported by, its toe too steep for them, is looked for again with these.
    """
    first = first_look(hunt)
    if not np.any(np.isfinite(first.factor)):
        return None
    finest = replace(hunt, fineness=replace(hunt.fineness, slices=REPORTED_SLICES))
    for one in (hunt, finest):
        best = close_in(one, starts_of(one, first))
        for row in _in_turn(best) if one is finest else (best.take(np.array([int(np.argmin(best.factor))])),):
            arcs = arcs_of(chords_of(hunt.section, row.left, row.right), row.bulge)
            circle = Circle(float(arcs.x[0]), float(arcs.y[0]), float(arcs.radius[0]), hunt.method, hunt.form)
            mass = prepared(hunt.section, arcs)
            factor = factor_of(hunt.section, circle, mass)
            if not np.isnan(factor):
                return circle, mass, factor
    return None


def _in_turn(tried: Tried) -> Iterator[Tried]:
    """Circles one by one, the least factor first."""
    for place in np.argsort(tried.factor, kind="stable")[: int(np.isfinite(tried.factor).sum())]:
        yield tried.take(np.array([int(place)]))


def places(hunt: Hunt, window: tuple[float, float]) -> Array:
    """Ends tried in a window: closer together near the bends of the ground, every bend itself."""
    low, high = clipped(hunt.section, window)
    bends = hunt.section.ground_x
    stops = np.concatenate([[low], bends[(bends > low) & (bends < high)], [high]])
    runs = np.diff(stops)
    total = max(high - low, SLACK)
    counts = np.maximum(np.round(hunt.fineness.ends * (0.5 / len(runs) + 0.5 * runs / total)), 3).astype(int)
    parts = [
        a + (b - a) * 0.5 * (1 - np.cos(np.pi * np.linspace(0, 1, n + 1)))
        for a, b, n in zip(stops[:-1], stops[1:], counts, strict=True)
    ]
    return np.unique(np.concatenate(parts))


def clipped(section: Section, window: tuple[float, float]) -> tuple[float, float]:
    """A window cut to the ground line."""
    return max(window[0], float(section.ground_x[0])), min(window[1], float(section.ground_x[-1]))


def judge(hunt: Hunt, chords: Chords, bulge: Array, slices: int) -> Array:
    """Factor of each circle; infinite where it does not fit or has none. ``bulge`` is NaN where there is none."""
    found = np.full(len(bulge), np.inf)
    fits = np.flatnonzero(np.isfinite(bulge))
    if len(fits):
        some = Chords(*(value[fits] for value in chords))
        arcs = prepared(hunt.section, arcs_of(some, bulge[fits]))
        method: Method = "ordinary" if hunt.method == "ordinary" else "bishop"
        value = factors(hunt.section.soil, arcs, method, hunt.form, slices, hunt.engine)
        found[fits] = np.where(np.isnan(value), np.inf, value)
    return found


def first_look(hunt: Hunt) -> Tried:
    """A grid over both windows and the open bulges, and every circle that touches a layer's base."""
    section = hunt.section
    left, right = (grid.ravel() for grid in np.meshgrid(places(hunt, hunt.left_m), places(hunt, hunt.right_m)))
    apart = right - left > 1e-4 * (section.ground_x[-1] - section.ground_x[0])
    left, right = left[apart], right[apart]
    chords = chords_of(section, left, right)
    bulges = open_bulges(section, chords, hunt.min_depth_m)
    fits = bulges.high > bulges.low
    chords, bulges = Chords(*(value[fits] for value in chords)), Bulges(bulges.low[fits], bulges.high[fits])
    span = bulges.high - bulges.low
    shares = [np.broadcast_to(_LEVELS, (len(span), len(_LEVELS)))]
    for line in range(1, len(section.soil.lines)):
        touch = touching_bulges(chords, section.soil.x, section.soil.lines[line])
        share = (touch - bulges.low[:, None]) / span[:, None]
        shares.append(np.where((share > 0) & (share < 1), share, np.nan))
    share = np.concatenate(shares, axis=1)
    row, column = np.nonzero(np.isfinite(share))
    value = share[row, column]
    bulge = bulges.low[row] + value * span[row]
    factor = judge(hunt, Chords(*(v[row] for v in chords)), bulge, hunt.fineness.first_slices)
    return Tried(chords.left_x[row], chords.right_x[row], value, bulge, np.zeros(len(row)), factor)


def _far_apart(hunt: Hunt, tried: Tried, count: int) -> NDArray[np.intp]:
    """Rows of the best, none near a better one."""
    span = hunt.section.ground_x[-1] - hunt.section.ground_x[0]
    order = np.argsort(tried.factor, kind="stable")[:4000]
    spots = np.stack([tried.left / span, tried.right / span, 0.3 * tried.share], axis=1)
    chosen: list[int] = []
    for row in order:
        if not np.isfinite(tried.factor[row]) or len(chosen) == count:
            break
        if np.all(np.max(np.abs(spots[row] - spots[chosen]), axis=1) > 0.05):
            chosen.append(int(row))
    return np.array(chosen, dtype=np.intp)


def starts_of(hunt: Hunt, first: Tried) -> Tried:
    """The best of the first look, each free and each held to every layer's base it can touch, judged finely."""
    best = first.take(_far_apart(hunt, first, hunt.fineness.starts))
    bases = len(hunt.section.soil.weight) - (0 if hunt.section.hard_bottom else 1)
    modes = np.repeat(np.arange(bases + 1.0), len(best.left))
    left, right, share = (np.tile(v, bases + 1) for v in (best.left, best.right, best.share))
    return _judged(hunt, (left, right), share, np.full(len(left), np.nan), modes)


def _fitted(hunt: Hunt, chords: Chords, share: Array, bulge: Array, mode: Array) -> tuple[Array, Array]:
    """Share of the open bulges and bulge of each circle: by its mode, else its bulge where given, else its share."""
    bulges = open_bulges(hunt.section, chords, hunt.min_depth_m)
    span = bulges.high - bulges.low
    wanted = np.where(np.isnan(bulge), bulges.low + np.clip(share, 0.0, 1.0) * span, bulge)
    bulge = np.clip(wanted, bulges.low, np.maximum(bulges.low, bulges.high))
    for line in np.unique(mode[mode != _FREE]).astype(int):
        rows = np.flatnonzero(mode == line)
        bulge[rows] = first_touch(hunt.section, Chords(*(value[rows] for value in chords)), line)
    slack = 1e-12
    fits = (span > 0) & (bulge >= bulges.low - slack) & (bulge <= bulges.high + slack)
    return np.where(fits, (bulge - bulges.low) / np.where(fits, span, 1.0), 0.0), np.where(fits, bulge, np.nan)


def _judged(hunt: Hunt, ends: tuple[Array, Array], share: Array, bulge: Array, mode: Array) -> Tried:
    chords = chords_of(hunt.section, *ends)
    share, bulge = _fitted(hunt, chords, share, bulge, mode)
    return Tried(*ends, share, bulge, mode, judge(hunt, chords, bulge, hunt.fineness.slices))


def _snapped(hunt: Hunt, now: Tried) -> tuple[Array, Array]:
    """One end at a time put on the bend of the ground before and after it, (starts x 4) each."""
    bends = hunt.section.ground_x
    last = len(bends) - 1
    left, right = (
        [bends[np.clip(np.searchsorted(bends, end) + d, 0, last)] for d in (-1, 0)] for end in (now.left, now.right)
    )
    return np.stack([*left, now.left, now.left], axis=1), np.stack([now.right, now.right, *right], axis=1)


def _neighbours(hunt: Hunt, now: Tried, step: Array, moves: Array, hold_bulge: bool) -> Tried:
    """Every start moved by its step in all directions, its ends also put on bends of the ground, (starts x moves).

    With ``hold_bulge`` the bulge itself moves with the ends, else its share of what is open: the one follows a slip
    through the ground, the other a limit.
    """
    windows = clipped(hunt.section, hunt.left_m), clipped(hunt.section, hunt.right_m)
    move = moves[None] * step[:, None, None]
    snaps = _snapped(hunt, now)
    ends = []
    for k, (end, (low, high)) in enumerate(zip((now.left, now.right), windows, strict=True)):
        moved = np.concatenate([end[:, None] + move[:, :, k] * (high - low), snaps[k]], axis=1)
        ends.append(np.clip(moved, low, high))
    turn = np.pad(move[:, :, 2], ((0, 0), (0, 4)))
    share, bulge, mode = (np.broadcast_to(v[:, None], turn.shape) for v in (now.share, now.bulge, now.mode))
    share, bulge = share + 2.0 * turn, bulge + turn if hold_bulge else np.full(turn.shape, np.nan)
    apart = ends[1] - ends[0] > 1e-6 * (hunt.section.ground_x[-1] - hunt.section.ground_x[0])
    rows = np.nonzero(apart)
    judged = _judged(hunt, (ends[0][rows], ends[1][rows]), share[rows], bulge[rows], mode[rows])
    whole = [np.full(turn.shape, np.inf) for _ in fields(judged)]
    for target, field in zip(whole, fields(judged), strict=True):
        target[rows] = getattr(judged, field.name)
    return Tried(*whole)


def close_in(hunt: Hunt, starts: Tried) -> Tried:
    """Move every start downhill together, with growing and shrinking steps, dropping those that fall behind."""
    now = starts.take(np.flatnonzero(np.isfinite(starts.factor)))
    if not len(now.factor):
        return starts
    chance = np.random.default_rng(0)  # always the same directions: the same section gives the same circle
    step = np.full(len(now.factor), 0.5 / hunt.fineness.ends)
    for round_ in range(hunt.fineness.rounds):
        moves = np.concatenate([_MOVES, chance.normal(size=(hunt.fineness.chances, 3))])
        around = _neighbours(hunt, now, step, moves, hold_bulge=round_ % 2 == 1)
        best = np.argmin(around.factor, axis=1)
        picked = Tried(*(getattr(around, field.name)[np.arange(len(best)), best] for field in fields(around)))
        better = picked.factor < now.factor * (1 - 1e-9)
        now = now.better(picked, better)
        step = np.where(better, np.minimum(step * _GROW, 0.1), step * _SHRINK)
        if round_ in (8, 20):
            keep = np.argsort(now.factor)[: max(hunt.fineness.kept, len(now.factor) // 3)]
            now, step = now.take(keep), step[keep]
        if np.all(step < hunt.fineness.least_step):
            break
    return now


@dataclass(frozen=True)
class LeastCircle:
    """The worst circle found."""

    factor: float
    centre_x_m: float
    centre_y_m: float
    radius_m: float
    left_x_m: float
    right_x_m: float


def _steps(given: Mapping[str, Any], result: LeastCircle) -> list[Step]:
    a = filled(slip_search, given)
    return [
        Step("centre of the worst circle, x", "least of all circles tried", result.centre_x_m, "m"),
        Step("centre of the worst circle, y", "", result.centre_y_m, "m"),
        Step("radius", "", result.radius_m, "m"),
        Step("left end of the mass", "", result.left_x_m, "m"),
        Step("right end of the mass", "", result.right_x_m, "m"),
        Step("factor", f"{a['method']} on that circle", result.factor),
    ]


def _window(section: Section, window: list[float] | None, key: str) -> tuple[float, float]:
    low, high = float(section.ground_x[0]), float(section.ground_x[-1])
    if window is None:
        return low, high
    inside = low - SLACK <= window[0] <= window[1] <= high + SLACK
    deny(not inside, key, f"window {window} found", f"from low to high within the ground line, {low:g} to {high:g}")
    return window[0], window[1]


@calculator(
    source="A. W. Bishop 1955; E. Spencer 1967; Fellenius (ordinary method); own search over circles",
    known="SEEN",
    example={
        "ground": [[-4.0, 0.0], [0.0, 0.0], [2.0, 2.0], [8.0, 2.0]],
        "layers": [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 25.0, "cohesion_kpa": 2.0}],
    },
    working=_steps,
    caution=SLOPE_CAUTION,
)
def slip_search(
    *,
    ground: Line,
    layers: Annotated[list[SlipLayer], Len(1)],
    method: CircleMethod = "bishop",
    ordinary_form: OrdinaryForm = "buoyant",
    left_x_m: Window | None = None,
    right_x_m: Window | None = None,
    min_depth_m: NotNegative = 0.1,
    water_line: Line | None = None,
    pore_ratio: Fraction | None = None,
    seismic_coefficient: Fraction = 0.0,
    water_unit_weight_kn_m3: Positive = WATER_KN_M3,
    crack_depth_m: NotNegative = 0.0,
    crack_water_m: NotNegative = 0.0,
    ties: list[SlipTie] | None = None,
    tie_convention: TieConvention | None = None,
) -> LeastCircle:
    """Slip circle with the least factor through a section.

    Equation: as slip_circle_factor, over circles fixed by their two ends on the ground and their bulge; circles that
    just touch each layer's base are tried too.

    Symbols: windows for the left and the right end; min_depth the depth that a circle must reach somewhere; the section
    as in slip_circle_factor.

    Limits: circles only: weak seams and plane slides need other methods (plane_wedge_factor). Every tie needs the place
    of its anchor. Spencer looks with Bishop's method and reports its own factor on the circle found.
    """
    given = SectionGiven(
        ground,
        layers,
        water_line,
        pore_ratio,
        seismic_coefficient,
        water_unit_weight_kn_m3,
        crack_depth_m,
        crack_water_m,
        ties,
        tie_convention,
    )
    section = build_section(given)
    deny_spencer(method, section)
    for index, tie in enumerate(section.ties):
        deny(tie.anchor_x_m is None, f"ties[{index}].anchor_x_m", "the place of the anchor is missing", "its x")
    deny(float(np.ptp(section.ground_y)) < SLACK, "ground", "level ground: nothing can slide", "a slope")
    hunt = Hunt(
        section,
        method,
        ordinary_form,
        _window(section, left_x_m, "left_x_m"),
        _window(section, right_x_m, "right_x_m"),
        min_depth_m,
    )
    found = least_circle(hunt)
    if found is None or np.isnan(found[2]):
        raise refuse("ground", "no circle fits between these windows", "wider windows or a smaller least depth")
    circle, mass, factor = found
    ends = float(x_at(mass, mass.start)[0]), float(x_at(mass, mass.end)[0])
    return LeastCircle(factor, circle.x_m, circle.y_m, circle.radius_m, *ends)
