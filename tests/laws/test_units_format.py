"""Values for people: they read back, and US lengths look as a tape does."""

from __future__ import annotations

import re
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lynchet.units import format as shown
from lynchet.units.format import levels_for_file, rule_for_file, size_for_file, tape_for_file
from lynchet.units.measures import System
from lynchet.units.parse import parse

INCH = 0.0254
SAFE: tuple[Literal["up", "down"], ...] = ("up", "down")


@given(st.floats(-60, 60), st.sampled_from([2, 8, 16]))
def test_us_lengths_read_back_within_half_a_mark(value_m: float, fractions: int) -> None:
    """Feet and inches read back to half of the smallest mark, and never hold a decimal point."""
    for text in (shown.length(value_m, "us", fractions), shown.small(value_m, "us", fractions)):
        assert "." not in text
        assert parse(text, "length", "metric") == pytest.approx(value_m, abs=INCH / fractions / 2 + 1e-9)


@given(st.integers(0, 60 * 12 * 8))
def test_marks_of_the_tape_are_shown_exactly(eighths: int) -> None:
    """A length on an eighth-inch mark comes back to the digit, its fraction in lowest terms, inches under twelve."""
    value_m = eighths * INCH / 8
    text = shown.feet_inches(value_m)
    assert parse(text, "length") == pytest.approx(value_m, abs=1e-12)
    inches = re.search(r"(\d+)(?: \d/\d)? in", text)
    assert inches is None or int(inches[1]) < 12
    assert not re.search(r"[246]/8|2/4", text)


@given(st.floats(-500, 500))
def test_metric_lengths_read_back(value_m: float) -> None:
    """Metres show two decimals, millimetres none."""
    assert parse(shown.length(value_m, "metric"), "length") == pytest.approx(value_m, abs=0.00501)
    assert parse(shown.small(value_m, "metric"), "length") == pytest.approx(value_m, abs=0.000501)


@pytest.mark.parametrize(
    ("write", "measure"),
    [
        (shown.area, "area"), (shown.volume, "volume"), (shown.force, "force"), (shown.mass, "mass"),
        (shown.line_load, "line_load"), (shown.pressure, "pressure"), (shown.unit_weight, "unit_weight"),
        (shown.flow, "flow"), (shown.rain, "rate"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("value", [12.34, 3.5, 87.6])
def test_other_quantities_read_back_within_their_digits(write, measure, system, value) -> None:
    """What is printed reads back as the same quantity within the last digit shown."""
    assert parse(write(value, system), measure) == pytest.approx(value, rel=0.02, abs=0.05)


@pytest.mark.parametrize(
    ("value_m", "text"),
    [(54.5 * INCH, "4 ft 6 1/2 in"), (12 * INCH, "1 ft 0 in"),
        (12.125 * INCH, "1 ft 0 1/8 in"), (11.99 * INCH, "1 ft 0 in"), (5.5 * INCH, "5 1/2 in"),
     (0.0, "0 in"), (-0.0001, "0 in"), (-14.25 * INCH, "-1 ft 2 1/4 in"), (0.125 * INCH, "1/8 in")],
)  # fmt: skip
def test_us_lengths_look_as_a_tape_shows_them(value_m: float, text: str) -> None:
    """Examples by hand: twelve inches become a foot, a zero has no sign."""
    assert shown.length(value_m, "us") == text


def test_slopes_are_said_both_ways() -> None:
    """A slope is shown as a percentage and as one in so many."""
    assert shown.slope(1 / 6) == "16.7 % (1 in 6)"
    assert shown.slope(0.0) == "0 %"


@pytest.mark.parametrize("system", ["metric", "us"])
def test_what_is_written_into_a_file_is_a_mark_of_the_tape(system: System) -> None:
    """A length of a cure is an eighth of an inch or 5 mm, on the safe side of what is needed, by less than one mark."""
    mark = 0.0254 / 8 if system == "us" else 0.005
    for n in range(400):
        value = -0.4 + 0.0107319 * n
        up, down = (parse(tape_for_file(value, system, safe), "length", system) for safe in SAFE)
        assert value - 1e-6 <= up < value + mark
        assert value - mark < down <= value + 1e-6
        assert all(abs(one / mark - round(one / mark)) < 1e-6 for one in (up, down))
        assert parse(tape_for_file(up, system, "up"), "length", system) == pytest.approx(up)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_levels_written_stay_whole_courses_apart(system: System) -> None:
    """Beds a course apart stay so to the millimetre, and no level leaves its place by 3 mm."""
    for course in (0.14, 0.15, 0.1397, 0.184):
        levels = [1.0378548767691074 + n * course for n in (0, 1, 3, 4)]
        read = [parse(text, "length", system) for text in levels_for_file(levels, system)]
        for n, level in zip((0, 1, 3, 4), read, strict=True):
            assert level - read[0] == pytest.approx(n * course, abs=0.0011)
        assert read == pytest.approx(levels, abs=0.003)


@pytest.mark.parametrize(("metres", "written"), [(3.048, "10 ft"), (0.6096, "2 ft"), (0.2286, "9 in"), (0.0, "0 in"),
                                                 (1.9304, "6 ft 4 in"), (-3.048, "-10 ft")])  # fmt: skip
def test_sizes_in_us_files_are_feet_and_inches(metres: float, written: str) -> None:
    """What a program writes into a US file is what a tape says there (inch 25.4 mm, NIST SP 811, 2008), and reads back;
    what is no mark of a tape keeps its own measure."""
    assert size_for_file(metres, "us") == rule_for_file(metres, "us") == written
    assert parse(written, "length", "us") == pytest.approx(metres, abs=1e-9)
    odd = size_for_file(metres + 0.001, "us")
    assert parse(odd, "length", "us") == pytest.approx(metres + 0.001, abs=2e-6)
    assert size_for_file(metres, "metric") == f"{metres:g} m"
