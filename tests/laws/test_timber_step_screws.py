"""Laws of the screws that lie level in steps: through the first timber, into what lies behind, never out again."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import dist

import numpy as np
import pytest
from shapely import Polygon
from shapely.ops import unary_union

from lynchet.core.standing import Standing
from lynchet.drawings.detail_cuts import flight_detail
from lynchet.drawings.figures import Figures
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Units
from lynchet.terraces.model import Tread
from lynchet.terraces.step_frames import hollow, step_pieces
from lynchet.timber.fixing_lines import fastener_lines
from lynchet.timber.sizes import sizes_of
from lynchet.timber.steps import step_screws
from yards import ell


def _boxed(deep_m: float) -> Tread:
    return Tread("S0.1/1", ((0.0, 0.0), (1.2, 0.0), (1.2, deep_m), (0.0, deep_m)), 0.0, 0.15)


@pytest.mark.parametrize(("units", "thick_m", "course_m"), [("metric", 0.2, 0.15), ("us", 0.1397, 0.1397)])
def test_no_screw_comes_out_behind(units: Units, thick_m: float, course_m: float) -> None:
    """In boxes of any depth, frames and timber all through, each level screw is shorter than what lies on its way and
    longer than the timber it goes through first."""
    plan = plan_on(*ell(), Standing(), LIVE, lambda stage: None)
    flight = plan.terraces.flights[0]
    sizes = sizes_of(course_m, thick_m, units)
    for deep in np.random.default_rng(7).uniform(thick_m + 0.05, 0.75, 60):
        box = replace(flight, treads=(_boxed(float(deep)),), kind="projecting")
        pieces = step_pieces([box], thick_m, course_m)
        on = replace(plan.terraces, flights=(box,))
        lines = [line for line in fastener_lines([], 0, step_screws(pieces, on), sizes) if line.drill_m > 0]
        assert lines
        frame = any(piece.side == "left" for piece in pieces)
        # The way of a screw, from the box itself: its whole depth in a frame, or its whole width where the sides run
        # through; two timbers, first and next, else.
        widths = [piece.width_m for piece in pieces]
        sides = frame and deep - 2.0 * thick_m < 0.15
        ways = [1.2 if sides else float(deep)] if frame else [a + b for a, b in pairwise(widths)]
        firsts = [thick_m] if frame else [min(a, b) for a, b in pairwise(widths)]
        assert max(line.length_m for line in lines) < max(ways) - 0.01
        assert min(line.length_m for line in lines) < min(ways) - 0.01
        assert all(line.length_m > min(firsts) for line in lines)
        assert sum(line.count for line in lines) >= (8 if frame else 2 * (len(widths) - 1))


@pytest.mark.parametrize("thick_m", [0.09, 0.1397, 0.15, 0.2])
def test_no_timber_of_a_step_is_a_sliver(thick_m: float) -> None:
    """No box of steps has a timber shorter than 150 mm or a strip narrower than 70 mm (half a slim timber), and its
    timbers fill it: together they are the box less its hollow, none upon another."""
    plan = plan_on(*ell(), Standing(), LIVE, lambda stage: None)
    for deep in [*np.random.default_rng(8).uniform(thick_m + 0.002, 0.75, 60), 2.0 * thick_m + 0.03, thick_m + 0.036]:
        box = replace(plan.terraces.flights[0], treads=(_boxed(float(deep)),), kind="projecting")
        pieces = step_pieces([box], thick_m, 0.15)
        assert min(piece.length_m for piece in pieces) >= 0.15 - 1e-9, deep
        assert min(piece.width_m for piece in pieces) >= min(0.07, thick_m / 2.0) - 1e-9, deep
        shapes = [Polygon(piece.outline_m) for piece in pieces]
        inside = Polygon(hollow(box.treads[0].outline_m, thick_m)).area if pieces[1:] and pieces[1].hollow else 0.0
        assert unary_union(shapes).area == pytest.approx(1.2 * deep - inside)
        assert sum(shape.area for shape in shapes) == pytest.approx(1.2 * deep - inside)
        for piece, shape in zip(pieces, shapes, strict=True):
            assert shape.area == pytest.approx(piece.length_m * piece.width_m)


def test_a_step_without_room_is_not_filled() -> None:
    """Front against back: the detail of the flight asks for no soil in it; boxes with a hollow are filled."""
    plan = plan_on(*ell(), Standing(), LIVE, lambda stage: None)
    thick = plan.project.timber.thickness_m

    def told(deep_m: float) -> str:
        flights = tuple(replace(one, treads=tuple(_cut(tread, deep_m) for tread in one.treads))
                        for one in plan.terraces.flights)  # fmt: skip
        timber = replace(plan.timber, steps=step_pieces(flights, thick, plan.project.timber.course_m))
        (detail,) = flight_detail(replace(plan, timber=timber), Figures(plan.project.units))
        return " ".join(detail.words)

    assert "no soil goes in" in told(1.6 * thick) and "fill" not in told(1.6 * thick)
    assert "fill every box with soil" in told(2.8 * thick)


def _cut(tread: Tread, deep_m: float) -> Tread:
    """The same step with its back nearer to the front."""
    a, b, c, d = tread.outline_m[:4]
    share = deep_m / dist(b, c)
    back = [(p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share) for p, q in ((b, c), (a, d))]
    return replace(tread, outline_m=(a, b, back[0], back[1]))
