"""Regions of the world by name, and which lies within which: where a caution about a plant that spreads holds."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files


@dataclass(frozen=True)
class Region:
    """A row of the table of regions."""

    name: str
    also: tuple[str, ...]
    """Other names of the same."""
    part_of: tuple[str, ...]
    """Larger regions it lies in, wholly or for the part that matters (a coast)."""
    origin: str


@cache
def regions() -> tuple[Region, ...]:
    """Every region of the table."""
    text = files("lynchet.planting").joinpath("data", "regions.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return tuple(Region(row["name"], _several(row["also"]), _several(row["part_of"]), row["origin"]) for row in rows)


def names_region(written: str, listed: str) -> bool:
    """Whether a region as the user writes it is one that a caution lists, lies in one, or holds one.

    A larger region written than listed ("Europe" where "British Isles" is listed) counts: the yard may lie there. Names
    the table does not know are compared as they stand, either within the other.

    Args:
        written: in the user's words.
        listed: in the words of the caution, several with commas.
    """
    ours, theirs = regions_in(written), regions_in(listed)
    ours -= {wide for one in ours for wide in _and_larger(one) - {one}}  # "Oregon, US" is no other state
    if any(two in _and_larger(one) or one in _and_larger(two) for one in ours for two in theirs):
        return True
    if ours:
        return False
    plain = written.lower().strip()
    parts = [part.strip().lower() for part in re.split(r"[,:]|\band\b", listed)]
    return bool(plain) and any(part and (part in plain or plain in part) for part in parts)


@lru_cache(maxsize=512)
def regions_in(text: str) -> frozenset[str]:
    """Regions of the table that a text names; of names within each other the longest ("New England", not England)."""
    return frozenset(_by_name()[_plain(match)] for match in _pattern().findall(_plain(text)))


@lru_cache(maxsize=512)
def _and_larger(name: str) -> frozenset[str]:
    """A region and all it lies in."""
    parents = next(region.part_of for region in regions() if region.name == name)
    return frozenset({name}).union(*(_and_larger(parent) for parent in parents))


def _several(cell: str) -> tuple[str, ...]:
    return tuple(part for part in cell.split("|") if part)


def _plain(text: str) -> str:
    """Lower case, hyphens as spaces, no full stops."""
    return " ".join(text.lower().replace("-", " ").replace(".", "").split())


@cache
def _by_name() -> dict[str, str]:
    """Regions by every form of their names."""
    return {_plain(form): region.name for region in regions() for form in (region.name, *region.also)}


@cache
def _pattern() -> re.Pattern[str]:
    """Any name of the table, the longest first."""
    forms = sorted(_by_name(), key=len, reverse=True)
    return re.compile(r"\b(?:" + "|".join(map(re.escape, forms)) + r")\b")
