"""The job in figures, as rows of what and how much."""

from __future__ import annotations

from lynchet.book.texts import Words
from lynchet.plan.figures import Figures, figures, rounded_money
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
        (words("figures.bed"), area(found.bed_m2, units)),
    ]
    if plan.planted.beds:
        rows.append((words("figures.planted"), area(sum(bed.soil_m2 for bed in plan.planted.beds), units)))
    if found.ties:
        rows.insert(4, (words("figures.ties"), str(found.ties)))
    soil = "figures.soil_none" if found.barrows == 0 else "figures.soil_value"
    way = words("figures.soil_away" if found.away_loose_m3 > 0 else "figures.soil_in")
    amount = volume(abs(found.away_loose_m3), units)
    rows.append((way, words(soil, amount=amount, barrows=found.barrows, loads=words.counted("soil.load", found.loads))))
    rows.append((
        words("figures.work"),
        words("figures.work_value", days=found.days, low=found.days_low, high=found.days_high, crew=found.crew,
              hours=f"{found.hours.likely:.0f}"),
    ))  # fmt: skip
    rows.append((words("figures.money"), _money(found, words)))
    return tuple(rows)


def _money(found: Figures, words: Words) -> str:
    if found.money is None:
        return found.money_words
    low, high = rounded_money(found.money.low), rounded_money(found.money.high)
    return words("figures.money_value", currency=found.currency, low=low, high=high, said=found.money_words).strip()
