"""What the works calculators refuse beside the published cases: ranges, rows, words of the error."""

import math

import pytest

from lynchet.calculators.checked import call
from lynchet.calculators.registry import find
from lynchet.core.errors import InputError

DIG = {"name": "dig", "duration_day": 4, "shortest_day": 2, "cost_money": 100, "crash_cost_money": 150}
CREW = [{"name": "crew", "capacity": 3}]
ONE = {"name": "a", "duration_day": 2, "demand": [1]}
THREE = {"name": "a", "optimistic_day": 1, "likely_day": 2, "pessimistic_day": 3}
TASK = {"name": "wall", "budget_h": 10, "planned_pct": 50, "done_pct": 40, "spent_h": 6}
HOURS = {"name": "wall", "quantity": 3, "hours_per_unit": 1.5}
HAUL = {"volume_m3": 5.0, "load_m3": 0.08, "distance_m": 30, "speed_out_m_min": 40, "load_min": 2}
ITEM = {"name": "sleeper", "quantity": 6, "price_money": 27}
JOB = {"name": "Mill Lane", "quantity": 14, "hours": 30}
LINE = {"name": "a", "quantity": 1, "price_money": 2}
PIECE = {"name": "sleeper", "each_kg": 38}
LEVEL = {"benchmark_level_m": 10, "benchmark_reading_m": 1.4, "tolerance_mm": 5}
STRING = {"stations_m": [0, 1, 2], "offsets_mm": [0, 1, 3], "tolerance_mm": 8}
PLUMB = [{"height_m": 0, "distance_mm": 100}, {"height_m": 1, "distance_mm": 180}]
LOOK = {"built": "2025-04-01", "as_of": "2026-01-01"}


@pytest.mark.parametrize(
    ("name", "keys", "word"),
    [
        ("critical_path", {"activities": [{"name": "a", "duration_day": math.inf}]}, "duration"),
        ("critical_path", {"activities": [{"name": "a", "duration_day": True}]}, "duration"),
        ("critical_path", {"activities": [{"name": 3, "duration_day": 1}]}, "name"),
        ("resource_schedule", {"resources": CREW, "activities": []}, "activities"),
        ("resource_schedule", {"resources": CREW, "activities": [{**ONE, "demand": [1, 1]}]}, "demand"),
        ("resource_schedule", {"resources": CREW, "activities": [{**ONE, "demand": [1.5]}]}, "whole"),
        ("resource_schedule", {"resources": [{"name": "c", "capacity": 1.5}], "activities": [ONE]}, "whole"),
        ("resource_schedule", {"resources": CREW, "activities": [{**ONE, "duration_day": 0, "demand": [9]}]},
         "capacity"),
        ("resource_schedule", {"resources": CREW, "activities": [{**ONE, "predecessors": ["a"]}]}, "cycle"),
        ("crash_schedule", {"activities": [{**DIG, "duration_day": -4}]}, "duration"),
        ("crash_schedule", {"activities": [{**DIG, "shortest_day": -1}]}, "shortest"),
        ("crash_schedule", {"activities": [{**DIG, "crash_cost_money": 99}]}, "crash cost"),
        ("crash_schedule", {"activities": [{**DIG, "duration_day": 4.5}]}, "whole"),
        ("crash_schedule", {"activities": [{**DIG, "predecessors": [{"name": "dig"}]}]}, "cycle"),
        ("pert_duration", {"activities": [{**THREE, "likely_day": 0.5}]}, "order"),
        ("pert_duration", {"activities": [THREE], "confidence": 1.0}, "confidence"),
        ("pert_duration", {"activities": [THREE, {**THREE, "name": "b",
                                                    "predecessors": [{"name": "a", "lag_day": 1}]}]},
         "type"),
        ("earned_hours", {"tasks": []}, "tasks"),
        ("earned_hours", {"tasks": [{**TASK, "spent_h": -1}]}, "spent"),
        ("task_hours", {"tasks": [{**HOURS, "units_per_hour": 2}]}, "rate"),
        ("task_hours", {"tasks": [{**HOURS, "quantity": -1}]}, "quantity"),
        ("task_hours", {"tasks": [{**HOURS, "repeats": 0}]}, "repeats"),
        ("task_hours", {"tasks": [{**HOURS, "crew": 0}]}, "crew"),
        ("task_hours", {"tasks": [HOURS], "shift_h": 0}, "shift"),
        ("task_hours", {"tasks": [HOURS], "minimum_day": -1}, "minimum"),
        ("haul_cycle", {**HAUL, "distance_m": -1}, "distance"),
        ("haul_cycle", {**HAUL, "speed_out_m_min": 0}, "speed"),
        ("haul_cycle", {key: value for key, value in HAUL.items() if key != "load_min"}, "loading"),
        ("haul_cycle", {**HAUL, "level_per_rise": -1}, "climb"),
        ("haul_cycle", {**HAUL, "level_per_rise_back": -1}, "climb"),
        ("haul_cycle", {**HAUL, "useful_min_per_h": 0}, "useful"),
        ("haul_cycle", {**HAUL, "loaders": 1.5}, "carriers"),
        ("price_rollup", {"items": []}, "items"),
        ("price_rollup", {"items": [{**ITEM, "pack": 0}]}, "pack"),
        ("price_rollup", {"items": [{**ITEM, "pack": 5, "pack_price_money": 3}]}, "price"),
        ("price_rollup", {"items": [{**ITEM, "discount_pct": 101}]}, "discount"),
        ("price_rollup", {"items": [ITEM], "contingency_pct": -1}, "percent"),
        ("price_rollup", {"items": [ITEM], "labour_rate_money": -1}, "percent"),
        ("quote_price", {"direct_money": 5, "tax_pct": math.nan}, "tax"),
        ("quote_price", {"direct_money": 5, "round_to_money": 0}, "round"),
        ("quote_price", {"direct_money": 5, "stages_pct": [-10, 110]}, "stages"),
        ("quote_price", {"direct_money": 5, "allowances": [{"name": "x", "unit_cost_money": -1}]}, "allowance"),
        ("learned_rate", {"jobs": [{**JOB, "quantity": 0}]}, "quantity"),
        ("learned_rate", {"jobs": [JOB], "book_quantity": 5}, "book"),
        ("learned_rate", {"jobs": [JOB], "next_quantity": -1}, "quantity"),
        ("issue_changes", {"before": [], "after": [LINE, LINE]}, "duplicate"),
        ("issue_changes", {"before": [{**LINE, "quantity": -1}], "after": []}, "quantity"),
        ("day_plan", {"steps": [{"name": "a", "crew_h": -1}], "day_h": 8}, "hours"),
        ("day_plan", {"steps": [{"name": "a", "crew_h": 9}], "day_h": 8}, "safe"),
        ("price_range", {"items": [{"name": "a", "kind": "lognormal", "mean_money": 5}]}, "sd_money"),
        ("price_range", {"items": [{"name": "a", "kind": "fixed", "value_money": 5}], "method": "guess"}, "method"),
        ("price_range", {"items": [{"name": "a", "kind": "fixed", "value_money": 5, "probability": -0.1}]},
         "probability"),
        ("quote_split", {"items": [], "suppliers": [{"name": "A", "prices_money": []}]}, "items"),
        ("quote_split", {"items": [{"name": "x", "quantity": -1}], "suppliers": [{"name": "A", "prices_money": [1]}]},
         "quantity"),
        ("quote_split", {"items": [{"name": "x"}], "suppliers": [{"name": "A", "prices_money": [1],
                                                                  "free_from_money": -1}]}, "delivery"),
        ("break_even", {"ways": [{"name": "a", "fixed_money": 0, "per_unit_money": 1}]}, "two"),
        ("break_even", {"ways": [{"name": "a", "fixed_money": 0, "per_unit_money": 1},
                                 {"name": "b", "fixed_money": 1, "per_unit_money": 0}], "quantity": -1}, "quantity"),
        ("delivery_loads", {"items": [PIECE], "payload_kg": 37}, "payload"),
        ("delivery_loads", {"items": [{**PIECE, "each_kg": -1}], "payload_kg": 37}, "weight"),
        ("delivery_loads", {"items": [{**PIECE, "count": 0}], "payload_kg": 90}, "count"),
        ("as_built_level", {**LEVEL, "readings": []}, "readings"),
        ("line_deviation", {**STRING, "offsets_mm": [0, 1]}, "length"),
        ("line_deviation", {**STRING, "reference": "eye"}, "reference"),
        ("line_deviation", {**STRING, "stations_m": [0, 2, 1], "straightedge_m": 1}, "stations"),
        ("line_deviation", {**STRING, "stations_m": [0, 2, 1], "reference": "minimum_zone"}, "stations"),
        ("wall_lean", {"readings": PLUMB[:1], "wall_height_m": 1}, "height"),
        ("wall_lean", {"readings": PLUMB, "wall_height_m": 1, "noise_mm": -1}, "noise"),
        ("wall_lean", {"readings": PLUMB, "wall_height_m": 1, "earlier_readings": PLUMB, "earlier_date": "2026-02-01",
                       "date": "2026-02-01"}, "date"),
        ("reading_uncertainty", {"components": [{"name": "a"}]}, "component"),
        ("reading_uncertainty", {"readings_mm": [1, 2], "rule": "k3"}, "rule"),
        ("tolerance_verdict", {"measured_mm": 1, "uncertainty_mm": -1, "upper_mm": 5}, "uncertainty"),
        ("inspection_due", {**LOOK, "as_of": "2025-03-31", "items": [{"name": "a", "every_days": 5}]}, "as_of"),
        ("inspection_due", {**LOOK, "items": [{"name": "a"}]}, "interval"),
        ("inspection_due", {**LOOK, "items": [{"name": "a", "every_days": 5, "last_done": "soon"}]}, "date"),
        ("inspection_due", {**LOOK, "items": [{"name": "a", "every_days": 5}], "storm_rain_mm": 0}, "storm"),
        ("inspection_due", {**LOOK, "items": [{"name": "a", "every_years": 9000}]}, "interval"),
    ],
)  # fmt: skip
def test_refused_and_named(name, keys, word):
    """Each fault is refused with an error that names it in the words a person reads."""
    with pytest.raises(InputError) as caught:
        call(find(name).function, keys)
    assert word in str(caught.value).lower()
