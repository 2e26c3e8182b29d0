"""Files for the office and the engineer: the permit sheets as one PDF, the engineer's folder with its drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lynchet.book.engineer import build_engineer
from lynchet.book.pdf import to_pdf
from lynchet.book.sheet_pdf import sheets_pdf
from lynchet.drawings.drawn import Drawn
from lynchet.exports.dxf import plan_dxf
from lynchet.plan.model import Plan

Files = dict[str, str | bytes]


def permit_files(plan: Plan, sheets: Sequence[Drawn]) -> Files:
    """``permit.pdf`` and its sheets as SVG; empty where they are kept back or no wall stands."""
    own = [one for one in sheets if one.sheet.kind == "permit"]
    if not own:
        return {}
    title = f"Permit sheets: {plan.project.name or 'Plan'}"
    return {"permit.pdf": sheets_pdf(own, title), **{f"{one.name}.svg": one.svg() for one in own}}


def engineer_files(plan: Plan, sheets: Sequence[Drawn], dxf: str | bytes | None = None) -> Files:
    """``engineer.pdf`` and ``engineer.dxf``, the plan of the terraces; made also where the site is stopped.

    Args:
        plan, sheets: as they are drawn.
        dxf: the plan's own drawing, where it was made: the same as the engineer's, and given to all.
    """
    files: Files = {"engineer.pdf": to_pdf(build_engineer(plan, sheets))}
    seen = next((one.plan for one in sheets if one.plan is not None), None)
    if seen is not None:
        stopped = "all" in plan.withheld  # of such a site nobody gets pieces to cut, nor holes to bore in them
        if stopped or dxf is None:
            shown = replace(plan, pieces=(), stability=replace(plan.stability, weeps=())) if stopped else plan
            dxf = plan_dxf(shown, *seen)
        files["engineer.dxf"] = dxf
    return files
