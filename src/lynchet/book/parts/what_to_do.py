"""What to do, in order: from the answers to the first day, on the page everybody reads."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.texts import Words
from lynchet.plan.model import DAY_SHEETS, Plan
from lynchet.plan.next_steps import ASKS, next_steps

_GOES = "soil away"


def what_to_do(plan: Plan, asked: bool, words: Words) -> tuple[str, ...]:
    """One line a step, each to tick; nothing where days or order list are kept back: then there is nothing to begin.

    Args:
        plan: the plan.
        asked: whether answers are wanted first, which stand over it.
        words: texts.
    """
    if {"all", "order-list", DAY_SHEETS} & plan.withheld.keys() or not plan.works.days:
        return ()
    return tuple(_steps(plan, asked, words))


def _steps(plan: Plan, asked: bool, words: Words) -> Iterator[str]:
    if asked:
        yield words("first.do_answers")
    for step in next_steps(plan):
        if not step.startswith(ASKS):
            yield f"{step[:1].upper()}{step[1:]}."
    by_day: dict[int, list[str]] = {}
    for one in plan.works.deliveries:
        if one.name != _GOES:
            by_day.setdefault(one.day, []).append(one.name)
    if by_day:
        told = (words("first.do_by_day", what=", ".join(names), day=day) for day, names in sorted(by_day.items()))
        yield words("first.do_order", what="; ".join(told))
    first, count = plan.works.days[0], len(plan.works.days)
    weekday = words(f"day.weekday.{first.weekday}") if first.weekday else ""
    when = " ".join(part for part in (weekday, first.date) if part)
    yield words("first.do_begin", when=f", {when}" if when else "", days=count)
