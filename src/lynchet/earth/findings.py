"""What the soil of a job asks for: loads that must go, soil that must come, heaps and ways without room."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.core.findings import Cure, Finding, Verdict, Working
from lynchet.earth.columns import Columns
from lynchet.earth.finishes import Finish
from lynchet.earth.lifting import Lift, best_lift
from lynchet.earth.model import Earth, SoilAccount
from lynchet.project.model import Project, Units
from lynchet.terraces.model import Terraces
from lynchet.units.format import area, length, levels_for_file, mass, slope, small, volume

BARROW_M = 0.7
"""A barrow itself. PRACTICE."""
STEEP = 1.0 / 8.0
"""Steeper than that a full barrow needs planks and a second pair of hands. PRACTICE."""
_BALANCED = 0.1
"""Cut and fill are called balanced where they miss by no more than this share of the cut."""
_WORTH = 0.25
"""Share of a load from which on soil left over is told as something to mind."""
SPREAD_M = 0.1
_NAMES = {
    "timber": "timber", "ties": "ties", "steps": "steps", "stone": "stone", "pipes": "pipes",
    "bed soil": "compost and bed soil", "mulch": "mulch",
}  # fmt: skip


def findings_of(
    project: Project, terraces: Terraces, columns: Columns, finishes: tuple[Finish, ...], found: Earth
) -> tuple[Finding, ...]:
    """Every finding of the earth stage."""
    account = found.account
    out = []
    if account.away_bank_m3 > 0.0:
        lift = None
        if account.away_loose_m3 > _WORTH * account.load_m3:
            lift = best_lift(columns, finishes, len(terraces.levels_m), terraces.lattice.course_m,
                             account.away_bank_m3, account.compacted_per_bank)  # fmt: skip
        out.append(_left_over(project, terraces, account, lift))
    elif account.loads:
        out.append(_short(project, account))
    out += [*_heaps(project, found), *_way(project, found), *_mulch(project)]
    return tuple(out)


def _loads(count: int) -> str:
    return f"{count} load{'' if count == 1 else 's'}"


def _left_over(project: Project, terraces: Terraces, account: SoilAccount, lift: Lift | None) -> Finding:
    units = project.units
    much = account.away_loose_m3 > _WORTH * account.load_m3
    goes = f"{volume(account.away_loose_m3, units)} loose"
    away = f"{_loads(account.loads)} of {volume(account.load_m3, units)} ({goes}, {account.barrows} barrows)"
    balanced = abs(account.plain_away_bank_m3) <= _BALANCED * max(account.bench_cut_m3, 0.1)
    if balanced:
        head = f"Cut and fill alone balance, and yet {away} must go away: "
    else:
        plain = volume(abs(account.plain_away_bank_m3), units)
        words = f"the cut leaves {plain}" if account.plain_away_bank_m3 > 0 else f"the fill would take {plain} more"
        head = f"{away} must go away. Of cut and fill alone {words}; "
    rows = sorted(account.pushed, key=lambda row: -row.bank_m3)
    parts = [f"{_NAMES[row.what]} {volume(row.bank_m3, units)}" for row in rows if row.bank_m3 >= 0.005]
    text = f"{head}what comes in pushes out {volume(account.pushed_bank_m3, units)} of soil ({', '.join(parts)})."
    if account.spread_m3 > 0.0:
        text += f" {volume(account.spread_m3, units)} is spread first."
    cures = (*_lift_cures(terraces, lift, units), *_spread_cures(project, account)) if much else ()
    return Finding(
        "earth.pushed_out", Verdict.WATCH if much else Verdict.OK, text, "site", demand=account.pushed_bank_m3,
        capacity=account.away_bank_m3, unit="m3", source="soil account; states of soil after US Army FM 5-434",
        cures=cures, cause="earth.soil", working=_loads_working(account),
    )  # fmt: skip


def _lift_cures(terraces: Terraces, lift: Lift | None, units: Units) -> Iterator[Cure]:
    if lift is None:
        return
    course = terraces.lattice.course_m
    levels = [level + n * course for level, n in zip(terraces.levels_m, lift.courses, strict=True)]
    groups: dict[int, list[int]] = {}
    for terrace, count in enumerate(lift.courses, start=1):
        groups.setdefault(count, []).append(terrace)
    parts = []
    for count, which in sorted(groups.items()):
        if count:
            benches = "every bench" if len(groups) == 1 else f"bench{'es' if len(which) > 1 else ''} " + ", ".join(
                f"B{k}" for k in which)  # fmt: skip
            parts.append(f"{benches} up by {count} course{'s' if count > 1 else ''} ({small(count * course, units)})")
    text = f"{'; '.join(parts)}, so that more soil stays in the yard"
    edits = (("brief.levels", levels_for_file(levels, units)), ("brief.terraces", len(levels)))
    yield Cure("benches-up", text, edits)


def _spread_cures(project: Project, account: SoilAccount) -> Iterator[Cure]:
    """Ground raised by what is left over: drawn by hand, since only the user knows where."""
    units = project.units
    needed = account.away_bank_m3 * account.compacted_per_bank / SPREAD_M
    deep = length(SPREAD_M, units, 2) if units == "metric" else small(SPREAD_M, units, 2)
    text = (
        f"spread it: {area(needed, units)} of lawn or bed elsewhere raised by {deep}, the turf taken off first and "
        "laid back (draw the ground as `spread` under [earth])"
    )
    yield Cure("spread-it", text, effect=f"{_loads(account.loads)} fewer to cart away")


def _short(project: Project, account: SoilAccount) -> Finding:
    units = project.units
    loose = volume(-account.away_loose_m3, units)
    text = (
        f"Soil is short: {loose} loose of firm fill, {_loads(account.loads)} or {account.barrows} barrows, must be "
        "brought in. Ask for subsoil that can be tamped, not for topsoil."
    )
    return Finding("earth.short", Verdict.WATCH, text, "site", demand=-account.away_loose_m3, unit="m3",
                   cause="earth.soil", working=_loads_working(account))  # fmt: skip


def _loads_working(account: SoilAccount) -> Working:
    """How many loads the soil that goes or comes makes."""
    return "load_count", (("loose_m3", abs(account.away_loose_m3)), ("truck_m3", account.load_m3))


def _heaps(project: Project, found: Earth) -> Iterator[Finding]:
    units = project.units
    for heap in found.heaps:
        size = f"{volume(heap.volume_loose_m3, units)} loose, {length(heap.height_m, units, 2)} high"
        name = "The topsoil heap" if heap.id == "topsoil heap" else "The heap"
        if not heap.outline_m:
            met = f" Where the file puts it, it meets {', '.join(heap.in_the_way)}." if heap.in_the_way else ""
            text = (
                f"{name} ({size}) finds no room near the yard, clear of walls, trees, drains and lot lines. Cart soil "
                f"away as it is dug, or say where it may lie (`heap` under [access]).{met}"
            )
            yield Finding("earth.heap_room", Verdict.WATCH, text, heap.id, cause="earth.heap_room")
        elif heap.moved_m is not None:
            text = (
                f"{name} ({size}) does not lie where the file puts it: there it would meet "
                f"{', '.join(heap.in_the_way)}. It is drawn and set out on the nearest free ground, with its middle "
                f"{length(heap.moved_m, units)} away. Look whether that suits you."
            )
            cure = Cure("move-heap", "another place for `heap` under [access], if the one taken does not suit")
            yield Finding("earth.heap_place", Verdict.WATCH, text, heap.id, cures=(cure,))
        elif heap.in_the_way:
            text = (
                f"{name} ({size}) lies where the file puts it, on {', '.join(heap.in_the_way)}: nobody gets through "
                "there while it lies."
            )
            cure = Cure("move-heap", "another place for `heap` under [access], or none: the nearest free one is taken")
            yield Finding("earth.heap_place", Verdict.WATCH, text, heap.id, cures=(cure,))
    if found.drop_zone is not None and not found.drop_zone.outline_m:
        text = (
            f"There is no room near the yard to set down timber and stone ({area(found.drop_zone.area_m2, units)}). "
            "Have it delivered in lots."
        )
        yield Finding("earth.drop_room", Verdict.WATCH, text, "drop zone", cause="earth.heap_room")


def _way(project: Project, found: Earth) -> Iterator[Finding]:
    units, run = project.units, found.barrow_run
    gate = project.access.gate_m
    if gate is not None and gate < BARROW_M:
        text = (
            f"The gate is {length(gate, units)} wide and a barrow {length(BARROW_M, units)}: everything would be "
            "carried in buckets and by hand."
        )
        cure = Cure("widen-way", "take a fence panel out for the time of the job")
        yield Finding("earth.gate", Verdict.WATCH, text, "gate", demand=BARROW_M, capacity=gate, unit="m",
                      cures=(cure,))  # fmt: skip
    if run is not None and run.start == "truck stop" and run.steepest is not None and run.steepest > STEEP:
        text = (
            f"The barrow run from the truck stop to the heap is {slope(run.steepest)} at its steepest: lay planks, "
            "keep loads small, two people to a barrow."
        )
        yield Finding("earth.steep_run", Verdict.WATCH, text, "barrow run", demand=run.steepest, capacity=STEEP)
    if project.access.payload_kg is None and found.account.loads and found.account.away_bank_m3 > 0:
        text = (
            f"A full load of this soil, {volume(found.account.load_m3, units)}, weighs "
            f"{mass(found.account.load_kg, units)}: the truck must be allowed to carry that (`payload` under [access])."
        )
        yield Finding("earth.payload", Verdict.OK, text, "site")


def _mulch(project: Project) -> Iterator[Finding]:
    deep, under = project.planting.mulch_m, project.brief.freeboard_m
    if deep > under + 1e-9:
        units = project.units
        text = (
            f"Mulch {small(deep, units)} deep is more than the {small(under, units)} of timber over the bed: the soil "
            f"is kept {small(deep - under, units)} lower, or it washes over the wall."
        )
        yield Finding("earth.mulch", Verdict.OK, text, "site", demand=deep, capacity=under, unit="m")
