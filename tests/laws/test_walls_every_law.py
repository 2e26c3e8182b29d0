"""Every plan of a seeded sweep of random yards obeys every law (the whole sweep is ``make sweep``)."""

from __future__ import annotations

import pytest

from lawbook.book import broken
from lawbook.case import plan
from random_yards import crooked, realistic
from yards import ell, rectangle


@pytest.mark.parametrize("first", [90, 100, 110, 120])
def test_realistic_yards_obey_every_law(first: int) -> None:
    """Ten realistic yards: planned, and no law broken. The first ninety are whole plans in ``test_whole_plans``."""
    for seed in range(first, first + 10):
        case = plan(*realistic(seed))
        assert case.refused == "", seed
        assert broken(case) == [], seed


def test_crooked_yards_obey_every_law_or_are_refused_with_a_cure() -> None:
    """Ten crooked yards: each is planned lawfully, or refused with a reason and a change that would help."""
    for seed in range(10):
        case = plan(*crooked(seed))
        if case.refused:
            stops = [f for f in (*case.terraces.findings, *case.walls.findings) if f.withholds == ("all",)]
            assert stops[0].text and stops[0].cures, seed
        assert broken(case) == [], seed


def test_drawn_yards_obey_every_law() -> None:
    """The plain rectangle and the L-shaped garden with house and steps, no findings of walls refused."""
    for made in (rectangle(), ell()):
        case = plan(*made)
        assert case.refused == ""
        assert broken(case) == []
