"""``lynchet look``: three to six rough numbers in, one screen out."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from lynchet.commands.look_sheet import known_ending, write_sheet
from lynchet.commands.report import WIDTH, plural, soil_line, works_lines, wrapped
from lynchet.commands.typed import typed
from lynchet.core.errors import Fault, InputError
from lynchet.core.findings import Finding, Verdict
from lynchet.core.writable import refuse_file, refuse_folder
from lynchet.plan.cures import Tried, first_cure
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.flat_ground import flat_words
from lynchet.plan.model import Plan
from lynchet.plan.next_steps import next_steps
from lynchet.plan.pipeline import plan_project
from lynchet.project.edit import refuse_to_overwrite, replace_file
from lynchet.project.load import Loaded, load_text
from lynchet.project.model import Project
from lynchet.project.read import checked
from lynchet.project.rough import RoughYard, answer_fault, rough_project_text, spoken_system
from lynchet.units.format import area, length
from lynchet.units.measures import System

Ask = Callable[[str], str]
Say = Callable[[str], None]
ROWS = 24
_REASON_LINES = 4
_NAME = "first look"
"""What errors call the project of a look before it is saved."""
TRIES = 3
"""So often a question is put again where its answer cannot be read."""
QUESTIONS = (
    ("side_to_side", "How wide is the slope, side to side?", "20 ft, 6.5 m"),
    ("up_the_slope", "How far is it from the low edge to the high one?", "24 ft, 7.4 m"),
    ("drop", "How much does it drop from the high edge to the low one?", "3 ft 6 in, 1.1 m, 15 %"),
    ("held", "Was the tape held level or along the ground? (level, ground, unknown)", "unknown"),
    ("top", "What is at the top? (house, fence, lawn, path, drive, unknown)", "unknown"),
    ("soil", "How does the soil feel? (gritty, silky, sticky, unknown)", "unknown"),
)
NEEDED = ("side_to_side", "up_the_slope", "drop")
_HINTS = {key: hint for key, _, hint in QUESTIONS}


def asked(given: dict[str, str], ask: Ask | None, units: System | None, say: Say) -> tuple[RoughYard, System]:
    """The numbers, asked for where they were not given; with None for ``ask`` what is missing stays unknown.

    What is typed and cannot be read is asked for again at once. Plain numbers are in ``units``; where the user named
    none, in those of the first answer that carries one, else feet. Gives the answers and these units.
    """
    answers: dict[str, str] = {}
    system: System = units or spoken_system(given) or "us"
    for key, question, hint in QUESTIONS:
        answer = given.get(key, "").strip()
        tries = 0 if answer or ask is None else TRIES
        while ask is not None and tries > 0:
            answer = ask(f"{question} [{hint}] ").strip()
            system = units or spoken_system(given | answers | {key: answer}) or "us"
            needed = "this one is needed, as good as you know it" if key in NEEDED else ""
            wrong = answer_fault(answers, key, answer, system) if answer else needed
            tries = tries - 1 if wrong else 0
            if wrong and not tries:
                raise InputError(Fault(wrong, "", key.replace("_", " ")))
            if wrong:
                say(wrong)
        if answer:
            answers[key] = answer
    missing = [key for key in NEEDED if key not in answers]
    if missing:
        raise InputError(*(Fault("no answer", f"such as {_HINTS[key]}", key.replace("_", " ")) for key in missing))
    return RoughYard(**answers), system


@dataclass(frozen=True)
class LookOptions:
    """What the user asked of the command beside the numbers."""

    save: Path | None = None
    prices: Path | None = None
    as_json: bool = False
    sheet: Path | None = None
    """The same as one page, PDF or SVG."""


def refuse_files(options: LookOptions) -> None:
    """Say before anything is asked or planned which files to write will not do.

    Raises:
        InputError: a file that is there already, or a sheet of an unknown kind.
        NoRoomError: a place that takes no file.
    """
    refuse_to_overwrite(options.save, "--save")
    if options.save is not None:
        refuse_file(options.save)
    if options.sheet is not None:
        known_ending(options.sheet)
        refuse_to_overwrite(options.sheet, "--sheet")
        refuse_folder(options.sheet.parent)


def run(rough: RoughYard, system: System, options: LookOptions, say: Say) -> None:
    """Plan the rough yard on defaults and print one screen; save the project file where asked.

    Raises:
        InputError: an answer, or the price list, that cannot be read; a file to write that is there already.
        NoRoomError: the file cannot be written.
    """
    refuse_files(options)
    text = rough_project_text(rough, system, options.save.stem if options.save else "First look")
    loaded = load_text(text + _prices(options.prices, Path()), _NAME, Path())
    plan = plan_project(_checked(loaded), effort=LIVE)
    stopped = plan.verdict is Verdict.STOP and not plan.refused
    cure = first_cure(plan, lambda edits: checked(loaded, edits)) if stopped else None
    if options.as_json:
        say(json.dumps(as_data(plan, cure), ensure_ascii=False, indent=1))
    else:
        for line in screen(plan, cure):
            say(line)
    if options.sheet is not None:
        write_sheet(plan, options.sheet, cure)
        if not options.as_json:
            say(f"Wrote: {options.sheet}")
    if options.save is not None:
        replace_file(options.save, text + _prices(options.prices, options.save.parent))
        if not options.as_json:
            then = f"lynchet plan {typed(options.save)} --out plan"
            say(f"Saved: {options.save}. Mend it as you learn more, then: {then}")


def _checked(loaded: Loaded) -> Project:
    """The project; what is wrong with the price list is said of the file the user named, not of the look's own."""
    try:
        return checked(loaded)
    except InputError as error:
        raise InputError(
            *(
                replace(fault, file="", line=0, key="--prices" if fault.key.startswith("prices") else fault.key)
                if fault.file == _NAME
                else fault
                for fault in error.faults
            )
        ) from None


def _prices(file: Path | None, folder: Path) -> str:
    """The lines that name a price list, as seen from a folder."""
    if file is None:
        return ""
    return f"\n[prices]\nfile = {json.dumps(Path(os.path.relpath(file, folder)).as_posix(), ensure_ascii=False)}\n"


def as_data(plan: Plan, cure: Tried | None = None) -> dict[str, Any]:
    """The first look as data: the word, its reasons, the figures (SI), and what would leave no stop."""
    found = asdict(figures(plan)) | {"verdict": plan.verdict.key, "verdict_words": plan.verdict.words}
    reasons = [
        {"verdict": finding.verdict.key, "text": finding.text, "more_like_it": count - 1} for finding, count in plan.top
    ]
    helps = {} if cure is None else {"cure": cure.cure.name, "cure_text": cure.cure.text, "effect": cure.cure.effect}
    return {"lynchet_look": 1, **found, "reasons": reasons, **helps}


def screen(plan: Plan, cure: Tried | None = None) -> list[str]:
    """At most 23 lines of 80 characters: verdict, what would help, reasons, walls, sticks, soil, what to do next."""
    head = [*_head(plan, cure), *(line for text in flat_words(plan) for line in wrapped(text, "  ", "    "))]
    facts = list(_facts(plan))
    tail = list(_next_steps(plan))
    room = ROWS - 2 - len(head) - len(facts) - len(tail)
    reasons: list[str] = []
    for finding, count in plan.top:
        lines = _reason(finding, count - 1)
        if len(reasons) + len(lines) > room:
            break
        reasons += lines
    return [*head, *reasons, *facts, *tail]


def _head(plan: Plan, cure: Tried | None) -> Iterator[str]:
    if cure is not None:
        told = f"STOP: not like this. What would help: {cure.cure.text} ({cure.cure.effect})."
        yield from wrapped(told, "", "  ")
        yield f"  Save it (--save), then: lynchet plan FILE --with {cure.cure.name}"
        return
    words = {
        Verdict.OK: "GO: nothing speaks against it.",
        Verdict.WATCH: "GO WITH CARE: it can be built as planned; mind the points below.",
        Verdict.ASK: "ASK FIRST: before you dig or order, get the answers below.",
        Verdict.STOP: "STOP: not like this. Save it (--save): lynchet plan FILE tries what may help.",
    }
    yield words[plan.verdict]


def _reason(finding: Finding, more: int) -> list[str]:
    word = finding.verdict.words
    others = f" (+{more} like it)" if more else ""
    text = finding.text
    while len(lines := wrapped(f"{word}: {text}{others}", "  ", "    ")) > _REASON_LINES and ". " in text:
        text = text.rpartition(". ")[0] + "."  # whole sentences, as many as there is room for
    if len(lines) > _REASON_LINES:
        lines = [*lines[: _REASON_LINES - 1], lines[_REASON_LINES - 1][: WIDTH - 4].rpartition(" ")[0] + " ..."]
    return lines


def _facts(plan: Plan) -> Iterator[str]:
    found, units = figures(plan), plan.project.units
    if plan.refused or not found.walls:
        yield "  No wall is planned."
        return
    fronts = sum(leg.role == "front" and bool(leg.segments) for leg in plan.walls.legs)
    walls = (
        f"Walls: {found.terraces} terrace{plural(found.terraces)}, {fronts} wall{plural(fronts)} between them (W) and "
        f"those round the edge (A); the highest holds {length(found.highest_m, units)} "
        f"({found.highest_courses} courses high, buried ones counted). Beds: {area(found.bed_m2, units)} of level "
        "ground"
    )
    yield from wrapped(walls, "  ", "         ")
    for rule in plan.project.area.edges:
        if rule.inset_m > 0.0:
            kept = length(rule.inset_m, units)
            yield f"  {kept} inside edge {rule.edge} is kept for the stone behind the wall there."
    ties = f", ties included ({found.ties})" if found.ties else ""
    yield from wrapped(f"Timber: about {found.sticks} sticks{ties}; a plan may count a few more or fewer", "  ", "    ")
    soil = soil_line(found, plan)
    for line in (soil.replace(": ", ": about ", 1) if found.barrows else soil, *works_lines(found)):
        yield from wrapped(line[0].upper() + line[1:], "  ", "    ")


def _next_steps(plan: Plan) -> Iterator[str]:
    steps = next_steps(plan)
    yield from wrapped("Next: " + "; ".join(steps) + ".", "  ", "    ")
    yield "  A first look from rough numbers, no plan to build from; local codes first."
