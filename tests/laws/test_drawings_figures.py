"""Numbers on drawings, scales and bars in both systems."""

from __future__ import annotations

import pytest

from lynchet.drawings.figures import Figures
from lynchet.drawings.paper import METRIC_SCALES, PAPERS, US_SCALES, largest_scale, scale_words

METRIC, US = Figures("metric"), Figures("us")


@pytest.mark.parametrize(("value_m", "metric", "us"), [
    (0.6, "+0.60", "+1′-11⅝″"), (-0.17, "−0.17", "−6¾″"), (0.0, "±0.00", "±0″"), (0.3064, "+0.31", "+1′-0⅛″"),
    (-0.001, "±0.00", "±0″"), (3.6576, "+3.66", "+12′-0″"),
])  # fmt: skip
def test_levels_carry_their_sign(value_m: float, metric: str, us: str) -> None:
    """A level shows plus, minus or plus-minus nought; feet and inches as on a tape, never decimals of a foot."""
    assert METRIC.level(value_m) == metric
    assert US.level(value_m) == us


@pytest.mark.parametrize(("value_m", "metric", "us"), [
    (1.3843, "1.38", "4′-6½″"), (0.1397, "0.14", "5½″"), (0.3048, "0.30", "1′-0″"), (4.3815, "4.38", "14′-4½″"),
])  # fmt: skip
def test_lengths_in_both_systems(value_m: float, metric: str, us: str) -> None:
    """Plan lengths in metres with two decimals, or feet and inches."""
    assert METRIC.length(value_m) == metric
    assert US.length(value_m) == us


def test_small_sizes_never_use_feet() -> None:
    """Sizes of details are millimetres or inches, however long."""
    assert METRIC.small(0.15) == "150" and US.small(0.4572) == "18″"


@pytest.mark.parametrize("scale", [*METRIC_SCALES[3:]])
def test_metric_bars_are_of_handy_length(scale: int) -> None:
    """A bar is 20 to 70 mm long at every scale and its figures are its lengths."""
    step, steps, figures = METRIC.bar(scale)
    assert 20.0 <= step * steps * 1000.0 / scale <= 70.0 or scale == 500
    assert float(figures[-1].removesuffix(" m")) == pytest.approx(step * steps)


@pytest.mark.parametrize("scale", [*US_SCALES[2:]])
def test_us_bars_are_whole_feet_or_inches(scale: int) -> None:
    """A US bar's steps are whole inches or whole feet."""
    step, steps, figures = US.bar(scale)
    assert (step / 0.0254) == pytest.approx(round(step / 0.0254))
    assert len(figures) == steps + 1


def test_scale_words_are_true() -> None:
    """A quarter inch for a foot is 1 : 48, half an inch 1 : 24, one inch 1 : 12."""
    assert scale_words(48, "us") == "¼ in = 1 ft" and 12 / 0.25 == 48
    assert scale_words(24, "us") == "½ in = 1 ft" and 12 / 0.5 == 24
    assert scale_words(12, "us") == "1 in = 1 ft"
    assert scale_words(50, "metric") == "1 : 50"


def test_largest_scale_fits_and_the_next_does_not() -> None:
    """The chosen scale fits the room; the one before it in the list does not."""
    for size in ((3.0, 2.0), (11.7, 4.0), (26.0, 19.0)):
        scale = largest_scale(size, (280.0, 230.0), "metric")
        larger = [n for n in METRIC_SCALES if n < scale][-1]
        assert size[0] * 1000 / scale <= 280 and size[1] * 1000 / scale <= 230
        assert size[0] * 1000 / larger > 280 or size[1] * 1000 / larger > 230


def test_papers_are_their_published_sizes() -> None:
    """ISO 216: A3 297 x 420 mm, A4 210 x 297 mm; ANSI/ASME Y14.1: 11 x 17 in and 8.5 x 11 in."""
    assert (PAPERS["A3"].width_mm, PAPERS["A3"].height_mm) == (420.0, 297.0)
    assert (PAPERS["A4"].width_mm, PAPERS["A4"].height_mm) == (210.0, 297.0)
    assert (PAPERS["Tabloid"].width_mm, PAPERS["Tabloid"].height_mm) == pytest.approx((17 * 25.4, 11 * 25.4))
    assert (PAPERS["Letter"].width_mm, PAPERS["Letter"].height_mm) == pytest.approx((8.5 * 25.4, 11 * 25.4))
