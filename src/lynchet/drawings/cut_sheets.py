"""The cut sheet: every stick to scale with its pieces in the order they are cut, and the tape's reading at each cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import LEAST_MM, fit, width, wrap
from lynchet.drawings.model import Area, Item, Line, Sheet, Text
from lynchet.drawings.paper import Paper, paper_of
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_facts import tie_names, wall_piece_names
from lynchet.terraces.step_frames import StepPiece
from lynchet.timber.model import Stick, Timber

_SCALES = {"metric": (20, 25, 30, 40, 50, 75, 100), "us": (24, 30, 36, 48, 60, 96)}
_BAR = 5.4
_PITCH = 11.2
_LEAST_PITCH, _MOST_PITCH = 9.9, 16.0
"""Closer where it saves a page, wider where pages would stand half empty."""
_LEFT = 22.0
_RIGHT = 15.0
_HEAD = 27.0
_FOOT = 29.0
_FEW = 3
SAFE = "Gloves, glasses, dust mask. Brush every fresh end with end-cut liquid. Never burn offcuts."


@dataclass(frozen=True)
class _Look:
    plan: Planned
    timber: Timber
    figures: Figures
    paper: Paper
    scale: int
    names: dict[str, str]

    def mm(self, value_m: float) -> float:
        return value_m * 1000.0 / self.scale


def cut_sheets(plan: Planned, timber: Timber, stamp: Stamp) -> tuple[Sheet, ...]:
    """The cut sheets, as many as the sticks need; none without sticks.

    Args:
        plan: for marks and units.
        timber: sticks and their pieces, in the order they are cut.
        stamp: firm, date, issue and sheet numbers.
    """
    names = cut_sheet_names(plan, timber)
    if not names:
        return ()
    figures, paper = Figures(plan.project.units), paper_of(plan.project, carried=True)
    look = _Look(plan, timber, figures, paper, _scale(timber, paper, figures), _marks(plan, timber))
    rows, _ = _rows(paper, len(timber.sticks))
    numbered = list(enumerate(timber.sticks, start=1))
    pages = [numbered[at : at + rows] for at in range(0, len(numbered), rows)]
    return tuple(
        _sheet(look, page, stamp, (name, n, len(pages)))
        for n, (name, page) in enumerate(zip(names, pages, strict=True), start=1)
    )


def cut_sheet_names(plan: Planned, timber: Timber) -> tuple[str, ...]:
    """Names of the sheets: "cut-sheet", "cut-sheet-2"."""
    rows, _ = _rows(paper_of(plan.project, carried=True), len(timber.sticks))
    return tuple("cut-sheet" + (f"-{n}" if n > 1 else "") for n in range(1, ceil(len(timber.sticks) / rows) + 1))


def _rows(paper: Paper, sticks: int) -> tuple[int, float]:
    """Sticks to a page, and how far apart they stand: as many on each page, closer where that saves a page."""
    _, top, _, bottom = paper.field
    room = bottom - top - _HEAD - _FOOT
    pages = ceil(sticks / int(room / _LEAST_PITCH))
    if pages < 2:
        return max(1, sticks), min(_PITCH, room / max(1, sticks))
    rows = ceil(sticks / pages)
    return rows, min(_MOST_PITCH, room / rows)


def _scale(timber: Timber, paper: Paper, figures: Figures) -> int:
    left, _, right, _ = paper.field
    longest = max(stick.stock_m + stick.over_m for stick in timber.sticks)
    room = right - left - _LEFT - _RIGHT
    scales = _SCALES["us" if figures.system == "us" else "metric"]
    return next((scale for scale in scales if longest * 1000.0 / scale <= room), scales[-1])


def _marks(plan: Planned, timber: Timber) -> dict[str, str]:
    """Wall and mark of every piece; ties by wall, course and number, timbers of steps by flight, riser and side."""
    names = wall_piece_names(plan)
    for tie, name in tie_names(plan).items():
        names[tie], names[f"{tie}/cross"] = name, "cross"
    return names | {piece.id: _short_name(piece) for piece in timber.steps}


def _short_name(piece: StepPiece) -> str:
    """As it fits into a drawn stick: flight and riser, then the side."""
    return f"{piece.flight}/{piece.riser} {piece.side}"


def step_name(piece: StepPiece) -> str:
    """What a timber of a flight is called: flight, riser from the foot, side, and its layer from below."""
    layer = f", layer {piece.layer + 1}" if "." in piece.id.rpartition("/")[2] else ""
    return f"steps {piece.flight}, riser {piece.riser}, {piece.side}{layer}"


def _sheet(look: _Look, page: Sequence[tuple[int, Stick]], stamp: Stamp, of: tuple[str, int, int]) -> Sheet:
    name, number, count = of
    title = "Cut sheet" + (f", {number} of {count}" if count > 1 else "")
    fields = stamp.fields(name, title, f"1 : {look.scale}", look.plan)
    block, notes = title_block(look.paper, fields)
    left, top, _, _ = look.paper.field
    _, pitch = _rows(look.paper, len(look.timber.sticks))
    items: list[Item] = [*frame_items(look.paper), *block, *_head(look, title, (left + 4.0, top))]
    for row, (stick_number, stick) in enumerate(page):
        y = top + _HEAD + row * pitch + 2.0
        items += _stick(look, stick, stick_number, (left, y))
    items += _foot(look)
    alt = f"{len(page)} sticks drawn to scale with the pieces cut from each and the tape reading at each cut."
    return Sheet(
        name, "cut", look.paper, fields, (), tuple(items), stamp.theme, cautions=(SAFE,), alt=alt, notes=tuple(notes)
    )


def _head(look: _Look, title: str, at: tuple[float, float]) -> Iterator[Item]:
    x, top = at
    bought = ", ".join(
        f"{line.bought + line.on_hand} of {_long(look, line.length_m)}"
        for line in look.timber.stock
        if line.bought + line.on_hand
    )
    left_over = 1.0 - look.timber.used_m / max(look.timber.bought_m, 1e-9)
    size = look.plan.project.timber
    section = f"{look.figures.small_words(size.thickness_m)} wide, {look.figures.small_words(size.course_m)} high"
    yield Text(id="head", layer="key", at=(x, top + 9.5), text=title.upper(), h=5.0, weight="bold")
    yield Text(id="bought", layer="key", at=(x, top + 15.5), text=f"Sticks {bought}; {section}.", h=2.8)
    note = f"{left_over:.0%} is left over. Measure every stick first: real lengths vary."
    for few in range(_FEW, 0, -1):  # as many names as the line holds, never a width cut off
        whole = " ".join((note, *_sawn_along(look, few)))
        said, high = fit(whole, look.paper.field[2] - 4.0 - x, 2.5)
        if said == whole:
            break
    yield Text(id="measure", layer="key", at=(x, top + 20.0), text=said, h=high)
    yield Text(id="cut", layer="key", at=(x, top + 25.5), text="cut", h=2.2, role="mid")
    yield Text(id="no", layer="key", at=(x + 7.4, top + 25.5), text="stick", h=2.2, role="mid")
    unit = "" if look.figures.system == "us" else " in mm"
    words = f"cut from this end; the small figures are the tape's{unit}, hooked once"
    if look.timber.steps:
        one = look.timber.steps[0]
        words += f"; {_short_name(one)} = steps {one.flight}, riser {one.riser}, {one.side}"
    yield Text(id="way", layer="key", at=(x + 18.0, top + 25.5), text=words, h=2.2, role="mid")


def _sawn_along(look: _Look, few: int) -> Iterator[str]:
    """Which timbers of steps are sawn along, and to what width: a tread is not always whole timbers deep."""
    whole = look.plan.project.timber.thickness_m - 1e-3
    widths: dict[str, list[str]] = {}
    for piece in look.timber.steps:
        if piece.width_m < whole:
            widths.setdefault(look.figures.small_words(piece.width_m), []).append(_short_name(piece))
    for wide, found in widths.items():
        names = list(dict.fromkeys(found))
        told = ", ".join(names[:few]) + (f" and {len(names) - few} more" if len(names) > few else "")
        yield f"Saw {told} along, to {wide} wide."


def _long(look: _Look, value_m: float) -> str:
    """A length in the sheet's own figures, with its unit."""
    return look.figures.piece(value_m) + ("" if look.figures.system == "us" else " mm")


def _stick(look: _Look, stick: Stick, number: int, at: tuple[float, float]) -> Iterator[Item]:
    left, y = at
    x, name = left + _LEFT, f"s{number:03d}"
    box = ((left + 4.0, y + 0.5), (left + 8.4, y + 0.5), (left + 8.4, y + 4.9), (left + 4.0, y + 4.9))
    yield Line(id=f"{name}-tick", layer="key", pts=box, closed=True, pen="thin")
    yield Text(
        id=f"{name}-no", layer="labels", at=(left + 19.0, y + 4.2), text=str(number), h=3.2, weight="bold", anchor="r"
    )
    end = x + look.mm(stick.stock_m + stick.over_m)
    run = stick.trim_m
    readings: list[tuple[float, str]] = []
    if run > 0:
        yield _bar(f"{name}-trim", (x, x + look.mm(run)), y, "")
    for n, (piece, long_m) in enumerate(zip(stick.pieces, stick.lengths_m, strict=True)):
        yield from _piece(look, (f"{name}-{n:02d}", look.names.get(piece, piece)), (x + look.mm(run), long_m), y)
        run += long_m
        if x + look.mm(run) < end - 0.15:
            readings.append((x + look.mm(run), look.figures.piece(run)))
        run += stick.kerf_m
    starts = _starts(readings, x, look.paper.field[2] - 5.0)
    for n, ((cut, said), start) in enumerate(zip(readings, starts, strict=True)):
        yield from _reading(f"{name}-r{n:02d}", (cut, start), y, said)
    if stick.offcut_m > 1e-3:
        yield from _offcut(look, name, (end - look.mm(stick.offcut_m), end), y, stick.offcut_m)
    last = max((start + width(said, 2.2) for (_, said), start in zip(readings, starts, strict=True)), default=x)
    yield from _beside(look, stick, name, (end, y, last))


def _beside(look: _Look, stick: Stick, name: str, at: tuple[float, float, float]) -> Iterator[Item]:
    """Beside its end, and under it past the last figure, what is not said in a stick.

    Pieces too short for their whole mark are named beside the stick: "A2 1a 8″, 4 sides S0.1 2¾″"; lengths if short.
    """
    marks = [
        (look.names.get(piece, piece), long_m) for piece, long_m in zip(stick.pieces, stick.lengths_m, strict=True)
    ]
    short = [(mark, long_m) for mark, long_m in marks
             if width(mark, 2.2, "bold") + 1.0 > look.mm(long_m) and not mark.startswith("cross")]  # fmt: skip
    timbers = [(mark, look.figures.piece(long_m)) for mark, long_m in short if not mark.startswith("S")]
    named = [f"{mark} {length}" for mark, length in timbers]
    sides = Counter((mark.partition("/")[0], look.figures.piece(m)) for mark, m in short if mark.startswith("S"))
    steps = [f"{n} side{'s' * (n > 1)} {flight} {long}" for (flight, long), n in sides.items()]
    x = at[0] + 1.4 + (width(look.figures.piece(stick.offcut_m), 2.2) + 2.0 if stick.offcut_m > 1e-3 else 0.0)
    room = look.paper.field[2] - 5.0 - x
    told = ([*named, *steps, *_lengths(look, stick)], [*named, *steps], [*_by_wall(timbers), *steps],
            [*_by_wall([(mark, "") for mark, _ in timbers]), *steps])  # fmt: skip
    rows = _in_few_rows([", ".join(words) for words in told], room)
    for n, row in enumerate(rows):
        # Two rows beside the bar, a third beside the figures under it.
        base = at[1] + (4.0 if len(rows) == 1 else 2.8 + 3.2 * n if len(rows) == 2 else 2.2 + 3.2 * n)
        start = x if n < 2 else max(x, at[2] + 1.2)
        yield Text(id=f"{name}-small" + (f"-{n}" if n else ""), layer="labels", at=(start, base), text=row, h=LEAST_MM,
                   weight="bold")  # fmt: skip


def _in_few_rows(told: Sequence[str], room: float) -> Sequence[str]:
    """The first of several ways to say it, the longest first, that stands in a row; else in three; else the last.

    The longest of all may stand in two rows, beside the bar.
    """
    fit = next((said for said in told[:2] if width(said, LEAST_MM, "bold") <= room), None)
    in_two = wrap(told[0], max(room, 6.0), LEAST_MM, "bold") if fit != told[0] else ()
    if in_two and len(in_two) == 2 and all(width(row, LEAST_MM, "bold") <= room for row in in_two):
        return in_two
    if fit is not None:
        return (fit,) if fit else ()
    wrapped = [wrap(said, max(room, 6.0), LEAST_MM, "bold") for said in told[1:]]
    return next((rows for rows in wrapped if len(rows) <= 3), wrapped[-1])


def _by_wall(timbers: Sequence[tuple[str, str]]) -> list[str]:
    """Marks with their lengths, each wall named once: "A2 1a 8″, 2a 9″"."""
    found: dict[str, list[str]] = {}
    for mark, length in timbers:
        wall, _, piece = mark.rpartition(" ")
        found.setdefault(wall, []).append(f"{piece} {length}".rstrip())
    return [f"{wall} {', '.join(pieces)}".lstrip() for wall, pieces in found.items()]


def _lengths(look: _Look, stick: Stick) -> list[str]:
    """Lengths of pieces that are named in the stick but are too short there for their length."""
    found: dict[str, dict[str, None]] = {}
    for piece, long_m in zip(stick.pieces, stick.lengths_m, strict=True):
        mark, length, wide = look.names.get(piece, piece), look.figures.piece(long_m), look.mm(long_m)
        bold = width(mark, 2.8, "bold")
        if width(mark, 2.2, "bold") + 1.0 <= wide < bold + width(length, 2.5) + 4.0 and not mark.startswith("cross"):
            found.setdefault(length, {})[mark.partition("/")[0] if mark.startswith("S") else mark] = None
    return [f"{', '.join(marks)} {length}" for length, marks in found.items()]


def _starts(readings: list[tuple[float, str]], low: float, high: float) -> list[float]:
    """Where the figures start: under their cuts or as near as may be, one beside the other, between two sides."""
    wides = [width(said, 2.2) + 1.2 for _, said in readings]
    found: list[float] = []
    free = low
    for (cut, _), wide in zip(readings, wides, strict=True):
        found.append(max(cut - (wide - 1.2) / 2, free))
        free = found[-1] + wide
    limit = high
    for n in range(len(found) - 1, -1, -1):
        found[n] = min(found[n], limit - wides[n])
        limit = found[n]
    return found


def _bar(name: str, across: tuple[float, float], y: float, fill: str) -> Area:
    a, b = across
    ring = ((a, y), (b, y), (b, y + _BAR), (a, y + _BAR))
    hatch = "" if fill else "left over"
    return Area(id=name, layer="walls", rings=(ring,), fill=fill, hatch=hatch, pen="outline" if fill else "thin")


def _piece(look: _Look, said: tuple[str, str], at: tuple[float, float], y: float) -> Iterator[Item]:
    """A piece with its mark and length, or its mark alone where the length finds no room."""
    (name, mark), (x, long_m) = said, at
    wide = look.mm(long_m)
    tie = " tie " in mark or mark == "cross"
    yield _bar(name, (x, x + wide), y, "paper" if tie else "timber")
    length = look.figures.piece(long_m)
    bold, plain = width(mark, 2.8, "bold"), width(length, 2.5)
    base = y + 4.1
    if bold + plain + 4.0 <= wide:
        start = x + (wide - bold - plain - 1.6) / 2
        yield Text(id=f"{name}-m", layer="labels", at=(start, base), text=mark, h=2.8, weight="bold")
        yield Text(id=f"{name}-l", layer="labels", at=(start + bold + 1.6, base), text=length, h=2.5)
    elif width(mark, 2.2, "bold") + 1.0 <= wide:
        h = 2.8 if bold + 1.0 <= wide else 2.2
        yield Text(id=f"{name}-m", layer="labels", at=(x + wide / 2, base), text=mark, h=h, weight="bold", anchor="c")
    else:
        short = mark.rpartition(" ")[2] if not mark.startswith("S") else mark.partition(" ")[0]
        if mark != "cross" and width(short, LEAST_MM, "bold") + 0.6 > wide:
            return  # named beside the stick
        yield Text(
            id=f"{name}-m", layer="labels", at=(x + wide / 2, base), text=short, h=2.2, weight="bold", anchor="c"
        )


def _reading(name: str, at: tuple[float, float], y: float, said: str) -> Iterator[Item]:
    """What the tape shows where the saw goes: a tick at the cut, the figure under it or as near as there is room."""
    cut, start = at
    foot = min(max(cut, start + 0.8), start + width(said, 2.2) - 0.8)
    yield Line(id=f"{name}-t", layer="dimensions", pts=((cut, y + _BAR), (foot, y + _BAR + 1.0)), pen="fine")
    yield Text(id=name, layer="dimensions", at=(start, y + _BAR + 3.9), text=said, h=2.2, role="mid")


def _offcut(look: _Look, name: str, across: tuple[float, float], y: float, long_m: float) -> Iterator[Item]:
    a, b = across
    yield _bar(f"{name}-left", (a, b), y, "")
    said = look.figures.piece(long_m)
    yield Text(id=f"{name}-over", layer="labels", at=(b + 1.4, y + 4.0), text=said, h=2.2, role="mid")


def _foot(look: _Look) -> Iterator[Item]:
    left, _, right, bottom = look.paper.field
    y = bottom - _FOOT + 2.5
    yield Line(id="how-rule", layer="title", pts=((left, y), (right, y)), pen="thin")
    yield Text(id="how", layer="key", at=(left + 4.0, y + 6.0), text="HOW TO READ", h=3.2, weight="bold")
    x, row = left + 4.0, y + 9.0
    yield _bar("how-piece", (x, x + 22.0), row, "timber")
    yield Text(id="how-mark", layer="labels", at=(x + 11.0, row + 4.1), text="W2 1b", h=2.8, weight="bold", anchor="c")
    yield Text(id="how-1", layer="key", at=(x + 24.0, row + 2.6), text="wall W2, course 1 from below,", h=2.5)
    yield Text(id="how-2", layer="key", at=(x + 24.0, row + 6.4), text="piece b; where: its wall sheet", h=2.5)
    x += 77.0
    yield _bar("how-left", (x, x + 14.0), row, "")
    yield Text(id="how-3", layer="key", at=(x + 16.0, row + 2.6), text="left over, its length beside it;", h=2.5)
    kerf = look.figures.small_words(look.timber.sticks[0].kerf_m)
    saw = f"the saw takes {kerf} at each cut"
    yield Text(id="how-4", layer="key", at=(x + 16.0, row + 6.4), text=saw, h=2.5)
    if any(piece.endswith("/cross") for stick in look.timber.sticks for piece in stick.pieces):
        x += 18.5 + max(width(said, 2.5) for said in (saw, "left over, its length beside it;"))
        yield _bar("how-tie", (x, x + 6.0), row, "paper")
        yield Text(id="how-5", layer="key", at=(x + 7.5, row + 2.6), text="tie or its", h=2.5)
        yield Text(id="how-6", layer="key", at=(x + 7.5, row + 6.4), text="cross-piece", h=2.5)
    yield Text(
        id="how-safe", layer="key", at=(left + 4.0, row + 13.0), text=SAFE, h=2.3, weight="semibold", role="warn"
    )
