"""What sheets, book, screen, lists and models say of walls, steps and their heights."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.facts import Fact, Place, Told, fact
from told.figure import Figure
from told.find import caught, counted, everywhere, pages, table, things, under

_BUILT = "length of a wall"
_WALL = r"[A-Z]+\d*[A-Z]*\d*[A-Z]*(?:\.\d+)?"
"""Names of walls: of edges and fronts (A0, W2.2), of paths and flights (P0L, CA3P0R, F0.1)."""
_WEEPS_AT = {
    "water sheet": ("sheet water", 1, 0), "model": ("plan.glb", 0, 1), "map": ("plan.geojson", 0, 1),
    "drawing": ("plan.dxf weep holes", -1, 0), "setting-out.csv": ("setting-out.csv", 0, 1),
}  # fmt: skip
"""Page of weep holes, and the cells of a row that hold its kind (below 0: all are) and a hole's name."""
_SIZES = ("height of a riser", "depth of a tread", "width of a flight")


def walls(told: Told) -> Iterator[Fact]:
    """Number, lengths, courses, heights, ties, flights."""
    yield from _tables(told)
    yield from _wall_sheets(told)
    yield from _in_short(told)
    yield from _lists(told)
    yield from _flights(told)
    yield from weep_holes(told)


def weep_holes(told: Told) -> Iterator[Fact]:
    """Wherever they are drawn, listed, modelled or paid for."""
    for out, (page, kind, owner) in _WEEPS_AT.items():

        def of(row: tuple[str, ...], wall: str, kind: int = kind, owner: int = owner) -> bool:
            there = kind < 0 or (len(row) > kind and row[kind] == "weep hole")
            return there and row[owner].removeprefix("weep-").startswith(wall)

        yield from counted(told, out, page, ("number of weep holes", ""), lambda row, of=of: of(row, ""))
        for wall in things(told, "weep holes of a wall"):
            about = ("weep holes of a wall", wall)
            yield from counted(told, out, page, about, lambda row, of=of, wall=wall: of(row, f"{wall}/"))
    foot = 0.3048 if told.system == "us" else 1.0
    for page, out, cell in (("setting-out.csv", "setting-out.csv", 5), ("plan.dxf weep holes", "drawing", 2)):
        for n, row in enumerate(told.pages[page]):
            key = row[0] if out == "drawing" else row[1]
            if ("level of a weep hole", key) in told.known:
                yield _plain(told, out, ("level of a weep hole", key), (page, n, cell), foot)
                if out != "drawing":
                    yield _plain(told, out, ("weep hole from the mark", key), (page, n, 6), foot)
    bought = [(("weep holes to bore", ""), "count")]
    for page, out, cell in (("order-list.csv", "order-list.csv", 10), ("xlsx Order list", "spreadsheet", 7)):
        for n, row in enumerate(told.pages[page]):
            if len(row) > cell:
                yield from caught(told, out, (page, n, cell), r"(\d+) squares of .* for weep holes", bought)


def _plain(told: Told, out: str, about: tuple[str, str], spot: tuple[str, int, int], unit: float) -> Fact:
    text = told.pages[spot[0]][spot[1]][spot[2]]
    return Fact(about, Figure(float(text) * unit, 1e-4 * unit), text, Place(*spot, 0, len(text)), out)


def _tables(told: Told) -> Iterator[Fact]:
    names = things(told, _BUILT)
    seen, buried = "greatest height seen", "greatest height with buried timber"
    heads = ("wall", "length", "seen", "with buried", "sheet")
    for n, first, row in under(told, "sheet terraces", heads):
        if row[0] in names and len(row) >= 5:
            out, spot = "terraces sheet", ("sheet terraces", n)
            yield fact(told, out, (_BUILT, row[0]), (*spot, first + 1), "digging")
            for cell, what in ((2, seen), (3, buried)):
                start = row[cell].rpartition("–")[0]
                span = (len(start) + bool(start), len(row[cell]))
                yield fact(told, out, (what, row[0]), (*spot, first + cell), "length", span)
    heads = ("wall", "top at", "ground held", "timber seen")
    columns = ((3, seen, "length"), (4, buried, "length"))
    for page in pages(told, "sheet permit-2"):
        yield from table(told, page, heads, names, "permit sheet", columns)
        short = ("wall", "top at", "held", "seen")
        yield from table(told, page, short, names, "permit sheet", columns)
        yield from _not_in_the_table(told, page, (seen, buried))
        for n, row in enumerate(told.pages[page]):
            if row[0].startswith("name-"):
                wall = row[0].removeprefix("name-")
                abouts = (((seen, wall), "length"), ((buried, wall), "length"))
                yield from caught(told, "permit picture", (page, n, 1), r": (\S+) / (\S+)$", abouts)


def _not_in_the_table(told: Told, page: str, whats: tuple[str, str]) -> Iterator[Fact]:
    """Walls the table has no room for: with their heights in a line under it, else at their names in the picture."""
    listed = rf"({_WALL}) (\S+(?: m)?) / (\S+(?: m)?) / (\S+(?: m)?)(?=;|\.$|$)"
    for n, row in enumerate(told.pages[page]):
        if len(row) != 1:
            continue
        for found in re.finditer(listed, row[0]):
            for group, what in ((3, whats[0]), (4, whats[1])):
                span = found.start(group), found.end(group) - (found.group(group)[-1] == ".")
                yield fact(told, "permit sheet", (what, found.group(1)), (page, n, 0), "length", span)
        if row[0].startswith("Added too, their heights at their names in the picture:"):
            for wall in re.findall(_WALL + r"(?=[,.])", row[0].partition(":")[2]):
                spot = next((k for k, one in enumerate(told.pages[page]) if one[0] == f"name-{wall}"), None)
                if spot is not None:
                    abouts = (((whats[0], wall), "length"), ((whats[1], wall), "length"))
                    yield from caught(told, "permit sheet", (page, spot, 1), r": (\S+) / (\S+)$", abouts)


def _wall_sheets(told: Told) -> Iterator[Fact]:
    """Courses in the laying order: the highest row of each wall that the row, or a sheet of one wall alone, names."""
    last = dict[str, Fact]()
    for page in told.pages:
        rows = told.pages[page] if page.startswith("sheet wall-") else ()
        named = {text.removeprefix("WALL ") for row in rows for text in row if re.fullmatch(rf"WALL {_WALL}", text)}
        for n, row in enumerate(rows):
            for cell in range(len(row) - 1):
                if row[cell].isdigit() and re.fullmatch(r"\d+[a-z]+( \d+[a-z]+)*", row[cell + 1]):
                    before = row[cell - 1] if cell else ""
                    wall = before if re.fullmatch(_WALL, before) else next(iter(named), "")
                    if wall and (wall not in last or int(last[wall].text) < int(row[cell])):
                        last[wall] = fact(told, "wall sheet", ("courses of a wall", wall), (page, n, cell), "count")
    yield from last.values()


def _in_short(told: Told) -> Iterator[Fact]:
    count, terraces = (("number of walls", ""), "count"), (("number of terraces", ""), "count")
    held, courses = (("greatest height held", ""), "length"), (("most courses", ""), "count")
    screen = r"(\d+) terraces?, (\d+) walls? .*?the highest holds (.*?) \((\d+) courses? high"
    yield from caught(told, "screen", ("screen", 0, 0), screen, (terraces, count, held, courses))
    ties = (("number of ties", ""), "count")
    yield from caught(told, "screen", ("screen", 0, 0), r"sticks? of timber, (\d+) ties?", (ties,))
    look = "sheet first-look"
    yield from everywhere(told, look, "first look", r"^(\d+), on (\d+) lines? of wall", (terraces, count))
    yield from everywhere(told, look, "first look", r"^holds (.*), (\d+) courses?", (held, courses))
    for n, row in enumerate(told.pages["book"]):
        if len(row) == 3:
            spot = ("book", n, 2)
            if row[1] == "Terraces":
                yield fact(told, "book", terraces[0], spot, "count")
            if row[1] == "Walls":
                yield from caught(told, "book", spot, r"^(\d+)", (count,))
            if row[1] == "The highest wall":
                yield from caught(told, "book", spot, r"holds (.*) with (\d+) courses?", (held, courses))


def _lists(told: Told) -> Iterator[Fact]:
    """Walls, courses and ties of which tables and models show a piece."""
    for page, out, cell in (("plan.dxf", "drawing", 0), ("pieces.csv", "pieces.csv", 4), ("plan.glb", "model", 1),
                            ("plan.geojson", "map", 1)):  # fmt: skip
        mine = [row[cell] for row in told.pages.get(page, ()) if re.fullmatch(rf"{_WALL}/[\d.]+/\d+", row[cell])]
        for wall in things(told, _BUILT) if mine else ():
            about = ("pieces to cut of a wall" if page == "pieces.csv" else "pieces of a wall", wall)
            names = {name for name in mine if name.startswith(f"{wall}/")}
            yield from counted(told, out, page, about, lambda row, n=cell, names=names: row[n] in names)
    for page, out in (("plan.glb", "model"), ("plan.geojson", "map")):
        yield from counted(told, out, page, ("number of ties", ""), lambda row: row[0] == "tie")


def _flights(told: Told) -> Iterator[Fact]:
    for n, row in enumerate(told.pages["sheet terraces"]):
        if row[0].startswith("steps-") and len(row) > 1:
            about = ("number of risers", row[0].removeprefix("steps-"))
            yield from caught(told, "terraces sheet", ("sheet terraces", n, 1), r"^(\d+) up", [(about, "count")])
    lines, captions = list[str](), list[tuple[str, int, int]]()
    for page in pages(told, "sheet sections"):
        for n, row in enumerate(told.pages[page]):
            for cell, text in enumerate(row):
                lines += re.findall(r"^Section .*: Steps at (\w+)$", text)
                captions += [(page, n, cell)] if re.search(r"high, .*wide\.", text) else []
    for line, spot in zip(lines, captions, strict=True):
        about = [((what, line), "small" if what != "width of a flight" else "digging") for what in _SIZES]
        yield from caught(told, "section", spot, r"(?:One step|up), (?:each )?(.*?) high", about[:1])
        yield from caught(told, "section", spot, r"high, (\S*(?: mm)?) from front to front", about[1:2])
        yield from caught(told, "section", spot, r"[,h] (\S*(?: m)?) wide\.", about[2:])
        yield from caught(told, "section", spot, r"(\d+) up, each", [(("number of risers at", line), "count")])
    for flight in things(told, "number of risers"):
        about_of = ("timbers of a flight", flight)
        yield from counted(
            told, "model", "plan.glb", about_of, lambda row, f=flight: row[0] == "step timber" and row[2] == f
        )
        yield from counted(told, "pieces.csv", "pieces.csv", about_of, lambda row, f=flight: row[6] == f)
