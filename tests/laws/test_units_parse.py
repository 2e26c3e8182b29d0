"""Quantities: what people write is read rightly, and what cannot be meant is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lynchet.core.errors import InputError
from lynchet.units.endings import ENDINGS
from lynchet.units.measures import ENDING_MEASURES, MEASURES
from lynchet.units.parse import parse, parse_for_key, parse_slope, split_fall

# Exact definitions: foot 0.3048 m, inch 25.4 mm, pound force 4.4482216152605 N, US gallon 231 cubic inches
# (NIST Special Publication 811, 2008, appendix B).
WRITTEN = [
    ("6 ft 3 1/2 in", "length", 6 * 0.3048 + 3.5 * 0.0254),
    ("6' 3-1/2\"", "length", 6 * 0.3048 + 3.5 * 0.0254),
    ("6\u20323\u00bd\u2033", "length", 6 * 0.3048 + 3.5 * 0.0254),
    ("6ft 3in", "length", 6 * 0.3048 + 3 * 0.0254),
    ("4.8 m", "length", 4.8),
    ("480 cm", "length", 4.8),
    ("2 m 30 cm", "length", 2.3),
    ("-3 ft 6 in", "length", -3.5 * 0.3048),
    ("3/4 in", "length", 0.75 * 0.0254),
    ("18 %", "slope", 0.18),
    ("1 in 6", "slope", 1 / 6),
    ("1.25 m in 7.4 m", "slope", 1.25 / 7.4),
    ("6 in in 8 ft", "slope", 0.5 / 8),
    ("1/4 in per ft", "slope", 0.25 / 12),
    ("45 deg", "slope", 1.0),
    ("58 %", "fraction", 0.58),
    ("31 deg", "angle", 31.0),
    ("50 lb/ft3", "unit_weight", 50 * 4.4482216152605 / 0.3048**3 / 1000),
    ("120 pcf", "unit_weight", 120 * 4.4482216152605 / 0.3048**3 / 1000),
    ("120 pounds per cubic foot", "unit_weight", 120 * 4.4482216152605 / 0.3048**3 / 1000),
    ("250 psf", "pressure", 250 * 4.4482216152605 / 0.3048**2 / 1000),
    ("4 in/h", "rate", 101.6),
    ("4 inches per hour", "rate", 101.6),
    ("25 mm/h", "rate", 25.0),
    ("640 sq ft", "area", 640 * 0.3048**2),
    ("60 m\u00b2", "area", 60.0),
    ("20 yd3", "volume", 20 * 0.9144**3),
    ("20 cubic yards", "volume", 20 * 0.9144**3),
    ("8 gpm", "flow", 8 * 231 * 0.0254**3 * 1000 / 60),
    ("68 F", "temperature", 20.0),
]

REFUSED = [
    ("1 in 6", "length"), ("4,8 m", "length"), ("6 fet", "length"), ("5 ft 14 in", "length"), ("6 kg", "length"),
    ("", "length"), ("ft", "length"), ("6 ft x 2 ft", "length"), ("1:6", "slope"), ("3 in 4 ft", "length"),
    ("six", "length"), ("1/0 in", "length"), ("--3", "length"), ("6 ft 3", "length"), ("100 deg", "slope"),
    ("6.5 ft 3 in", "length"), ("3 m in 0 m", "slope"), ("18 %", "length"), ("nan", "length"), ("inf m", "length"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "measure", "value"), WRITTEN)
def test_written_quantities_are_read(text: str, measure: str, value: float) -> None:
    """Every way of writing gives the exact value of the unit's definition."""
    assert parse(text, measure) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("text", "measure"), REFUSED)
def test_what_cannot_be_meant_is_refused(text: str, measure: str) -> None:
    """A refusal says what was found and what is accepted."""
    with pytest.raises(InputError) as raised:
        parse(text, measure)
    fault = raised.value.faults[0]
    assert fault.found
    assert fault.accepted


def test_a_length_says_that_a_ratio_is_a_slope() -> None:
    """ "1 in 6" is never one inch and something: a length key says that it is a slope."""
    with pytest.raises(InputError, match="slope"):
        parse("1 in 6", "length", "us")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True])
def test_numbers_that_are_none_are_refused(value: float) -> None:
    """NaN, infinity and flags are no quantities."""
    with pytest.raises(InputError):
        parse(value, "length")


def test_plain_numbers_follow_the_system() -> None:
    """A number without a unit is metres in a metric file and feet in a US one, as number or as text."""
    assert parse(3, "length", "metric") == 3.0
    assert parse(3, "length", "us") == pytest.approx(0.9144)
    assert parse("3", "length", "us") == parse(3, "length", "us")


@given(st.floats(-1e4, 1e4, allow_nan=False), st.sampled_from(sorted(MEASURES)), st.data())
def test_every_unit_of_every_measure_reads_back(value: float, measure: str, data: st.DataObject) -> None:
    """A value written in any unit of its measure comes back."""
    kind = MEASURES[measure]
    unit = data.draw(st.sampled_from(sorted(kind.units)))
    value = round(value, 3)
    expected = value * kind.units[unit] + kind.offsets.get(unit, 0.0)
    assert parse(f"{value} {unit}", measure) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@given(st.floats(-500, 500), st.floats(0.1, 500))
def test_a_fall_is_its_drop_over_its_run(drop: float, run: float) -> None:
    """A drop in a run is read as two lengths whose quotient is the slope."""
    drop, run = round(drop, 3), round(run, 3)
    text = f"{abs(drop)} m in {run} m"
    assert split_fall(text) == pytest.approx((abs(drop), run))
    assert parse_slope(text) == pytest.approx(abs(drop) / run)


@pytest.mark.parametrize("end", sorted(ENDINGS))
def test_keys_read_a_plain_number_in_their_own_unit(end: str) -> None:
    """A plain number belongs to the key's own unit in both systems."""
    for system in ("metric", "us"):
        assert parse_for_key(f"some_{end}", "3.5", system) == 3.5
        assert parse_for_key(f"some_{end}", 3, system) == 3.0


@pytest.mark.parametrize("end", sorted(set(ENDING_MEASURES) - {"c"}))
def test_endings_agree_with_the_units_of_their_measure(end: str) -> None:
    """An ending's size is that of the unit it names wherever the table of units has that unit."""
    measure, size = ENDING_MEASURES[end]
    if end == "mm_per_year":
        assert size == pytest.approx(MEASURES["rate"].units["mm/day"] / 365.25)
        return
    unit = {"n_mm": "n/mm", "kn_m": "kn m", "kn_m_per_m": "kn m/m"}.get(end)
    if unit is None:
        plain = end.replace("_per_", "/").replace("years", "year").replace("days", "day")
        unit = plain if "/" in plain else plain.replace("_", "/")
    assert MEASURES[measure].units[unit] == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("height_m", "6 ft", 1.8288), ("height_mm", "6 in", 152.4), ("slope_pct", "1 in 6", 100 / 6),
        ("batter", "1 in 6", 1 / 6), ("flow_m3_s", "2 m3/h", 2 / 3600), ("time_h", "90 min", 1.5),
        ("slope_deg", "100 %", 45.0), ("strength_mpa", "1000 psi", 6.894757), ("flow_l_s_per_m", "0.2 l/s per m", 0.2),
        ("cost_money", "$12.50", 12.5), ("width_in", "25.4 mm", 1.0),
    ],
)  # fmt: skip
def test_keys_turn_units_into_their_own(key: str, text: str, value: float) -> None:
    """A value with a unit is turned into the unit of the key's ending."""
    assert parse_for_key(key, text) == pytest.approx(value, rel=1e-6)


def test_a_refusal_names_the_key() -> None:
    """The key stands in the error, so that a call with many values says which one."""
    with pytest.raises(InputError, match="height_m"):
        parse_for_key("height_m", "6 fet")


def test_an_unknown_unit_is_named_as_it_was_typed() -> None:
    """Words that begin like "cubic" or "square" are no volumes and areas of their tails."""
    for text, unit in (("20 cubits", "cubits"), ("3 squids", "squids"), ("3 cu hats", "cu hats")):
        with pytest.raises(InputError, match=f'unknown unit "{unit}"'):
            parse(text, measure="length")
    for text in ("3 square meters", "3 squaremeters", "3 sqm", "3 sq. m"):
        assert parse(text, measure="area") == pytest.approx(3.0)
