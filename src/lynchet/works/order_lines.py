"""The order list: every placed thing summed up, waste added, in the packs in which it is sold, priced where known."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import isclose

from lynchet.core.quick import quick
from lynchet.earth.stone_placed import BASE_LOOSE, DRAIN_LOOSE, drain_stone_m3, flight_stone_m3
from lynchet.stability.model import WEEP_CLOTH_M
from lynchet.timber.model import FastenerLine, StockLine
from lynchet.timber.tight_sticks import no_spare_words
from lynchet.timber.to_come import to_drive
from lynchet.units.format import length, small
from lynchet.works.alongside import packing_of
from lynchet.works.bank_cover import mat_m2
from lynchet.works.items import TIMBER, Item, items, plain_key
from lynchet.works.job import Job
from lynchet.works.model import OrderLine
from lynchet.works.price_list import PriceList, plant_keys
from lynchet.works.price_rollup import whole_packs
from lynchet.works.quote_price import to_hundredth
from lynchet.works.stick_names import SAME_M
from lynchet.works.wall_parts import WallPart, length_of

_NONE = 1e-9
_G_KN = 9.80665e-3
_FASTENERS = {"base pin": "base_pin", "corner pin": "corner_pin", "screw": "screw", "tie screw": "tie_screw",
              "step screw": "step_screw"}  # fmt: skip
_LOOSE = {"fill": "fill_soil", "bed soil": "bed_soil", "compost": "compost", "mulch": "mulch"}
_FOUND_OF = "PRACTICE"


@quick
@dataclass(frozen=True)
class Wanted:
    """One item with what is wanted of it, before waste and packs."""

    key: str
    quantity: float
    places: tuple[str, ...] = ()
    name: str = ""
    """In place of the item's own name."""
    more: str = ""
    """Added to the key, where one item comes in several sizes."""
    note: str = ""
    own_keys: tuple[str, ...] = ()


def order_lines(job: Job, parts: dict[int, WallPart], prices: PriceList) -> tuple[OrderLine, ...]:
    """All lines, in the groups timber, stone, drain, fixings, soil, plants, away.

    Args:
        job: the plan so far.
        parts: walls by stage (for their base stone).
        prices: of the file.
    """
    known = items(job.project.units)
    rows = [row for row in job.timber.stock if row.bought + row.on_hand > 0]
    stamped = next((row for row in rows if row.bought), rows[0] if rows else None)
    found = [_stick_line(job, row, prices, row is stamped) for row in rows]
    found[-1:] = [_with_no_spare(line, job) for line in found[-1:]]
    wanted: Iterable[Wanted] = (
        *_stone(job, parts),
        *_drain(job),
        *_fixings(job),
        *_soil(job),
        *_plants(job),
        *_away(job),
    )
    for want in wanted:
        if want.quantity > _NONE:
            found.append(_line(known[want.key], want, prices))
    return tuple(found)


def _line(item: Item, want: Wanted, prices: PriceList) -> OrderLine:
    need = want.quantity * (1.0 + item.waste)
    packs = 0
    if item.pack is not None:
        packs = whole_packs(need, item.pack)
        buy = packs * item.pack
    elif item.measure == "each":
        packs, buy = 0, float(whole_packs(need, 1.0))
    else:
        buy = need
    price = prices.of(item, *want.own_keys, *([f"{item.key}_{want.more}"] if want.more else ()))
    units = buy / item.per_unit
    return OrderLine(
        key=item.key + (f"_{want.more}" if want.more else ""),
        name=want.name or item.name,
        group=item.group,
        places=want.places,
        quantity=want.quantity,
        measure=item.measure,  # type: ignore[arg-type]
        waste=item.waste,
        waste_origin=f"{_FOUND_OF}: {item.waste_why}" if item.waste else "",
        need=need,
        pack=item.pack,
        packs=packs,
        buy=buy,
        unit=item.unit,
        buy_units=units,
        kg=buy * item.kg,
        kg_note=item.kg_why,
        unit_price=price,
        money=None if price is None else to_hundredth(price * units),
        note=want.note,
    )


def _with_no_spare(last: OrderLine, job: Job) -> OrderLine:
    """The last line of timber with what is said of them all: stone has its waste, sticks have none."""
    said = no_spare_words(job.timber.sticks, job.project.units)
    return replace(last, note=_in_a_row((last.note, said)))


def _in_a_row(notes: Sequence[str]) -> str:
    """Notes one after the other: whole sentences with a space between them, words with a semicolon."""
    told = ""
    for note in filter(None, notes):
        told += (" " if told.endswith(".") else "; " if told else "") + note
    return told


def _stick_line(job: Job, row: StockLine, prices: PriceList, first: bool) -> OrderLine:
    """Sticks of one length; those on hand are used first and cost nothing. The first line says which stamp to seek."""
    timber, units = job.project.timber, job.project.units
    shown = length(row.length_m, units).removesuffix(" 0 in") if job.us else f"{row.length_m:g} m"
    told = shown if job.us else f"{round(row.length_m, 3):g} m"  # lumber sold by the foot is no finer than a tape
    section = f"{small(timber.course_m, units)} x {small(timber.thickness_m, units)}"
    sides = timber.course_m, timber.thickness_m
    stock = job.project.timber.stock
    said = next((one for one in stock if abs(one.length_m - row.length_m) < SAME_M and not row.special), None)
    own = None if said is None else said.price if said.sold else 0.0
    price = own if own is not None else prices.of_stick(row.length_m, sides)
    each_kg = timber.course_m * timber.thickness_m * row.length_m * timber.unit_weight_kn_m3 / _G_KN
    stamp = job.timber.stamp.words if first and job.timber.stamp is not None else ""
    notes = [
        _own_words(row),
        "longer than any stock: ask for it" if row.special else "",
        stamp,
    ]
    return OrderLine(
        key=f"{TIMBER}_{plain_key(shown)}",
        name=f"timber {section}, {told} long",
        group="timber",
        places=(),
        quantity=float(row.bought + row.on_hand),
        measure="each",
        waste=0.0,
        waste_origin="the cut sheet counts saw cuts and odd ends",
        need=float(row.bought),
        pack=None,
        packs=0,
        buy=float(row.bought),
        unit="each",
        buy_units=float(row.bought),
        kg=row.bought * each_kg,
        kg_note="by the unit weight of the file",
        unit_price=price,
        money=None if price is None else to_hundredth(price * row.bought),
        note=_in_a_row(notes),
    )


def _own_words(row: StockLine) -> str:
    """How many sticks of a length are used that are on hand, beside those to buy."""
    if not row.on_hand:
        return ""
    return f"{row.on_hand}{' more' if row.bought else ''} {'is' if row.on_hand == 1 else 'are'} on hand"


def _stone(job: Job, parts: dict[int, WallPart]) -> Iterator[Wanted]:
    behind = tuple(dict.fromkeys(stone.leg for stone in job.water.stone))
    pits = [body for body in job.water.bodies if body.kind == "soakaway"]
    stony = [cut.id for cut in job.water.cut_offs if cut.stone]
    aprons = [outlet for outlet in job.water.outlets if outlet.apron_m]
    note = ", ".join(
        text
        for text in (
            f"{len(aprons)} outlet apron{'' if len(aprons) == 1 else 's'} in it" if aprons else "",
            "soakaway in it" if pits else "",
            _cut_off_words(stony),
            _loose(DRAIN_LOOSE),
        )
        if text
    )
    yield Wanted("drain_stone", drain_stone_m3(job.water), (*behind, *(pit.id for pit in pits), *stony), note=note)
    legs = tuple(dict.fromkeys(leg for part in parts.values() for leg in part.legs))
    steps = {flight.id: flight_stone_m3(flight) for flight in job.terraces.flights}
    pads = any(end.stone for flight in job.terraces.flights for end in flight.landings)
    flights = tuple(flight for flight, volume in steps.items() if volume > 0.0)
    note = ("under the steps and their landings too, " if pads else "under the steps too, ") if flights else ""
    quantity = sum(part.base_m3 for part in parts.values()) + sum(steps.values())
    yield Wanted("base_stone", quantity, (*legs, *flights), note=note + _loose(BASE_LOOSE))


def _cut_off_words(drains: Sequence[str]) -> str:
    """Drains that catch water above and lie in stone and fabric of their own."""
    return f"{'cut-off drain' if len(drains) == 1 else 'cut-off drains'} in it" if drains else ""


def _loose(factor: float) -> str:
    return f"bought loose: {factor - 1.0:.0%}".replace("%", " %") + " more than in place"


def _drain(job: Job) -> Iterator[Wanted]:
    water, drain, units = job.water, job.project.drain, job.project.units
    bore = f"{small(drain.bore_m, units)} inside"
    legs = {(stone.chain, stone.edge): stone.leg for stone in water.stone}
    behind = tuple(dict.fromkeys(legs.get((one.chain, one.edge), one.chain) for one in water.fabric))
    stands = job.walls.standing.stands
    holes = len(job.stability.weeps)
    later = sum(stands(hole.leg, hole.course, hole.station_m) for hole in job.stability.weeps)
    stony = [cut.id for cut in water.cut_offs if cut.stone]
    area = sum(fabric.area_m2 for fabric in water.fabric) + holes * WEEP_CLOTH_M[units] ** 2
    area += sum(cut.fabric_m2 for cut in water.cut_offs)
    cloth = f"{holes} squares of {small(WEEP_CLOTH_M[units], units)} for weep holes in it" if holes else ""
    cloth += f", {later} of them for timber that stands: less where the bores are there" if later else ""
    cloth = ", ".join(text for text in (cloth, _cut_off_words(stony)) if text)
    yield Wanted("fabric", area, (*behind, *stony), note=cloth)
    holed = sum(length_of(pipe.points_m) for pipe in water.drains)
    holed += sum(length_of(cut.holed_points_m) for cut in water.cut_offs)
    names = (*(pipe.id for pipe in water.drains), *(cut.id for cut in water.cut_offs))
    yield Wanted("drain_pipe", holed, names, f"drain pipe with holes, {bore}", note="holes down")
    solid = sum(pipe.length_m for pipe in water.solids) + sum(length_of(roof.points_m) for roof in water.roof_pipes)
    solid += sum(length_of(cut.solid_points_m) for cut in water.cut_offs)
    names = (*(one.id for ones in (water.solids, water.roof_pipes, water.cut_offs) for one in ones),)
    yield Wanted("solid_pipe", solid, names, f"pipe without holes, {bore}")
    counts = Counter(fitting.kind for fitting in water.fittings)
    for kind, count in sorted(counts.items()):
        where = tuple(dict.fromkeys(fitting.drain for fitting in water.fittings if fitting.kind == kind))
        yield Wanted(kind.replace(" ", "_"), float(count), where)


def _fixings(job: Job) -> Iterator[Wanted]:
    lines = job.timber.fastener_lines
    kinds = Counter(line.kind for line in lines)
    sold = Counter[tuple[str, str]]()
    for line in lines:
        more = f"{line.length_m * 1000:.0f}" if kinds[line.kind] > 1 else ""
        own = (f"{_FASTENERS[line.kind]}_{more}",) if sold[line.kind, more] else ()
        sold[line.kind, more] += 1
        # One length for two uses has a line for each, with one price.
        more += f"_{sold[line.kind, more]}" if own else ""
        yield Wanted(_FASTENERS[line.kind], float(line.count), (), _fastener_name(job, line), more, _drill(job, line),
                     own)  # fmt: skip
    if not any(line.kind == "base pin" for line in lines) and job.stability.pins:
        yield from _pins(job)
    yield from _packing(job)
    if job.timber.preservative is not None:
        liquid = job.timber.preservative
        yield Wanted("end_preservative", liquid.litres, note=f"{liquid.cut_ends} cut ends; {liquid.source}")


def _packing(job: Job) -> Iterator[Wanted]:
    """Under the courses that bring walls back to their level, by thickness."""
    sizes: dict[str, list[tuple[str, float, float]]] = defaultdict(list)
    for leg, thick, long in packing_of(job):
        sizes[f"{thick * 1000:.0f}"].append((leg, thick, long))
    units = job.project.units
    note = "under the next course of walls that stand too low, and under boxes of steps between walls off their level"
    for size, rows in sizes.items():
        name = f"treated packing, {small(rows[0][1], units)} thick, {small(job.project.timber.thickness_m, units)} wide"
        yield Wanted("packing", sum(long for *_, long in rows), tuple(leg for leg, *_ in rows), name,
                     size if len(sizes) > 1 else "", note)  # fmt: skip


def _pins(job: Job) -> Iterator[Wanted]:
    units = job.project.units
    sizes: dict[tuple[float, float], list[str]] = defaultdict(list)
    for pin in to_drive(job.walls, job.pieces, job.stability, job.stability.pins):
        size = next(
            (s for s in sizes if isclose(s[0], pin.diameter_m) and abs(s[1] - pin.top_m + pin.bottom_m) < 0.005),
            (pin.diameter_m, pin.top_m - pin.bottom_m),
        )
        sizes[size].append(pin.leg)
    for (diameter, long), legs in sizes.items():
        name = f"steel pin, {small(diameter, units)} thick, {length(long, units)} long"
        more = f"{long * 1000:.0f}" if len(sizes) > 1 else ""
        yield Wanted("base_pin", float(len(legs)), tuple(dict.fromkeys(legs)), name, more)


def _fastener_name(job: Job, line: FastenerLine) -> str:
    units = job.project.units
    size = f"{small(line.diameter_m, units, 16)} thick, {small(line.length_m, units)} long"
    coating = f", {line.coating}" if line.coating and line.coating not in line.what else ""
    return f"{line.what}, {size}{coating}"


def _drill(job: Job, line: FastenerLine) -> str:
    return f"drill {small(line.drill_m, job.project.units, 16)} first" if line.drill_m > 0 else ""


def _soil(job: Job) -> Iterator[Wanted]:
    banks = tuple(dict.fromkeys(bank.line for bank in job.walls.banks))
    yield Wanted("bank_mat", mat_m2(job.walls), banks, note="measured on the slope")
    for row in job.earth.account.brought:
        if row.what in _LOOSE:
            yield Wanted(_LOOSE[row.what], row.loose_m3, note="measured loose, as it is delivered")
    if not job.earth.account.brought and job.earth.account.away_loose_m3 < 0:
        yield Wanted("fill_soil", -job.earth.account.away_loose_m3, note="measured loose, as it is delivered")


def _plants(job: Job) -> Iterator[Wanted]:
    if job.planted is None:
        return
    beds: dict[str, dict[str, None]] = defaultdict(dict)
    species = {}
    for planting in job.planted.plantings:
        name = planting.species.botanical_name
        species[name] = planting.species.common_name
        beds[name][planting.bed] = None
    for name, count in job.planted.counts.items():
        common = species[name]
        yield Wanted(
            "plant", float(count), tuple(beds[name]), f"{common} ({name})", plain_key(common),
            own_keys=plant_keys(name, common),
        )  # fmt: skip
    drip = sum(row.drip_line_m for row in job.planted.water)
    yield Wanted("drip_line", drip, tuple(row.bed for row in job.planted.water if row.drip_line_m > 0))


def _away(job: Job) -> Iterator[Wanted]:
    account = job.earth.account
    if account.away_loose_m3 > 0 and account.loads:
        yield Wanted("load_away", float(account.loads), note="loose soil, in the truck that fits")
