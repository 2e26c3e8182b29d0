"""A scheme that says how deep beds must be is planned by name as it is compared."""

from __future__ import annotations

from lawbook.money_laws import schemes_are_their_own_plans
from priced_yards import priced


def test_a_scheme_with_a_least_bed_of_its_own_is_planned_as_it_is_compared() -> None:
    """Path strips came beside the bed where the file itself said its depth, but not where one of its schemes did: by
    name the plan had four terraces, in the comparison three."""
    found = priced(96602)
    assert any(
        scheme.brief.least_bed_m != found.plan.project.brief.least_bed_m for scheme in found.plan.project.schemes
    )
    assert schemes_are_their_own_plans(found) == []
