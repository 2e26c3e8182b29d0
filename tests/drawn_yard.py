"""A small invented yard with every kind of placed thing, laid by hand, for tests of the drawings.

Two benches on ground that rises 18 % up the page; not a planned yard: the drawings only read what they are given.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor

import numpy as np

from lynchet.core.findings import Finding, Verdict
from lynchet.core.frame import Frame
from lynchet.ground.model import Ground
from lynchet.ground.surface import build_surface
from lynchet.project.model import (
    Area,
    Brief,
    DrainWish,
    GroundSource,
    Place,
    Project,
    Rain,
    Reading,
    Soil,
    Timber,
)  # fmt: skip
from lynchet.project.things import Fixed, House, LotLine, StepsWish
from lynchet.stability.model import Pin, Stability, Tie
from lynchet.terraces.model import Face, Flight, Landing, Lattice, Level, Side, Terraces, Tread, WallLine
from lynchet.walls.model import End, Leg, Piece, Run, Segment, Span, Walls
from lynchet.walls.pegs import SettingOut
from lynchet.water.beside import Quantities
from lynchet.water.model import (
    Body,
    Chain,
    ChainEdge,
    ChainNode,
    Drain,
    Fitting,
    Notch,
    Outlet,
    SolidPipe,
    Stone,
    Water,
)

C, T = 0.15, 0.15
BOTTOMS = tuple(-0.30 + C * k for k in range(16))
BED1, BED2 = 0.40, 0.85


@dataclass(frozen=True)
class DrawnYard:
    """What the sheets read of a plan."""

    project: Project
    ground: Ground
    terraces: Terraces
    walls: Walls
    water: Water
    stability: Stability
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]


def z(x: float, y: float) -> float:
    """The ground."""
    return 0.10 + 0.18 * y + 0.01 * x


def _project(units: str, frame: Frame) -> Project:
    readings = tuple(
        Reading(f"p{x}.{y}", (float(x), float(y)), z(x, y), 0.006) for x in range(-3, 13) for y in range(-4, 10)
    )
    return Project(
        units=units, name="Upper Lane 2 (invented)", frame=frame,  # type: ignore[arg-type]
        ground=GroundSource("points", readings, "level"), area=Area(((0, 0), (8, 0), (8, 6), (0, 6))), brief=Brief(),
        soil=Soil("unknown", None, 26, 17, 0, 18.9, 20.0), rain=Rain(100.0), drain=DrainWish(),
        timber=Timber(C, T, 7.0), place=Place("unknown", False, ()),
        houses=(House("House", ((0.5, -3.8), (6, -3.8), (6, -2.2), (0.5, -2.2)), floor_m=0.05),),
        steps=(StepsWish("garden steps", ((4, 2), (4, 4)), 1.0),),
        fixed=(Fixed("F0", "tree", "Apple", ((10.4, 3.2),), clear_m=1.2, stem_m=0.3, crown_m=2.0),),
        lot_lines=(LotLine("north", ((-2, 8.0), (12, 8.0)), "survey"), LotLine("east", ((12, 8), (12, -4)), "guess")),
    )  # fmt: skip


def _terraces() -> Terraces:
    def bed(number: int, y0: float, y1: float, level: float) -> Face:
        ring = ((0.0, y0), (8.0, y0), (8.0, y1), (0.0, y1))
        return Face(f"B{number}", "bed", ring, (), Level(level), number, 8 * (y1 - y0))

    def line(name: str, a: tuple[float, float], b: tuple[float, float], role: str, left: str, right: str) -> WallLine:
        length = abs(b[0] - a[0]) + abs(b[1] - a[1])
        return WallLine(name, a, b, role, name, (Side(0, length, left, right),), ())  # type: ignore[arg-type]

    lines = (
        line("A0", (0, 0), (8, 0), "edge", "B1", "outside"), line("A1", (8, 0), (8, 6), "edge", "B1", "outside"),
        line("A2", (8, 6), (0, 6), "edge", "B2", "outside"), line("A3", (0, 6), (0, 0), "edge", "B2", "outside"),
        line("W2", (0, 3), (8, 3), "front", "B2", "B1"),
    )  # fmt: skip
    treads = tuple(
        Tread(f"S0.2/{n + 1}", ((3.5, y), (4.5, y), (4.5, 3.0), (3.5, 3.0)), BED1 - 0.1 + C * n, BED1 + C * (n + 1))
        for n, y in ((0, 2.34), (1, 2.67))
    )
    flight = Flight(
        "S0.2", "projecting", 0, "W2", 4.0, 1.0, 3, C, 0.33, BED1, BED2, (0.0, 1.0),
        ((3.5, 2.34), (4.5, 2.34), (4.5, 3.0), (3.5, 3.0)), treads,
        (Landing("foot", ((3.5, 1.44), (4.5, 1.44), (4.5, 2.34), (3.5, 2.34)), BED1, "B1"),), ("W2",),
    )  # fmt: skip
    strip = (((0.15, 2.4), (3.5, 2.4), (3.5, 3.0), (0.15, 3.0)),)
    faces = (replace(bed(1, 0, 3, BED1), strip_m=strip), bed(2, 3, 6, BED2))
    return Terraces(faces, lines, (), (flight,), Lattice(C, BOTTOMS), (0.01, 0.18), (1.0, 0.0), (BED1, BED2), 2,
                    ((((0, 0), (8, 0), (8, 6), (0, 6)),),), ())  # fmt: skip


def _leg(line: WallLine, courses: list[Segment]) -> Leg:
    (ax, ay), (bx, by) = line.start_m, line.end_m
    length = line.length_m
    ux, uy = (bx - ax) / length, (by - ay) / length
    spans = []
    for n in range(8):
        s0, s1 = length * n / 8, length * (n + 1) / 8
        points = [(ax + s * ux, ay + s * uy) for s in (s0, s1)]
        bench = BED2 if line.id == "W2" or (points[0][1] + points[1][1]) / 2 > 3 else BED1
        right = [BED1, BED1] if line.id == "W2" else [z(*point) for point in points]
        bed = "B2" if bench == BED2 else "B1"
        spans.append(Span(s0, s1, bench, bench, right[0], right[1], bed, "B1" if line.id == "W2" else "outside"))
    return Leg(line.id, line.role, line.start_m, line.end_m, (ux, uy), (-uy, ux), length, T, (0.0, length),
               tuple(spans), tuple(courses), setback_m=0.0125 if line.id == "W2" else 0.0)  # fmt: skip


def _segments(line: WallLine) -> list[Segment]:
    if line.id == "A0":
        return [Segment(0, 8, 1, 4)]
    if line.id == "W2":
        return [Segment(0, 8, 3, 7)]
    if line.id == "A2":
        return [Segment(0, 8, 6, 10)]
    steps = []
    for n in range(6):
        y = n if line.id == "A1" else 5 - n
        low, high = (BED1, z(8, y + 1)) if y < 3 else (BED2, z(8, y + 1))
        base = floor((min(z(8, y), low) - 0.15 + 0.3) / C)
        steps.append(Segment(float(n), n + 1.0, base, floor((max(low, high) + 0.3) / C + 1e-9)))
    return steps


def _runs(leg: Leg) -> list[Run]:
    lowest = min(segment.base for segment in leg.segments)
    found = []
    for course in range(lowest, max(segment.top for segment in leg.segments) + 1):
        standing = [(s.start_m, s.end_m) for s in leg.segments if s.base <= course <= s.top]
        joined: list[list[float]] = []
        for a, b in standing:
            if joined and abs(joined[-1][1] - a) < 1e-9:
                joined[-1][1] = b
            else:
                joined.append([a, b])
        for n, (a, b) in enumerate(joined):
            long = (course % 2 == 0) == (leg.id in ("A0", "A2"))
            a = a + T if a == 0 and (leg.id == "W2" or not long) else a
            b = b - T if b == leg.length_m and (leg.id == "W2" or not long) else b
            lean = leg.setback_m * (course - lowest)
            ring = tuple(leg.point_at(s, left) for s, left in ((a, lean), (b, lean), (b, lean + T), (a, lean + T)))
            name = f"{leg.id}/{course}" + (f".{n + 1}" if n else "")
            found.append(Run(name, leg.id, course, course - lowest + 1, BOTTOMS[course], BOTTOMS[course + 1],
                             End("lap", a, a), End("lap", b, b), ring, lean))  # fmt: skip
    return found


def _pieces(run: Run, leg: Leg) -> list[Piece]:
    (a, _), (_, b) = run.outer_m, run.outer_m
    cuts, at = [a], a + (1.8 if run.course % 2 else 3.0)
    while at < b - 0.6:
        cuts.append(at)
        at += 3.0
    cuts.append(b)
    return [
        Piece(f"{run.id}/{n + 1}", run.id, run.leg, run.course, (p, p), (q, q), run.bottom_m, run.top_m,
              tuple(leg.point_at(s, left + run.offset_m) for s, left in ((p, 0), (q, 0), (q, T), (p, T))))
        for n, (p, q) in enumerate(pairwise(cuts))
    ]  # fmt: skip


def _walls(terraces: Terraces) -> tuple[Walls, tuple[Piece, ...]]:
    legs = tuple(_leg(line, _segments(line)) for line in terraces.lines)
    runs = tuple(run for leg in legs for run in _runs(leg))
    by_id = {leg.id: leg for leg in legs}
    setting = SettingOut((), (), (), "door sill", 0.0, (), ())
    return Walls(legs, (), runs, (), setting, ()), tuple(p for run in runs for p in _pieces(run, by_id[run.leg]))


def _water() -> Water:
    def drain(
        name: str, bed: str, leg: str, points: tuple[tuple[float, float], ...], levels: tuple[float, ...]
    ) -> Drain:
        nodes = tuple(range(len(points)))
        return Drain(name, f"{bed}/{leg}", nodes, points, levels, len(points) - 1, "direct", "out", 0.1, 0.11, 0.1, 0.1,
                     4.5)  # fmt: skip

    def chain(bed: str, leg: str, y: float, base: float) -> Chain:
        nodes = tuple(
            ChainNode(
                f"{bed}/{leg}/n{n}", (x, y), leg, x, "end", base, base + 0.2, base + 0.15, base + 0.6, base + 0.65
            )
            for n, x in enumerate((0.4, 7.6))
        )
        return Chain(
            f"{bed}/{leg}", bed, nodes, (ChainEdge(leg, 0.4, 7.6, 1, 7.2, 0.45, base, "outside"),), False, 24.0
        )

    def stone(leg: str, bed: str, y: float, base: float, top: float) -> tuple[Stone, Body]:
        ring = ((0.2, y), (7.8, y), (7.8, y + 0.3), (0.2, y + 0.3))
        name, chain_id = f"{bed}/{leg}/stone/0", f"{bed}/{leg}"
        made = Stone(name, chain_id, 0, leg, ring, (0.2, y), (7.8, y), 0.3, base - 0.15, top, top, 1.0, True)
        return made, Body(made.id, "stone", made.chain, ring, (0.2, y), (7.8, y), base - 0.15, base - 0.15, top, top)

    one, two = stone("A0", "B1", T, -0.15, 0.25), stone("W2", "B2", 3 + T, 0.15, 0.7)
    drains = (
        drain("B1/A0/1", "B1", "A0", ((0.4, 0.33), (7.3, 0.33)), (0.02, -0.05)),
        drain("B2/W2/1", "B2", "W2", ((0.4, 3.35), (7.6, 3.35)), (0.32, 0.25)),
    )
    solids = (
        SolidPipe("B1/A0/1/out", "B1/A0/1", ((7.3, 0.33), (7.3, -0.6), (9.2, -2.0)), (-0.05, -0.06, -0.2),
                  ("through", "outside"), 0.1, 0.11, 0.2, "B1/A0/1/outlet"),
        SolidPipe("B2/W2/1/out", "B2/W2/1", ((7.6, 3.35), (7.6, 0.4), (7.3, 0.33)), (0.25, 0.0, -0.05),
                  ("through", "inside"), 0.1, 0.11, 0.1, "B1/A0/1"),
    )  # fmt: skip
    notches = (
        Notch("A0/2/notch", "A0", (2,), ("A0/2",), 7.3, 0.15, 0.0, 0.15, False, "B1/A0/1",
              ((7.22, 0), (7.38, 0), (7.38, T), (7.22, T))),
    )  # fmt: skip
    outlet = Outlet("B1/A0/1/outlet", "daylight", (9.2, -2.0), (0.8, -0.6), -0.2, -0.26, 0.2, ("B1/A0/1",),
                    ((9.0, -2.4), (9.6, -2.4), (9.6, -2.0), (9.0, -2.0)))  # fmt: skip
    fittings = (
        Fitting("B1/A0/1/cleanout", "cleanout", "B1/A0/1", (0.4, 0.33), 0.02, 0.4),
        Fitting("B2/W2/1/cleanout", "cleanout", "B2/W2/1", (0.4, 3.35), 0.32, 0.85),
        Fitting("B1/A0/1/wye", "wye", "B1/A0/1", (7.3, 0.33), -0.05, 0.05),
    )
    quantities = Quantities(14.1, 6.0, 0.0, 1.6, 18.0, 1, 1, (), 0.0)
    return Water(
        (chain("B1", "A0", 0.33, -0.15), chain("B2", "W2", 3.35, 0.15)), drains, solids, notches, (outlet,), fittings,
        (one[0], two[0]), (), (), (), (), (), (), (), (), (), quantities, (one[1], two[1]), (),
    )  # fmt: skip


def _stability() -> Stability:
    def tie(n: int, x: float) -> Tie:
        ring = ((x - T / 2, 3 + T), (x + T / 2, 3 + T), (x + T / 2, 4.35), (x - T / 2, 4.35))
        cross = ((x - 0.45, 4.35), (x + 0.45, 4.35), (x + 0.45, 4.5), (x - 0.45, 4.5))
        return Tie(f"W2/6/tie{n}", "W2", 1, 6, x, 1.2, BOTTOMS[6], BOTTOMS[7], ring, cross, 0.9)

    pins = tuple(
        Pin(f"A0/1/pin{n}", "A0", 1, x, (x, T / 2), 0.012, 0.0, -0.6) for n, x in enumerate((0.6, 2.2, 3.6, 5.2, 6.6))
    )
    ties = tuple(tie(n + 1, x) for n, x in enumerate((1.2, 2.6, 5.4, 6.8)))
    return Stability((), (), (), (), (), ties, pins, (), (), (), (), ())


def yard(units: str = "metric", *, mirrored: bool = False, stopped: bool = False) -> DrawnYard:
    """The yard; mirrored: its own frame has the other hand; stopped: one wall carries a stop."""
    project = _project(units, Frame((0.0, 0.0), (1.0, 0.0), mirrored))
    points = np.array([(*reading.point_m, reading.level_m) for reading in project.ground.readings])
    ground = Ground(build_surface(points), tuple(0.006 for _ in points), float(points[:, 2].min()),
                    float(points[:, 2].max()), None, None, 0.02, ())  # fmt: skip
    terraces = _terraces()
    walls, pieces = _walls(terraces)
    stop = Finding("stability.sliding", Verdict.STOP, "Wall W2 slides when wet: tie it back.", place="W2")
    findings = (stop,) if stopped else ()
    return DrawnYard(project, ground, terraces, walls, _water(), _stability(), pieces, findings)
