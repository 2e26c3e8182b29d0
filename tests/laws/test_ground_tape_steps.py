"""Laws of the steps that fit a point to tapes: curvature by a library, steps that close in like Newton's."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import approx_fprime

from lynchet.ground import tape_fit
from lynchet.ground.tape_fit import _derivatives, _descend, _smallest_eigenvalue


def test_least_curvature_is_that_of_a_library():
    """The smaller eigenvalue of any symmetric matrix of two."""
    rows = np.random.default_rng(2).normal(0, 3, (200, 3))
    wanted = [np.linalg.eigvalsh([[xx, xy], [xy, yy]])[0] for xx, xy, yy in rows]
    assert _smallest_eigenvalue(rows) == pytest.approx(wanted, abs=1e-12)


def test_gradient_and_curvature_by_differences():
    """Of half the sum of squares, by a library's finite differences."""
    rng = np.random.default_rng(3)
    bases, tapes = rng.uniform(-5, 5, (4, 2)), rng.uniform(2, 6, 4)
    for point in rng.uniform(-6, 6, (20, 2)):
        value, gradient, bend = (part[0] for part in _derivatives(point[None], bases, tapes))
        assert value == pytest.approx(np.square(np.hypot(*(bases - point).T) - tapes).sum() / 2)
        assert gradient == pytest.approx(
            approx_fprime(point, lambda at: _derivatives(at[None], bases, tapes)[0][0], 1e-7), abs=1e-4)  # fmt: skip
        slopes = approx_fprime(point, lambda at: _derivatives(at[None], bases, tapes)[1][0], 1e-7)
        assert [bend[0], bend[1], bend[1], bend[2]] == pytest.approx(slopes.ravel(), abs=1e-4)


@pytest.mark.parametrize("seed", range(10))
def test_steps_close_in_like_newtons(seed, monkeypatch):
    """From five centimetres off, seven rounds settle to a nanometre what a wrong slope would leave far from it; further
    rounds move nothing, and no round makes the fit worse."""
    rng = np.random.default_rng(seed)
    bases, point = rng.uniform(0, 10, (4, 2)), rng.uniform(2, 8, 2)
    tapes = np.hypot(*(point - bases).T) + rng.normal(0, 0.02, 4)
    turn = rng.uniform(0, 2 * np.pi, 6)
    starts = point + 0.05 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    after = []
    for rounds in (1, 2, 3, 7, 40):
        monkeypatch.setattr(tape_fit, "_ROUNDS", rounds)
        after.append(_descend(starts, bases, tapes))
    worth = [_derivatives(points, bases, tapes)[0] for points in (starts, *after)]
    assert all((later <= sooner + 1e-15).all() for sooner, later in pairwise(worth))
    assert np.abs(after[3] - after[4]).max() < 1e-9
