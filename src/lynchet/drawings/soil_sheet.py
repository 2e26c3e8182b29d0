"""The soil account as a picture: what is dug and where it goes, why some is left over, terrace by terrace, loads."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable, width, wrap
from lynchet.drawings.model import Sheet
from lynchet.drawings.page import Page, spread
from lynchet.drawings.paper import paper_of
from lynchet.drawings.soil_rows import Part, dug_parts, reasons, used_parts
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.earth.model import Brought, BuildStep
from lynchet.units.format import volume

ID = "soil"
TITLE = "Soil account"
_INTRO = (
    "Volumes are soil as it lies in the ground, undug. Dug and carried it is loose and takes {times} times the room; "
    "tamped it takes {tamped} of it. Made from the levels as measured: real soil differs, order loads one by one."
)
CAUTION = (
    "Heaps and barrows keep away from the edge of the digging: as far as it is deep. Topsoil has a heap of its own."
)
_FLOW_MM = 62.0
_LINE = 4.2


def soil_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Its name, or nothing where there is nothing to show."""
    return (ID,) if dug_parts(plan) else ()


def soil_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The soil account of a plan; None where nothing is dug.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    if not soil_sheet_names(plan):
        return None
    figures, paper = Figures(plan.project.units), paper_of(plan.project, carried=True)
    fields = stamp.fields(ID, TITLE, "no scale", plan)
    block, notes = title_block(paper, fields)
    left, top, right, bottom = paper.field
    page, side = Page(), (left + 5.0, right - 5.0)
    y = _head(plan, page, side, top)
    y = _flow(plan, page, (side, figures), y)
    y = _reasons(plan, page, (side, figures), y)
    loads = _loads_height(plan)
    _terraces(plan, page, (side, figures), (y, bottom - 5.0 - loads))
    _loads(plan, page, (side, figures), bottom - 5.0 - loads)
    account = plan.earth.account
    amount = volume(abs(account.away_loose_m3), figures.system)
    alt = (
        f"{volume(account.cut_m3, figures.system)} are dug; {amount} loose are {_verb(plan)} in {account.loads} loads."
    )
    return Sheet(ID, "soil", paper, fields, (), (*frame_items(paper), *block, *page.items), stamp.theme,
                 cautions=(CAUTION,), alt=alt, notes=tuple(notes))  # fmt: skip


def _verb(plan: Planned) -> str:
    return "carted away" if plan.earth.account.away_bank_m3 >= 0 else "brought in"


def _head(plan: Planned, page: Page, side: tuple[float, float], top: float) -> float:
    account = plan.earth.account
    page.text((side[0], top + 10.0), TITLE.upper(), 5.0, weight="bold")
    words = _INTRO.format(times=f"{account.loose_per_bank:g}", tamped=f"{account.compacted_per_bank:g}")
    y = top + 16.0
    for line in (*wrap(words, side[1] - side[0], 2.5), *wrap(CAUTION, side[1] - side[0], 2.5)):
        page.text((side[0], y), line, role="warn" if line in CAUTION else "ink")
        y += _LINE
    return y


def _section(page: Page, side: tuple[float, float], y: float, title: str) -> float:
    page.rule((side[0] - 5.0, y), (side[1] + 5.0, y), layer="title")
    page.text((side[0], y + 6.0), title.upper(), 3.2, weight="bold")
    return y + 9.5


def _flow(plan: Planned, page: Page, look: tuple[tuple[float, float], Figures], y: float) -> float:
    """A bar of what is dug, ribbons to where it goes; heights of both are volumes."""
    side, figures = look
    y = _section(page, side, y, "What is dug, and where it goes")
    dug, used = dug_parts(plan), used_parts(plan)
    total = sum(part.bank_m3 for part in dug)
    per = (_FLOW_MM - 4.0 * (len(used) - 1)) / total
    middle = (side[0] + side[1]) / 2
    x = (middle - 27.0, middle - 19.0, middle + 10.0, middle + 18.0)
    start = y + (_FLOW_MM - total * per) / 2
    edges = [start + per * v for v in accumulate([0.0, *(part.bank_m3 for part in dug)])]
    _labels(page, (dug, edges), (x[0], side[0]), (figures, y))
    for part, a, b in zip(dug, edges, edges[1:], strict=False):
        page.bar((x[0], x[1]), (a, b), fill=part.fill, hatch=part.hatch)
    at, rest = start, y
    ends = []
    for part in used:
        high = part.bank_m3 * per
        ring = _ribbon((x[1] + 1.0, at, at + high), (x[2] - 1.0, rest, rest + high))
        page.area(ring, fill="barrow" if part.fill == "paper" else part.fill)
        page.bar((x[2], x[3]), (rest, rest + high), fill=part.fill, hatch=part.hatch)
        ends.append((rest, rest + high))
        at, rest = at + high, rest + high + 4.0
    _ends(page, (used, ends), (x[3], side[1]), (figures, plan))
    return y + _FLOW_MM + 5.0


def _ribbon(a: tuple[float, float, float], b: tuple[float, float, float]) -> tuple[tuple[float, float], ...]:
    """Between two upright edges, bending gently."""
    (x0, top0, foot0), (x1, top1, foot1) = a, b
    steps = [n / 12 for n in range(13)]
    ease = [s * s * (3 - 2 * s) for s in steps]
    upper = [(x0 + s * (x1 - x0), top0 + e * (top1 - top0)) for s, e in zip(steps, ease, strict=True)]
    lower = [(x0 + s * (x1 - x0), foot0 + e * (foot1 - foot0)) for s, e in zip(steps, ease, strict=True)]
    return (*upper, *reversed(lower))


def _labels(
    page: Page,
    parts: tuple[tuple[Part, ...], list[float]],
    x: tuple[float, float],
    look: tuple[Figures, float],
) -> None:
    """Words left of the bar, a line from each to its part."""
    (dug, edges), (near, far), (figures, top) = parts, x, look
    middles = [(a + b) / 2 for a, b in pairwise(edges)]
    places = spread(middles, 4.4, top + 2.0, top + _FLOW_MM)
    for part, middle, y in zip(dug, middles, places, strict=True):
        said = volume(part.bank_m3, figures.system)
        page.text((near - 7.0, y + 1.2), said, weight="semibold", anchor="r")
        page.text((near - 21.0, y + 1.2), part.words, anchor="r", room=near - 21.0 - far)
        page.rule((near - 6.0, y), (near - 3.0, middle), pen="hair")
        page.rule((near - 3.0, middle), (near - 0.5, middle), pen="hair")


def _ends(
    page: Page,
    parts: tuple[tuple[Part, ...], list[tuple[float, float]]],
    x: tuple[float, float],
    look: tuple[Figures, Planned],
) -> None:
    """Words right of where it goes: volume, what, and for what is carted the loads."""
    (used, ends), (near, far), (figures, plan) = parts, x, look
    account = plan.earth.account
    top = ends[0][0]
    places = spread([(a + b) / 2 for a, b in ends], 9.0, top + 2.0, top + _FLOW_MM - 3.0)
    for part, (a, b), y in zip(used, ends, places, strict=True):
        note = part.note
        if part.words == "carted away":
            note = f"{volume(account.away_loose_m3, figures.system)} loose, {_count(account.loads, 'load')}"
        page.rule((near + 0.5, (a + b) / 2), (near + 2.5, y), pen="hair")
        head = f"{volume(part.bank_m3, figures.system)} {part.words}"
        page.text((near + 3.5, y + 0.4), head, weight="semibold", room=far - near - 3.5)
        page.text((near + 3.5, y + 4.2), note, role="mid", room=far - near - 3.5)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" + ("" if number == 1 else "s")


def _reasons(plan: Planned, page: Page, look: tuple[tuple[float, float], Figures], y: float) -> float:
    """Bars hung end to end: each starts where the one above it stops."""
    side, figures = look
    rows = reasons(plan)
    title = "Why soil is left over" if rows[-1][1] >= 0 else "Why soil is missing"
    y = _section(page, side, y, title)
    sums = list(accumulate(value for _, value in rows[:-1]))
    low, high = min(0.0, *sums), max(0.0, *sums)
    left, right = side[0] + 62.0, side[1] - 18.0
    per = (right - left) / max(high - low, 1e-9)
    zero = left - low * per
    page.rule((zero, y - 1.0), (zero, y + 5.2 * len(rows)), pen="fine")
    start = 0.0
    for n, (words, value) in enumerate(rows):
        last = n == len(rows) - 1
        first = 0.0 if last else start
        a, b = sorted((zero + first * per, zero + (first + value) * per))
        look_of = {"fill": "paper", "hatch": "left over"} if last else {"fill": "fill" if value >= 0 else "barrow"}
        page.bar((a, max(b, a + 0.3)), (y + 0.4, y + 4.4), **look_of)
        page.text((left - 3.0, y + 3.4), words, weight="semibold" if last else "regular", anchor="r", room=59.0)
        said = volume(value, figures.system).replace("-", "−")
        page.text((side[1], y + 3.4), said, weight="semibold" if last else "regular", anchor="r")
        start += value
        y += 5.2
    return y + 3.0


def _terraces(plan: Planned, page: Page, look: tuple[tuple[float, float], Figures], place: tuple[float, float]) -> None:
    """One row for each terrace, the lowest first, with a bar of what is dug there."""
    (side, figures), (y, foot) = look, place
    steps = plan.earth.steps
    if not steps or foot - y < 26.0:
        return
    y = _section(page, side, y, "Terrace by terrace, the lowest first")
    heads = ("dug", "fill it needs", "away", "heap, loose", "barrows")
    wide = side[1] - side[0]
    stops = [side[0] + wide * share for share in (0.57, 0.685, 0.775, 0.90, 1.0)]
    for head, x in zip(heads, stops, strict=True):
        page.text((x, y + 1.0), head, 2.2, role="mid", anchor="r")
    page.text((side[0], y + 1.0), "terrace, its walls", 2.2, role="mid")
    page.text((side[0] + 37.0, y + 1.0), "topsoil dark, all else light", 2.2, role="mid")
    y += 2.5
    fitting = int((foot - y) / 5.0)
    shown = steps if len(steps) <= fitting else steps[: fitting - 1]
    pitch = min(7.0, (foot - y) / max(len(shown) + (len(shown) < len(steps)), 1))
    most = max(step.topsoil_m3 + step.dug_m3 for step in steps)
    for step in shown:
        _terrace(page, step, (side[0], y, pitch), (stops, figures, most))
        y += pitch
    if len(shown) < len(steps):
        page.text(
            (side[0], y + 3.4), f"… and {len(steps) - len(shown)} more: see the soil page of the book", role="mid"
        )


def _names(walls: Sequence[str], room: float) -> str:
    """As many whole names as have room: "A0, A0.2, A1, …"; the book has them all."""
    said = ", ".join(walls)
    for count in range(len(walls) - 1, 0, -1):
        if width(said, 2.5) <= room:
            break
        said = f"{', '.join(walls[:count])}, …"
    return printable(said)


def _terrace(
    page: Page,
    step: BuildStep,
    at: tuple[float, float, float],
    look: tuple[list[float], Figures, float],
) -> None:
    (x, y, pitch), (stops, figures, most) = at, look
    system = figures.system
    base = y + pitch / 2 + 1.2
    page.text((x, base), str(step.terrace), 2.8, weight="bold")
    page.text((x + 5.0, base), _names(step.walls, 29.0))
    per = (stops[0] - 16.0 - x - 37.0) / max(most, 1e-9)
    left, middle = x + 37.0, x + 37.0 + step.topsoil_m3 * per
    page.bar((left, max(middle, left + 0.2)), (y + 0.8, y + pitch - 0.8), fill="bed")
    page.bar((middle, middle + max(step.dug_m3 * per, 0.2)), (y + 0.8, y + pitch - 0.8), fill="fill")
    cells = (volume(step.topsoil_m3 + step.dug_m3, system), volume(step.needed_m3, system),
             volume(step.away_m3, system), volume(step.peak_loose_m3, system), str(step.barrows))  # fmt: skip
    for said, stop in zip(cells, stops, strict=True):
        page.text((stop, base), said, anchor="r")
    page.rule((x, y + pitch), (stops[-1], y + pitch), pen="hair")


def _loads_height(plan: Planned) -> float:
    return 17.0 + 4.6 * (len(_besides_soil(plan)) + 1)


def _besides_soil(plan: Planned) -> tuple[Brought, ...]:
    """What is brought in beside soil to fill with, which has the first row."""
    return tuple(one for one in plan.earth.account.brought if one.what != "fill")


def _loads(plan: Planned, page: Page, look: tuple[tuple[float, float], Figures], y: float) -> None:
    """What comes and goes by the truck."""
    side, figures = look
    account, system = plan.earth.account, figures.system
    head, y = y + 6.0, _section(page, side, y, "Loads")
    stops = [side[0] + (side[1] - side[0]) * share for share in (0.48, 0.66, 0.82, 1.0)]
    for words, x in zip(("in place", "loose", "loads", "barrows"), stops, strict=True):
        page.text((x, y + 1.0), words, 2.2, role="mid", anchor="r")
    said = f"one load = {volume(account.load_m3, system)} loose; trucks of the rest: see deliveries"
    page.text((side[0] + width("LOADS", 3.2, "bold") + 5.0, head), said, 2.2, role="mid")
    fill = next((one for one in account.brought if one.what == "fill"), None)
    lies = abs(account.away_bank_m3) if fill is None else fill.placed_m3
    soil = volume(lies, system), volume(abs(account.away_loose_m3), system), str(account.loads), account.barrows
    rows = [(f"soil {_verb(plan)}", *soil)]
    rows += [(f"{one.what} brought in", volume(one.placed_m3, system), volume(one.loose_m3, system), "", one.barrows)
             for one in _besides_soil(plan)]  # fmt: skip
    y += 2.0
    for words, placed, loose, loads, barrows in rows:
        y += 4.6
        page.text((side[0], y), words)
        for cell, x in zip((placed, loose, loads, str(barrows)), stops, strict=True):
            if cell:
                page.text((x, y), cell, anchor="r")
        page.rule((side[0], y + 1.3), (side[1], y + 1.3), pen="hair")
