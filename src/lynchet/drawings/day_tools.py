"""Tools of a day's work, each once, in the order they are taken up."""

from __future__ import annotations

from lynchet.drawings.day_places import Naming
from lynchet.drawings.day_weeps import bored_with
from lynchet.plan.day_parts import DayParts
from lynchet.plan.day_readings import readings
from lynchet.stability.model import WEEP_BORE_M
from lynchet.units.measures import FOOT

_TOOLS: dict[str, tuple[str, ...]] = {
    "set up": ("planks", "spade"),
    "set out": ("tape", "strings", "sledge"),
    "topsoil": ("spade", "barrow"),
    "trench": ("spade", "pick", "barrow"),
    "base": ("barrow", "rake", "tamper", "level"),
    "first course": ("strings", "level", "mallet", "drill", "sledge"),
    "pipe trench": ("spade", "barrow"),
    "drain": ("hose", "knife", "saw", "spade"),
    "bench": ("spade", "pick", "barrow"),
    "courses": ("level", "drill", "mallet"),
    "stone": ("barrow", "spade"),
    "fill": ("barrow", "spade", "tamper"),
    "steps": ("level", "drill", "mallet", "tamper"),
    "bed soil": ("barrow", "spade", "rake"),
    "plants": ("trowel", "can"),
    "mulch": ("barrow", "rake"),
    "haul away": ("barrow", "spade"),
    "clear up": ("barrow", "hose"),
}
"""PRACTICE."""
_SAWN = frozenset({"first course", "courses", "steps"})
_MEASURED = _SAWN | {"trench", "drain", "plants"}
"""Kinds whose steps name lengths or distances."""


def tools_of(named: Naming, today: DayParts) -> str:
    """The tools in words: what the work, its readings and its weep holes take; what protects comes last and never is
    left out.
    """
    level = "4 ft" if named.system == "us" else "1.2 m"
    kinds = [share.task.kind for share in today.shares]
    names = dict.fromkeys(tool for kind in kinds for tool in _TOOLS[kind])
    if "set out" in kinds or any(one.level for one in readings(named.plan, today)):
        names |= {"carry": None}
    if any(bored_with(named, share) for share in today.shares):
        names |= {"bit": None}
    if "bed soil" in kinds and named.plan.project.planting.compost_m > 0:
        names |= {"fork": None}
    if set(kinds) & _MEASURED and "tape" not in names:
        names |= {"rule": None}
    if set(kinds) & _SAWN:
        names |= dict.fromkeys(("saw", "safe"))
    return ", ".join(named.words(f"day.tool.{name}", level=level, bore=named.size(WEEP_BORE_M)) for name in names)


def clear_of_wall(named: Naming) -> str:
    """How far machines keep off a wall."""
    return f"{1.0:.0f} m" if named.system == "metric" else f"{round(1.0 / FOOT):.0f} ft"
