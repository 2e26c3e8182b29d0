"""Laws of the soil balance: a network-flow solver as rival, mass in and out, prices."""

import networkx as nx
import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.soil_balance import Material, least_cost_moves, soil_balance


def flow_cost(bank, fill_bank, cost, buy, sell):
    """Least cost by network simplex on whole numbers: fills in bank measure, prices per bank volume."""
    graph = nx.DiGraph()
    for i, volume in enumerate(bank):
        graph.add_node(("cut", i), demand=-volume)
        graph.add_edge(("cut", i), "tip", weight=sell)
        for j in range(len(fill_bank)):
            graph.add_edge(("cut", i), ("fill", j), weight=cost[i][j])
    for j, volume in enumerate(fill_bank):
        graph.add_node(("fill", j), demand=volume)
        graph.add_edge("shop", ("fill", j), weight=buy)
    total = sum(bank) + sum(fill_bank)
    graph.add_node("shop", demand=-total)
    graph.add_node("tip", demand=total - sum(fill_bank) + sum(bank))
    graph.add_edge("shop", "tip", weight=0)
    return nx.network_simplex(graph)[0]


def test_against_network_flow():
    """The cost is that of a network-flow solver on the same problem in bank measure, compaction and swell included."""
    rng = np.random.default_rng(1)
    for _ in range(25):
        m, n = (int(v) for v in rng.integers(1, 5, 2))
        bank, fill = rng.integers(0, 40, m).tolist(), rng.integers(0, 40, n).tolist()
        cost = rng.integers(0, 30, (m, n)).tolist()
        k, swell = 0.8, 1.25
        given = {
            "supplies": [{"name": f"S{i}", "bank_m3": v} for i, v in enumerate(bank)],
            "demands": [{"name": f"D{j}", "compacted_m3": k * v} for j, v in enumerate(fill)],
            "unit_cost_money": cost, "compacted_per_bank": k, "loose_per_bank": swell,
            "import_money": 16.0, "export_money": 4.0,
        }  # fmt: skip
        got = call(soil_balance, given)
        assert got.cost_money == pytest.approx(flow_cost(bank, fill, cost, 20, 5), abs=1e-6)
        flows = np.array(got.flows_bank_m3).reshape(m, n)
        assert (flows >= 0).all()
        assert flows.sum() + got.export_loose_m3 / swell == pytest.approx(sum(bank), abs=1e-6)
        assert flows.sum() + got.import_loose_m3 / swell == pytest.approx(sum(fill), abs=1e-6)
        moved, bought, sold = least_cost_moves(
            np.array(bank, float), k * np.array(fill, float), np.array(cost, float), Material("", k, swell, 16.0, 4.0)
        )
        assert (moved.tolist(), bought, sold) == (got.flows_bank_m3, got.import_loose_m3, got.export_loose_m3)


def test_haul_rate_is_a_table_of_distances():
    """A haul rate with positions is the same as the table of rate x distance."""
    rng = np.random.default_rng(2)
    at, to = rng.uniform(0, 100, 4), rng.uniform(0, 100, 3)
    supplies = [{"name": str(i), "bank_m3": 6.0, "position_m": float(p)} for i, p in enumerate(at)]
    demands = [{"name": str(j), "compacted_m3": 8.0, "position_m": float(p)} for j, p in enumerate(to)]
    common = {"supplies": supplies, "demands": demands}
    table = (0.3 * np.abs(at[:, None] - to[None, :])).tolist()
    one = call(soil_balance, {**common, "haul_rate_money": 0.3})
    two = call(soil_balance, {**common, "unit_cost_money": table})
    assert one.cost_money == pytest.approx(two.cost_money)


def test_materials_apart_are_balances_apart():
    """With materials the cost is the sum of each material's own balance, in the order of the materials."""
    kinds = [
        {"name": "top", "loose_per_bank": 1.2, "import_money": 40.0, "export_money": 3.0},
        {"name": "sub", "compacted_per_bank": 0.9, "loose_per_bank": 1.3, "import_money": 20.0, "export_money": 9.0},
    ]
    rng = np.random.default_rng(3)
    supplies = [
        {"name": str(i), "bank_m3": float(rng.uniform(1, 9)), "material": kinds[i % 2]["name"]} for i in range(5)
    ]
    demands = [
        {"name": str(j), "compacted_m3": float(rng.uniform(1, 9)), "material": kinds[j % 2]["name"]} for j in range(4)
    ]
    cost = rng.uniform(1, 20, (5, 4))
    whole = {"supplies": supplies, "demands": demands, "unit_cost_money": cost.tolist(), "materials": kinds}
    together = call(soil_balance, whole)
    total = 0.0
    for number, kind in enumerate(kinds):
        ours = {key: value for key, value in kind.items() if key != "name"}
        part = {
            "supplies": [{"name": r["name"], "bank_m3": r["bank_m3"]} for r in supplies[number::2]],
            "demands": [{"name": r["name"], "compacted_m3": r["compacted_m3"]} for r in demands[number::2]],
            "unit_cost_money": cost[number::2, number::2].tolist(),
        }
        alone = call(soil_balance, {**part, **ours})
        total += alone.cost_money
        assert together.import_loose_by_material_m3[number] == pytest.approx(alone.import_loose_m3, abs=1e-7)
        assert together.export_loose_by_material_m3[number] == pytest.approx(alone.export_loose_m3, abs=1e-7)
    assert together.cost_money == pytest.approx(total)


def test_soil_sold_earns():
    """A negative export price lowers the cost; it may pay to buy in and sell all the cut."""
    given = {"supplies": [{"name": "S", "bank_m3": 10.0}], "demands": [{"name": "D", "compacted_m3": 10.0}],
             "unit_cost_money": [[1.0]], "import_money": 2.0, "export_money": -5.0}  # fmt: skip
    assert call(soil_balance, given).cost_money == pytest.approx(10 * 2 - 10 * 5)


def test_totals_within_the_slack_need_no_price():
    """Totals that agree but for rounding balance without prices; a micrometre cubed more does not."""
    thirds = {"supplies": [{"name": str(i), "bank_m3": 0.1} for i in range(3)], "unit_cost_money": [[1.0]] * 3}
    got = call(soil_balance, {**thirds, "demands": [{"name": "D", "compacted_m3": 0.3}]})
    assert got.cost_money == pytest.approx(0.3)
    with pytest.raises(InputError, match="import"):
        call(soil_balance, {**thirds, "demands": [{"name": "D", "compacted_m3": 0.300001}]})
    with pytest.raises(InputError, match="export"):
        call(soil_balance, {**thirds, "demands": [{"name": "D", "compacted_m3": 0.299999}]})


S, D = [{"name": "S", "bank_m3": 4.0, "material": "a"}], [{"name": "D", "compacted_m3": 4.0, "material": "a"}]
BARE = {"supplies": [{"name": "S", "bank_m3": 4.0}], "demands": [{"name": "D", "compacted_m3": 4.0}]}


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({**BARE}, "cost"),
        ({**BARE, "unit_cost_money": [[1.0]], "haul_rate_money": 1.0}, "cost"),
        ({**BARE, "unit_cost_money": [[1.0, 2.0]]}, "cost"),
        ({**BARE, "unit_cost_money": []}, "cost"),
        ({**BARE, "unit_cost_money": [[1.0]], "compacted_per_bank": 0.0}, "factor"),
        ({**BARE, "unit_cost_money": [[1.0]], "loose_per_bank": -1.0}, "factor"),
        ({**BARE, "unit_cost_money": [[1.0]], "compacted_per_bank": 1.1}, "export"),
        ({**BARE, "demands": [{"name": "D", "compacted_m3": -1.0}], "unit_cost_money": [[1.0]]}, "volume"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]]}, "material"),
        ({**BARE, "unit_cost_money": [[1.0]], "materials": [{"name": "a"}]}, "material"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]], "materials": [{"name": "a"}] * 2}, "material"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]], "materials": [{"name": "a"}],
          "compacted_per_bank": 1.0}, "material"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]],
          "materials": [{"name": "a", "loose_per_bank": 0.0}]}, "factor"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]],
          "materials": [{"name": "a", "compacted_per_bank": 0.9}]}, "cut of a"),
        ({"supplies": S, "demands": D, "unit_cost_money": [[1.0]],
          "materials": [{"name": "a", "price": 1.0}]}, "price"),
    ],
)  # fmt: skip
def test_refusals(given, word):
    """Each fault of a balance is refused by its word, a material that does not balance by its name."""
    with pytest.raises(InputError) as error:
        call(soil_balance, given)
    assert word in str(error.value).lower()
