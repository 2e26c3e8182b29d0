"""Laws of days written without a year."""

import pytest

from lynchet.planting.frost import day_number, day_text


@pytest.mark.parametrize(
    "text, season, wanted",
    [
        ("01-01", "spring", 1), ("04-15", "spring", 105), ("06-30", "spring", 181), ("07-01", "spring", 182 - 365),
        ("12-31", "spring", 0), ("07-01", "autumn", 182), ("12-31", "autumn", 365), ("01-01", "autumn", 366),
        ("06-30", "autumn", 181 + 365),
    ],
)  # fmt: skip
def test_seasons_run_over_the_turn_of_the_year(text, season, wanted):
    """Spring frosts from July on fall in the year before, autumn frosts up to June in the year after; the day of the
    year is read back from the number."""
    assert day_number(text, season, "last_spring") == wanted
    assert day_text(wanted) == text
