"""The next morning: "can you take off 3,000?" What went, what it saves, what gets worse between two versions."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from pypdf import PdfReader

import lynchet.demos
from by_command import Ran, changed, command
from lynchet.schemes.changes import Changes, file_changes
from lynchet.schemes.changes_words import file_lines

LABOUR = "labour = 48, plants = 6, drip_line = 1, "


def version(folder: Path, name: str, **swaps: str) -> Path:
    """The side yard with every price, and what this version changes."""
    text = Path(lynchet.demos.__file__).with_name("side_yard.toml").read_text(encoding="utf-8")
    text = text.replace("items = { ", "items = { " + LABOUR)
    for old, new in swaps.items():
        assert old in text, old
        text = text.replace(old, new)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def compared(after: Path, before: Path, *words: str) -> Ran:
    """The command, quickly."""
    done = command("compare", str(after), "--before", str(before), "--effort", "live", *words)
    assert done.status == 0, done.err
    return done


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Four beds, then three: folder of the sheet, and the screen."""
    folder = tmp_path_factory.mktemp("changes")
    old, new = version(folder, "a.toml"), version(folder, "b.toml", **{"terraces = 4": "terraces = 3"})
    done = compared(new, old, "--out", str(folder / "out"))
    return folder, done.out


def test_the_sheet_says_what_went_and_what_it_costs(sheet: tuple[Path, str]) -> None:
    """The changed key, the wall that goes, the price before and now, on screen and on paper."""
    folder, screen = sheet
    paper = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(folder / "out" / "changes.pdf").pages)
    html = (folder / "out" / "changes.html").read_text(encoding="utf-8")
    for text in (screen, paper, html):
        plain = " ".join(text.split())
        for said in ("brief.terraces = 3 (was 4)", "wall W4 goes", "price before tax", "b.toml against a.toml"):
            assert said in plain, said
    assert "two different yards" not in screen
    assert re.search(r"It (saves|costs) USD [\d,.]+ ", screen)
    assert (folder / "out" / "changes.txt").read_text(encoding="utf-8") == screen


def test_the_change_is_the_difference_of_two_quotes(sheet: tuple[Path, str]) -> None:
    """What the sheet says it saves is what the two quotes differ by, and the lines make the change of direct cost."""
    folder, _ = sheet
    data = json.loads((folder / "out" / "changes.json").read_text(encoding="utf-8"))
    prices = [
        json.loads(command("quote", str(folder / name), "--effort", "live", "--json").out)
        for name in ("a.toml", "b.toml")
    ]
    assert data["price_change"] == pytest.approx(prices[1]["price"] - prices[0]["price"], abs=1e-9)
    assert [data[side]["price"] for side in ("before", "after")] == [one["price"] for one in prices]
    lines = sum(line["money"] for line in data["lines"])
    assert lines == pytest.approx(prices[1]["direct"] - prices[0]["direct"], abs=0.02 * len(prices[0]["lines"]))


def test_there_and_back_changes_nothing(sheet: tuple[Path, str]) -> None:
    """The other way round every sum has the other sign, what was new is gone, what was worse is better."""
    folder, _ = sheet
    there = json.loads((folder / "out" / "changes.json").read_text(encoding="utf-8"))
    back = json.loads(compared(folder / "a.toml", folder / "b.toml", "--json").out)
    assert back["price_change"] == pytest.approx(-there["price_change"])
    opposite = {"new": "gone", "gone": "new", "worse": "better", "better": "worse"}
    turns = sorted((one["place"], opposite[one["turn"]]) for one in there["findings"])
    assert sorted((one["place"], one["turn"]) for one in back["findings"]) == turns
    assert {one["name"] for one in back["lines"]} == {one["name"] for one in there["lines"]}


def test_the_same_file_twice_has_changed_nothing(tmp_path: Path) -> None:
    """Nothing is said to have changed where nothing has; a name alone is no change of the work."""
    old = version(tmp_path, "a.toml")
    assert "Nothing that is built, bought or paid has changed." in compared(old, old).out
    new = version(tmp_path, "b.toml", **{"Alder Street side yard": "Alder Street"})
    done = compared(new, old)
    assert "Nothing that is built" in done.out
    assert 'name = "Alder Street" (was "Alder Street side yard")' in " ".join(done.out.split())


def test_only_a_price_changed(tmp_path: Path) -> None:
    """A dearer stick is a change of price alone: no wall, no finding, and the whole of it is the price part."""
    old = version(tmp_path, "a.toml")
    new = version(tmp_path, "b.toml", **{"timber_12_ft = 57": "timber_12_ft = 63"})
    data = json.loads(compared(new, old, "--json").out)
    assert [line["change"] for line in data["lines"]] == ["price"]
    line = data["lines"][0]
    assert line["money"] == line["price_part"] == pytest.approx(6 * line["after"])
    assert data["walls"] == data["findings"] == []
    assert data["price_change"] == pytest.approx(line["money"], abs=0.02)


def test_prices_that_cannot_be_compared_are_said(tmp_path: Path) -> None:
    """A price missing in one version, or another currency, gives no difference that passes for one."""
    old = version(tmp_path, "a.toml")
    gap = version(tmp_path, "b.toml", **{'fabric = "1.1 per sq yd", ': ""})
    done = compared(gap, old)
    said = " ".join(done.out.split())
    assert "cannot be set side by side: now: no price for 1 of" in said and "(filter fabric" in said
    assert json.loads(compared(gap, old, "--json").out)["price_change"] is None
    other = version(tmp_path, "c.toml", **{'currency = "USD"': 'currency = "CAD"'})
    assert "one is in USD, the other in CAD" in " ".join(compared(other, old).out.split())


def test_bad_input_names_the_file_it_stands_in(tmp_path: Path) -> None:
    """A missing or a wrong earlier version is told under its own name, and nothing is written."""
    new = version(tmp_path, "b.toml")
    done = command("compare", str(new), "--before", str(tmp_path / "none.toml"), "--out", str(tmp_path / "out"))
    assert done.status == 2
    assert "none.toml: there is no such file" in done.err
    wrong = version(tmp_path, "a.toml", **{"crew = 2": "crew = 0"})
    done = command("compare", str(new), "--before", str(wrong), "--out", str(tmp_path / "out"))
    assert done.status == 2
    assert "a.toml:" in done.err
    assert "works.crew" in done.err
    assert not (tmp_path / "out").exists()


def test_two_different_yards_are_told(tmp_path: Path) -> None:
    """Another name, area and fall: said plainly above the sheet, which is shown all the same."""
    changes = {'name = "Plain slope"': 'name = "By the mill"', 'length = "20 ft"': 'length = "60 ft"', "8 %": "12 %"}
    here, other = changed(tmp_path, "plain.toml", {}), tmp_path / "other.toml"
    text = here.read_text(encoding="utf-8")
    for old, new in changes.items():
        text = text.replace(old, new)
    other.write_text(text, encoding="utf-8")
    plain = " ".join(compared(here, other).out.split())
    assert "look like two different yards" in plain and "side by side all the same" in plain
    for said in ('"By the mill" and "Plain slope"', "840 sq ft and 280 sq ft", "12 % (1 in 8.33) and 8 %"):
        assert said in plain, plain


def test_what_was_built_since_is_told_in_a_line_each() -> None:
    """Entries that a program writes are told by what people know of them; a changed key of one stays a key."""
    text = '[[stands]]\nwall = "W2"\ncourse = 3\nbottom = "-1.25 m"\nline = [["0 m", "2 m"], ["12 m", "2 m"]]\n'
    built = tomllib.loads(text + '[[found]]\nwhat = "pipe"\nat = [6, 4]\n')

    def told(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
        return list(file_lines(cast(Changes, SimpleNamespace(file=tuple(file_changes(before, after))))))

    assert told({}, built) == ['stands.1: wall = "W2", course = 3 (new)', 'found.1: what = "pipe", at = [6, 4] (new)']
    assert told(built, {})[0] == 'stands.1: wall = "W2", course = 3 (taken away)'
    other = tomllib.loads(text.replace("course = 3", "course = 2") + '[[found]]\nwhat = "pipe"\nat = [6, 4]\n')
    assert told(built, other) == ["stands.1.course = 2 (was 3)"]
    moved = tomllib.loads(text.replace('"2 m"]]', '"3 m"]]'))
    assert 'stands.1.line = [["0 m", "2 m"], ["12 m", "3 m"]] (was [["0 m", "2 m"], ["12 m", "2 m"]])' in told(
        tomllib.loads(text), moved
    )


def test_a_price_that_both_lack_hides_no_change_of_the_rest(tmp_path: Path) -> None:
    """Both lack the price of fabric: the change of what is priced is told, what is not counted is named, with whether
    its amount changed; a price that one alone lacks leaves them without a common sum."""
    no_fabric = {'fabric = "1.1 per sq yd", ': ""}
    old = version(tmp_path, "a.toml", **no_fabric)
    dearer = version(tmp_path, "b.toml", **no_fabric, **{"timber_12_ft = 57": "timber_12_ft = 63"})
    said = " ".join(compared(dearer, old).out.split())
    full = [version(tmp_path, name, **more) for name, more in (
        ("c.toml", {}), ("d.toml", {"timber_12_ft = 57": "timber_12_ft = 63"}))]  # fmt: skip
    (costs,) = re.findall(r"It costs (USD [\d,.]+) more before tax\.", " ".join(compared(full[1], full[0]).out.split()))
    assert f"What has a price costs {costs} more before tax. Without a price in both: " in said
    assert "in the same amounts." in said and "cannot be set side by side" not in said
    fewer = version(tmp_path, "e.toml", **no_fabric, **{"terraces = 4": "terraces = 3"})
    less = " ".join(compared(fewer, old).out.split())
    assert re.search(r"What has a price costs USD [\d,.]+ (more|less) before tax\. Without a price in both: ", less)
    assert "of these other amounts are wanted of" in less and "not counted." in less
