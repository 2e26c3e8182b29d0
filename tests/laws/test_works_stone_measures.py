"""Stone is one figure: in place by the soil account, and ordered loose by a stated share more."""

from __future__ import annotations

import pytest

from demo_plans import DEMOS, demo
from worked import SEEDS, plan_of

STONES = ("drain stone", "base stone")


@pytest.mark.parametrize("yard", [*DEMOS, *SEEDS])
def test_the_order_is_the_account_s_stone_times_a_stated_factor(yard: str | int) -> None:
    """Net amounts of the order list add up to the account's stone in place; what is brought in is, stone by stone, the
    amount in place and loose as much as the list asks for, its stated share more."""
    plan = demo(yard) if isinstance(yard, str) else plan_of(yard)
    account = plan.earth.account
    lines = {line.name.split(",")[0]: line for line in plan.works.order if line.key in ("drain_stone", "base_stone")}
    brought = {row.what: row for row in account.brought if row.what in STONES}
    assert set(brought) == {name for name, line in lines.items() if line.quantity > 1e-6}
    assert sum(line.quantity for line in lines.values()) == pytest.approx(account.stone_m3, rel=1e-9)
    for name, row in brought.items():
        assert row.placed_m3 == pytest.approx(lines[name].quantity, rel=1e-9)
        assert row.loose_m3 == pytest.approx(row.placed_m3 * (1.0 + lines[name].waste), rel=1e-9)
        assert row.loose_m3 == pytest.approx(lines[name].need, rel=1e-9)
        assert f"{lines[name].waste:.0%}".replace("%", " %") in lines[name].note
