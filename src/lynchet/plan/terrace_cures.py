"""More terraces, so that each wall is lower: a cure for several ills."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.core.findings import Cure
from lynchet.plan.model import Plan

MORE_TERRACES = ("one-terrace-more", "two-terraces-more")


def more_terraces(plan: Plan) -> Iterator[Cure]:
    """One terrace more, and two, as edits whose effect is not known before they are planned."""
    for count, name in enumerate(MORE_TERRACES, start=len(plan.terraces.levels_m) + 1):
        yield Cure(name, f"{count} terraces, so that each wall is lower", (("brief.terraces", count),))
