"""Which files of the plan folder are not written, and why, in words."""

from __future__ import annotations

from textwrap import wrap

from lynchet.book.parts.engineer_front import questions
from lynchet.exports.geojson import missing_for_map
from lynchet.plan.further_pegs import sets_out
from lynchet.plan.model import DAY_SHEETS, Plan

TO_BUILD_FROM = (
    "plan.dxf", "plan.glb", "plan.geojson", "setting-out.csv", "setting-out.xml", "pieces.csv", "order-list.csv",
    "order-list.xlsx", "plants.csv", "permit.pdf", "engineer.pdf", "engineer.dxf",
)  # fmt: skip
"""Files one could set out, cut, buy or build from, and those that not every plan has."""
_ENGINEER = ("engineer.pdf", "engineer.dxf")
_SHEETS = {
    "pieces.csv": "cut-sheet", "order-list.csv": "order-list", "order-list.xlsx": "order-list",
    "plants.csv": "order-list",
}  # fmt: skip


def left_out(plan: Plan) -> dict[str, str]:
    """Reason by file name, of every file of ``TO_BUILD_FROM`` that is not written, and of the day sheets."""
    found = {}
    for name in TO_BUILD_FROM:
        places = plan.withheld.get("all") or plan.withheld.get(_SHEETS.get(name, "all"))
        places = None if name in _ENGINEER else places
        reason = _kept_back(places) if places is not None else _nothing(plan, name)
        if reason:
            found[name] = reason
    if "all" not in plan.withheld and DAY_SHEETS in plan.withheld and plan.works.days:
        last = len(plan.works.days)
        found["day-1.svg" + (f" to day-{last}.svg" if last > 1 else "")] = (
            f"day sheets tell people what to build, and that is not settled; {_kept_back(plan.withheld[DAY_SHEETS])}"
        )
    return found


def _kept_back(places: tuple[str, ...]) -> str:
    named = ", ".join(place for place in places[:6] if place)
    more = f" and {len(places) - 6} more" if len(places) > 6 else ""
    return f"kept back until what is found at {named}{more} is answered" if named else "kept back by a finding"


def _nothing(plan: Plan, name: str) -> str:
    """Why there is nothing to write; empty where there is something."""
    if name.startswith("setting-out") and not sets_out(plan):
        return "no wall stands and no bank is shaped, so nothing is set out"
    if name == "permit.pdf" and not plan.walls.runs:
        return "no wall stands, so no permit is asked for"
    if name in _ENGINEER and not questions(plan):
        return "no check asks for an engineer (lynchet book FILE --engineer prints the folder all the same)"
    if name == "pieces.csv" and not plan.timber.sticks:
        return "no timber is cut"
    if name == "plants.csv" and not plan.planted.plantings:
        return "no plant is chosen or wished"
    missing = missing_for_map(plan) if name == "plan.geojson" else ()
    if missing:
        return (
            "to put the plan on a map, the project file must say latitude, longitude and north under [site] (north = "
            f"bearing of true north, clockwise from the file's y axis, in degrees); missing: {', '.join(missing)}"
        )
    return ""


def left_out_lines(plan: Plan) -> tuple[str, ...]:
    """The same as lines of text; files with one reason stand together."""
    by_reason: dict[str, list[str]] = {}
    for name, reason in left_out(plan).items():
        by_reason.setdefault(reason, []).append(name)
    told = (f"not written: {', '.join(names)}: {reason}" for reason, names in by_reason.items())
    return tuple(line for one in told for line in wrap(one, 80, subsequent_indent="  ", break_on_hyphens=False))
