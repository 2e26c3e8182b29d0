"""Benchmarks of the formulas: each beside a plain way of doing the same, in the same run. Called by ``tests.bench``."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

sys.path.insert(0, str(Path(__file__).parent))

from laws.slip_by_hand import PlainSection, circle_by_loop
from lynchet.calculators.checked import call
from lynchet.calculators.registry import entries, find
from lynchet.calculators.verify import read_cases, shipped
from lynchet.planting.direct_sun import Bed, sun_conditions
from lynchet.planting.sun_grid import compiled_sun_hours, plain_sun_hours
from lynchet.planting.sun_path import SunPath, dated_path
from lynchet.planting.sun_times import universal_midnight
from lynchet.stability.slip_arcs import Arcs, prepared
from lynchet.stability.slip_bulges import Chords, arcs_of, chords_of, open_bulges
from lynchet.stability.slip_factors import Engine, factors
from lynchet.stability.slip_section import Section, SectionGiven, SlipLayer, build_section
from lynchet.stability.slip_slices import cut_slices

GROUND = [(-5.0, 0.0), (0.0, 0.0), (0.05, 0.8), (2.0, 0.85), (2.05, 1.7), (5.0, 2.2), (12.0, 3.4)]
LAYERS = [
    (17.0, 2.0, 28.0, [(-5.0, -0.2), (1.0, 0.5), (12.0, 2.0)]),
    (19.0, 4.0, 14.0, [(-5.0, -1.0), (12.0, 1.0)]),
    (20.0, 6.0, 30.0, None),
]
WATER = [(-5.0, -0.3), (0.0, -0.1), (2.0, 0.3), (12.0, 2.0)]
Row = tuple[float, ...]
CLOCKS = (time.process_time, time.perf_counter)


def least_s(work: Callable[[], Any], rounds: int = 3, clock: Callable[[], float] = time.process_time) -> float:
    """CPU seconds of a piece of work (wall seconds by another clock), least of some rounds."""
    found = []
    for _ in range(rounds):
        start = clock()
        work()
        found.append(clock() - start)
    return min(found)


def _section() -> Section:
    layers = [SlipLayer(w, p, c, None if base is None else [list(at) for at in base]) for w, c, p, base in LAYERS]
    ground, water = [list(at) for at in GROUND], [list(at) for at in WATER]
    return build_section(SectionGiven(ground, layers, water_line=water, seismic_coefficient=0.05))


def _circles(section: Section, count: int) -> tuple[Arcs, Chords]:
    rng = np.random.default_rng(1)
    left = rng.uniform(-3, 2.5, 2 * count)
    chords = chords_of(section, left, left + rng.uniform(1, 7, len(left)))
    bulges = open_bulges(section, chords, 0.2)
    good = np.flatnonzero(bulges.high > bulges.low)[:count]
    chords = Chords(*(value[good] for value in chords))
    bulge = bulges.low[good] + rng.uniform(0.02, 0.98, len(good)) * (bulges.high - bulges.low)[good]
    return prepared(section, arcs_of(chords, bulge)), chords


def least_in_turn(works: dict[str, Callable[[], Any]], rounds: int, clock: Callable[[], float]) -> dict[str, float]:
    """Seconds of several pieces of work, least of some rounds in which each has its turn: a busy machine slows all.

    What is quick is done again and again within its turn, so that each has as long to find a quiet moment.
    """
    found = dict.fromkeys(works, math.inf)
    for _ in range(rounds):
        for name, work in works.items():
            turn = clock()
            while True:
                start = clock()
                work()
                end = clock()
                found[name] = min(found[name], end - start)
                if end - turn > 0.05:
                    break
    return found


ONE_THREAD = 900
"""Circles below the number from which they are shared among the cores."""


def slip_circles() -> None:
    """Bishop's factor of many circles: compiled, in NumPy, and by a scalar loop over as many slices of each circle."""
    section = _section()
    arcs, chords = _circles(section, 8000)
    few = 200
    ends = list(zip(chords.left_x[:few].tolist(), chords.right_x[:few].tolist(), strict=True))
    rounds = list(zip(*(value[:few].tolist() for value in (arcs.x, arcs.y, arcs.radius)), strict=True))
    print("Slip circles, Bishop, 3 layers, water; microseconds a circle of CPU on one core, and of wall on all; goal "
          "300 x with numba")  # fmt: skip
    for count in (60, 120):
        table, _ = cut_slices(section.soil, Arcs(*(value[:few] for value in arcs)), count)
        slices = np.count_nonzero(table.width_m, axis=1)
        loop = {"loop": partial(_by_loop, rounds, ends, slices.tolist())}
        plain_loop = least_s(partial(_by_loop, rounds, ends, [count] * few), 3) / few
        print(f"  {count} slices and cuts at every bend and crossing, {slices.mean():.1f} a circle; a loop over "
              f"{count} alone takes {1e6 * plain_loop:.1f} of CPU")  # fmt: skip
        for clock, number, told in ((CLOCKS[0], ONE_THREAD, "CPU, one core"), (CLOCKS[1], len(arcs.x), "wall")):
            some = Arcs(*(value[:number] for value in arcs))
            works = loop | {engine: partial(_factors, section, some, engine, count) for engine in ("numba", "numpy")}
            works["numba"]()
            seconds = least_in_turn(works, 12, clock)
            plain = seconds.pop("loop") / few
            print(f"    {told}: scalar Python loop over as many slices {1e6 * plain:.1f}")
            for engine, whole in seconds.items():
                each = whole / number
                print(f"      {engine:5} {1e6 * each:7.2f}   {plain / each:5.0f} x")
    times = {n: least_s(partial(_factors, section, Arcs(*(v[:n] for v in arcs)), "numba", 60), 9)
             for n in (1000, 2000, 4000, 8000)}  # fmt: skip
    print("  circles -> ms: " + ", ".join(f"{n} -> {1000 * t:.1f}" for n, t in times.items()) + "   (linear: doubling)")


def _factors(section: Section, arcs: Arcs, engine: Engine, count: int) -> Any:
    return factors(section.soil, arcs, "bishop", "buoyant", count, engine)


def _by_loop(rounds: Sequence[Row], ends: Sequence[Row], counts: Sequence[int]) -> None:
    plain = PlainSection(GROUND, LAYERS, WATER, 0.05)
    for circle, end, count in zip(rounds, ends, counts, strict=True):
        circle_by_loop(plain, circle, end, count)  # type: ignore[arg-type]


def cutting() -> None:
    """Least cost of the published cutting orders: ours against the plain model handed to the same general solver."""
    print("Exact cutting on the published orders, seconds; the plain model has one row a stick and 10 s at most")
    for case in read_cases(shipped() / "timber.toml"):
        if case["calculator"] == "cut_stock" and not ("refused" in case or "refused" in case.get("expect", {})):
            start = time.perf_counter()
            ours = call(find("cut_stock").function, case["given"])
            seconds = time.perf_counter() - start
            start = time.perf_counter()
            cost = plain_cutting(case["given"], 10.0)
            plain = time.perf_counter() - start
            proof = "proven" if ours.proven else f"gap {ours.gap_pct:.2f} %"
            told = "no answer" if cost is None else f"{cost:.2f}"
            print(f"  {case['id']:12} ours {seconds:7.3f}  {ours.cost_money:10.2f} {proof:12} "
                  f"plain {plain:7.3f}  {told:>10}   {plain / seconds:8.1f} x")  # fmt: skip


def plain_cutting(given: dict[str, Any], seconds: float) -> float | None:
    """Cost by the textbook model: a choice for each stick that might be bought, counts of each piece on it."""
    kerf = given["kerf_m"]
    loss = given.get("end_trim_m", 0.0) - given.get("over_length_m", 0.0)
    kinds = [(round(row["length_m"], 5), row.get("count", 1)) for row in given["pieces"]]
    sticks = [(row["length_m"] - loss, row["price_money"]) for row in given["stock"]
              for _ in range(min(_most(kinds, row["length_m"] - loss, kerf), row.get("available", 10**6)))]  # fmt: skip
    n, m = len(sticks), len(kinds)
    fit, make = lil_array((n, n + n * m)), lil_array((m, n + n * m))
    for i, (usable, _) in enumerate(sticks):
        fit[i, i] = -(usable + kerf)
        for j, (piece, _) in enumerate(kinds):
            fit[i, n + i * m + j] = piece + kerf
            make[j, n + i * m + j] = 1.0
    cost = np.concatenate([[price for _, price in sticks], np.zeros(n * m)])
    limits = [
        LinearConstraint(fit.tocsr(), -np.inf, 1e-9),
        LinearConstraint(make.tocsr(), [c for _, c in kinds], np.inf),
    ]
    bounds = Bounds(0, np.where(np.arange(n + n * m) < n, 1.0, np.inf))
    done = milp(
        cost, constraints=limits, integrality=np.ones(len(cost)), bounds=bounds, options={"time_limit": seconds}
    )
    return None if done.fun is None else float(done.fun)


def _most(kinds: Sequence[tuple[float, int]], usable: float, kerf: float) -> int:
    """Sticks of one length that hold all pieces that fit it, each stick filled with one kind."""
    return sum(math.ceil(count / math.floor((usable + kerf + 1e-9) / (piece + kerf)))
               for piece, count in kinds if piece <= usable + 1e-9)  # fmt: skip


def sun_hours() -> None:
    """Mean direct sun from April to October on a 0.25 m grid of a 10 m by 6 m yard among a house, a fence and trees."""
    latitude, start = 47.0, universal_midnight(date(2025, 4, 1))
    path = dated_path(start + np.arange(214.0), 8.0)
    x, y = np.meshgrid(np.arange(0.125, 10, 0.25), np.arange(0.125, 6, 0.25))
    points = np.stack([x.ravel(), y.ravel(), 0.02 * y.ravel()], axis=1)
    screens = np.array([[-1, -4, 9, -4, 0, 5.5], [9, -4, 9, -9, 0, 5.5], [-2, 7, 12, 7, 0, 1.8],
                        [12, -3, 12, 7, 0, 1.8], [-3, 1, -3, 3, 2, 7], [13, 2, 14, 4, 1.5, 6]])  # fmt: skip
    compiled_sun_hours(path, latitude, points[:2], screens, (0.0, 180.0))
    ours = least_s(lambda: compiled_sun_hours(path, latitude, points, screens, (0.0, 180.0)), 1)
    some = points[::120]
    arrays = least_s(lambda: plain_sun_hours(path, latitude, some, screens, (0.0, 180.0)), 1) * len(points) / len(some)
    few = SunPath(path.declination[::43], path.hour[::43], path.parallax)
    share = len(few.hour) / len(path.hour)
    two = points[[0, 700]]
    loop = least_s(lambda: [sun_by_loop(few, latitude, point, screens) for point in two], 1) * len(points) / 2 / share
    print(f"Direct sun on {len(points)} points over {len(path.hour)} days, {len(screens)} screens, CPU seconds")
    print(f"  compiled {ours:8.2f}   NumPy {arrays:8.1f} ({arrays / ours:.0f} x)   plain loop of 2 minute steps "
          f"{loop:8.0f} ({loop / ours:.0f} x); the last two from a sample")  # fmt: skip


def sun_by_loop(path: SunPath, latitude_deg: float, point: Any, screens: Any) -> float:
    """Hours of sun at a point, mean of the days, by looking every 2 minutes."""
    normals, offsets = sun_conditions(path, Bed(*point.tolist()), screens)
    planes = [(*normal, offset) for normal, offset in zip(normals.tolist(), offsets.tolist(), strict=True)]
    phi, lit = math.radians(latitude_deg), 0
    for (d0, d1, d2), (h0, h1, h2) in zip(path.declination.tolist(), path.hour.tolist(), strict=True):
        for step in range(720):
            t = (step + 0.5) / 30.0
            d, h = d0 + t * (d1 + t * d2), h0 + t * (h1 + t * h2)
            flat = math.cos(d) * math.cos(h)
            sun = (-math.cos(d) * math.sin(h), math.sin(d) * math.cos(phi) - flat * math.sin(phi),
                   math.sin(d) * math.sin(phi) + flat * math.cos(phi))  # fmt: skip
            lit += _lit(planes, sun)
    return lit / 30.0 / len(path.hour)


def _lit(planes: Sequence[Row], sun: Row) -> bool:
    """In front of the horizon and the bed, and behind no screen."""
    above = [a * sun[0] + b * sun[1] + c * sun[2] + offset > 0 for a, b, c, offset in planes[1:3]]
    return all(above) and not any(
        all(a * sun[0] + b * sun[1] + c * sun[2] + offset > 0 for a, b, c, offset in planes[at : at + 4])
        for at in range(3, len(planes), 4)
    )


def checked_calls() -> None:
    """A checked call of each calculator whose example holds no list or table; microseconds, least of many."""
    rows, alone = [], []
    for entry in entries():
        declared = find(entry.name)
        given = dict(declared.example)
        if not any(isinstance(value, list | dict) for value in given.values()):
            call(declared.function, given)
            checked = _microseconds(lambda d=declared, g=given: call(d.function, g))  # type: ignore[misc]
            bare = _microseconds(lambda d=declared, g=given: d.function(**g))  # type: ignore[misc]
            rows.append((checked, entry.name))
            alone.append((checked - bare, entry.name))
    rows.sort()
    base = 1000.0 * _microseconds(lambda: sum(range(1000))) / 1000.0
    quick = sum(each < 20.0 for each, _ in rows)
    middle = rows[len(rows) // 2][0]
    alone.sort()
    print(f"Checked call of {len(rows)} scalar calculators, microseconds; goal under 20")
    print(f"  median {middle:.1f} ({middle / base:.2f} x the sum of a thousand numbers), {quick} under 20, slowest: "
          + ", ".join(f"{name} {each:.0f}" for each, name in rows[: -6 : -1]))  # fmt: skip
    print(f"  the check alone, call less bare function: median {alone[len(alone) // 2][0]:.1f}, "
          + f"{sum(each < 20.0 for each, _ in alone)} under 20")  # fmt: skip


def _microseconds(work: Callable[[], Any]) -> float:
    best = math.inf
    for number in range(200):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
        if number >= 5 and best > 0.001 * number:
            break
    return 1e6 * best


def main() -> None:
    """Every benchmark of formulas."""
    slip_circles()
    cutting()
    sun_hours()
    checked_calls()


if __name__ == "__main__":
    main()
