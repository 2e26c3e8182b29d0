"""What sheets, book, lists, map and model say of beds and plants."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.facts import Fact, Place, Told, fact
from told.figure import Figure
from told.find import caught, counted, table, things

_PLANTS = "plants of a kind in a bed"


def beds(told: Told) -> Iterator[Fact]:
    """Levels and areas of beds, light, plants by kind and bed."""
    yield from _areas(told)
    yield from _levels(told)
    yield from _plants(told)
    yield from _kinds(told)


def _areas(told: Told) -> Iterator[Fact]:
    names = things(told, "open soil of a bed")
    for page in told.pages:
        if page.startswith("sheet planting"):
            heads = ("bed", "light", "sun", "ground", "plants")
            numbers = [name.removeprefix("B") for name in names]
            columns = ((3, "open soil of a bed", "area"), (4, "plants of a bed", "count"))
            for one in table(told, page, heads, numbers, "planting sheet", columns):
                yield Fact((one.about[0], f"B{one.about[1]}"), one.said, one.text, one.at, one.out)
    for n, row in enumerate(told.pages["book"]):
        if row[0] == "Beds and plants" and len(row) == 5 and row[1] in names:
            yield fact(told, "book", ("open soil of a bed", row[1]), ("book", n, 2), "area")
        for name, what in (("Level ground in the beds", "area of all beds"), ("Bed to plant", "open soil of all beds")):
            if len(row) == 3 and row[1].startswith(name):
                yield from caught(told, "book", ("book", n, 2), r"^([\d,.]+ (?:sq ft|m²))", [((what, ""), "area")])
    whole = [(("area of all beds", ""), "area")]
    pattern = r"; ([\d,.]+ (?:sq ft|m²)) of level ground in the beds"
    yield from caught(told, "screen", ("screen", 0, 0), pattern, whole)
    pattern = r"in the beds, ([\d,.]+ (?:sq ft|m²)) of it to plant"
    yield from caught(told, "screen", ("screen", 0, 0), pattern, [(("open soil of all beds", ""), "area")])
    for n, row in enumerate(told.pages["sheet first-look"]):
        if row[0] == "beds" and len(row) > 1:
            yield from caught(
                told, "first look", ("sheet first-look", n, 1), r"^([\d,.]+ (?:sq ft|m²)) of level ground$", whole
            )


def _levels(told: Told) -> Iterator[Fact]:
    what, unit = "level of a bed", 0.3048 if told.system == "us" else 1.0
    for page in ("sheet terraces", "sheet site", "sheet water"):
        for n, row in enumerate(told.pages.get(page, ())):
            if row[0].startswith("bed-level-") and len(row) == 3:
                yield fact(told, page.removeprefix("sheet ") + " sheet", (what, row[0][10:]), (page, n, 2), "level")
    for n, row in enumerate(told.pages["setting-out.csv"]):
        if row[0] == "level" and row[2] == "finished bed":
            yield _plain(told, "setting-out.csv", (what, row[1]), ("setting-out.csv", n, 5), unit, 1e-4 * unit)
    for n, row in enumerate(told.pages["setting-out.xml"]):
        if row[0] == "surface" and row[1].endswith(" finished"):
            about = (what, row[1].removesuffix(" finished"))
            yield _plain(told, "LandXML", about, ("setting-out.xml", n, 2), unit, 1e-5 * unit)
    for n, row in enumerate(told.pages.get("plan.geojson", ())):
        if row[0] == "bed":
            yield _plain(told, "map", (what, row[1]), ("plan.geojson", n, 4), 1.0, 1e-4)


def _plain(told: Told, out: str, about: tuple[str, str], spot: tuple[str, int, int], unit: float, step: float) -> Fact:
    text = told.pages[spot[0]][spot[1]][spot[2]]
    return Fact(about, Figure(float(text) * unit, step), text, Place(*spot, 0, len(text)), out)


def _plants(told: Told) -> Iterator[Fact]:
    """By bed and kind: lists one row each, pictures one letter each, map and model one thing each."""
    ids = things(told, _PLANTS)
    for n, row in enumerate(told.pages["plants.csv"][1:], start=1):
        yield fact(told, "plants.csv", (_PLANTS, row[0]), ("plants.csv", n, 5), "count")
        yield fact(told, "plants.csv", ("botanical name", row[0]), ("plants.csv", n, 4))
    sheet = [
        (n, row) for n, row in enumerate(told.pages.get("xlsx Plants", ())) if row[0] in {i.split("/")[0] for i in ids}
    ]
    for key, (n, _) in zip(ids, sheet, strict=False):
        yield fact(told, "spreadsheet", (_PLANTS, key), ("xlsx Plants", n, 4), "count")
        yield fact(told, "spreadsheet", ("botanical name", key), ("xlsx Plants", n, 3))
    book = [n for n, row in enumerate(told.pages["book"]) if row[0] == "Plants" and len(row) >= 6 and row[4].isdigit()]
    for key, n in zip(ids, book, strict=False):
        yield fact(told, "book", (_PLANTS, key), ("book", n, 4), "count")
        name = [(("botanical name", key), None)]
        yield from caught(told, "book", ("book", n, 3), r"\(([^()]*)\)$", name)
    for key in ids:
        letter = re.compile(rf"plant-{key.replace('/', '-')}-\d+")
        if "sheet planting" in told.pages:
            yield from counted(told, "planting picture", "sheet planting", (_PLANTS, key),
                               lambda row, letter=letter: bool(letter.fullmatch(row[0])))  # fmt: skip
        one = re.compile(rf"{key}/\d+")
        for page, out in (("plan.glb", "model"), ("plan.geojson", "map")):
            yield from counted(told, out, page, (_PLANTS, key),
                               lambda row, one=one: row[0] == "plant" and bool(one.fullmatch(row[1])))  # fmt: skip


def _kinds(told: Told) -> Iterator[Fact]:
    """The key of the planting sheet: number, names (a full one gives the common name alone), or a table of them there
    or on a list of its own.

    A line of the key may go on below, past the letter of its circle.
    """
    names = things(told, "plants of a kind")
    yield from _kinds_in_table(told, {str(told.known["common name", name]): name for name in names})
    for page in told.pages:
        rows = told.pages[page] if page.startswith("sheet planting") else ()
        for n, row in enumerate(rows):
            for cell, text in enumerate(row):
                found = re.match(r"(\d+) \D", text)
                if found is None:
                    continue
                after = " ".join([text, *(part[-1] for part in rows[n + 1 : n + 5] if len(part[-1]) > 2)])
                said = after[: after.find(" apart")]
                name = next((name for name in names if f"({name})" in said or _common(told, name) in said), None)
                if name is not None:
                    about = ("plants of a kind", name)
                    yield fact(told, "planting sheet", about, (page, n, cell), "count", found.span(1))
    for name in names:
        about = ("plants of a kind", name)
        yield from counted(
            told, "map", "plan.geojson", about, lambda row, name=name: row[0] == "plant" and row[3] == name
        )
    for n, row in enumerate(told.pages.get("xlsx Plants", ())):
        if len(row) > 4 and row[2] == "All plants":
            yield fact(told, "spreadsheet", ("number of plants", ""), ("xlsx Plants", n, 4), "count")


def _kinds_in_table(told: Told, names: dict[str, str]) -> Iterator[Fact]:
    """Letter, common name, here and there the botanical one, number, distance apart."""
    for page in told.pages:
        for n, row in enumerate(told.pages[page] if page.startswith("sheet planting") else ()):
            if len(row) in (4, 5) and row[1] in names and row[-2].isdigit():
                about = ("plants of a kind", names[row[1]])
                yield fact(told, "planting sheet", about, (page, n, len(row) - 2), "count")


def _common(told: Told, name: str) -> str:
    """The common name as the key has it where there is no room for both."""
    return f" {told.known['common name', name]},"
