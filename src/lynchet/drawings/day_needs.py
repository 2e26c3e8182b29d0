"""What must lie ready in the morning: pieces by wall, ties, pins, stone, pipe, soil, plants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lynchet.drawings.day_amounts import amounts_of, step_screws
from lynchet.drawings.day_figures import by_wall, marks, volume
from lynchet.drawings.day_places import Naming
from lynchet.drawings.day_weeps import squares
from lynchet.earth.stone_placed import BASE_LOOSE, DRAIN_LOOSE
from lynchet.plan.day_parts import DayParts
from lynchet.stability.model import WEEP_CLOTH_M
from lynchet.units.format import area, length

_BUCKET_M3 = 0.005
"""What is less is told as a bucket: no figure of a volume would show it."""
_NONE_M3 = 1e-6
_LOOSE = {"base_stone": BASE_LOOSE, "drain_stone": DRAIN_LOOSE}
"""Amounts are told in place; barrows carry loose stone, and loose soil."""


@dataclass(frozen=True)
class Need:
    """One line of the list."""

    count: str
    """What stands in bold: "3", "30 ft", "2.5 m³"."""
    words: str
    pieces: int = 0
    """Pieces of timber it stands for; 0 where it is something else."""
    key: str = ""
    """Of its line in the order list, and how much of it; empty where the list counts it otherwise."""
    amount: float = 0.0


def needs_of(named: Naming, today: DayParts) -> tuple[Need, ...]:
    """Every line, timber first."""
    return (*_timber(named, today), *_loose(named, today), *_fixings(named, today))


def _timber(named: Naming, today: DayParts) -> Iterator[Need]:
    words = named.words
    order = {leg.id: n for n, leg in enumerate(named.plan.walls.legs)}
    pieces = sorted(today.pieces, key=lambda piece: order[piece.leg])
    for wall, names in by_wall([named.marks[piece.id] for piece in pieces]):
        text = words.plural("day.need.pieces", len(names), wall=wall, marks=marks(names))
        yield Need(str(len(names)), text, len(names))
    if today.ties:
        text = words.plural("day.need.ties", len(today.ties), marks=marks(named.ties[tie.id] for tie in today.ties))
        yield Need(str(len(today.ties)), text, len(today.ties))
    if today.treads:
        flights = ", ".join(dict.fromkeys(piece.flight for piece in today.treads))
        count = len(today.treads)
        yield Need(str(count), words.plural("day.need.treads", count, flights=flights), count)


def _loose(named: Naming, today: DayParts) -> Iterator[Need]:
    words, found = named.words, amounts_of(named, today)
    loose = _LOOSE | {"bed_soil": named.plan.earth.account.loose_per_bank}
    for name, amount in (("base_stone", found.base_m3), ("drain_stone", found.drain_m3), ("bed_soil", found.soil_m3),
                         ("compost", found.compost_m3), ("mulch", found.mulch_m3)):  # fmt: skip
        if amount > _BUCKET_M3:
            text = words(f"day.need.{name}", barrows=named.barrows(amount * loose.get(name, 1.0)))
            yield Need(volume(amount, named.system), text, key=name, amount=amount)
        elif amount > _NONE_M3:
            yield Need(words("day.need.bucket"), words(f"day.need.{name}_little"), key=name, amount=amount)
    if found.pipe_m > 0.0:
        yield Need(_metres(named, found.pipe_m), words("day.need.pipe"), key="pipe", amount=found.pipe_m)
    if found.fabric:
        yield Need(
            words("day.need.roll"), words("day.need.fabric" if found.fabric == "drain" else "day.need.fabric_dry")
        )
    holes = squares(named, today.shares)
    if holes:
        text = words.plural("day.need.weep_cloth", holes, cloth=named.size(WEEP_CLOTH_M[named.system]))
        yield Need(str(holes), text, key="weep_cloth", amount=holes)
    if found.mat_m2 > 0.0:
        yield Need(area(found.mat_m2, named.system), words("day.need.bank_mat"), key="bank_mat", amount=found.mat_m2)
    for thick_m, long_m in found.packing:
        text = words(
            "day.need.packing", thick=named.size(thick_m), wide=named.size(named.plan.project.timber.thickness_m)
        )
        yield Need(_metres(named, long_m), text, key="packing", amount=long_m)
    plants = sum(today.plants.values())
    if plants:
        yield Need(str(plants), words.plural("day.need.plants", plants), key="plants", amount=plants)
    if found.drip_m > 0.0:
        yield Need(_metres(named, found.drip_m), words("day.need.drip"), key="drip_line", amount=found.drip_m)


def _metres(named: Naming, long_m: float) -> str:
    return length(long_m, named.system, 1).removesuffix(" 0 in")


def _fixings(named: Naming, today: DayParts) -> Iterator[Need]:
    words, lines = named.words, named.plan.timber.fastener_lines
    sizes = {(str(line.kind), round(line.length_m, 4)): line for line in lines if line.kind != "step screw"}
    counted = [(sizes.get(size), count) for size, count in sorted(today.fixings.items())]
    of_steps = [line for line in lines if line.kind == "step screw"]
    counted += zip(of_steps, step_screws(named, today), strict=False)
    for line, count in counted:
        if count and line is not None:
            kind = line.kind.replace(" ", "_")
            diameter, long = named.size(line.diameter_m), named.size(line.length_m)
            text = words.plural(f"day.need.{kind}", count, diameter=diameter, length=long)
            yield Need(str(count), text, key=kind, amount=count)
    if today.pieces or today.treads or today.ties:
        yield Need(words("day.need.tin"), words("day.need.liquid"))
