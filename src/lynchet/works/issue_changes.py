"""What changed between two issues of a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lynchet.core.calculator import calculator, refuse_if
from lynchet.core.kinds import NotNegative

SLACK = 1e-9
Change = Literal["same", "gone", "new", "quantity", "price", "both"]


@dataclass(frozen=True)
class IssueLine:
    """One line of an issue."""

    name: str
    quantity: NotNegative
    price_money: NotNegative
    """Per unit."""


@dataclass(frozen=True)
class IssueChanges:
    """Changes line by line and in all."""

    names: list[str]
    changes: list[Change]
    quantity_change: list[float]
    money_change: list[float]
    before_money: float
    after_money: float
    change_money: float
    quantity_part_money: float
    price_part_money: float


@dataclass(frozen=True)
class LineChange:
    """Change of one line."""

    change: Change
    quantity: float
    quantity_money: float
    price_money: float


def line_change(old: IssueLine | None, new: IssueLine | None) -> LineChange:
    """Change of one line; gone and new lines count wholly as quantity."""
    if old is None or new is None:
        line = old or new
        assert line is not None
        sign = -1.0 if new is None else 1.0
        amount = sign * line.quantity
        return LineChange("gone" if new is None else "new", amount, amount * line.price_money, 0.0)
    more, dearer = new.quantity - old.quantity, new.price_money - old.price_money
    kinds: dict[tuple[bool, bool], Change] = {
        (False, False): "same", (True, False): "quantity", (False, True): "price", (True, True): "both"
    }  # fmt: skip
    change = kinds[abs(more) > SLACK, abs(dearer) > SLACK]
    return LineChange(change, more, more * old.price_money, dearer * new.quantity)


@calculator(
    source="Quantity and price variance: a public answer page (science.blurtit.com 239262)",
    known="SEEN",
    example={
        "before": [{"name": "timber", "quantity": 117, "price_money": 38}],
        "after": [{"name": "timber", "quantity": 88, "price_money": 38}],
    },
)
def issue_changes(*, before: list[IssueLine], after: list[IssueLine]) -> IssueChanges:
    """What changed between two issues of a quote or order list, in quantity and price.

    Equation: quantity part = (q2 - q1) x p1; price part = (p2 - p1) x q2; their sum is the change of money.

    Symbols: q quantity and p price per unit, 1 before, 2 after.

    Limits: lines are matched by name, used once in each issue; equal within 1e-9.
    """
    old, new = _by_name(before, "before"), _by_name(after, "after")
    names = [*old, *(name for name in new if name not in old)]
    changes = [line_change(old.get(name), new.get(name)) for name in names]
    first = sum(line.quantity * line.price_money for line in before)
    second = sum(line.quantity * line.price_money for line in after)
    return IssueChanges(
        names=names,
        changes=[change.change for change in changes],
        quantity_change=[change.quantity for change in changes],
        money_change=[change.quantity_money + change.price_money for change in changes],
        before_money=first,
        after_money=second,
        change_money=second - first,
        quantity_part_money=sum(change.quantity_money for change in changes),
        price_part_money=sum(change.price_money for change in changes),
    )


def _by_name(lines: Sequence[IssueLine], key: str) -> dict[str, IssueLine]:
    found: dict[str, IssueLine] = {}
    for place, line in enumerate(lines):
        refuse_if(line.name in found, f"{key}[{place}].name", f"duplicate name {line.name!r}", "a name once an issue")
        found[line.name] = line
    return found
