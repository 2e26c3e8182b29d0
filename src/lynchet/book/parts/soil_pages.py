"""The soil account: what is dug, what is put in, what is pushed out, what goes away or comes."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.plan.model import Plan
from lynchet.units.format import length, volume

_LEAST_M3 = 0.005
"""Less is nothing one could dig or carry."""


def soil_pages(plan: Plan, words: Words) -> tuple[Block, ...]:
    """The account in the order one would tell it."""
    return tuple(_blocks(plan, words))


def _blocks(plan: Plan, words: Words) -> Iterator[Block]:
    account, units = plan.earth.account, plan.project.units
    yield Heading(words("soil.head"), 1, flows=True)
    yield Para(words("soil.intro"))
    rows = [
        (words("soil.bench_cut"), volume(account.bench_cut_m3, units)),
        (words("soil.trenches"), volume(account.trench_m3, units)),
        (words("soil.topsoil_back"), volume(-account.topsoil_used_m3, units).replace("-", "−")),
        (words("soil.fill"), volume(-account.fill_m3 / account.compacted_per_bank, units).replace("-", "−")),
        (words("soil.away" if account.away_bank_m3 >= 0 else "soil.short"), volume(abs(account.away_bank_m3), units)),
    ]
    yield Table(words.many("soil.heads"), tuple(rows), "lr", (5, 1.5), strong_last=True)
    amount = volume(abs(account.away_loose_m3), units)
    key = "soil.loads_away" if account.away_bank_m3 >= 0 else "soil.loads_in"
    yield Para(
        words(key, amount=amount, barrows=account.barrows, loads=words.counted("soil.load", account.loads)), "strong"
    )
    run = plan.earth.barrow_run
    if run is not None:
        yield Para(words("soil.run", length=length(run.length_m, units), passage=length(run.passage_m, units)))
    yield from _pushed(plan, words)
    yield from _steps(plan, words)


def _pushed(plan: Plan, words: Words) -> Iterator[Block]:
    """Why a job whose cut equals its fill still has soil to cart."""
    account, units = plan.earth.account, plan.project.units
    pushed = [row for row in account.pushed if row.bank_m3 > _LEAST_M3]
    if pushed:
        yield Heading(words("soil.pushed_head"))
        yield Para(words("soil.pushed_intro", tamped=f"{account.compacted_per_bank:g}"))
        rows: list[tuple[str, str, str]] = [
            (row.what, volume(row.volume_m3, units), volume(row.bank_m3, units)) for row in pushed
        ]
        rows.append((words("soil.pushed_all"), "", volume(account.pushed_bank_m3, units)))
        yield Table(words.many("soil.pushed_heads"), tuple(rows), "lrr", strong_last=True)
    if account.brought:
        yield Heading(words("soil.brought_head"))
        brought = tuple(
            (row.what, volume(row.placed_m3, units), volume(row.loose_m3, units), str(row.barrows))
            for row in account.brought
        )
        yield Table(words.many("soil.brought_heads"), brought, "lrrr")


def _steps(plan: Plan, words: Words) -> Iterator[Block]:
    """Terrace by terrace from the lowest: where the soil comes from and goes to."""
    units = plan.project.units
    if plan.earth.steps:
        yield Heading(words("soil.steps_head"))
        rows = tuple(
            (str(s.terrace), ", ".join(s.walls), volume(s.topsoil_m3, units), volume(s.dug_m3, units),
             volume(s.needed_m3, units), volume(s.away_m3, units), volume(s.peak_loose_m3, units), str(s.barrows))
            for s in plan.earth.steps
        )  # fmt: skip
        yield Table(words.many("soil.step_heads"), rows, "llrrrrrr")
