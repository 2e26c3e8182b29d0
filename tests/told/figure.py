"""A figure as it is printed: its value in SI units and the step to which it was rounded."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from lynchet.units.measures import FOOT, GALLON_L, INCH, POUND_KG, System

YARD3 = 0.764554857984
Kind = Literal["count", "length", "digging", "small", "level", "area", "volume", "mass", "flow", "money", "slope"]
_VULGAR = {"⅛": 1, "¼": 2, "⅜": 3, "½": 4, "⅝": 5, "¾": 6, "⅞": 7}
_FRACTION = re.compile(r"(\d+)/(\d+)")
UNITS = {
    "yd³": YARD3, "m³": 1.0, "yd3": YARD3, "m3": 1.0, "sq ft": FOOT**2, "m²": 1.0, "m2": 1.0, "sq yd": (3 * FOOT) ** 2,
    "lb": POUND_KG, "kg": 1.0, "gpm": GALLON_L / 60.0, "l/s": 1.0, "gal": GALLON_L, "l": 1.0, "ft": FOOT, "m": 1.0,
    "ft3": FOOT**3,
}  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """A number read off an output."""

    value: float
    step: float
    """What the printed text cannot tell apart; 0 = exact."""

    def says(self, value: float) -> bool:
        """Whether a value rounds to what is printed."""
        return abs(self.value - value) <= self.step / 2 * (1 + 1e-6) + 1e-9 * max(1.0, abs(value))


def figure(text: str, kind: Kind, system: System) -> Figure:
    """A printed figure.

    Raises:
        ValueError: there is no figure of that kind in the text.
    """
    text = text.strip()
    if kind == "count":
        return Figure(float(text.replace(",", "")), 0.0)
    if kind == "money":
        return _plain(text.replace(",", ""), 1.0)
    if kind == "slope":
        run = _plain(text.removeprefix("1 in "), 1.0)
        return Figure(1.0 / run.value, run.step / (run.value - run.step / 2) ** 2)
    if kind in ("length", "digging", "small", "level"):
        parts = 2 if kind == "digging" else 8
        return _inches(text, parts) if system == "us" else _metres(text, kind == "small")
    number, unit = re.fullmatch(r"([−+-]?[\d.,]+) ?(.*)", text).groups()  # type: ignore[union-attr]
    size = float(number.replace("−", "-").replace(",", ""))
    return Figure(size * UNITS[unit], _rounding(size, kind, unit) * UNITS[unit])


def _rounding(size: float, kind: Kind, unit: str) -> float:
    """Three figures, at most two decimals; square feet whole; three figures of a weight above a thousand."""
    size = abs(size)
    if unit == "sq ft":
        return 1.0
    if size >= 1000.0 and kind == "mass":
        return 10.0 ** (len(str(int(size))) - 3)
    return 1.0 if size >= 99.95 else 0.1 if size >= 9.995 else 0.01


def _plain(text: str, unit: float) -> Figure:
    """A number, rounded to its last digit."""
    text = re.sub(r"^±", "", text).replace("−", "-").strip()
    _, _, decimals = text.partition(".")
    return Figure(float(text) * unit, 10.0 ** -len(decimals) * unit)


def _metres(text: str, small: bool) -> Figure:
    """ "4.40", "4.40 m", "150 mm", or millimetres without a word where only small sizes stand."""
    found = re.fullmatch(r"([±+−-]?[\d.]+) ?(mm|m)?", text)
    if found is None:
        raise ValueError(f"no length: {text!r}")
    return _plain(found[1], 0.001 if found[2] == "mm" or (small and found[2] is None) else 1.0)


def _inches(text: str, parts: int) -> Figure:
    """ "4 ft 6 1/2 in", 4′-6½″, −3⅜″, ±0″."""
    sign = -1.0 if text[:1] in "−-" else 1.0
    plain = text.lstrip("±+−-").replace("″", " in").replace("′-", " ft ").replace("′", " ft ")
    plain = re.sub(r"[⅛¼⅜½⅝¾⅞]", lambda found: f" {_VULGAR[found[0]]}/8", plain)
    found = re.fullmatch(r"(?:(\d+) ft)? *(?:(\d+)(?!/))? *(?:(\d+)/(\d+))?(?: *in)? *", plain)
    if found is None or not any(found.groups()):
        raise ValueError(f"no length: {text!r}")
    feet, whole, above, below = (float(part) if part else 0.0 for part in found.groups())
    return Figure(sign * (12 * feet + whole + (above / below if below else 0.0)) * INCH, INCH / parts)


def changed(text: str) -> str:
    """The same text with its figure changed a little: half an inch, one in the last digit, or another last letter."""
    if fraction := _FRACTION.search(text):
        return f"{text[: fraction.start()]}{int(fraction[1]) + int(fraction[2])}/{fraction[2]}{text[fraction.end() :]}"
    if found := re.search("[⅛¼⅜½⅝¾⅞]", text):
        eighths = (_VULGAR[found[0]] + 4) % 8
        other = next((sign for sign, size in _VULGAR.items() if size == eighths), "")
        return text[: found.start()] + (other or "0" * (not text[: found.start()][-1:].isdigit())) + text[found.end() :]
    plain = re.sub(r"[²³23]$", " ", text) if re.search(r"[a-z]", text) else text
    found = re.search(r"[1-9](?=[0,]*\D*$)" if "," in plain else r"\d(?=\D*$)", plain) or re.search(r"\d", text)
    if found is None:
        return text[:-1] + "x"
    return text[: found.start()] + "1234567890"[int(found[0])] + text[found.end() :]
