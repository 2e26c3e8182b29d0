"""Hatches stay inside their area; contours lie on the ground; letters fit where they are told to."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from lynchet.drawings.clipping import clip_area, clip_line
from lynchet.drawings.contours import contours
from lynchet.drawings.hatches import HATCHES, lines_in, rounds_in
from lynchet.drawings.letters import LEAST_MM, advances, fit, missing, printable, shorten, width, wrap
from lynchet.drawings.symbols import circle
from lynchet.ground.surface import build_surface

ELL = (((10.0, 10.0), (90.0, 10.0), (90.0, 40.0), (50.0, 40.0), (50.0, 80.0), (10.0, 80.0)),)
RING_AND_HOLE = (circle((60.0, 60.0), 40.0), circle((60.0, 60.0), 15.0)[::-1])


@pytest.mark.parametrize("rings", [ELL, RING_AND_HOLE])
@pytest.mark.parametrize("angle", [0.0, 45.0, -45.0, 60.0, 90.0])
def test_hatch_lines_fill_their_area_and_nothing_else(
    rings: tuple[tuple[tuple[float, float], ...], ...], angle: float
) -> None:
    """Every line lies inside the area, and together they are as long as area over gap."""
    shape = Polygon(rings[0], rings[1:])
    lines = lines_in(rings, 1.2, angle)
    inside = shape.buffer(1e-6)
    assert lines and all(inside.contains(LineString(line)) for line in lines)
    total = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)
    assert total == pytest.approx(shape.area / 1.2, rel=0.03)


def test_neighbouring_areas_share_their_hatch_lines() -> None:
    """An area cut in two is hatched as the whole: lines hang on the sheet, not on the area."""
    whole = lines_in((((0, 0), (40, 0), (40, 20), (0, 20)),), 1.5, 45.0)
    halves = lines_in((((0, 0), (20, 0), (20, 20), (0, 20)),), 1.5, 45.0)
    halves += lines_in((((20, 0), (40, 0), (40, 20), (20, 20)),), 1.5, 45.0)

    def length(lines: list[tuple[tuple[float, float], tuple[float, float]]]) -> float:
        return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)

    assert length(whole) == pytest.approx(length(halves), abs=0.2)


@pytest.mark.parametrize("name", ["stone small", "stone", "stone large", "fill"])
def test_pebbles_and_dots_lie_wholly_inside(name: str) -> None:
    """No pebble sticks out of its area or into its hole, and the same area always gets the same pebbles."""
    shape = Polygon(RING_AND_HOLE[0], RING_AND_HOLE[1:]).buffer(1e-6)
    rounds = rounds_in(RING_AND_HOLE, HATCHES[name])
    assert len(rounds) > 50
    assert all(shape.contains(Polygon(part)) for part in rounds)
    assert rounds == rounds_in(RING_AND_HOLE, HATCHES[name])


def test_no_hatch_is_too_dense() -> None:
    """Lines stand at least 0.9 mm apart (ISO 128 asks 0.7)."""
    assert all(hatch.gap_mm >= 0.9 for hatch in HATCHES.values())


def test_clipped_lines_and_areas_stay_in_the_box() -> None:
    """What is clipped lies in the box and is what an overlay of the same shapes leaves."""
    from shapely.geometry import box

    window, rng = (20.0, 20.0, 60.0, 50.0), np.random.default_rng(3)
    for _ in range(50):
        line = tuple((float(x), float(y)) for x, y in rng.uniform(0, 80, (6, 2)))
        parts = clip_line(line, window)
        left = LineString(line).intersection(box(*window)).length
        assert sum(hypot(b[0] - a[0], b[1] - a[1]) for part in parts for a, b in pairwise(part)) == pytest.approx(left)
    pieces = clip_area(RING_AND_HOLE, window)
    expected = Polygon(RING_AND_HOLE[0], RING_AND_HOLE[1:]).intersection(box(*window)).area
    assert sum(Polygon(rings[0], rings[1:]).area for rings in pieces) == pytest.approx(expected)


def test_contours_of_a_plane_are_level_lines() -> None:
    """On a plane every contour is one straight line at its level, higher ground on its left."""
    rng = np.random.default_rng(5)
    points = [(x, y, 0.2 * x + 0.1 * y) for x, y in rng.uniform(0, 10, (60, 2))]
    lines = contours(build_surface(points), 0.25)
    assert {line.number for line in lines} == set(range(min(n.number for n in lines), max(n.number for n in lines) + 1))
    for line in lines:
        for x, y in line.points:
            assert 0.2 * x + 0.1 * y == pytest.approx(line.level_m, abs=1e-9)
        (ax, ay), (bx, by) = line.points[0], line.points[-1]
        assert (bx - ax) * 0.1 - (by - ay) * 0.2 > 0 or hypot(bx - ax, by - ay) < 1e-6


def test_contours_of_a_cone_close_and_grow_outward() -> None:
    """Round a peak each contour closes; its length is that of a circle of its radius."""
    angles = np.linspace(0, 2 * pi, 97)[:-1]
    points = [(0.0, 0.0, 4.0)] + [(r * np.cos(a), r * np.sin(a), 4.0 - r) for r in (1.0, 2.0, 3.0, 4.0) for a in angles]
    lines = contours(build_surface(points), 0.8)
    rings = [line for line in lines if 0.5 < line.level_m < 3.9]
    assert len(rings) == 4
    for line in rings:
        assert line.points[0] == pytest.approx(line.points[-1])
        length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line.points))
        assert length == pytest.approx(2 * pi * (4.0 - line.level_m), rel=0.01)


def test_contours_through_readings_exactly_at_their_level() -> None:
    """Readings on a contour's own level give whole lines, not crumbs."""
    points = [(float(x), float(y), float(y)) for x in range(6) for y in range(6)]
    lines = contours(build_surface(points), 1.0)
    inner = [line for line in lines if 0.5 < line.level_m < 5.5]
    assert [line.number for line in inner] == [1, 2, 3, 4, 5]
    assert all(abs(line.points[0][0] - line.points[-1][0]) == pytest.approx(5.0) for line in inner)


def test_figures_are_tabular_and_widths_add_up() -> None:
    """Digits are equally wide in every weight, and a text is as wide as its letters."""
    for weight in ("regular", "semibold", "bold"):
        assert len({advances(weight)[ord(digit)] for digit in "0123456789"}) == 1
        parts = sum(width(letter, 2.5, weight) for letter in "Wall W2 −0.17")
        assert width("Wall W2 −0.17", 2.5, weight) == pytest.approx(parts)
    assert width("HH", 5.0) == pytest.approx(2 * width("HH", 2.5))


def test_every_sign_of_the_figures_is_in_the_font() -> None:
    """Fractions, feet, inches, signs and arrows print in all three weights."""
    for weight in ("regular", "semibold", "bold"):
        assert missing("0123456789½¼¾⅛⅜⅝⅞′″−±×≤→°–…áéíñóúü¿¡", weight) == ""


def test_wrapped_and_fitted_texts_keep_to_their_width() -> None:
    """Wrapping loses no word; fitting never goes under the least height and never over the width."""
    text = "Have buried pipes and cables located and marked before you dig, and ask the office about permits."
    lines = wrap(text, 40.0, 2.5)
    assert " ".join(lines) == text and all(width(line, 2.5) <= 40.0 for line in lines)
    assert all(width(line, 2.5) <= 10.0 for line in wrap("Donaudampfschifffahrtsgesellschaft", 10.0, 2.5))
    for length in (5, 40, 300):
        said, height = fit("W" * length, 60.0, 4.4)
        assert width(said, height) <= 60.0 + 1e-9 and LEAST_MM <= height <= 4.4
    assert shorten("short", 60.0, 2.5) == "short"


def test_strange_characters_are_replaced_not_lost() -> None:
    """A name with signs the font lacks prints with question marks."""
    assert printable("Garden \U0001f33f 庭\n2") == "Garden ? ? 2"
