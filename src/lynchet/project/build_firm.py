"""From checked tables to the firm, its terms and the head of a quote."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lynchet.core.errors import InputError
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.firm import AllowedFor, Firm, Logo, Offer, OfferOption, OwnCost, QuoteHead, Stage, Terms
from lynchet.project.logo import read_logo
from lynchet.project.polygons import refuse_twins

_WHOLE = 1e-9
_LEFT_OUT = re.compile(r"(steps|on_wall)(?:\.([1-9]\d*))?")


def offer_of(got: Got, folder: Path, faults: Faults) -> Offer:
    """Firm, terms, head, allowances, costs and options of a file.

    Args:
        got: the whole file as checked.
        folder: files it names lie here.
        faults: keeps what is wrong.
    """
    for name in ("allowance", "cost", "option"):
        refuse_twins(((row.path, row["name"]) for row in got[name]), name, faults)
    return Offer(
        firm_of(got["firm"], folder, faults),
        terms_of(got["terms"], faults),
        _head(got["quote"]),
        tuple(_allowed(row, faults) for row in got["allowance"]),
        tuple(OwnCost(row["name"] or "", row["quantity"] or 1.0, row["unit"] or "", row["price"])
              for row in got["cost"]),
        tuple(_option(row, got, faults) for row in got["option"]),
    )  # fmt: skip


def firm_of(got: Got, folder: Path, faults: Faults) -> Firm:
    """Who makes the drawings and the offer."""
    logo: Logo | None = None
    if got["logo"]:
        try:
            logo = read_logo(folder, got["logo"])
        except InputError as error:
            faults.take(got.at("logo"), error)
    texts = {key: got[key] or "" for key in ("name", "phone", "mail", "licence", "file")}
    return Firm(address=_lines(got["address"]), logo=logo, **texts)


def terms_of(got: Got, faults: Faults) -> Terms:
    """Terms; the shares of the payments make the whole."""
    stages = tuple(Stage(row["name"] or "", row["share"] or 0.0) for row in got["stages"])
    whole = sum(stage.share for stage in stages)
    complete = all(row.complete("share") for row in got["stages"])
    if stages and complete and abs(whole - 1.0) > _WHOLE:
        faults.add(got.at("stages"), f"the payments make {100.0 * whole:g} %", "shares that make 100 %")
    plain = Terms()
    return Terms(
        got["valid_days"],
        stages,
        _lines(got["exclusions"]),
        _lines(got["duties"]),
        got["warranty"] or "",
        got["minimum"] or 0.0,
        got["minimum_days"] or 0.0,
        got["bill_days"],
        got["travel_a_day"],
        got["travel_once"],
        got["round_to"],
        got["rounding"] or plain.rounding,
        got["run_over"] or plain.run_over,
    )


def _head(got: Got) -> QuoteHead:
    return QuoteHead(got["number"] or "", got["client"] or "")


def _lines(texts: tuple[str, ...] | None) -> tuple[str, ...]:
    return tuple(text for text in texts or () if text)


def _allowed(row: Got, faults: Faults) -> AllowedFor:
    _one_price(row, faults)
    return AllowedFor(row["name"] or "", row["unit"] or "", row["cost"], row["price"])


def _one_price(row: Got, faults: Faults) -> None:
    if row["cost"] is not None and row["price"] is not None:
        faults.add(row.at("price"), "both cost and price", "one of them: what it costs you, or what the client pays")


def _option(row: Got, got: Got, faults: Faults) -> OfferOption:
    left = row["leave_out"] or ""
    _one_price(row, faults)
    if left:
        for wrong in _wrong_left(left, row, got):
            faults.add(row.at("leave_out"), *wrong)
    return OfferOption(row["name"] or "", row["words"] or "", row["quantity"] or 1.0, row["unit"] or "",
                       row["cost"], row["price"], left)  # fmt: skip


def _wrong_left(left: str, row: Got, got: Got) -> Iterator[tuple[str, str]]:
    hit = _LEFT_OUT.fullmatch(left)
    if hit is None:
        yield f'"{left}"', '"steps", "on_wall", or one of them: "steps.2"'
        return
    rows: Any = got[hit[1]]
    most = len(rows)
    if not most or int(hit[2] or 1) > most:
        yield f'"{left}", and the file has {most or "no"} {hit[1]}', f"one of the [[{hit[1]}]] of this file"
    if row["cost"] is not None or row["price"] is not None:
        yield f'"{left}" beside a price', "the one or the other: what is left out is priced by planning without it"
