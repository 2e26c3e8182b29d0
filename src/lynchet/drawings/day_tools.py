"""Tools of a day's work, each once, in the order they are taken up."""

from __future__ import annotations

from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import DayParts
from lynchet.units.measures import FOOT

_TOOLS: dict[str, tuple[str, ...]] = {
    "set up": ("planks", "spade"),
    "set out": ("tape", "strings", "sledge"),
    "topsoil": ("spade", "barrow"),
    "trench": ("spade", "pick", "barrow"),
    "base": ("barrow", "rake", "tamper", "level"),
    "first course": ("strings", "level", "mallet", "drill", "sledge"),
    "pipe trench": ("spade", "barrow"),
    "drain": ("hose", "knife", "spade"),
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


def tools_of(named: Naming, today: DayParts) -> str:
    """The tools in words; what protects comes last and never is left out."""
    level = "4 ft" if named.system == "us" else "1.2 m"
    kinds = [share.task.kind for share in today.shares]
    names = dict.fromkeys(tool for kind in kinds for tool in _TOOLS[kind])
    if set(kinds) & _SAWN:
        names |= dict.fromkeys(("saw", "safe"))
    return ", ".join(named.words(f"day.tool.{name}", level=level) for name in names)


def clear_of_wall(named: Naming) -> str:
    """How far machines keep off a wall."""
    return f"{1.0:.0f} m" if named.system == "metric" else f"{round(1.0 / FOOT):.0f} ft"
