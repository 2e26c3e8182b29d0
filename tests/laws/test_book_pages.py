"""The printed book's pages: kept-back parts take no page, headings stand over something, figures are a person's."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from math import log10

import numpy as np
import pytest
from pypdf import PdfReader

from demo_plans import DEMOS, demo
from lynchet.book.blocks import Book, Bullets, Heading, Para, Screen, Table, Working, join
from lynchet.book.parts.all_findings import all_findings, assumed, four_figures
from lynchet.book.parts.cut_sheet import cut_sheet
from lynchet.book.parts.first_page import first_page
from lynchet.book.parts.order_pages import order_pages, to_buy
from lynchet.book.parts.plant_pages import plant_pages
from lynchet.book.parts.setting_card import mark_words, setting_card
from lynchet.book.parts.soil_pages import soil_pages
from lynchet.book.pdf import to_pdf
from lynchet.book.signs import held, signed
from lynchet.book.texts import Words
from lynchet.book.typst_source import typst_source
from lynchet.calculators.text import run, working_parts, working_text
from lynchet.calculators.value_text import value_text
from lynchet.core.findings import Verdict

ENGLISH = Words("en")


def _text_book(name: str) -> Book:
    """What is text of a demo's book: all but sheets and days, whose pictures are drawn elsewhere."""
    plan = demo(name)
    back = "order-list" in plan.withheld
    blocks = join(first_page(plan, ENGLISH), setting_card(plan, ENGLISH), cut_sheet(plan, ENGLISH),
                  soil_pages(plan, ENGLISH), order_pages(plan.works, plan.project.units, back, ENGLISH),
                  plant_pages(plan.planted, plan.project.units == "us", ENGLISH), all_findings(plan, ENGLISH),
                  assumed(plan, ENGLISH))  # fmt: skip
    return Book(plan.project.name, "", "en", (215.9, 279.4), blocks, f"{plan.project.name} · foot")


@pytest.mark.parametrize("name", ["side_yard", "spot_levels"])
def test_no_heading_is_alone_at_the_foot(name: str) -> None:
    """The last line of a page over its foot is never a heading: what a heading names begins on its page."""
    book = _text_book(name)
    heads = {" ".join(block.text.split()) for block in book.blocks if isinstance(block, Heading)}
    pages = PdfReader(BytesIO(to_pdf(book))).pages
    for number, page in enumerate(pages, start=1):
        lines = [" ".join(line.split()) for line in page.extract_text().replace("\u00a0", " ").splitlines()]
        said = [line for line in lines if line and not line.startswith(book.title + " ·") and " / " not in line[-9:]]
        assert said and said[-1] not in heads, (name, number, said[-1:])


def test_what_is_kept_back_takes_no_page() -> None:
    """Cut sheet and order list of a plan that stops follow one another; without a stop each begins a page."""
    stopped, plain = (typst_source(_text_book(name)) for name in ("spot_levels", "side_yard"))
    for part in ("cuts.head", "order.head"):
        head = f'#heading(level: 1, "{ENGLISH(part)}")'
        assert stopped.partition(head)[0].endswith("#part-goes-on()\n")
        assert plain.partition(head)[0].endswith("#pagebreak(weak: true)\n")


@pytest.mark.parametrize("seed", range(3))
def test_numbers_keep_four_figures(seed: int) -> None:
    """Shortened numbers are within half of their fourth figure, never longer, and stay as they are when done again."""
    rng = np.random.default_rng(seed)
    for value in 10.0 ** rng.uniform(-5, 5, 300):
        text = f"{value:.6f}" if value > 1e-3 else f"{value:.9f}"
        short = four_figures(f"x {text} m").split()[1]
        assert len(short) <= len(text) and four_figures(short) == short
        assert abs(float(short) - float(text)) <= 0.5 * 10 ** (np.floor(log10(float(text))) - 3) * 1.0001
    assert four_figures("R401.3 on 2026.04.03, friction 20 °, 4 °C") == "R401.3 on 2026.04.03, friction 20°, 4 °C"


def test_what_rounding_leaves_of_nothing_is_told_as_nothing() -> None:
    """Sums that end in 0 leave less than 1e-14 of either sign, which differs by machine; a small quantity stays."""
    assert [value_text("left_x_m", value, "metric") for value in (0.1 + 0.2 - 0.3, 0.3 - 0.1 - 0.2, 0.0)] == ["0 m"] * 3
    assert value_text("rate", 3.25e-12, "metric") == "3.25e-12"


def test_amounts_are_never_less_than_needed() -> None:
    """An amount as ordered is not under what is needed, and over it by less than a step of its third figure."""
    for value in np.random.default_rng(0).uniform(0.0, 900.0, 500).tolist():
        step = 0.0 if value < 10.0 else 0.1 if value < 100.0 else 1.0
        assert value - 1e-4 <= to_buy(value) < value + step + 1e-9
    assert [to_buy(value) for value in (3.0, 48.0, 477.0)] == [3.0, 48.0, 477.0]


def test_signs_are_those_of_a_tape() -> None:
    """Every eighth of an inch is one sign that no line break parts from its number, and says the same length."""
    values = {"⅛": 1, "¼": 2, "⅜": 3, "½": 4, "⅝": 5, "¾": 6, "⅞": 7}
    for eighths in range(1, 64):
        whole, part = divmod(eighths, 8)
        plain = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}[part]
        inches = " ".join(text for text in (str(whole) if whole else "", plain) if text)
        found = re.fullmatch(r"4 ft (\d*)([⅛¼⅜½⅝¾⅞]?) in", signed(f"4 ft {inches} in"))
        assert found is not None and 8 * int(found[1] or 0) + values.get(found[2], 0) == eighths
    assert signed("1/2 turn, write `planting.zone`") == "1/2 turn, write “planting.zone”"
    assert held("4 ft 6½ in and ± 3 mm") == "4\u00a0ft\u00a06½\u00a0in and ±\u00a03\u00a0mm"


@pytest.mark.parametrize("name", DEMOS)
def test_a_working_on_a_page_leaves_nothing_out(name: str) -> None:
    """Every step, every result and the source that calc prints stand in the parts of the page too."""
    workings = dict(one.working for one in demo(name).findings if one.working is not None)
    assert workings
    for what, given in workings.items():
        parts = dict(working_parts(what, dict(given), "us"))
        printed = " ".join(working_text(what, dict(given), "us").split())
        assert all(step in printed for step in parts.get("Working", ()))
        assert len(parts.get("Working", ())) == len(run(what, dict(given)).steps)
        plain = " ".join(line for _, lines in working_parts(what, dict(given), "us") for line in lines)
        assert f"Source: {run(what, dict(given)).declared.source}" in plain
        results = run(what, dict(given)).result
        assert all(value_text(key, value, "us") in plain for key, value in results.items() if isinstance(value, float))


@pytest.mark.parametrize("name", DEMOS)
def test_limits_and_caution_of_a_calculator_stand_once(name: str) -> None:
    """Each calculator's caution is whole at its first working and pointed at by the others, never missing."""
    told: dict[str, int] = {}
    for block in all_findings(demo(name), ENGLISH):
        if isinstance(block, Working):
            whole = any(line.startswith(("CAUTION", "Limits:")) for line in block.lines)
            assert whole or told.get(block.title) or block.title not in told
            assert any(line.startswith("Source") for line in block.lines)
            if whole:
                told[block.title] = told.get(block.title, 0) + 1
    assert told and set(told.values()) == {1}


def test_every_assumed_value_says_what_it_is() -> None:
    """No line of what was assumed leaves out what the value is, and no unit is written as m3."""
    for name in DEMOS:
        (table,) = [block for block in assumed(demo(name), ENGLISH) if isinstance(block, Table)]
        assert all(what and value and origin and key for what, value, origin, key in table.rows)
        assert not any(re.search(r"(m|yd|ft)[23]\b", cell) for row in table.rows for cell in row[:3])


@pytest.mark.parametrize("name", DEMOS)
def test_levels_of_a_wall_run_from_its_left_end(name: str) -> None:
    """Undersides of each wall follow one another from the left, its top after them, all walls together."""
    plan = demo(name)
    plan = replace(plan, project=replace(plan.project, units="metric"))
    (table,) = [block for block in setting_card(plan, ENGLISH)
                if isinstance(block, Table) and block.heads == ENGLISH.many("setting.level_heads")]  # fmt: skip
    places = [row[0] for row in table.rows]
    assert [place for n, place in enumerate(places) if n == 0 or places[n - 1] != place] == list(dict.fromkeys(places))
    starts: dict[str, list[float]] = {}
    for place, _, along, _ in table.rows:
        starts.setdefault(place, []).append(float(along.split()[0]) if along else 1e9)
    assert all(found == sorted(found) for found in starts.values())
    assert any(len(set(found)) > 2 for found in starts.values())


def test_a_mark_is_told_by_what_it_is() -> None:
    """A mark that is but a number is a point; a name stands in quotes; without one the file's zero is named."""
    assert mark_words("7", ENGLISH) == "point 7" and mark_words("point 7", ENGLISH) == "point 7"
    assert mark_words("door sill", ENGLISH) == "the mark “door sill”" and mark_words("", ENGLISH) != ""


@pytest.mark.parametrize("name", DEMOS)
def test_the_first_page_says_what_to_do_in_order(name: str) -> None:
    """Answers before orders, orders before the first day, named with its date; nothing to begin where it stops."""
    plan = demo(name)
    told = [block for block in first_page(plan, ENGLISH) if isinstance(block, Bullets) and block.name == "do"]
    if plan.verdict is Verdict.STOP:
        assert not told
        return
    (steps,) = (block.items for block in told)
    first, goods = plan.works.days[0], [one for one in plan.works.deliveries if one.name != "soil away"]
    order = next(step for step in steps if step.startswith("Order"))
    assert all(re.search(rf"{one.name}[^;]* before day {one.day}\b", order) for one in goods) and goods
    assert steps[0].startswith("Get the answers") and ENGLISH(f"day.weekday.{first.weekday}") in steps[-1]
    assert (
        steps[-1].startswith("Begin with day 1")
        and first.date in steps[-1]
        and any("buried lines" in step for step in steps[1 : steps.index(order)])
    )


def test_feet_and_their_inches_stay_on_one_line() -> None:
    """ "13 ft / 10 3/8 in" over two lines of a table is read as 13 ft."""
    told = held(signed("13 ft 10 3/8 in and 3 ft 0 in; 40 ft 2 walls"))
    assert told == "13\u00a0ft\u00a010⅜\u00a0in and 3\u00a0ft\u00a00\u00a0in; 40\u00a0ft 2 walls"


@pytest.mark.parametrize("name", DEMOS)
def test_a_stop_says_where_its_cures_are_told(name: str) -> None:
    """They are tried while the book is drawn, and so stand elsewhere: on the phone's first screen and on paper."""
    plan = demo(name)
    told = [
        part.text for block in first_page(plan, ENGLISH)
        for part in (block.blocks if isinstance(block, Screen) else (block,)) if isinstance(part, Para)
    ]  # fmt: skip
    wanted = 2 if plan.verdict is Verdict.STOP else 0
    assert sum("findings.txt" in text for text in told) == wanted
