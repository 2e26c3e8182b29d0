"""Every key of the project file stands, with what it says, on the docs' page of keys."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from lynchet.project.keys import Key, Table
from lynchet.project.keys_build import FILE
from lynchet.project.keys_page import key_paths, keys_page

PAGE = Path(__file__).parents[2] / "docs" / "keys.md"


def test_the_page_of_keys_is_that_of_the_code() -> None:
    """The page is what the schema gives now (python -m lynchet.project.keys_page docs/keys.md)."""
    assert PAGE.read_text(encoding="utf-8") == keys_page()


def test_every_key_is_on_the_page() -> None:
    """Under the head of its table each key of the schema has a row that says what it is."""
    under: dict[str, str] = {}
    table = ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        table = found[1] if (found := re.fullmatch(r"## `([\w.]+)`", line)) else table
        if row := re.fullmatch(r"\| `(\w+)` \| (.+) \|", line):
            under[f"{table}.{row[1]}".strip(".")] = row[2]
    keys = [path for path, _ in key_paths()]
    assert len(keys) > 300 and {"ground.slope.cross_fall", "area.edges.inset"} <= set(keys)
    assert [path for path in keys if not under.get(path, "").strip()] == []


def test_what_is_assumed_is_written_in_the_units_of_the_file() -> None:
    """No default of a metric file carries feet, inches or pounds, none of a US file kilograms or kilonewtons."""
    foreign = {"metric": r"\d\s*(ft|in|lb|lb/ft3|pcf|psf|yd)\b", "us": r"\d\s*(kN|kg|kPa|m3)\b"}

    def walk(table: Table, path: str) -> Iterator[tuple[str, Key]]:
        for name, key in table.keys.items():
            yield f"{path}{name}", key
            if key.table is not None:
                yield from walk(key.table, f"{path}{name}.")

    wrong = [
        (path, system, key.default_for(system))
        for path, key in walk(FILE, "")
        for system, pattern in foreign.items()
        if key.kind != "slope" and re.search(pattern, str(key.default_for(system)))  # type: ignore[arg-type]
    ]
    assert wrong == []


def test_the_page_says_how_a_value_is_written_and_what_must_be_given() -> None:
    """A list, a place, true or false, a whole number with its range, both systems' ranges; no word of another language
    than the file's own."""
    page = PAGE.read_text(encoding="utf-8")
    rows = {line.split("`")[1]: line for line in page.splitlines() if line.startswith("| `")}
    assert 'a list: `["one", "two"]`' in rows["wishes"] and "of these: " in rows["helps_off"]
    assert "true or false" in rows["weekends_only"] and "default false" in rows["weekends_only"]
    assert "a whole number; from 1 up to 50" in rows["crew"]
    assert "up to 4.00 m (us: from 0 in up to 13 ft 1 1/2 in)" in rows["frost_depth"]  # 4 m = 13.123 ft
    assert "must be given" in rows["terrace"] and "must be given" not in rows["option"]
    assert "True" not in page and "False" not in page
