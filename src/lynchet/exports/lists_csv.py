"""The lists as plain tables: ``pieces.csv``, ``order-list.csv``, ``plants.csv``."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.parts.cut_sheet import piece_names
from lynchet.exports.csv_text import Cell, PlainUnits, csv_text
from lynchet.plan.model import Plan
from lynchet.planting.model import Planted
from lynchet.units.measures import INCH, System
from lynchet.works.model import Works


def pieces_csv(plan: Plan) -> str:
    """Every piece in the order it is cut, stick by stick; where both its faces differ, how far each end slants."""
    units = PlainUnits(plan.project.units)
    u = units.length
    heads = ("stick", f"stick length [{u}]", "stick is", "cut", "piece", "name on the sheets", "wall or flight",
             "course", f"length [{u}]", f"start slants by [{u}]", f"end slants by [{u}]", f"bottom level [{u}]",
             f"weight [{units.mass}]", "people to lift")  # fmt: skip
    return csv_text(heads, _pieces(plan, units))


def _pieces(plan: Plan, units: PlainUnits) -> Iterator[tuple[Cell, ...]]:
    names, weights = piece_names(plan), {weight.piece: weight for weight in plan.timber.weights}
    laid = {piece.id: piece for piece in plan.pieces}
    ties = {tie.id: tie for tie in plan.stability.ties}
    steps = {step.id: step for step in plan.timber.steps}
    for number, stick in enumerate(plan.timber.sticks, start=1):
        for cut, (key, length) in enumerate(zip(stick.pieces, stick.lengths_m, strict=True), start=1):
            piece, tie, weight = laid.get(key), ties.get(key.removesuffix("/cross")), weights.get(key)
            where: tuple[Cell, ...] = ("", None)
            slants: tuple[Cell, ...] = (0.0, 0.0)
            bottom = None
            if piece is not None:
                where, bottom = (piece.leg, piece.course), piece.bottom_m
                slants = tuple(units.of_length(end[1] - end[0]) for end in (piece.start_m, piece.end_m))
            elif tie is not None:
                where, bottom = (tie.leg, tie.course), tie.bottom_m
            elif key in steps:
                where, bottom = (steps[key].flight, None), steps[key].bottom_m
            lift: tuple[Cell, ...] = (None, None) if weight is None else (units.of_mass(weight.mass_kg), weight.people)
            yield (number, units.of_length(stick.stock_m), stick.source, cut, key, names.get(key, key), *where,
                   units.of_length(length), *slants, units.of_length(bottom), *lift)  # fmt: skip


def order_csv(works: Works, system: System) -> str:
    """The order list; money is empty where the file has no price."""
    units = PlainUnits(system)
    money = works.price.currency or "money"
    heads = ("key", "what", "group", "for", "amount to buy", "sold by", f"price each [{money}]", f"money [{money}]",
             "waste allowed for [%]", f"weight [{units.mass}]", "note")  # fmt: skip
    rows = (
        (line.key, line.name, line.group, ", ".join(line.places), float(line.buy_units), line.unit,
         _money(line.unit_price), _money(line.money), round(100.0 * line.waste, 1),
         units.of_mass(line.kg) or None, line.note)
        for line in works.order
    )  # fmt: skip
    return csv_text(heads, rows)


def _money(money: float | None) -> float | None:
    return None if money is None else round(money, 2)


def plants_csv(planted: Planted, system: System) -> str:
    """What is planted in which bed and how many, with cautions known."""
    units = PlainUnits(system)
    u, whole = units.length, system == "us"
    heads = ("planting", "bed", "part", "common name", "botanical name", "count", f"apart [{'in' if whole else u}]",
             f"grown height [{u}]", f"grown spread [{u}]", "in flower (months)", "wished", "why here",
             "what speaks against it", "not known", "caution")  # fmt: skip
    rows = (
        (one.id, one.bed, one.part, one.species.common_name, one.species.botanical_name, one.count,
         round(one.species.spacing_m / INCH) if whole else units.of_length(one.species.spacing_m),
         units.of_length(one.species.height_m),
         units.of_length(one.species.spread_m), " ".join(map(str, one.species.bloom_months)),
         "yes" if one.wished else "no", "; ".join(one.reasons), "; ".join(one.misfits), ", ".join(one.unknown),
         one.species.toxicity_caution)
        for one in planted.plantings
    )  # fmt: skip
    return csv_text(heads, rows)
