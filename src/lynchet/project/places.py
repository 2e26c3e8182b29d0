"""Sample rules of places, and what stands where the place is unknown: the strictest of them, as questions."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from lynchet.project.model import HeightRule, Place
from lynchet.units.parse import parse


@cache
def samples() -> dict[str, Place]:
    """The sample places by id, lengths in metres."""
    text = files("lynchet.project").joinpath("data", "places.toml").read_text(encoding="utf-8")
    return {entry["id"]: _place(entry) for entry in tomllib.loads(text)["place"]}


def _place(entry: dict[str, Any]) -> Place:
    rules = tuple(
        HeightRule(
            name=f"{rule['name']} ({entry['name']})",
            measure=rule["measure"],
            limit_m=parse(rule["limit"], "length"),
            tiers_add=rule.get("tiers_add", "never"),
            setback_ratio=rule.get("setback_ratio", 2.0),
            at_limit_counts=rule.get("at_limit_counts", False),
            surcharge_counts=rule.get("surcharge_counts", False),
        )
        for rule in entry["heights"]
    )
    clear = parse(entry.get("building_clear", 0.0), "length")
    return Place(entry["name"], True, rules, clear, parse(entry.get("lot_clear", 0.0), "length"))


def named(name: str) -> Place | None:
    """The sample of this name or id; None where there is none."""
    wanted = name.strip().lower()
    return next(
        (
            place
            for key, place in samples().items()
            if wanted in (key, place.name.lower(), place.name.split(",")[0].lower())
        ),
        None,
    )


def strictest(name: str = "") -> Place:
    """For an unknown place: of all samples the lowest limit of each way to measure and add tiers, as questions."""
    lowest: dict[tuple[str, str, bool], HeightRule] = {}
    for place in samples().values():
        for rule in place.heights:
            kind = (rule.measure, rule.tiers_add, rule.surcharge_counts)
            if kind not in lowest or rule.limit_m < lowest[kind].limit_m:
                lowest[kind] = rule
    clear = max(place.building_clear_m for place in samples().values())
    lot = max(place.lot_clear_m for place in samples().values())
    return Place(name or "unknown", False, tuple(lowest.values()), clear, lot)
