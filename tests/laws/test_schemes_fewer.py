"""The scheme with one wall fewer never has as many walls as the file, or more."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from demo_plans import demo
from lynchet.core.findings import Verdict
from lynchet.schemes import briefs
from lynchet.schemes.figures import row_of
from lynchet.schemes.model import Outcome
from lynchet.schemes.named import made
from lynchet.schemes.search import Bench, Tried, key_of


def _bench(walls: list[int], verdicts: list[Verdict]) -> Bench:
    """A bench on which the briefs with one terrace fewer are said to lead to so many walls."""
    plan = demo("l_garden")
    base = Tried((), plan, row_of(plan))
    bench = Bench(lambda edits: plan.project, base, lambda text: None)
    count = base.row.terraces - 1
    for edits, n, verdict in zip(briefs.one_wall_fewer(plan), walls, verdicts, strict=True):
        tried = Tried(edits, plan, replace(base.row, walls=n, verdict=verdict, terraces=count))
        bench.known[key_of(edits)] = bench.wholes[key_of(edits)] = tried
    return bench


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 30), min_size=2, max_size=2), st.lists(st.sampled_from(Verdict), min_size=2, max_size=2))
def test_never_as_many_walls_as_the_file(walls: list[int], verdicts: list[Verdict]) -> None:
    """Whatever the two layouts lead to, the one taken has fewer walls; where none has, both counts are told."""
    bench = _bench(walls, verdicts)
    before = bench.base.row.walls
    found = made("one-wall-fewer", bench)
    if min(walls) < before:
        assert isinstance(found, Outcome) and found.row.walls < before
    else:
        assert isinstance(found, str) and f"{min(walls)}, and the file as written has {before}" in found


@pytest.mark.parametrize(("more", "word"), [(0, "as many walls"), (3, "more walls")])
def test_why_it_cannot(more: int, word: str) -> None:
    """A yard where the layouts with one terrace fewer need as many walls or more has no such scheme, and is told so."""
    bench = _bench([0, 0], [Verdict.OK, Verdict.OK])
    walls = bench.base.row.walls + more
    found = made("one-wall-fewer", _bench([walls, walls], [Verdict.OK, Verdict.OK]))
    assert isinstance(found, str) and found.startswith(f"one terrace fewer needs {word} here")
