"""What is told of banks: where one does not meet the ground within its width, and where the ground is a guess."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.inset import edge_rows
from lynchet.project.model import Project
from lynchet.units.format import length as length_text
from lynchet.units.format import tape_for_file
from lynchet.units.parse import parse
from lynchet.walls.bank import BANK_SLOPE, Bank
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.bank_ends import Meeting
from lynchet.walls.bank_reach import LITTLE_M, Reach

_OFF_M, _BESIDE_M = 0.005, 0.05
LOW_M, CLAY_M = 0.15, 0.6
"""Heights up to which a bank is raked soil, and to which one of clay is left to plants. PRACTICE."""


def bank_findings(
    project: Project,
    reaches: Mapping[str, Sequence[Reach]],
    banks: Sequence[Bank],
    at_fronts: tuple[Sequence[BankEnd], Sequence[Meeting]],
) -> Iterator[Finding]:
    """Findings of every edge that ends as a bank.

    Args:
        project: the file.
        reaches: how far the banks of its beds reach, by line.
        banks: as they are shaped.
        at_fronts: their ends round fronts, and fronts round which there is no room for one.
    """
    for line, beds in reaches.items():
        width = project.area.rule(_edge_of(line)).width_m or 0.0
        if any(reach.past(width) for reach in beds):
            yield _too_narrow(project, line, max(ray.reach_m for reach in beds for ray in reach.rays))
        if any(reach.corners_m(width) > width + LITTLE_M for reach in beds):
            yield _corner(project, line, width)
        shaped = [bank for bank in banks if bank.line == line]
        if shaped:
            yield from _slopes(project, line, shaped)
            ends = [end for end in at_fronts[0] if end.line == line]
            yield from _stepped(project, line, ends)
            yield from _no_room(project, line, [one for one in at_fronts[1] if one.line.id == line])
            yield from _over_stays(project, line, [*shaped, *ends])
            yield from _outside(project, line, (shaped, ends))
            yield from _unmeasured(project, line, [bank for bank in shaped if not bank.measured])


def _wall_instead(project: Project, line: str) -> Cure:
    rule = replace(project.area.rule(_edge_of(line)), finish="wall", width_m=None)
    rows = edge_rows(project.area, {_edge_of(line): rule}, project.units)
    return Cure("wall-for-bank", f"a wall at {line} instead of the bank", (("area.edges", rows),))


def _unmeasured(project: Project, line: str, banks: Sequence[Bank]) -> Iterator[Finding]:
    """Banks that run out over ground nobody measured."""
    if banks:
        wide = max(bank.wide_m for bank in banks)
        text = (
            f"The bank at {line} reaches up to {length_text(wide, project.units)} out, where no level is measured: the "
            "ground there is taken, for its width and its soil, to go on as it falls across the yard. Measure it out "
            "to there, and plan again, before soil is moved."
        )
        yield Finding("walls.bank_unmeasured", Verdict.WATCH, text, line, demand=wide, unit="m", source="PRACTICE",
                      cause="walls.bank_unmeasured")  # fmt: skip


def _over_stays(project: Project, line: str, banks: Sequence[Bank | BankEnd]) -> Iterator[Finding]:
    """A bank over roots, paths or other things that stay: nothing is filled over them or dug from them."""
    for thing in project.fixed:
        round_it = thing.shape.buffer(max(thing.clear_m, 0.05))
        met = [bank for bank in banks if bank.polygon.intersects(round_it)]
        if thing.buried or thing.kind == "rock" or not met:
            continue
        if thing.kind == "service" and all(bank.raised > 0 for bank in met):
            continue  # soil over a line does it no harm
        yield _over(project, line, f"the roots of {thing.name}" if thing.kind == "tree" else thing.name, met[0])
    for path in project.paths:
        walked = path.band().buffer(-_BESIDE_M)
        met = [bank for bank in banks if bank.polygon.intersects(walked)]
        if met:
            yield _over(project, line, path.name or "a path", met[0])


def _over(project: Project, line: str, part: str, bank: Bank | BankEnd) -> Finding:
    moved = "filled over" if bank.raised > 0 else "dug away at"
    text = f"The bank at {line} reaches {part}: soil would be {moved} what stays."
    return Finding("walls.bank_over_stays", Verdict.STOP, text, line, cures=(_wall_instead(project, line),),
                   withholds=("all",))  # fmt: skip


def _edge_of(line: str) -> int:
    return int(line[1:].partition(".")[0])


def _slopes(project: Project, line: str, banks: Sequence[Bank]) -> Iterator[Finding]:
    """What a bank at 1 in 2 asks for; higher ones in clay are asked about, as slopes of it are."""
    high = max(bank.high_m for bank in banks)
    if high <= LOW_M:
        return
    units = project.units
    made = "fill it in tamped layers" if any(bank.raised > 0 for bank in banks) else "cut it smooth"
    text = (
        f"The bank at {line} stands at 1 in 2, up to {length_text(high, units)} high: {made}, peg a mat over it and "
        "plant through it before the first rain; nobody digs in it"
    )
    ask = project.soil.clay and high > CLAY_M
    if ask:
        text += ". Clay so steep may slide when it is wet: ask an engineer, or make it a wall"
    yield Finding("walls.bank", Verdict.ASK if ask else Verdict.WATCH, f"{text}.", line, demand=high,
                  capacity=CLAY_M if ask else None, unit="m", source="PRACTICE: banks at 1 in 2",
                  ask="engineer" if ask else "", cause="walls.bank")  # fmt: skip


def _stepped(project: Project, line: str, ends: Sequence[BankEnd]) -> Iterator[Finding]:
    """Soil round the ends of fronts."""
    if ends:
        high = max(end.step_m for end in ends)
        units, beds = project.units, " and ".join(dict.fromkeys(end.onto for end in ends))
        text = (
            f"Where a front ends at the bank of {line}, soil of the upper bed's bank lies round the end of the timber "
            f"at 1 in 2, up to {length_text(high, units)} high and {length_text(high / BANK_SLOPE, units)} out over "
            f"bed {beds}, and over the lower bank. It is in the account; fill it in tamped layers, peg the mat over it "
            "and plant it."
        )
        yield Finding("walls.bank_step", Verdict.WATCH, text, line, demand=high, unit="m", source="PRACTICE",
                      cause="walls.bank_step")  # fmt: skip


def _no_room(project: Project, line: str, without: Sequence[Meeting]) -> Iterator[Finding]:
    """Fronts round whose end no soil can lie."""
    if without:
        high = max(one.step_m for one in without)
        text = (
            f"Where a front ends at the bank of {line}, the bank of the upper bed stands up to "
            f"{length_text(high, project.units)} over that of the lower one, and soil at 1 in 2 round the end of the "
            f"timber, {length_text(high / BANK_SLOPE, project.units)} long, finds no room there. Hold it, "
            "with timber of the front led on out through the bank, say, or make that edge a wall; neither that timber "
            "nor that soil is in the account."
        )
        yield Finding("walls.bank_step_held", Verdict.WATCH, text, line, demand=high, unit="m", source="PRACTICE",
                      cures=(_wall_instead(project, line),), cause="walls.bank_step")  # fmt: skip


def _outside(project: Project, line: str, shaped: tuple[Sequence[Bank], Sequence[BankEnd]]) -> Iterator[Finding]:
    """A bank over a lot line, or further out than one may dig."""
    import shapely

    units, rule = project.units, project.area.rule(_edge_of(line))
    banks, ends = shaped
    wide = max(bank.wide_m for bank in banks)
    shapes = [part.polygon for parts in (banks, ends) for part in parts]
    lots = ((lot, shapely.LineString(lot.line_m)) for lot in project.lot_lines)
    crossed = [lot for lot, line in lots
               if any(one.intersects(line) and one.buffer(-_OFF_M).intersects(line) for one in shapes)]  # fmt: skip
    if not crossed and (rule.dig_beyond_m is None or wide <= rule.dig_beyond_m + _OFF_M):
        return
    text = f"The bank at {line} reaches {length_text(wide, units)} out"
    if crossed:
        text += f", over the lot line {crossed[0].name or 'of the lot'}."
    else:
        text += f"; {length_text(rule.dig_beyond_m or 0.0, units)} is allowed there."
    yield Finding("walls.bank_over_line", Verdict.STOP, text, line, demand=wide, capacity=rule.dig_beyond_m, unit="m",
                  cures=(_wall_instead(project, line),), withholds=("all",))  # fmt: skip


def _corner(project: Project, line: str, width_m: float) -> Finding:
    """A bank that ends along its edge, and round the corner does not."""
    text = (
        f"Round a corner of the bank at {line} the ground falls away, or rises, so steeply that soil at 1 in 2 "
        f"does not end within {length_text(width_m, project.units)}. Keep the bed short of that corner "
        "(`inset` of the edges beside it), or make one of them a wall."
    )
    return Finding("walls.bank_corner", Verdict.ASK, text, line, capacity=width_m, unit="m", ask="engineer")


def _too_narrow(project: Project, line: str, far_m: float) -> Finding:
    units, area, edge = project.units, project.area, _edge_of(line)
    rule = area.rule(edge)
    width = rule.width_m or 0.0
    text = f"The bank at {line}, 1 in 2, does not meet the ground everywhere within {length_text(width, units)}"
    cures: tuple[Cure, ...] = ()
    if far_m == inf:
        text += ": the ground outside falls away, or rises, nearly as steeply as the bank does"
    else:
        wider = tape_for_file(far_m, units, "up")
        moved = {edge: replace(rule, width_m=parse(wider, measure="length", system=units))}
        told = f"give it {length_text(far_m, units)}, if you may fill and dig so far out"
        cures = (Cure("wider-bank", told, (("area.edges", edge_rows(area, moved, units)),)),)
        text += f"; it would need {length_text(far_m, units)}"
    return Finding("walls.bank_too_narrow", Verdict.WATCH, f"{text}. A wall stands where it does not.", line,
                   demand=None if far_m == inf else far_m, capacity=width, unit="m", cures=cures)  # fmt: skip
