"""Flights that are not built, in words: no room, no riser, no wall; with the change that would help."""

from __future__ import annotations

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.model import Project
from lynchet.terraces.crossings import Crossing
from lynchet.terraces.flight_forms import LEAST_RISER_M, MOST_RISER_M, riser_courses
from lynchet.terraces.model import Flight, WallLine
from lynchet.units.format import length as length_text
from lynchet.units.format import small

UNFIT = "terraces.flight_unfit"
"""Code of a flight that finds no room."""


def no_bed_beside(flight: Flight) -> Finding:
    """The refusal of a flight let in that would leave a bed too narrow."""
    cure = Cure("move-steps", "move the flight to the middle of the bench, or to its end")
    text = f"The flight over {flight.line} let into the bench would leave a bed too narrow beside it."
    return Finding("terraces.flight_unfit", Verdict.STOP, text, flight.id, cures=(cure,))


def too_high(project: Project, number: int) -> Finding:
    """Timber whose courses make no riser that may be climbed."""
    units = project.units
    text = (
        f"Steps {project.steps[number].name or number + 1}: courses of {small(project.timber.course_m, units)} "
        f"make no riser of {small(LEAST_RISER_M, units)} to {small(MOST_RISER_M, units)}."
    )
    cure = Cure("other-course", f"timber of {length_text(0.14, units)} high, or buy the flight ready made")
    return Finding("terraces.flight_unfit", Verdict.STOP, text, f"S{number}", cures=(cure,))


def no_wall(project: Project, number: int) -> Finding:
    """A wish that meets no wall: nothing is built, which one may not have meant."""
    text = (
        f"{_said(project, number)} is not built: its line meets no wall of this plan. It lies on ground without beds, "
        "or on one bed."
    )
    cure = Cure("steps-over-walls", "its line drawn over the walls to be climbed, or the wish taken away")
    return Finding("terraces.flight_no_wall", Verdict.WATCH, text, f"S{number}", cures=(cure,))


def on_bank(project: Project, number: int, edge: WallLine, climb_m: float) -> Finding:
    """Steps whose line goes on over a bank: the way ends there."""
    text = (
        f"{_said(project, number)} ends at the bank of {edge.id}: the levels differ there by "
        f"{length_text(climb_m, project.units)}, and no step is built in a bank."
    )
    how = f'let edge {edge.id} end as a wall (`finish = "wall"`), draw the steps over a wall, or set your own there'
    cure = Cure("steps-off-the-bank", how)
    return Finding("terraces.flight_on_bank", Verdict.WATCH, text, f"S{number}", cures=(cure,))


def unfit(project: Project, crossing: Crossing, reason: str) -> Finding:
    """The refusal of one flight, with the change that would help."""
    units = project.units
    text = f"{_said(project, crossing.wish)} over {crossing.line.id} does not fit: {reason}."
    rise = crossing.head_level_m - crossing.foot_level_m
    riser = project.timber.course_m * riser_courses(project.timber.course_m)
    depth = (round(rise / riser) - 1) * max(0.28, 0.63 - 2 * riser) + crossing.landing_m
    deep = length_text(depth, units)
    how = f"turn the flight along the wall, or make its bed {deep} deep between timbers, with one terrace fewer"
    place = f"S{crossing.wish}@{crossing.line.id}"
    cure = Cure("deeper-bench", how)
    return Finding("terraces.flight_unfit", Verdict.STOP, text, place, demand=rise, unit="m", cures=(cure,))


def _said(project: Project, number: int) -> str:
    """A wish by its name, else by its number."""
    name = project.steps[number].name
    return f'Flight "{name}"' if name else f"Flight of steps {number + 1}"
