"""From columns to moves by place, the soil account and the building steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.earth.columns import Columns
from lynchet.earth.finishes import BANK, BED, STEP, Finish
from lynchet.earth.model import DUG, BedSoil, EarthMove, Measure, MoveKind
from lynchet.earth.rows import Array, Index
from lynchet.earth.solids import MATERIALS, Solids
from lynchet.terraces.model import Face

KINDS: tuple[MoveKind, ...] = (*DUG, "fill", "bed soil", "topsoil back", "mulch")
_NUMBER: dict[str, int] = {kind: number for number, kind in enumerate(KINDS)}
_MEASURES: dict[str, Measure] = {"fill": "compacted", "bed soil": "placed", "topsoil back": "placed", "mulch": "placed"}
_DUST_M3 = 1e-9


@dataclass(frozen=True, eq=False)
class Volumes:
    """Sums over the columns; volumes in cubic metres."""

    places: tuple[str, ...]
    terraces: Index
    """(places,) with which terrace a place is built."""
    by_kind: Array
    """(places, kinds)"""
    plain_cut_m3: Array
    """(places,) ground above the finished level."""
    plain_fill_m3: Array
    """(places,) space under it."""
    taken_m3: Array
    """(places, materials)"""
    lowered_m3: Array
    """(places,) by which soil of beds lies deeper, for mulch."""
    planted_m2: Array

    def dug_m3(self) -> Array:
        """(places,) all that is dug, topsoil included."""
        return np.asarray(self.by_kind[:, : len(DUG)].sum(axis=1), dtype=float)

    def of(self, kind: MoveKind) -> Array:
        """(places,) of one kind."""
        return np.asarray(self.by_kind[:, _NUMBER[kind]], dtype=float)

    def by_terrace(self, values: Array, count: int) -> Array:
        """(count,) a value of places summed by terrace, 1 first."""
        return _sums(np.clip(self.terraces, 1, count) - 1, values, count)


def _sums(which: Index, values: Array, count: int) -> Array:
    return np.asarray(np.bincount(which, values, count), dtype=float)


def volumes_of(
    columns: Columns,
    finishes: Sequence[Finish],
    solids: Solids,
    beds: Sequence[Face],
    layers_m: tuple[float, float],
) -> Volumes:
    """Everything moved, by place and kind.

    Cut and fill of the beds to their finished level are those of the terraces stage, exact over the triangles; what
    the columns found instead is put right in the bench cut and the fill.

    Args:
        columns: under the yard.
        finishes, solids: what the columns refer to.
        beds: with their exact cut and fill.
        layers_m: depth of mulch, and by how much it lowers the soil.
    """
    names, place, terraces = _places(columns, finishes, solids)
    count = len(names)
    kind = np.where(columns.finish >= 0, np.array([f.kind for f in finishes])[columns.finish], -1)
    area = columns.area_m2
    bench = np.select([kind == BANK, kind == STEP], [_NUMBER["bank cut"], _NUMBER["steps cut"]], _NUMBER["bench cut"])
    trench = np.append(solids.dug_for, _NUMBER["bench cut"])[columns.solid]  # the last for columns without a solid, -1
    laid = np.where(kind == BED, _NUMBER["bed soil"], _NUMBER["topsoil back"])
    parts = (
        (np.full(len(area), _NUMBER["topsoil off"]), columns.topsoil_m),
        (bench, columns.bench_m),
        (trench, columns.trench_m),
        (np.full(len(area), _NUMBER["fill"]), columns.fill_m),
        (laid, columns.laid_m),
        (np.full(len(area), _NUMBER["mulch"]), columns.mulched * layers_m[0]),
    )
    by_kind = sum(_sums(place * len(KINDS) + which, area * depth, count * len(KINDS)) for which, depth in parts)
    raised = np.where(columns.finish >= 0, columns.finish_m - columns.ground_m, 0.0)
    found = Volumes(
        names,
        terraces,
        np.asarray(by_kind, dtype=float).reshape(count, len(KINDS)),
        _sums(place, area * np.maximum(-raised, 0.0), count),
        _sums(place, area * np.maximum(raised, 0.0), count),
        np.column_stack([_sums(place, area * columns.taken_m[:, m], count) for m in range(len(MATERIALS))]),
        _sums(place, area * columns.planted * layers_m[1], count),
        _sums(place, area * columns.mulched, count),
    )
    _put_right(found, columns, finishes, beds)
    return found


def _places(columns: Columns, finishes: Sequence[Finish], solids: Solids) -> tuple[tuple[str, ...], Index, Index]:
    """Names of places, the number of each column's place, and the terrace of each place."""
    numbers: dict[str, int] = {}
    terraces: list[int] = []
    for name, terrace in [*((f.place, f.terrace) for f in finishes), *zip(solids.owner, solids.terrace, strict=True)]:
        if numbers.setdefault(name, len(numbers)) == len(terraces):
            terraces.append(int(terrace))
    of_finish = np.array([numbers[f.place] for f in finishes], dtype=np.intp)
    of_solid = np.array([numbers[name] for name in solids.owner], dtype=np.intp)
    place = of_finish[columns.finish]
    bare = (columns.finish < 0) & (columns.solid >= 0)
    place[bare] = of_solid[columns.solid[bare]]  # a column with neither holds nothing
    return tuple(numbers), place, np.array(terraces, dtype=np.intp)


def _put_right(found: Volumes, columns: Columns, finishes: Sequence[Finish], beds: Sequence[Face]) -> None:
    """Put the exact cut and fill of each bed in place of those of its columns, as far as nothing falls below zero."""
    over = columns.ground_m - np.where(columns.face >= 0, columns.face_m, columns.ground_m)
    face = np.maximum(columns.face, 0)
    cut = _sums(face, columns.area_m2 * np.maximum(over, 0.0), len(finishes))
    fill = _sums(face, columns.area_m2 * np.maximum(-over, 0.0), len(finishes))
    exact = {bed.id: bed for bed in beds}
    for number, finish in enumerate(finishes):
        if finish.kind != BED:
            continue
        at, bed = found.places.index(finish.place), exact[finish.place]
        kinds: tuple[tuple[MoveKind, Array, float], ...] = (
            ("bench cut", found.plain_cut_m3, bed.cut_m3 - float(cut[number])),
            ("fill", found.plain_fill_m3, bed.fill_m3 - float(fill[number])),
        )
        for kind, plain, more in kinds:
            column = found.by_kind[:, _NUMBER[kind]]
            change = max(more, -float(column[at]), -float(plain[at]))
            column[at] += change
            plain[at] += change


def moves_of(volumes: Volumes) -> tuple[EarthMove, ...]:
    """One row for every volume that is there, by terrace, then place."""
    rows = []
    order = sorted(range(len(volumes.places)), key=lambda i: (int(volumes.terraces[i]), i))
    for at in order:
        for number, kind in enumerate(KINDS):
            volume = float(volumes.by_kind[at, number])
            if volume > _DUST_M3:
                rows.append(
                    EarthMove(volumes.places[at], int(volumes.terraces[at]), kind, _MEASURES.get(kind, "bank"), volume)
                )
    return tuple(rows)


def beds_of(volumes: Volumes, beds: Sequence[Face]) -> tuple[BedSoil, ...]:
    """Every bed with its soil."""
    at = {name: number for number, name in enumerate(volumes.places)}
    soil, mulch = volumes.of("bed soil"), volumes.of("mulch")
    return tuple(
        BedSoil(bed.id, bed.cut_m3, bed.fill_m3, float(soil[at[bed.id]]), float(mulch[at[bed.id]]),
                float(volumes.planted_m2[at[bed.id]]))
        for bed in beds
    )  # fmt: skip
