"""The job in figures, as rows of what and how much."""

from __future__ import annotations

from lynchet.book.texts import Words
from lynchet.plan.figures import figures
from lynchet.plan.model import Plan
from lynchet.units.format import area, length, volume

Row = tuple[str, str]


def job_figures(plan: Plan, words: Words) -> tuple[Row, ...]:
    """Terraces, walls, timber, beds and soil; one row each."""
    found, units = figures(plan), plan.project.units
    rows: list[Row] = [
        (words("figures.terraces"), str(found.terraces)),
        (words("figures.walls"), words("figures.walls_value", lines=found.walls)),
        (
            words("figures.highest"),
            words("figures.highest_value", holds=length(found.highest_m, units), courses=found.highest_courses),
        ),
        (words("figures.sticks"), str(found.sticks)),
        (words("figures.ties"), str(found.ties)),
        (words("figures.bed"), area(found.bed_m2, units)),
    ]
    soil = "figures.soil_none" if found.barrows == 0 else "figures.soil_value"
    way = words("figures.soil_away" if found.away_loose_m3 > 0 else "figures.soil_in")
    amount = volume(abs(found.away_loose_m3), units)
    rows.append((way, words(soil, amount=amount, barrows=found.barrows, loads=found.loads)))
    return tuple(rows)
