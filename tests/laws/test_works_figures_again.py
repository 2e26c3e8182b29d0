"""Figures that cost money, worked out again from ``plan.json``; each law bites where its figure is told wrong."""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import replace
from functools import cache
from math import ceil

import pytest

from lawbook.amount_laws import (
    AMOUNT_LAWS,
    base_stone_lies_under_the_walls,
    everything_comes_by_truck,
    soil_in_its_states,
)
from lawbook.bed_laws import beds_have_their_soil
from lawbook.figure_laws import (
    FIGURE_LAWS,
    days_hold_the_hours,
    ordered_is_placed,
    pins_and_screws_are_as_told,
    price_adds_up,
    what_is_bought_is_enough,
)
from lawbook.stone_laws import stone_and_fabric_fill_their_zone
from lynchet.exports.plan_json import plan_json
from lynchet.plan.soil_left import soil_left_findings
from lynchet.project.so_far import SoilMoved
from standing_yards import planned

PRICES = ("prices", {"currency": "EUR", "overhead": "12 %", "profit": "10 %", "tax": "19 %",
                     "items": {"timber": "9 per m", "drain_stone": 60.0, "labour": 40.0, "screw": 30.0,
                               "delivery": 80.0, "load_away": 150.0}})  # fmt: skip


@cache
def priced(name):
    """A yard with prices, planned once."""
    return planned(name, PRICES)


@cache
def written(name):
    """What is written of it."""
    plan = priced(name)
    return json.loads(plan_json(plan, plan.findings))


def _line(data, key):
    return next(line for line in data["works"]["order"] if line["key"].startswith(key))


@pytest.mark.parametrize("name", ["garden", "plain", "steep"])
def test_figures_of_a_plan_add_up(name):
    """No law of the figures is broken; the plan has goods, trucks, hours and a price."""
    data = written(name)
    assert data["works"]["price"]["total"] is not None
    assert [text for law in FIGURE_LAWS for text in law(data)] == []
    assert [text for law in AMOUNT_LAWS for text in law(data, priced(name).project)] == []


@pytest.mark.parametrize(
    ("law", "key", "more"),
    [
        (ordered_is_placed, "drain_pipe", 0.1), (ordered_is_placed, "screw", 1), (ordered_is_placed, "timber", 1),
        (ordered_is_placed, "base_pin", -1),
    ],
)  # fmt: skip
def test_a_wrong_amount_is_found(law, key, more):
    """A line of the order list told wrong."""
    data = deepcopy(written("garden"))
    _line(data, key)["quantity"] += more
    assert law(data)


def test_wrong_packs_money_days_and_lengths_are_found():
    """A pack too few, money a cent off, a profit forgotten, a day too long, hours left out, a shorter screw."""
    spoilt = [deepcopy(written("garden")) for _ in range(6)]
    screws = _line(spoilt[0], "screw")
    screws["buy"] -= screws["pack"]
    assert what_is_bought_is_enough(spoilt[0])
    _line(spoilt[1], "drain_stone")["money"] += 0.02
    assert what_is_bought_is_enough(spoilt[1])
    spoilt[2]["works"]["price"]["profit"] = 0.0
    assert price_adds_up(spoilt[2])
    spoilt[3]["works"]["days"][0]["steps"][0]["crew_h"] += 1.0
    assert days_hold_the_hours(spoilt[3])
    spoilt[4]["works"]["tasks"][3]["hours"]["likely"] *= 1.01
    assert days_hold_the_hours(spoilt[4])
    spoilt[5]["timber"]["fastener_lines"][0]["length_m"] -= 0.01
    assert pins_and_screws_are_as_told(spoilt[5])


@pytest.mark.parametrize(
    ("law", "where", "key", "times"),
    [
        (stone_and_fabric_fill_their_zone, ("water", "stone"), "volume_m3", 1.1),
        (stone_and_fabric_fill_their_zone, ("water", "stone"), "volume_m3", 0.85),
        (stone_and_fabric_fill_their_zone, ("water", "fabric"), "length_m", 0.8),
        (base_stone_lies_under_the_walls, ("works", "order"), "quantity", 1.15),
        (soil_in_its_states, ("earth", "account"), "loose_per_bank", 0.9),
        (soil_in_its_states, ("earth", "account"), "away_loose_m3", 1.01),
        (soil_in_its_states, ("earth", "account", "brought"), "loose_m3", 1.05),
        (everything_comes_by_truck, ("works", "deliveries"), "kg", 1.01),
        (everything_comes_by_truck, ("works", "deliveries"), "loads", 3),
        (beds_have_their_soil, ("earth", "beds"), "soil_m3", 1.05),
        (beds_have_their_soil, ("earth", "beds"), "planted_m2", 1.05),
        (beds_have_their_soil, ("earth", "beds"), "mulch_m3", 1.01),
    ],
)
def test_an_amount_told_wrong_is_found(law, where, key, times):
    """Every amount of a kind a little too large or too small."""
    data = deepcopy(written("garden"))
    held = data
    for name in where:
        held = held[name]
    for row in held if isinstance(held, list) else [held]:
        row[key] *= times
    assert law(data, priced("garden").project), f"{key} times {times} is not found"


def test_a_truck_with_a_payload():
    """Loads go by what a truck may carry: soil away weighs what such soil weighs, however little a load is."""
    plan = planned("plain", ("access.payload", "700 kg"))
    data = json.loads(plan_json(plan, plan.findings))
    assert [text for law in AMOUNT_LAWS for text in law(data, plan.project)] == []
    (away,) = [one for one in data["works"]["deliveries"] if one["name"] == "soil away"]
    assert away["loads"] >= away["kg"] / 700.0 > away["loads"] - 1
    left = replace(plan.project.so_far, moved=(SoilMoved("in", 1.0, "loose", False),))
    (said,) = soil_left_findings(replace(plan.project, so_far=left), plan.earth.account)
    assert f"({ceil((away['m3'] + 1.0) / data['earth']['account']['load_m3'])} loads)" in said.text
