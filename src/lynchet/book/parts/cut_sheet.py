"""The cut sheet: what to buy, and each stick with its cuts in order."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.drawings.cut_sheets import step_name
from lynchet.drawings.wall_facts import tie_names, wall_piece_names
from lynchet.plan.model import Plan
from lynchet.terraces.step_frames import StepPiece
from lynchet.timber.model import Stick
from lynchet.timber.steps import SAWN_M
from lynchet.timber.tight_sticks import no_spare_words
from lynchet.units.format import area, length, mass, small, tins
from lynchet.units.measures import System


def cut_sheet(plan: Plan, words: Words) -> tuple[Block, ...]:
    """The sheet, or the word that it is kept back; nothing where no timber is cut."""
    if not plan.timber.sticks:
        return ()
    return tuple(_blocks(plan, words))


def _blocks(plan: Plan, words: Words) -> Iterator[Block]:
    kept_back = bool({"all", "cut-sheet"} & plan.withheld.keys())
    yield Heading(words("cuts.head"), 1, flows=kept_back)
    if kept_back:
        yield Para(words("cuts.kept_back"), "strong")
        return
    timber, units = plan.timber, plan.project.units
    kerf = small(timber.sticks[0].kerf_m, units)
    yield Para(words("cuts.intro", kerf=kerf))
    trim = plan.project.timber.end_trim_m
    yield Para(words("cuts.trimmed", trim=small(trim, units)) if trim > 0 else words("cuts.as_delivered"))
    yield Para(words("cuts.found", count=timber.count, bought=length(timber.bought_m, units),
                     used=length(timber.used_m, units), proof=timber.proof.words), "note")  # fmt: skip
    yield Heading(words("cuts.buy_head"))
    rows = tuple(
        (length(row.length_m, units), str(row.bought), str(row.on_hand))
        for row in timber.stock if row.bought or row.on_hand
    )  # fmt: skip
    yield Table(words.many("cuts.buy_heads"), rows, "rrr")
    yield Para(no_spare_words(timber.sticks, units), "note")
    if timber.stamp is not None:
        yield Para(timber.stamp.words)
    yield Heading(words("cuts.sticks_head"))
    yield Table(words.many("cuts.heads"), tuple(_sticks(plan, words)), "lrlr", (0.8, 1.3, 7, 1.3))
    yield from _fixings(plan, words)


def _sticks(plan: Plan, words: Words) -> Iterator[tuple[str, ...]]:
    """One row a stick: number, length, pieces with their lengths in order of cutting, what is left over."""
    units, names = plan.project.units, piece_names(plan)
    for number, stick in enumerate(plan.timber.sticks, start=1):
        cuts = " · ".join(
            f"{names.get(piece, piece)}: {_sawn(one, units)}"
            for piece, one in zip(stick.pieces, stick.lengths_m, strict=True)
        )
        yield str(number), _stock(stick, units, words), cuts, _sawn(stick.offcut_m, units)


def _sawn(value_m: float, units: System) -> str:
    """A length to saw to: millimetres, or to an eighth of an inch."""
    return length(value_m, units) if units == "us" else small(value_m, units)


def _stock(stick: Stick, units: str, words: Words) -> str:
    size = length(stick.stock_m, "us" if units == "us" else "metric")
    return size if stick.source == "bought" else f"{size} ({words(f'cuts.{stick.source}')})".replace("  ", " ")


def piece_names(plan: Plan) -> dict[str, str]:
    """What the wall sheets call every piece: wall and mark ("W2 1a"); ties by wall, course and number; timbers of steps
    by flight, riser and side."""
    names = wall_piece_names(plan)
    for tie, name in tie_names(plan).items():
        names[tie], names[f"{tie}/cross"] = name, f"cross-piece of {name}"
    return names | {piece.id: _step(plan, piece) for piece in plan.timber.steps}


def _step(plan: Plan, piece: StepPiece) -> str:
    wood = plan.project.timber
    if piece.width_m >= wood.thickness_m - SAWN_M:
        return step_name(piece)
    return f"{step_name(piece)} (sawn along to {small(piece.width_m, plan.project.units)})"


def _fixings(plan: Plan, words: Words) -> Iterator[Block]:
    timber, units = plan.timber, plan.project.units
    if timber.fastener_lines:
        yield Heading(words("cuts.fixings_head"))
        rows = tuple(
            (str(line.count), line.what, small(line.diameter_m, units, 16), small(line.length_m, units),
             small(line.drill_m, units, 16) if line.drill_m else "–")
            for line in timber.fastener_lines
        )  # fmt: skip
        yield Table(words.many("cuts.fixing_heads"), rows, "rlrrr", (0.8, 5, 1.3, 1.3, 1.3))
    liquid = timber.preservative
    if liquid is not None:
        size = area(liquid.area_m2, units)
        yield Para(words("cuts.preservative", ends=liquid.cut_ends, area=size, liquid=tins(liquid.litres, units)))
    heavy = [row for row in timber.weights if row.people > 1]
    if heavy:
        names = piece_names(plan)
        yield Heading(words("cuts.heavy_head"))
        limit = mass(timber.lift_limit_kg, units)
        yield Para(words("cuts.heavy", count=len(heavy), limit=limit))
        weights = tuple(
            (names.get(row.piece, row.piece), length(row.length_m, units), mass(row.mass_kg, units), str(row.people))
            for row in heavy[:12]
        )
        yield Table(words.many("cuts.heavy_heads"), weights, "lrrr")
