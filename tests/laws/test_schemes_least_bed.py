"""A scheme that says how deep beds must be has the plan of a file that says so."""

from __future__ import annotations

from lawbook.money_laws import schemes_are_their_own_plans
from priced_yards import priced


def test_a_scheme_with_a_least_bed_of_its_own_says_it() -> None:
    """Path strips come beside a bed whose depth is said, and out of one that is not."""
    found = priced(96602)
    assert any(
        scheme.brief.least_bed_m != found.plan.project.brief.least_bed_m for scheme in found.plan.project.schemes
    )
    assert schemes_are_their_own_plans(found) == []
