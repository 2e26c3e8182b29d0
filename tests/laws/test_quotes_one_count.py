"""Law: first look, plan and quote count the same lines, with a price and without."""

from importlib.resources import as_file, files
from pathlib import Path

import pytest

from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project
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
