"""The lists as plain tables: nothing lost, nothing twice, the same sums as the plan."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import StringIO

import pytest

from demo_plans import demo
from lynchet.exports.lists_csv import order_csv, pieces_csv, plants_csv
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.money import ItemPrice, Prices
from lynchet.units.measures import FOOT, POUND_KG
from random_yards import realistic

PRICES = Prices("EUR", (ItemPrice("timber", 31.5), ItemPrice("stone", 52.0)), 0.0, 0.0, 0.0)
"""Invented."""


@pytest.fixture(scope="module", params=["metric", "us"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """A random yard in either system, with some prices."""
    return plan_project(replace(realistic(4)[0], units=request.param, prices=PRICES), effort=LIVE)


def _rows(text: str) -> list[dict[str, str]]:
    rows = list(csv.DictReader(StringIO(text)))
    assert all(None not in row and None not in row.values() for row in rows)
    return rows


def test_every_piece_is_cut_once_from_a_stick_that_is_long_enough(plan: Plan) -> None:
    """Pieces, ties and cross-pieces are each a row; sticks, cuts and lengths are those of the cut sheet."""
    us = plan.project.units == "us"
    rows, unit, size = _rows(pieces_csv(plan)), "ft" if us else "m", FOOT if us else 1.0
    cut = [piece for stick in plan.timber.sticks for piece in stick.pieces]
    assert [row["piece"] for row in rows] == cut and len(set(cut)) == len(cut) > 10
    assert {piece.id for piece in plan.pieces} <= set(cut)
    used = sum(float(row[f"length [{unit}]"]) for row in rows) * size
    assert used == pytest.approx(plan.timber.used_m, abs=1e-4 * len(rows))
    for number, stick in enumerate(plan.timber.sticks, start=1):
        mine = [row for row in rows if int(row["stick"]) == number]
        assert [int(row["cut"]) for row in mine] == list(range(1, len(mine) + 1))
        assert {row["stick is"] for row in mine} == {stick.source}
        length = float(mine[0][f"stick length [{unit}]"]) * size
        assert length == pytest.approx(stick.stock_m, abs=1e-4)
        if stick.source != "special":
            assert sum(float(row[f"length [{unit}]"]) for row in mine) * size <= length + stick.over_m + 1e-3


def test_slants_and_weights_are_those_of_the_piece(plan: Plan) -> None:
    """Length less half of what both ends slant inwards, times the section, is the volume of the piece as it lies."""
    us = plan.project.units == "us"
    unit, size, mass = ("ft", FOOT, "lb") if us else ("m", 1.0, "kg")
    laid = {piece.id: piece for piece in plan.pieces}
    weights = {weight.piece: weight.mass_kg for weight in plan.timber.weights}
    slanted = 0
    for row in _rows(pieces_csv(plan)):
        piece = laid.get(row["piece"])
        if piece is None:
            continue
        start, end = (float(row[f"{which} slants by [{unit}]"]) * size for which in ("start", "end"))
        mean = float(row[f"length [{unit}]"]) * size - (abs(start) + abs(end)) / 2
        assert mean * plan.project.timber.thickness_m == pytest.approx(piece.polygon.area, abs=1e-4)
        assert (row["wall or flight"], int(row["course"])) == (piece.leg, piece.course)
        kg = float(row[f"weight [{mass}]"]) * (POUND_KG if us else 1.0)
        assert kg == pytest.approx(weights[piece.id], abs=0.06)
        slanted += start != 0 or end != 0
    assert slanted or all(abs(piece.end_m[0] - piece.end_m[1]) < 1e-4 for piece in plan.pieces)


def test_order_list_has_every_line_and_its_money(plan: Plan) -> None:
    """Keys, amounts, money; a line without a price has an empty cell, not a nought."""
    rows = _rows(order_csv(plan.works, plan.project.units))
    assert [row["key"] for row in rows] == [line.key for line in plan.works.order]
    for row, line in zip(rows, plan.works.order, strict=True):
        assert float(row["amount to buy"]) == pytest.approx(line.buy_units, abs=1e-4)
        assert (row["money [EUR]"] == "") == (line.money is None) == (row["price each [EUR]"] == "")
    known = sum(float(row["money [EUR]"]) for row in rows if row["money [EUR]"])
    assert known == pytest.approx(sum(line.money or 0.0 for line in plan.works.order), abs=0.01 * len(rows))
    assert known > 0 and any(row["money [EUR]"] == "" for row in rows)


@pytest.mark.parametrize("name", ["l_garden", "side_yard"])
def test_plants_are_counted_as_planted(name: str) -> None:
    """One row for each planting; counts by botanical name are those of the plan."""
    planted = demo(name).planted
    rows = _rows(plants_csv(planted, "metric"))
    found: dict[str, int] = {}
    for row in rows:
        found[row["botanical name"]] = found.get(row["botanical name"], 0) + int(row["count"])
    assert planted.plantings and found == planted.counts
    assert [row["planting"] for row in rows] == [one.id for one in planted.plantings]
