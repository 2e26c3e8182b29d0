"""Laws of what findings say: things by the names that stand on the sheets, and of prices only what is true."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from demo_plans import DEMOS, demo
from lynchet.book.texts import Words
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.drawings.pipe_list import outlet_names, pipes
from lynchet.drawings.planting_rows import LIGHT_SAID
from lynchet.drawings.wall_facts import wall_piece_names
from lynchet.plan.cautions import cautions
from lynchet.plan.model import Plan
from lynchet.plan.placed import placed
from lynchet.planting.model import LIGHT_WORDS
from lynchet.water.short_names import named
from lynchet.works.items import item_key, items
from worked import SEEDS, plan_of, priced, worked

YARDS = (*DEMOS, *SEEDS)
_PIECE = re.compile(r"(\d+[a-z]+) of wall (\w+)")
_OUTLET = re.compile(r"\bOUT\d*\b")


def _plan(name: str | int) -> Plan:
    return demo(name) if isinstance(name, str) else plan_of(name)


def _texts(plan: Plan) -> Iterator[str]:
    """Everything findings, their cures and the cautions say."""
    for finding in plan.findings:
        yield finding.text
        for cure in finding.cures:
            yield from (cure.text, cure.effect)
    yield from cautions(plan)


@cache
def _ids(name: str | int) -> frozenset[str]:
    """All ids of a plan that are joined with strokes."""
    plan = _plan(name)
    water, timber = plan.water, plan.timber
    groups: tuple[Any, ...] = (
        plan.pieces, plan.walls.runs, plan.stability.ties, plan.stability.pins, timber.fasteners, water.chains,
        water.drains, water.solids, water.outlets, water.notches, water.stone, water.fabric, water.fittings,
        water.bodies, water.roof_pipes, water.cut_offs, plan.works.tasks, placed(plan),
    )  # fmt: skip
    return frozenset(one.id for group in groups for one in group if "/" in one.id)


@pytest.mark.parametrize("name", YARDS)
def test_nothing_is_called_by_its_id(name: str | int) -> None:
    """No finding, cure or caution holds an id of the plan that is joined with strokes."""
    ids = _ids(name)
    assert ids
    said = [word.strip(".,;:()\"'“”") for text in _texts(_plan(name)) for word in text.split()]
    assert [word for word in said if word in ids] == []


@pytest.mark.parametrize("name", YARDS)
def test_names_in_findings_stand_on_the_sheets(name: str | int) -> None:
    """A piece or an outlet named by a finding is one of the wall sheets or of the water sheet."""
    plan = _plan(name)
    pieces, outlets = set(wall_piece_names(plan).values()), set(outlet_names(plan).values())
    for text in _texts(plan):
        assert {f"{wall} {mark}" for mark, wall in _PIECE.findall(text)} <= pieces, text
        assert set(_OUTLET.findall(text)) <= outlets, text


def test_short_piece_and_mound_name_the_thing_itself() -> None:
    """The mark told with a length is that of a piece of this length; a heap is told of the outlet it belongs to."""
    plan = demo("l_garden")
    found = {finding.code: finding for finding in plan.findings}
    names = {mark: piece for piece, mark in wall_piece_names(plan).items()}
    lengths = {piece.id: piece.length_m for piece in plan.pieces}
    told = re.findall(r"(\d+[a-z]+) of wall (\w+) \((\d\.\d\d) m\)", found["timber.short_piece"].text)
    assert told
    for mark, wall, said in told:
        assert lengths[names[f"{wall} {mark}"]] == pytest.approx(float(said), abs=0.006)
    mound = found["water.mound"]
    assert mound.text.endswith(f"outlet {outlet_names(plan)[mound.place]}.")


def test_short_names_replace_whole_ids_alone() -> None:
    """An id within a longer one stays, a full stop behind it is no part of it, and cures are told as well."""
    made = Finding("water.x", Verdict.OK, "Drain B2/W2/1 meets B2/W2/1/out.", "B2/W2/1",
                   cures=(Cure("x", "drain B2/W2/1 lower", (), "B2/W2/1: lower"),))  # fmt: skip
    said = named(made, {"B2/W2/1": "D1", "B2/W2/1/out": "P1"})
    assert said.text == "Drain D1 meets P1." and said.place == "B2/W2/1"
    assert (said.cures[0].text, said.cures[0].effect) == ("drain D1 lower", "D1: lower")
    assert named(made, {"W2/1": "D9"}) == made


def test_pipes_have_one_name_each() -> None:
    """Short names of pipes and outlets are all different."""
    plan = demo("l_garden")
    names = [*outlet_names(plan).values(), *(pipe.name for pipe in pipes(plan))]
    assert len(names) > 4 and len(set(names)) == len(names)


def _unpriced(findings: Any) -> list[str]:
    return [finding.text for finding in findings if re.search(r"No price for \d+ of \d+ lengths", finding.text)]


@pytest.mark.parametrize("name", YARDS)
def test_a_missing_price_of_timber_is_missing_on_the_order_list(name: str | int) -> None:
    """Lengths said to have no price are as many as those without one on the order list; none, nothing is said."""
    plan = _plan(name)
    lines = [line for line in plan.works.order if line.group == "timber" and line.buy > 0]
    without = sum(line.unit_price is None for line in lines)
    said = f"No price for {without} of {len(lines)} lengths of timber: ask the yard."
    assert _unpriced(plan.findings) == ([said] if without else [])


def test_a_price_of_the_list_is_seen() -> None:
    """One length priced of two: one is missing; timber by the metre prices both."""
    plan = plan_of(SEEDS[0])
    lines = [line for line in plan.works.order if line.group == "timber" and line.buy > 0]
    assert len(lines) == 2
    one = worked(plan, prices=priced({lines[0].key: 21.0}))
    assert _unpriced(one.findings) == ["No price for 1 of 2 lengths of timber: ask the yard."]
    assert _unpriced(worked(plan, prices=priced({"timber": (9.0, "m")})).findings) == []


def test_sizes_in_the_order_list_come_in_the_units_of_the_file_first() -> None:
    """No line of a list in feet puts millimetres before inches, none in metres inches before millimetres; either name
    is known in a price list."""
    for system, first, other in (("us", "in", "mm"), ("metric", "mm", "in")):
        found = items(system)  # type: ignore[arg-type]
        both = [item for item in found.values() if re.search(r"\d (mm|in)\b.*\(.*\d (mm|in)\)", item.name)]
        assert both
        for item in both:
            assert re.search(rf"\d {first} \([^)]*\d {other}\)", item.name), item.name
            assert item_key(item.name) == item.key
    stone = next(line for line in demo("side_yard").works.order if line.key == "drain_stone")
    assert stone.name.endswith("3/4 to 1 1/2 in (20 to 40 mm)")


def test_light_has_one_word_everywhere() -> None:
    """Findings, sheets and book call the light of a bed the same."""
    words = Words()
    for light in ("sun", "part", "shade"):
        assert words(f"plants.light_{light}") == LIGHT_SAID[light] == LIGHT_WORDS[light]
    told = " ".join(text for name in DEMOS for text in _texts(replace(demo(name))))
    assert "part sun" not in told
