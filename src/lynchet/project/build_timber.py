"""From checked tables to the timber to build with and its stock."""

from __future__ import annotations

from typing import Any

from lynchet.project.check import Got, check_table
from lynchet.project.faults import Faults
from lynchet.project.keys_build import STAMPS, TIMBER
from lynchet.project.model import Stock, Timber
from lynchet.project.polygons import refuse_twins
from lynchet.units.format import length
from lynchet.units.parse import parse

_STOCK = {"metric": ("2.4 m", "3.0 m", "3.6 m", "4.8 m"), "us": ("8 ft", "12 ft", "16 ft")}


def timber_of(rows: tuple[Got, ...], wanted: str | None, brief: Got, faults: Faults) -> Timber:
    """The timber to build with: the one the brief names, else the first; the usual one where none is given."""
    refuse_twins(((row.path, row["name"]) for row in rows), "timber", faults)
    if not rows:
        assert TIMBER.table is not None
        rows = (check_table({}, TIMBER.table, ("timber",), faults),)
    timbers = {row["name"] or "": _timber(row, faults) for row in reversed(rows)}
    for row in rows:
        _refuse_stock(row, brief, faults)
    if wanted is not None and wanted not in timbers:
        known = ", ".join(f'"{name}"' for name in timbers if name) or "none has a name"
        faults.add(brief.at("timber"), f'there is no timber "{wanted}"', f"the name of one of [[timber]]: {known}")
        wanted = None
    return timbers[wanted if wanted is not None else (rows[0]["name"] or "")]


def _timber(row: Got, faults: Faults) -> Timber:
    course, thickness = row["section"] or (0.15, 0.15)
    material = row["material"]
    stock = tuple(
        Stock(entry["length"], entry["price"], entry["on_hand"] or 0, entry["sold"] is not False)
        for entry in row["stock"]
        if entry["length"] is not None
    )
    if not stock and "stock" not in row.written:
        lengths = _STOCK[faults.system]
        faults.default(row.at("stock"), ", ".join(lengths), "PRACTICE", "ask the yard what it sells")
        stock = tuple(Stock(parse(text, "length")) for text in lengths)
    said: dict[str, Any] = material.values if material else {}
    treatment: Any = said.get("treatment") or "unknown"
    return Timber(
        course,
        thickness,
        row["unit_weight"] or 7.85,
        said.get("species") or "unknown",
        said.get("grade") or "unknown",
        STAMPS.get(treatment, treatment),
        row["profile"] or "square",
        bool(row["reused"]),
        stock,
        row["name"] or "",
        0.003 if row["kerf"] is None else row["kerf"],
        row["end_trim"] or 0.0,
        row["over_length"] or 0.0,
    )


def _refuse_stock(row: Got, brief: Got, faults: Faults) -> None:
    """Something is sold and has its price, every stick yields a piece that may be laid, no length stands twice."""
    if "stock" in row.written and not any(entry["sold"] is not False for entry in row["stock"]):
        faults.add(row.at("stock"), "no length in it is sold", "a length that more can be bought of, or no `stock`")
    for entry in row["stock"]:
        _refuse_offer(entry, faults)
    shortest = brief["shortest_piece"] or 0.0
    spare = (row["over_length"] or 0.0) - (row["end_trim"] or 0.0)
    system = faults.system
    seen: set[int] = set()
    for entry in row["stock"]:
        size = entry["length"]
        if size is None:
            continue
        if round(size * 1e5) in seen:
            faults.add((*entry.path, "length"), f"{length(size, system)} stands twice in the stock", "each length once")
        seen.add(round(size * 1e5))
        if size + spare < max(shortest, 1e-3) - 1e-9:
            of = " once its end is trimmed" if spare < 0 else ""
            faults.add(
                (*entry.path, "length"),
                f"{length(size, system)}{of} is shorter than the shortest piece, {length(shortest, system)}",
                f"a length of {length(shortest - spare, system)} or more, or a smaller brief.shortest_piece",
            )


def _refuse_offer(entry: Got, faults: Faults) -> None:
    """A length that costs nothing would be ordered without end; one that is neither sold nor on hand is not there."""
    if entry["price"] == 0:
        faults.add(
            (*entry.path, "price"),
            "0: as many as wished would be bought for nothing",
            "what one costs, or no price; for sticks you have: on_hand, with sold = false where nobody sells more",
        )
    if entry["sold"] is False and not entry["on_hand"]:
        faults.add((*entry.path, "sold"), "false, and none is on hand", "on_hand = how many you have, or sold = true")
