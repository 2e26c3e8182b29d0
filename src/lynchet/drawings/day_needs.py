"""What must lie ready in the morning: pieces by wall, ties, pins, stone, pipe, soil, plants."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lynchet.drawings.day_figures import by_wall, marks, volume
from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import DayParts, drains_of
from lynchet.units.format import length

_LEAST_M3 = 0.005


@dataclass(frozen=True)
class Need:
    """One line of the list."""

    count: str
    """What stands in bold: "3", "30 ft", "2.5 m³"."""
    words: str
    pieces: int = 0
    """Pieces of timber it stands for; 0 where it is something else."""


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
        text = words.plural("day.need.ties", len(today.ties), marks=marks(tie.id for tie in today.ties))
        yield Need(str(len(today.ties)), text, len(today.ties))
    if today.treads:
        flights = ", ".join(dict.fromkeys(piece.flight for piece in today.treads))
        count = len(today.treads)
        yield Need(str(count), words.plural("day.need.treads", count, flights=flights), count)


def _loose(named: Naming, today: DayParts) -> Iterator[Need]:
    words = named.words
    for kind, name in (("base", "base_stone"), ("stone", "drain_stone"), ("bed soil", "bed_soil"), ("mulch", "mulch")):
        amount = sum(share.quantity for share in today.share(kind))
        if amount > _LEAST_M3:
            yield Need(volume(amount, named.system), words(f"day.need.{name}", barrows=named.barrows(amount)))
    pipe = sum(share.quantity for share in today.share("drain"))
    if pipe > 0.0:
        yield Need(length(pipe, named.system, 1).removesuffix(" 0 in"), words("day.need.pipe"))
        if any(drains_of(named.plan, share.task.terrace) for share in today.share("drain")):
            yield Need(words("day.need.roll"), words("day.need.fabric"))
    plants = sum(today.plants.values())
    if plants:
        yield Need(str(plants), words.plural("day.need.plants", plants))


def _fixings(named: Naming, today: DayParts) -> Iterator[Need]:
    words = named.words
    sizes = {line.kind: line for line in named.plan.timber.fastener_lines}
    for kind, count in sorted(today.fixings.items()):
        line = sizes.get(kind)  # type: ignore[call-overload]
        if count and line is not None:
            text = "day.need." + kind.replace(" ", "_")
            diameter, long = named.size(line.diameter_m), named.size(line.length_m)
            yield Need(str(count), words.plural(text, count, diameter=diameter, length=long))
    if today.pieces or today.treads or today.ties:
        yield Need(words("day.need.tin"), words("day.need.liquid"))
