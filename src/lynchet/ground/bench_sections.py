"""A level bench across a slope, and the soil account of one terrace of a flight, per metre run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words

Array = NDArray[np.float64]
SLACK = 1e-9


@dataclass(frozen=True)
class BenchSection:
    """Cut and fill of a level bench, per metre run."""

    cut_width_m: float
    fill_width_m: float
    cut_area_m2: float
    fill_area_m2: float
    cut_face_m: float
    fill_face_m: float


@dataclass(frozen=True)
class TerraceQuantities:
    """One terrace of a flight: areas are m2 in section, that is m3 per metre of wall."""

    pitch_m: float
    rise_m: float
    bench_fall_pct: float
    retained_m: float
    wall_m: float
    cut_face_m: float
    fill_face_m: float
    cut_area_m2: float
    fill_area_m2: float
    trench_area_m2: float
    overdig_area_m2: float
    stone_area_m2: float
    timber_area_m2: float
    bed_soil_area_m2: float
    timber_above_ground_area_m2: float
    pushed_out_area_m2: float
    cut_m3: float | None = None
    fill_m3: float | None = None
    trench_m3: float | None = None
    overdig_m3: float | None = None
    stone_m3: float | None = None
    timber_m3: float | None = None
    bed_soil_m3: float | None = None
    pushed_out_bank_m3: float | None = None
    pushed_out_loose_m3: float | None = None


def balanced_cut_width(bench_m: ArrayLike, slope: ArrayLike, batter: ArrayLike, compacted_per_bank: ArrayLike) -> Array:
    """Width of cut that makes its own fill: b/(1 + sqrt(k/(1 - m S)))."""
    open_part = 1.0 - np.asarray(batter, dtype=float) * np.asarray(slope, dtype=float)
    ratio = np.sqrt(np.asarray(compacted_per_bank, dtype=float) / open_part)
    return np.asarray(np.asarray(bench_m, dtype=float) / (1.0 + ratio), dtype=float)


def bench_cut_fill(
    cut_width_m: ArrayLike, fill_width_m: ArrayLike, slope: ArrayLike, batter: ArrayLike = 0.0
) -> tuple[Array, Array]:
    """Areas of cut and fill of a bench in section: c^2 S/(2 (1 - m S)) and S f^2/2.

    Args:
        cut_width_m: width of the bench in cut, c.
        fill_width_m: width of the bench in fill, f.
        slope: rise of the ground against the bench, as a ratio, S.
        batter: of the cut face, horizontal per vertical, m; m S under 1.
    """
    c, f, s = (np.asarray(value, dtype=float) for value in (cut_width_m, fill_width_m, slope))
    cut = c**2 * s / (2.0 * (1.0 - np.asarray(batter, dtype=float) * s))
    return np.asarray(cut, dtype=float), np.asarray(s * f**2 / 2.0, dtype=float)


def _bench_steps(given: Mapping[str, Any], result: BenchSection) -> list[Step]:
    slope, batter = given["slope_pct"] / 100.0, given.get("cut_batter", 0.0)
    steps = []
    if "cut_width_m" not in given:
        how = (
            f"{given['bench_width_m']:g}/(1 + sqrt({given.get('compacted_per_bank', 1.0):g}/{1 - batter * slope:.4g}))"
        )
        steps.append(Step("width of cut that makes its own fill", how, result.cut_width_m, "m"))
    cut, fill = result.cut_width_m, result.fill_width_m
    return [
        *steps,
        Step("cut, per metre run", f"{cut:.4g}^2 x {slope:g}/(2 x {1 - batter * slope:.4g})", result.cut_area_m2, "m2"),
        Step("fill, per metre run", f"{slope:g} x {fill:.4g}^2/2", result.fill_area_m2, "m2"),
        Step("height of the cut face", f"{cut:.4g} x {slope:g}/{1 - batter * slope:.4g}", result.cut_face_m, "m"),
        Step("height of the fill face", f"{slope:g} x {fill:.4g}", result.fill_face_m, "m"),
    ]


@calculator(
    source="Plane geometry of a bench across a slope",
    known="DERIVED",
    example={"bench_width_m": 2.4, "slope_pct": 30.0, "compacted_per_bank": 0.9},
    working=_bench_steps,
    caution="A cut batter of 0 is a face held by a wall, not a safe open cut: see excavation_caution.",
)
def bench_section(
    *,
    bench_width_m: Positive,
    slope_pct: Positive,
    cut_width_m: NotNegative | None = None,
    cut_batter: NotNegative = 0.0,
    compacted_per_bank: Positive = 1.0,
) -> BenchSection:
    """Cut, fill and face heights of a level bench across a slope.

    Equation: cut = c^2 S/(2 (1 - m S)); fill = S (b - c)^2/2; cut face = c S/(1 - m S); wall = S (b - c); a cut that
    makes its own fill has c = b/(1 + sqrt(k/(1 - m S))).

    Symbols: b, bench; c, width of cut; S, slope as a ratio; m, batter of the cut face, horizontal per vertical; k,
    compacted volume per bank volume.

    Limits: plane ground, fill held by an upright wall, m S under 1. Topsoil strip, wall trench and stone
    are extra.
    """
    slope = slope_pct / 100.0
    steep = cut_batter * slope >= 1.0
    refuse_if(steep, "cut_batter", f"{cut_batter:g} on {slope_pct:g} %", "a batter steeper than the ground")
    wide = cut_width_m is not None and cut_width_m > bench_width_m + SLACK
    refuse_if(wide, "cut width", f"{cut_width_m} found", f"0 to the bench width {bench_width_m:g}")
    cut_width = cut_width_m
    if cut_width is None:
        cut_width = float(balanced_cut_width(bench_width_m, slope, cut_batter, compacted_per_bank))
    fill_width = bench_width_m - cut_width
    cut, fill = bench_cut_fill(cut_width, fill_width, slope, cut_batter)
    return BenchSection(
        cut_width_m=cut_width,
        fill_width_m=fill_width,
        cut_area_m2=float(cut),
        fill_area_m2=float(fill),
        cut_face_m=cut_width * slope / (1.0 - cut_batter * slope),
        fill_face_m=slope * fill_width,
    )


def _terrace_steps(given: Mapping[str, Any], result: TerraceQuantities) -> list[Step]:
    slope = given["slope_pct"] / 100.0
    left = f"({result.rise_m:.4g} - {result.retained_m:.4g})/{given['bench_width_m']:g}"
    rows = [
        ("from wall to wall", "bench + timber", result.pitch_m, "m"),
        ("rise of the ground over that", f"{slope:g} x {result.pitch_m:.4g}", result.rise_m, "m"),
        ("retained height", "retained courses x course", result.retained_m, "m"),
        ("fall left in the bench", left, result.bench_fall_pct, "pct"),
        ("cut, bank, per metre", "q c^2/2", result.cut_area_m2, "m2"),
        ("fill, compacted, per metre", "q (b - c)^2/2", result.fill_area_m2, "m2"),
        ("drain stone, per metre", "behind the wall and under it", result.stone_area_m2, "m2"),
        ("timber, per metre", "width x wall height", result.timber_area_m2, "m2"),
        ("bed soil, per metre", "depth x bench", result.bed_soil_area_m2, "m2"),
        (
            "soil pushed out, bank, per metre",
            "cut - fill/k + stone + timber + bed soil",
            result.pushed_out_area_m2,
            "m2",
        ),
    ]
    return [Step(*row) for row in rows]


@calculator(
    source="Plane geometry of a flight of terraces with equal walls (soil account per metre)",
    known="DERIVED",
    example={"bench_width_m": 1.68, "slope_pct": 25.0, "retained_courses": 3, "buried_courses": 1, "length_m": 36.0},
    working=_terrace_steps,
    caution="A quantity, not a check of the wall: whether it stands, drains and may be built is told elsewhere.",
)
def terrace_quantities(
    *,
    bench_width_m: Positive,
    slope_pct: Positive,
    retained_courses: Positive,
    buried_courses: NotNegative,
    timber_width_m: Positive = 0.1397,
    course_height_m: Annotated[float, Gt(0), Words("timber course height")] = 0.1397,
    cut_width_m: NotNegative | None = None,
    stone_width_m: NotNegative = 0.3048,
    stone_cover_m: NotNegative = 0.1524,
    base_width_m: float = 0.4572,
    base_depth_m: NotNegative = 0.1524,
    bed_soil_m: NotNegative = 0.0,
    compacted_per_bank: Annotated[float, Ge(0.5 - SLACK), Le(1.6 + SLACK)] = 1.0,
    loose_per_bank: Annotated[float | None, Ge(1 - SLACK), Le(2.5 + SLACK)] = None,
    length_m: Positive | None = None,
) -> TerraceQuantities:
    """Soil, stone and timber of one terrace of a flight, and the soil it pushes out.

    Equation: fall f = (S p - r)/b; against the bench the ground rises at q = S - f; cut = q c^2/2; fill =
    q (b - c)^2/2; stone = stone width x (wall - cover) + base; timber = t x wall; pushed out = cut - fill/k + stone +
    timber + bed soil.

    Symbols: S, slope as a ratio; b, bench; t, timber width; p = b + t, from wall to wall; r, retained height; c, width
    of cut (half the bench when left out); k, compacted volume per bank volume; overdig, old ground dug out upright over
    timber and stone.

    Limits: all walls of the flight alike, plane ground. Cut that balances fill still leaves soil over: stone, timber
    and bed soil take its place. Counts all the timber and shrinks the whole fill (a little too much, a little too
    little). Mulch, ties, pipes and wall ends are extra; trench and overdig are inside the account.
    """
    slope, bench = slope_pct / 100.0, bench_width_m
    cut_width = bench / 2.0 if cut_width_m is None else cut_width_m
    refuse_if(cut_width > bench + SLACK, "cut width", f"{cut_width:g} found", f"0 to the bench width {bench:g}")
    retained, wall = retained_courses * course_height_m, (retained_courses + buried_courses) * course_height_m
    under = slope * timber_width_m
    low = retained <= under + SLACK
    refuse_if(low, "retained_courses", f"retained {retained:g} m", f"more than the {under:g} m under the timber")
    found = f"{stone_cover_m:g} found"
    refuse_if(stone_cover_m > wall + SLACK, "stone_cover_m", found, f"up to the wall height {wall:g}")
    found = f"{base_width_m:g} found"
    refuse_if(base_width_m < timber_width_m - SLACK, "base_width_m", found, f"the timber's {timber_width_m:g} or more")
    pitch = bench + timber_width_m
    fall = (slope * pitch - retained) / bench
    rise = slope - fall
    cut, fill = bench_cut_fill(cut_width, bench - cut_width, rise)
    base = base_width_m * base_depth_m
    areas = {
        "cut": float(cut),
        "fill": float(fill),
        "trench": base_width_m * buried_courses * course_height_m + base,
        "overdig": _overdig((slope, fall), retained, (bench, cut_width), timber_width_m, stone_width_m),
        "stone": stone_width_m * (wall - stone_cover_m) + base,
        "timber": timber_width_m * wall,
        "bed_soil": bed_soil_m * bench,
    }
    pushed = areas["cut"] - areas["fill"] / compacted_per_bank
    pushed += areas["stone"] + areas["timber"] + areas["bed_soil"]
    return TerraceQuantities(
        pitch_m=pitch,
        rise_m=slope * pitch,
        bench_fall_pct=100.0 * fall,
        retained_m=retained,
        wall_m=wall,
        cut_face_m=rise * cut_width,
        fill_face_m=rise * (bench - cut_width),
        timber_above_ground_area_m2=timber_width_m * (retained - rise * cut_width - under / 2.0),
        pushed_out_area_m2=pushed,
        **{f"{name}_area_m2": area for name, area in areas.items()},
        **_over_length(areas, pushed, length_m, loose_per_bank),
    )


def _overdig(
    slopes: tuple[float, float], retained: float, bench: tuple[float, float], timber: float, stone: float
) -> float:
    """Old ground dug out upright over the timber and the stone zone, as far as the finished bench (section area).

    Args:
        slopes: of the ground and of the bench, as ratios.
        retained: height.
        bench: width, and the part of it in cut.
        timber: width.
        stone: width of the stone behind the timber.
    """
    slope, fall = slopes
    width, cut = bench
    rise = slope - fall
    filled = min(stone, width - cut)
    above = timber + filled
    beyond = stone - filled
    return rise * cut * above + slope * above**2 / 2.0 + beyond * (retained + fall * (filled + beyond / 2.0))


def _over_length(
    areas: Mapping[str, float], pushed: float, length: float | None, loose: float | None
) -> dict[str, float]:
    """The areas over a length of wall, as keys of the result; nothing without a length."""
    if length is None:
        return {}
    volumes = {f"{name}_m3": area * length for name, area in areas.items()}
    volumes["pushed_out_bank_m3"] = pushed * length
    if loose is not None:
        volumes["pushed_out_loose_m3"] = pushed * length * loose
    return volumes
