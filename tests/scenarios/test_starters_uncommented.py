"""Every remark of the starters that offers a key works when its # is taken away, in both unit systems."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from lynchet.project.model import Project
from lynchet.project.read import read_project_text
from lynchet.project.starter import starter_text
from lynchet.project.starter_firm import firm_text

IN_PLACE_OF = {
    "steps": ("slope",), "laser": ("slope",), "level_book": ("slope",), "points": ("slope",),
    "outline": ("length", "depth"), "stock": ("stock",),
}  # fmt: skip
"""Keys that the remarks offer in place of others, where they stand outside a table of their own."""
BOOK = "point,backsight,intermediate,foresight,known,x,y\nA,1.4,,,0,0,0\nB,,1.2,,,9,0\nC,,0.4,,,0,9\nD,,,0.3,,9,9\n"
FILES = {
    "points.csv": "x,y,level\n-1,-1,0\n30,-1,0\n30,30,5\n-1,30,5\n",
    "book.csv": BOOK.replace("9", "30"),
    "prices.csv": "item,price\nstone,40\n",
    "logo.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10"><path d="M0 0h40"/></svg>',
    "our_firm.toml": 'lynchet = 1\n[firm]\nname = "A firm"\n',
}


def offered(text: str) -> Iterator[tuple[str, list[int]]]:
    """Name and lines of each remark that offers something: a table with its keys, or one key alone."""
    lines = text.splitlines()
    at = 0
    while at < len(lines):
        begins = re.match(r"# (\[\[?[a-z_.]+\]\]?|[a-z_]+ = .*)", lines[at])
        if not begins:
            at += 1
            continue
        found, at = [at], at + 1
        is_table = begins[1].startswith("[")
        while at < len(lines) and lines[at].startswith("# "):
            inside = re.match(r"# (?:[a-z_]+ = |    |\])", lines[at])
            if not inside or (not is_table and re.match(r"# [a-z_]+ = ", lines[at])):
                break
            found.append(at)
            at += 1
        yield begins[1].split(" =")[0], found


def uncommented(text: str, name: str, places: list[int]) -> str:
    """The text with these lines made keys, and without the lines they stand in place of."""
    lines = text.splitlines()
    for place in places:
        lines[place] = lines[place].removeprefix("# ")
    gone = IN_PLACE_OF.get(name, ())
    kept = [
        line
        for place, line in enumerate(lines)
        if place in places or not any(line.startswith(f"{key} =") for key in gone)
    ]
    return "\n".join(kept) + "\n"


def read(tmp_path, text: str, name: str) -> Project:
    """The project of a text, with the files its remarks name beside it."""
    for file, content in FILES.items():
        (tmp_path / file).write_text(content, encoding="utf-8")
    return read_project_text(text, name, tmp_path)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_each_block_of_a_yard(tmp_path, system):
    """Each block alone is accepted, and changes the project: but for the outline, which is the same area."""
    text = starter_text("Yard", system)
    plain = read(tmp_path, text, "yard.toml")
    blocks = list(offered(text))
    assert len(blocks) > 30
    for name, places in blocks:
        if name == "firm":
            (tmp_path / "our_firm.toml").write_text(f'lynchet = 1\nunits = "{system}"\n[firm]\nname = "A firm"\n')
            assert read_project_text(uncommented(text, name, places), "yard.toml", tmp_path).offer.firm.name == "A firm"
            continue
        assert read(tmp_path, uncommented(text, name, places), f"{name} uncommented") != plain or name == "outline"


@pytest.mark.parametrize("system", ["us", "metric"])
def test_each_block_of_a_firm(tmp_path, system):
    """The same for a firm's file under a job."""
    job = starter_text("Yard", system).replace('# firm = "our_firm.toml"', 'firm = "f.toml"')
    text = firm_text("A firm", "f.toml", system)
    blocks = list(offered(text))
    assert len(blocks) > 20
    for name, places in blocks:
        (tmp_path / "f.toml").write_text(uncommented(text, name, places), encoding="utf-8")
        read(tmp_path, job, f"{name} uncommented")


@pytest.mark.parametrize("system", ["us", "metric"])
def test_places_lie_where_the_yard_is(tmp_path, system):
    """Numbers of places are of the yard's own size: the house stands at its high edge, what is offered lies near."""
    text = starter_text("Yard", system)
    blocks = dict(offered(text))
    house = read(tmp_path, uncommented(text, "[[house]]", blocks["[[house]]"]), "house")
    top, deep = min(y for _, y in house.houses[0].outline_m), max(y for _, y in house.area.outline_m)
    assert abs(top - deep) < 0.05
    outline = read(tmp_path, uncommented(text, "outline", blocks["outline"]), "outline").area.outline_m
    assert [pytest.approx(corner) for corner in outline] == list(house.area.outline_m)
