"""Factors on paper: two decimals that never claim a limit which the number misses."""

from __future__ import annotations

import pytest

from lynchet.core.findings import Verdict
from lynchet.stability.model import SlopeCheck
from lynchet.stability.slope import slope_findings, word_on_slope
from lynchet.stability.thresholds import shown_factor


@pytest.mark.parametrize(("factor", "limits", "told"), [
    (1.4996, (1.5,), "1.49"), (1.5, (1.5,), "1.50"), (1.4949, (1.5,), "1.49"), (0.9961, (1.5,), "0.99"),
    (1.2999, (1.3, 1.5), "1.29"), (1.0951, (1.1,), "1.09"), (2.0712, (1.1,), "2.07"),
])  # fmt: skip
def test_no_factor_is_rounded_up_to_a_limit(factor: float, limits: tuple[float, ...], told: str) -> None:
    """Rounded by hand; a factor under a limit is shown under it."""
    assert shown_factor(factor, *limits) == told


@pytest.mark.parametrize(("case", "factor"), [("wet", 1.4996), ("wet", 1.2999), ("all shut", 1.0999), ("wet", 1.5)])
def test_the_word_on_a_slope_agrees_with_the_factor_read(case: str, factor: float) -> None:
    """A reader who sets the factor shown against what is said to be enough comes to the program's word."""
    check = SlopeCheck(case=case, factor=factor, triggers=("an invented reason",))  # type: ignore[arg-type]
    (finding,) = slope_findings([check])
    told, enough = (
        float(part.split()[0].lstrip("(")) for part in finding.text.split("a factor of ")[1].split(" (")[:2]
    )
    assert (told >= enough) is (word_on_slope(check) is Verdict.OK)
