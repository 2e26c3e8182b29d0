"""Soil that has gone or come already, taken off the account of the whole job once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lynchet.core.findings import Finding, Verdict
from lynchet.earth.model import SoilAccount
from lynchet.ground.earth_states import whole_loads
from lynchet.project.model import Project
from lynchet.project.so_far import SoilMoved
from lynchet.units.format import volume
from lynchet.units.measures import System

_SMALL_M3 = 0.005


@dataclass(frozen=True)
class SoilLeft:
    """What is still to go away; negative where soil must still come in. The account itself stays as it is."""

    gone_bank_m3: float
    """Gone, less come, bank measure."""
    away_bank_m3: float
    away_loose_m3: float


def soil_left(account: SoilAccount, moved: Iterable[SoilMoved]) -> SoilLeft:
    """What is left of the account.

    Args:
        account: of the job; what came out of the trenches of courses that stand is counted with it.
        moved: what has gone or come, each by the measure it was counted in.
    """
    gone = sum((1.0 if one.way == "away" else -1.0) * _bank_m3(account, one) for one in moved)
    left = account.away_bank_m3 + account.stood_bank_m3 - gone
    return SoilLeft(gone, left, left * account.loose_per_bank)


def _under(account: SoilAccount, units: System) -> str:
    """What came out from under the courses that stand: it is in no list any more, and still was or is to be carted."""
    loose = account.stood_bank_m3 * account.loose_per_bank
    return "" if abs(loose) <= _SMALL_M3 else f", {volume(loose, units)} from under what stands counted in"


def _bank_m3(account: SoilAccount, one: SoilMoved) -> float:
    factor = {"bank": 1.0, "loose": 1.0 / account.loose_per_bank, "compacted": 1.0 / account.compacted_per_bank}
    return one.volume_m3 * factor[one.measure]


def too_much_moved(project: Project, account: SoilAccount) -> tuple[Finding, ...]:
    """More gone than the whole job digs, or more come than it takes: a slip of the file, told before anything else."""
    brought = sum(row.loose_m3 for row in account.brought) / account.loose_per_bank
    filled = account.fill_m3 / account.compacted_per_bank + account.topsoil_used_m3
    most = {"away": account.cut_m3 + account.stood_bank_m3, "in": filled + brought}
    told = {"away": ("gone already", "digs"), "in": ("come in already", "takes")}
    found = []
    for way, (went, does) in told.items():
        moved = sum(_bank_m3(account, one) for one in project.so_far.moved if one.way == way)
        if moved > most[way] + _SMALL_M3:
            amounts = [volume(one * account.loose_per_bank, project.units) for one in (moved, most[way])]
            text = (
                f"[[moved]] says that {amounts[0]} of soil, loose, has {went}; all that this job {does} is "
                f"{amounts[1]}. Check the volumes, their unit, and as what they were counted (loose, bank, compacted); "
                "loads, money and days beside it cannot be trusted until then."
            )
            found.append(Finding("standing.soil", Verdict.ASK, text, "site", demand=moved, capacity=most[way],
                                 unit="m3", withholds=("order-list",)))  # fmt: skip
    return tuple(found)


def soil_left_findings(project: Project, account: SoilAccount) -> tuple[Finding, ...]:
    """What is still to be carted, where the file says that some has been; nothing where it says nothing."""
    if not project.so_far.moved:
        return ()
    wrong = too_much_moved(project, account)
    if wrong:
        return wrong
    left, units = soil_left(account, project.so_far.moved), project.units
    gone = left.gone_bank_m3 * account.loose_per_bank
    had = f"{volume(abs(gone), units)} of soil, loose, {'gone' if gone >= 0 else 'come in'} already"
    amount = volume(abs(left.away_loose_m3), units)
    loads = int(whole_loads(abs(left.away_loose_m3), account.load_m3))
    turned = account.away_bank_m3 * left.away_bank_m3 < 0 and abs(left.away_loose_m3) > _SMALL_M3
    if abs(left.away_loose_m3) <= _SMALL_M3:
        text = f"With {had}, nothing is left to cart."
    elif turned:
        spare, full = "more has gone than the job has to spare: fetch", "more has come than it takes: cart away"
        way = spare if left.away_bank_m3 < 0 else full
        text = f"With {had}, {way} {amount} ({loads} load{'' if loads == 1 else 's'})."
    else:
        way = "still to go away" if left.away_bank_m3 > 0 else "still to come in"
        text = (
            f"With {had}, {amount} is {way} ({loads} load{'' if loads == 1 else 's'}){_under(account, units)}; the "
            "lists do not take off what has gone or come."
        )
    return (Finding("standing.soil", Verdict.WATCH if turned else Verdict.OK, text, "site"),)
