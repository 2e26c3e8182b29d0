"""Short pieces: what is offered against them was tried, and no cure is told without its effect."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import lynchet.demos
from demo_plans import DEMOS
from lynchet.commands.report import all_lines
from lynchet.core.findings import Verdict
from lynchet.plan.cures import Tried, named_cure, tried_cures, with_cures
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.piece_cures import AS_LAID, PIECE_CURES, _ways, short_in
from lynchet.plan.pipeline import plan_project
from lynchet.plan.priced_stock import with_prices
from lynchet.project.load import load
from lynchet.project.model import Project
from lynchet.project.read import checked

YARDS: tuple[tuple[str, tuple[tuple[str, Any], ...]], ...] = (
    *((name, ()) for name in DEMOS),
    ("side_yard", (("brief.joint_offset", "3 ft"), ("brief.longest_piece", "8 ft"))),
)


@cache
def looked_at(name: str, edits: tuple[tuple[str, Any], ...]) -> tuple[Plan, list[Tried]]:
    """A demo with edits, and what was tried for it."""
    loaded = load(Path(lynchet.demos.__file__).with_name(f"{name}.toml"))

    def reread(more: Sequence[tuple[str, object]]) -> Project:
        return checked(loaded, [*edits, *more])

    plan = plan_project(reread([]), effort=LIVE)
    return plan, tried_cures(plan, reread)


@pytest.mark.parametrize(("name", "edits"), YARDS)
def test_no_cure_is_told_without_its_effect(name: str, edits: tuple[tuple[str, Any], ...]) -> None:
    """Nothing printed ends in a dash, and whatever can be applied says what it leads to."""
    plan, tried = looked_at(name, edits)
    said = "\n".join(all_lines(plan, tried))
    assert not re.search(r"—\s*$", said, re.MULTILINE) and "— ;" not in said
    told = [*plan.findings, *with_cures(plan, tried)]
    offered = [cure for one in told if one.verdict is Verdict.OK for cure in one.cures if cure.edits]
    assert all(cure.effect.strip() for cure in [*offered, *(one.cure for one in tried)])


@pytest.mark.parametrize(("name", "edits"), YARDS)
def test_short_pieces_have_a_tried_cure_or_a_plain_word(name: str, edits: tuple[tuple[str, Any], ...]) -> None:
    """Where pieces are short and nothing stops, either fewer are left by one edit, as told, or it is said that none."""
    plan, tried = looked_at(name, edits)
    short = [one for one in with_cures(plan, tried) if one.code == "timber.short_piece"]
    mine = [one for one in tried if one.cure.name in PIECE_CURES | {AS_LAID}]
    assert bool(mine) == (bool(short) and plan.verdict is not Verdict.STOP)
    assert [cure for one in short for cure in one.cures] == [one.cure for one in mine]
    loaded = load(Path(lynchet.demos.__file__).with_name(f"{name}.toml"))
    for one in mine:
        if one.cure.name == AS_LAID:
            assert not one.cure.edits and "none leaves fewer" in one.cure.effect
            continue
        kept = named_cure(plan, one.cure.name)
        after = plan_project(checked(loaded, [*edits, *kept.edits]), effort=LIVE)
        was, now = short_in(plan, plan.pieces), short_in(after, after.pieces)
        assert now.count < was.count or (now.count == was.count and now.least_m > was.least_m)
        assert f"{was.count} → {now.count}" in one.cure.effect


def test_the_yards_show_both_answers() -> None:
    """The yards looked at have one with a cure of short pieces, one that no edit helps, one without short pieces."""
    names = [{one.cure.name for one in looked_at(*yard)[1]} & (PIECE_CURES | {AS_LAID}) for yard in YARDS]
    assert any(found & PIECE_CURES for found in names) and {AS_LAID} in names and set() in names


@pytest.mark.parametrize("name", ["l_garden", "side_yard"])
@pytest.mark.parametrize("stock", [(), ("8 ft",), ({"length": "250.5 cm", "on_hand": 3},)])
def test_every_way_tried_is_the_file_with_its_edit(name: str, stock: tuple[Any, ...]) -> None:
    """What pieces are laid anew by is what the file says once the edit is written into it."""
    loaded = load(Path(lynchet.demos.__file__).with_name(f"{name}.toml"))
    edits = [("timber.1.stock", list(stock))] if stock else []
    plan = plan_project(checked(loaded, edits), effort=LIVE)
    ways = list(_ways(plan))
    priced = any(row.price is not None for row in with_prices(plan.project).timber.stock)
    kinds = {way.cure.name for way in ways}
    assert "nearer-joints" in kinds and ("longer-sticks" in kinds) == (bool(stock) and not priced)
    assert ("shorter-pieces" in kinds) == (not stock)
    for way in ways:
        read, tried = checked(loaded, [*edits, *way.cure.edits]), way.project
        assert read.brief.joint_offset_m == pytest.approx(tried.brief.joint_offset_m, abs=1e-5)
        assert read.brief.longest_piece_m == pytest.approx(tried.brief.longest_piece_m, abs=1e-5)
        assert [row.length_m for row in read.timber.stock] == pytest.approx(
            [row.length_m for row in tried.timber.stock], abs=1e-5
        )
        assert [row.on_hand for row in read.timber.stock] == [row.on_hand for row in tried.timber.stock]
