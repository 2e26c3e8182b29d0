"""Numbers as they stand on a drawing: metres with two decimals, or feet, inches and fractions, as on a tape.

Rounding and splitting into feet, inches and fractions is done in ``units.format``; here only the drawing's short
signs are put in: 4′-6½″.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from lynchet.units import format as units_format
from lynchet.units.measures import FOOT, System

_VULGAR = {
    "1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞",
}  # fmt: skip
_MINUS = "−"
_CONTOURS_APART_MM = 5.0
"""Nearer lines are legible down to about 1.5 mm but hide what is built. PRACTICE."""


def _short(text: str) -> str:
    """ "4 ft 6 1/2 in" as 4′-6½″."""
    for plain, sign in _VULGAR.items():
        text = re.sub(rf"(?:(?<=\d) )?\b{plain}(?= in)", sign, text)
    # A fraction alone after feet carries a nought, as a tape is read: 1′-0⅝″.
    text = re.sub(r"(?<= ft )(?=[½¼¾⅛⅜⅝⅞])", "0", text)
    text = text.replace(" ft ", "′-").replace(" ft", "′").replace(" in", "″")
    return text.replace("-", _MINUS, 1) if text.startswith("-") else text


@dataclass(frozen=True)
class Figures:
    """How numbers are printed on the sheets of one project."""

    system: System

    def length(self, value_m: float, fractions: int = units_format.DIGGING) -> str:
        """A plan length: "4.40" or 14′-5″."""
        if self.system == "us":
            return _short(units_format.feet_inches(value_m, fractions))
        return units_format.length(value_m, "metric").removesuffix(" m").replace("-", _MINUS)

    def timber(self, value_m: float) -> str:
        """A length of a wall or of timber: "1.80", or to an eighth of an inch."""
        return self.length(value_m, units_format.TIMBER)

    def piece(self, value_m: float) -> str:
        """A length to saw to: "1803" (millimetres), or to an eighth of an inch."""
        return self.timber(value_m) if self.system == "us" else self.small(value_m)

    def small(self, value_m: float) -> str:
        """A small size as in details: "150" (millimetres) or 5½″."""
        if self.system == "us":
            return _short(units_format.small(value_m, "us"))
        return units_format.small(value_m, "metric").removesuffix(" mm").replace("-", _MINUS)

    def small_words(self, value_m: float) -> str:
        """A small size with its unit, for notes: "150 mm" or 5½″."""
        return self.small(value_m) + ("" if self.system == "us" else " mm")

    def words(self, value_m: float, fractions: int = units_format.DIGGING) -> str:
        """A length with its unit, for notes: "4.40 m" or 14′-5″."""
        return self.length(value_m, fractions) + ("" if self.system == "us" else " m")

    def apart(self, value_m: float) -> str:
        """How far apart plants are set: "0.60 m" or 24″."""
        text = units_format.apart(value_m, self.system)
        return _short(text) if self.system == "us" else text

    def height(self, value_m: float) -> str:
        """A height of a wall with its unit, the same on every sheet: "0.46 m", or to an eighth of an inch."""
        return self.words(value_m, units_format.TIMBER)

    def level(self, value_m: float, fractions: int = units_format.TIMBER) -> str:
        """A level, always with its sign: "+0.60", "−0.17", "±0.00"."""
        text = self.length(abs(value_m), fractions)
        if not any(letter in text for letter in "123456789½¼¾⅛⅜⅝⅞"):
            return "±" + text
        return ("+" if value_m > 0 else _MINUS) + text

    def laid(self, value_m: float) -> str:
        """A level that timber is laid to, with its sign: to a millimetre, "+0.602", or to an eighth of an inch."""
        if self.system == "us":
            return self.level(value_m)
        text = units_format.laid(abs(value_m), "metric").removesuffix(" m")
        sign = "±" if text == "0.000" else "+" if value_m > 0 else _MINUS
        return sign + text

    def ground(self, value_m: float) -> str:
        """A level of the ground, to half an inch: as digging is measured."""
        return self.level(value_m, units_format.DIGGING)

    def ratio(self, slope: float) -> str:
        """A slope as "1 in 6"."""
        if abs(slope) < 1e-6:
            return "level"
        run = 1.0 / abs(slope)
        return f"1 in {run:.0f}" if run >= 9.5 or abs(run - round(run)) < 0.05 else f"1 in {run:.1f}"

    @property
    def unit_words(self) -> str:
        """For the title block."""
        return "feet and inches" if self.system == "us" else "metres"

    def contour_step(self, scale: int, slope: float) -> float:
        """The smallest step that keeps contours 5 mm apart on paper, metres.

        Args:
            scale: 1 : n.
            slope: steepest usual slope of the ground, rise over run.
        """
        steps = (FOOT / 6, FOOT / 3, FOOT, 2 * FOOT, 5 * FOOT) if self.system == "us" else (0.05, 0.10, 0.25, 0.5, 1.0)
        for step in steps:
            if slope <= 0 or step / slope * 1000.0 / scale >= _CONTOURS_APART_MM:
                return step
        return steps[-1]

    def index_every(self, step_m: float) -> int:
        """Every which contour is thick: a whole metre or foot, or a half."""
        if self.system == "us":
            return max(1, round(FOOT / step_m)) if step_m < FOOT else 5
        return {0.05: 5, 0.10: 5, 0.25: 4}.get(round(step_m, 3), 2)

    def bar(self, scale: int) -> tuple[float, int, tuple[str, ...]]:
        """Step, number of steps and figures of a scale bar about 30 to 45 mm long."""
        if self.system == "us":
            for feet in (0.25, 0.5, 1.0, 2.0, 4.0, 5.0, 10.0, 20.0):
                if feet * FOOT * 1000.0 / scale * 2 >= 24.0:
                    return feet * FOOT, 2, ("0", self._feet(feet), self._feet(2 * feet))
            return 40 * FOOT, 2, ("0", "40′", "80′")
        for step in (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0):
            if step * 1000.0 / scale * 2 >= 24.0:
                return step, 2, ("0", f"{step:g}", f"{2 * step:g} m")
        return 20.0, 2, ("0", "20", "40 m")

    def _feet(self, feet: float) -> str:
        return f"{feet:.0f}′" if feet >= 1 else f"{12 * feet:.0f}″"
