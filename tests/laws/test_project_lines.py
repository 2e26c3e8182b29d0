"""Where each key of a TOML text stands."""

from __future__ import annotations

import random
import tomllib

import pytest

from lynchet.project.lines import Lines

TEXT = '''# a remark = 1
name = "a # b = [ c"   # remark
"odd key" = 1
site.north = 12
list = [
  1,  # one
  [2, 3],

  { a = 1, b = [4,
    5] },
]
[area]
outline = [[0, 0], [1, 0]]
text = """
[not.a.table]
x = 1
"""
[[fixed]]
kind = 'tree'
[fixed.more]
deep = true
[[fixed]]
kind = "it's"
[[fixed.twigs]]
n = 1
[[fixed.twigs]]
n = 2
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2), (("odd key",), 3), (("site", "north"), 4), (("site",), 4), (("list",), 5), (("list", 0), 6),
        (("list", 1), 7), (("list", 1, 1), 7), (("list", 2), 9), (("list", 2, "b"), 9), (("list", 2, "b", 1), 10),
        (("area",), 12), (("area", "outline", 1), 13), (("area", "text"), 14), (("fixed", 0), 18),
        (("fixed", 0, "kind"), 19), (("fixed", 0, "more", "deep"), 21), (("fixed", 1), 22), (("fixed", 1, "kind"), 23),
        (("fixed", 1, "twigs", 1, "n"), 27), (("fixed", 1, "stem"), 22), (("nothing",), 0),
    ],
)  # fmt: skip
def test_every_way_to_write_a_key_has_its_line(path: tuple[str | int, ...], line: int) -> None:
    """Headers, dotted and quoted keys, inline tables, lists over lines; else what is round it."""
    assert Lines(TEXT).line(path) == line


def test_lines_of_random_files_are_those_they_were_written_on() -> None:
    """Files put together at random: every key is found on the line it was written on, and nothing else is found."""
    chance = random.Random(5)
    for _ in range(60):
        lines: list[str] = []
        expected: dict[tuple[str | int, ...], int] = {}
        counts: dict[str, int] = {}
        table: tuple[str | int, ...] = ()
        for number in range(chance.randint(1, 40)):
            kind = chance.random()
            if kind < 0.2:
                name = chance.choice(["fixed", "house", "path"])
                counts[name] = counts.get(name, -1) + 1
                table = (name, counts[name])
                lines.append(f"[[{name}]]{chance.choice(['', '  # x = [[1]]'])}")
                expected[table] = len(lines)
            elif kind < 0.35:
                lines.append(chance.choice(["", "# k = 1", "   "]))
            else:
                key = f"k{number}"
                value = chance.choice(
                    ["1", '"a, b = ]"', "[1, [2, 3]]", "{ a = 1 }", "'x#'", "[\n1,\n2]", "'''\nx = 1\n'''"]
                )
                expected[(*table, key)] = len(lines) + 1
                lines += f"{key} = {value}".split("\n")
        text = "\n".join(lines)
        tomllib.loads(text)
        found = Lines(text)
        assert {path: found.line(path) for path in expected} == expected
