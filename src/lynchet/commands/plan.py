"""``lynchet plan``: read a project, plan it, print the findings, write the plan and its drawings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from lynchet.commands.first_run import tell_first_run
from lynchet.commands.report import (
    all_lines,
    by_hand_lines,
    cure_lines,
    ease_lines,
    figure_lines,
    top_lines,
    withheld_lines,
    wrapped,
)
from lynchet.commands.working import offer_lines, working_lines
from lynchet.core.beside import beside
from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.core.findings import Verdict
from lynchet.core.writable import refuse_file, refuse_folder
from lynchet.exports.into import Into
from lynchet.exports.left_out import left_out_lines
from lynchet.exports.plan_json import plan_json
from lynchet.exports.write_made import Files, write_made
from lynchet.plan.built import built_edits
from lynchet.plan.cure_edits import cure_edits
from lynchet.plan.cures import Reread, Tried, named_cure, tried_cures, with_cures
from lynchet.plan.effort import effort_named
from lynchet.plan.model import Plan
from lynchet.plan.on_walls import refuse_unknown_walls
from lynchet.plan.pipeline import STAGES, plan_project
from lynchet.project.edit import edit_file
from lynchet.project.inputs import inputs_of
from lynchet.project.keys_build import BRIEF_KEYS
from lynchet.project.load import Loaded, load
from lynchet.project.overlay import Edit
from lynchet.project.read import checked
from lynchet.schemes.compare import scheme_edits
from lynchet.schemes.model import Outcome

Say = Callable[[str], None]
_CAUTION = "Have buried lines marked before digging; local codes and licensed engineers come before this plan."


@dataclass(frozen=True)
class PlanOptions:
    """What the user asked of the command."""

    file: Path
    out: Path | None = None
    as_json: bool = False
    effort: str = "full"
    strict: bool = False
    with_cures: Sequence[str] = ()
    without: Sequence[str] = ()
    write: bool = False
    scheme: str = ""
    """Name of a scheme; empty for the file as written."""
    working: str = ""
    """Findings whose working is shown instead of the plan: all, a place or a code."""
    built: Sequence[str] = ()
    """Walls that stand by now, with the courses laid: "W2:3"."""
    lang: str = "en"
    """Language of the day sheets and the cautions."""
    paper: str = ""
    """Of plans, sections and walls; empty: as the file says."""


def run(options: PlanOptions, say: Say, note: Say) -> int:
    """Plan the file.

    Args:
        options: what was asked.
        say: prints to the reader (standard output).
        note: prints progress (standard error).

    Returns:
        Exit status: 0, or 3 where the plan has a stop and ``--strict`` was given.
    """
    refuse_folder(options.out)
    if options.working and options.as_json:
        raise InputError(Fault("--working shows words, --json data", "one of the two", "--working"))
    loaded = load(options.file)
    if options.write:
        refuse_file(options.file)
    paper: list[Edit] = [("sheet.paper", options.paper)] if options.paper else []
    edits = list(paper)
    if options.scheme:
        scheme = scheme_edits(loaded.raw, lambda more: checked(loaded, more), options.scheme, note)
        if scheme.plan is None:
            _show_unbuilt(scheme, say)
            return 0
        edits += scheme.edits
    plan, edits = _planned(options, loaded, edits, note)
    refuse_unknown_walls(plan, loaded.sources)
    if options.working:
        for line in working_lines(plan.findings, options.working, plan.project.units):
            say(line)

    def told() -> list[Tried]:
        tried = _tried(plan, lambda more: checked(loaded, [*edits, *more]), note)
        if not options.working:
            _show(plan, tried, options, say)
        return tried

    if options.out is not None:
        _write(plan, told, Into(options.out, inputs_of(loaded), note), options.lang)
    elif not options.working:
        told()
    if options.write:  # last: a folder that cannot be written leaves the file as it was
        _keep(options, edits[len(paper) :], note)
    return 3 if options.strict and plan.verdict is Verdict.STOP else 0


def _planned(options: PlanOptions, loaded: Loaded, edits: list[Edit], note: Say) -> tuple[Plan, list[Edit]]:
    """The plan with what the options lay over the file, and all that was laid over it."""
    effort = effort_named(options.effort)
    without = [name.strip() for said in options.without for name in said.split(",") if name.strip()]
    edits = [*edits, *_switches(without, checked(loaded, edits).brief.helps_off if without else ())]
    project = checked(loaded, edits)
    tell_first_run(note, drawn=True)
    plan = plan_project(project, effort=effort, progress=_progress(note))
    for name in options.with_cures:
        cure = named_cure(plan, name)
        edits += list(cure.edits)
        note(f"with {name}: {cure.text}")
        plan = plan_project(checked(loaded, edits), effort=effort)
    if options.built:
        edits += built_edits(plan, options.built)
        plan = plan_project(checked(loaded, edits), effort=effort)
    return plan, edits


def _keep(options: PlanOptions, edits: Sequence[tuple[str, object]], note: Say) -> None:
    """What was asked for, written into the file; the paper is of one run, and kept only by the file's own word."""
    if edits:
        edit_file(options.file, edits)
        note(f"{options.file} now says so too")
    if options.paper:
        note(f'--paper is for this run and is not kept; to keep it write under [sheet]: paper = "{options.paper}"')


def _tried(plan: Plan, reread: Reread, note: Say) -> list[Tried]:
    """What the cures on offer lead to."""
    if plan.verdict is not Verdict.STOP and not any(cure_edits(plan)):
        return []
    note("trying cures ...")
    return tried_cures(plan, reread)


def _write(plan: Plan, told: Callable[[], Sequence[Tried]], into: Into, lang: str) -> None:
    """The plan's folder, drawn and printed while cures are tried; what is written and what is left out is told.

    Args:
        plan: the plan.
        told: tries the cures and shows what they lead to.
        into, lang: as for the folder; who is told there is told all.
    """
    note = into.tell
    with beside(lambda: _made(plan, lang)) as made:
        tried = told()
        note("drawing the sheets, writing the book ...")
        for path in write_made(plan, with_cures(plan, tried), list(all_lines(plan, tried)), into, made):
            note(f"wrote {path}")
    for line in left_out_lines(plan):
        note(line)


def _made(plan: Plan, lang: str) -> Files:
    """All that is drawn; what draws is loaded by the copy that does, and by nobody where no folder is asked for."""
    from lynchet.exports.folder import made_files

    return made_files(plan, lang)


def _show_unbuilt(scheme: Outcome, say: Say) -> None:
    """A scheme in which nothing is built: there is no plan to make."""
    say(f"{scheme.name}: {scheme.what}. Nothing is built, so there is no plan to make.")
    for text in (scheme.row.reason, scheme.note):
        for line in wrapped(f"{text[0].upper()}{text[1:].rstrip('.')}." if text else "", "  "):
            say(line)


def _switches(without: Sequence[str], off: Sequence[str]) -> list[tuple[str, object]]:
    """``--without ties`` and the like: helps not counted, or things not built.

    Args:
        without: what the user leaves out.
        off: helps the file does not count either.
    """
    known = BRIEF_KEYS["helps_off"].words
    unknown = [name for name in without if name not in (*known, "corners")]
    if unknown:
        accepted = "one of " + ", ".join(known)
        raise UnknownNameError(*(Fault(f'no help is called "{name}"', accepted, "--without") for name in unknown))
    helps = ["returns" if name == "corners" else name for name in without if name != "ties"]
    found: list[tuple[str, object]] = [("brief.ties", "never")] if "ties" in without else []
    if helps:
        found.append(("brief.helps_off", [*off, *(name for name in helps if name not in off)]))
    return found


def _progress(note: Say) -> Callable[[str], None]:
    def told(stage: str) -> None:
        note(f"[{STAGES.index(stage) + 1}/{len(STAGES)}] {stage}")

    return told


def _show(plan: Plan, tried: Sequence[Tried], options: PlanOptions, say: Say) -> None:
    if options.as_json:
        say(plan_json(plan, with_cures(plan, tried)).rstrip("\n"))
        return
    for line in (*top_lines(plan), "", *figure_lines(plan), *withheld_lines(plan), *cure_lines(tried),
                 *by_hand_lines(plan), *ease_lines(plan, tried), *offer_lines(plan.findings), "",
                 *wrapped(_CAUTION)):  # fmt: skip
        say(line)
    if options.out is None:
        say("Add --out FOLDER for drawings, all findings, assumptions and cautions.")
