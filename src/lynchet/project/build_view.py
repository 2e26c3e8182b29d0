"""Standpoints of the eye-level picture, from the checked file."""

from __future__ import annotations

from math import dist

from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.polygons import refuse_twins
from lynchet.project.views import EYE_M, EyeView

_LEAST_M = 0.5


def views_of(rows: tuple[Got, ...], faults: Faults) -> tuple[EyeView, ...]:
    """The standpoints; one that looks at its own place is a fault."""
    refuse_twins(((row.path, row["name"]) for row in rows), "view", faults)
    views = []
    for n, row in enumerate(rows):
        if row["at"] is None:
            continue
        toward = row["towards"]
        if toward is not None and dist(toward, row["at"]) < _LEAST_M:
            faults.add((*row.path, "towards"), "the place one stands at", "a place at least 0.5 m (20 in) away from it")
            continue
        eye = EYE_M if row["eye"] is None else row["eye"]
        views.append(EyeView(row["name"] or f"view {n + 1}", row["at"], eye, toward))
    return tuple(views)
