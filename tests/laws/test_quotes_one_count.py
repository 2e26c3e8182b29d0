"""Law: first look, plan and quote count the same lines, with a price and without."""

from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from demo_plans import demo
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project
from lynchet.quotes.client_copy import client_copy
from lynchet.quotes.making import quote_of


@pytest.mark.parametrize("edits", [(), (("prices.items", {}),), (("prices.items", {"labour": 30}),)])
def test_plan_and_quote_count_the_same_lines(edits):
    """The demo with its prices, with none, and with that of an hour alone: one count, the same names."""
    with as_file(files("lynchet.demos")) as folder:
        plan = plan_project(read_project(Path(folder) / "side_yard.toml", edits), effort=LIVE)
    price, quote = plan.works.price, quote_of(plan)
    assert (price.lines, price.missing) == (quote.missing.lines, quote.missing.names)
    assert quote.missing.words
    assert figures(plan).money_words.startswith(quote.missing.words)
    assert price.lines > len([line for line in plan.works.order if line.buy > 0])  # trucks and hours are lines too


@pytest.mark.parametrize("name", ["", "Invented Terraces"])
def test_the_head_of_a_quote_says_what_it_is_and_has_a_place_for_the_firm(name):
    """The client's copy is headed with the job; where the file names no firm, with a line to write it on."""
    plan = demo("side_yard")
    offer = replace(plan.project.offer, firm=replace(plan.project.firm, name=name))
    plan = replace(plan, project=replace(plan.project, offer=offer))
    heading, table, *_ = client_copy(plan, quote_of(plan), ()).blocks
    assert heading.text == "Quote: Alder Street side yard"
    assert table.rows[0][0] == (name or "From: ____________________")
