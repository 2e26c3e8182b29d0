"""Laws of the level book and of the sharing of its misclosure."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.level_book import (
    LevelRow,
    adjusted_levels,
    allowed_misclosure,
    book_levels,
    cumulative_shares,
    level_book,
    misclosure_spread,
)


def random_book(rng, closed=True, legs=True):
    """A book with planted levels and no error: rows, true levels, setup of each later row."""
    rows, levels, setup = [], [rng.uniform(0, 50)], []
    rows.append({"point": "start", "known_level_m": levels[0], "backsight_m": rng.uniform(0.2, 4)})
    collimation, number = levels[0] + rows[0]["backsight_m"], 0
    turns = int(rng.integers(1, 5))
    for turn in range(turns):
        for _ in range(int(rng.integers(0, 3))):
            reading = rng.uniform(-3, 4)
            rows.append({"point": "spot", "intermediate_m": reading})
            levels.append(collimation - reading)
            setup.append(number)
        reading = rng.uniform(0.2, 4)
        rows.append({"point": "turn", "foresight_m": reading})
        levels.append(collimation - reading)
        setup.append(number)
        if legs:
            rows[-1]["leg_m"] = rng.uniform(5, 60)
        if turn < turns - 1:
            rows[-1]["backsight_m"] = rng.uniform(0.2, 4)
            collimation = levels[-1] + rows[-1]["backsight_m"]
            number += 1
    if closed:
        rows[-1]["known_level_m"] = levels[-1] - rng.uniform(-0.02, 0.02)
    return rows, levels, setup


def test_levels_follow_the_staff():
    """A book written from planted levels gives those levels back, and its page sums prove it."""
    rng = np.random.default_rng(1)
    for _ in range(40):
        rows, levels, _ = random_book(rng)
        got = call(level_book, {"rows": rows})
        assert got.levels_m == pytest.approx(levels, abs=1e-9)
        assert got.difference_m == pytest.approx(levels[-1] - levels[0], abs=1e-9)
        assert got.sum_rise_m - got.sum_fall_m == pytest.approx(levels[-1] - levels[0], abs=1e-9)


@pytest.mark.parametrize("spread", ["setups", "distance"])
def test_adjustment_is_least_squares(spread):
    """Sharing by set-ups or legs is the least-squares answer for equal variances per set-up or per metre of line."""
    rng = np.random.default_rng(2)
    for _ in range(25):
        rows, levels, setup = random_book(rng)
        got = call(level_book, {"rows": rows, "spread": spread})
        turning = [i for i, row in enumerate(rows) if "foresight_m" in row]
        variance = np.array([rows[i]["leg_m"] if spread == "distance" else 1.0 for i in turning])
        rises = np.diff([levels[0]] + [levels[i] for i in turning])
        # unknown: levels of all turning points but the last, which is known; weights 1/variance
        n = len(turning)
        design, known = np.zeros((n, n - 1)), rises.copy()
        for i in range(n):
            if i < n - 1:
                design[i, i] = 1
            if i > 0:
                design[i, i - 1] -= 1
        known[0] += levels[0]
        known[-1] -= rows[-1]["known_level_m"]
        root = 1 / np.sqrt(variance)
        solved = np.linalg.lstsq(design * root[:, None], known * root, rcond=None)[0] if n > 1 else np.zeros(0)
        ours = [got.adjusted_levels_m[i] for i in turning]
        assert ours[:-1] == pytest.approx(solved, abs=1e-8)
        assert ours[-1] == pytest.approx(rows[-1]["known_level_m"], abs=1e-9)
        for i in range(1, len(rows)):  # an intermediate takes its set-up's share
            last_of_setup = turning[setup[i - 1]]
            shift = got.adjusted_levels_m[last_of_setup] - got.levels_m[last_of_setup]
            assert got.adjusted_levels_m[i] - got.levels_m[i] == pytest.approx(shift, abs=1e-9)


def test_kernel_is_the_calculator():
    """The array kernels and the calculator agree over random books."""
    rng = np.random.default_rng(3)
    for _ in range(25):
        rows, _, setup = random_book(rng)
        got = call(level_book, {"rows": rows, "limit_by": "km"})
        back = [row["backsight_m"] for row in rows if "backsight_m" in row]
        turns = [row["foresight_m"] for row in rows if "foresight_m" in row][:-1]
        readings = [row.get("foresight_m", row.get("intermediate_m")) for row in rows[1:]]
        collimation, levels = book_levels(rows[0]["known_level_m"], back, turns, readings, setup)
        share = cumulative_shares(np.ones(len(back)))
        assert collimation.tolist() == got.collimation_m
        assert levels.tolist() == got.levels_m
        assert adjusted_levels(levels, got.misclosure_m, share[setup]).tolist() == got.adjusted_levels_m
        assert allowed_misclosure(5.0, got.length_m / 1000) == got.allowed_misclosure_m
        whole = misclosure_spread(misclosure_m=got.misclosure_m, setups=len(back))
        assert whole.corrections_m == pytest.approx(-got.misclosure_m * share)


def test_no_sharing_leaves_the_levels():
    """With spread "none" the adjusted levels are the levels."""
    rows, _, _ = random_book(np.random.default_rng(4))
    got = call(level_book, {"rows": rows, "spread": "none"})
    assert got.adjusted_levels_m == got.levels_m


def test_open_book_needs_no_legs():
    """A book that does not close may ask for a spread by distance without legs; only its length is left out."""
    rows, _, _ = random_book(np.random.default_rng(5), closed=False, legs=False)
    got = call(level_book, {"rows": rows, "spread": "distance"})
    assert (got.verdict, got.length_m, got.misclosure_m) == ("open", None, None)


def test_limit_includes_itself():
    """A misclosure exactly at the allowed value is accepted, a micrometre more is not."""
    assert misclosure_spread(misclosure_m=-0.01, setups=4).verdict == "accept"
    assert misclosure_spread(misclosure_m=0.010001, setups=4).verdict == "reject"


BASE = [
    {"point": "A", "known_level_m": 10.0, "backsight_m": 1.0},
    {"point": "B", "intermediate_m": 1.2},
    {"point": "C", "foresight_m": 1.1, "backsight_m": 0.8, "leg_m": 20.0},
    {"point": "D", "foresight_m": 0.9, "known_level_m": 9.9, "leg_m": 30.0},
]


@pytest.mark.parametrize(
    ("row", "changes", "word"),
    [
        (0, {"known_level_m": None}, "known"),
        (1, {"known_level_m": 9.0}, "known"),
        (0, {"backsight_m": None}, "backsight"),
        (2, {"backsight_m": None}, "backsight"),
        (1, {"backsight_m": 1.0}, "backsight"),
        (3, {"backsight_m": 1.0}, "backsight"),
        (1, {"intermediate_m": None}, "reading"),
        (2, {"intermediate_m": 1.0}, "reading"),
        (0, {"intermediate_m": 1.0}, "reading"),
        (0, {"foresight_m": 1.0}, "reading"),
        (3, {"foresight_m": None, "intermediate_m": 0.9, "leg_m": None}, "foresight"),
        (2, {"leg_m": None}, "leg"),
        (2, {"leg_m": 0.0}, "leg"),
        (1, {"leg_m": 5.0}, "leg"),
        (0, {"leg_m": 5.0}, "leg"),
    ],
)
def test_one_fault_is_named(row, changes, word):
    """Each fault of a book is refused by the word that names it; the same book without it passes."""
    given = [dict(each) for each in BASE]
    assert call(level_book, {"rows": given, "spread": "distance"}).verdict in ("accept", "reject")
    given[row] = {key: value for key, value in {**given[row], **changes}.items() if value is not None}
    with pytest.raises(InputError) as error:
        call(level_book, {"rows": given, "spread": "distance"})
    assert word in str(error.value).lower()


def test_rows_may_be_built_directly():
    """Stages may hand rows over as dataclasses."""
    rows = [LevelRow("A", backsight_m=1.0, known_level_m=5.0), LevelRow("B", intermediate_m=2.0)]
    assert level_book(rows=rows).levels_m == [5.0, 4.0]
