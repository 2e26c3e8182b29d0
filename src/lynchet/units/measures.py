"""What can be measured, in which units people write it, and what a plain number means in either system.

A measure's base is the SI unit (or its usual multiple) that the rest of the package carries in its names.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import pi
from typing import Literal

System = Literal["metric", "us"]

FOOT = 0.3048
INCH = 0.0254
POUND_N = 4.4482216152605
POUND_KG = 0.45359237
GRAVITY = 9.80665
GALLON_L = 3.785411784
PSF_KPA = POUND_N / FOOT**2 / 1000.0
PCF_KN_M3 = POUND_N / FOOT**3 / 1000.0


@dataclass(frozen=True)
class Measure:
    """One kind of quantity."""

    name: str
    """In plain words, with its article: "a length"."""
    base: str
    """The unit of the value inside."""
    units: dict[str, float]
    """Unit as written (small letters, "m2", "lb/ft3") to its size in the base unit."""
    metric: str
    """Unit of a plain number in a metric file."""
    us: str
    """Unit of a plain number in a US file."""
    examples: str
    """Two or three ways to write it, for errors."""
    offsets: dict[str, float] = field(default_factory=dict)
    """Added after scaling (temperatures only)."""

    def plain_unit(self, system: System) -> str:
        """Unit a number without one is taken to be in."""
        return self.us if system == "us" else self.metric


_LENGTHS = {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": FOOT, "in": INCH, "yd": 3 * FOOT, "us_ft": 1200 / 3937}


def _powers(power: int) -> dict[str, float]:
    return {f"{unit}{power}": size**power for unit, size in _LENGTHS.items() if unit != "us_ft"}


def _over(tops: dict[str, float], bottoms: dict[str, float]) -> dict[str, float]:
    return {f"{top}/{bottom}": size / by for top, size in tops.items() for bottom, by in bottoms.items()}


_POUND_KN = POUND_N / 1e3
_FORCES = {"kn": 1.0, "n": 1e-3, "mn": 1e3, "lb": _POUND_KN, "lbf": _POUND_KN, "kip": POUND_N, "kgf": GRAVITY / 1e3}
_MASSES = {"kg": 1.0, "g": 1e-3, "t": 1e3, "lb": POUND_KG, "oz": POUND_KG / 16, "ton": 2000 * POUND_KG}
_AREAS = _powers(2) | {"acre": 43560 * FOOT**2, "ha": 1e4}
_VOLUMES = _powers(3) | {"l": 1e-3, "ml": 1e-6, "gal": GALLON_L / 1e3}
_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0}
_FLOWS = _over({unit: size * 1e3 for unit, size in _VOLUMES.items()}, _SECONDS)
_MOMENTS = {"kn m": 1.0, "n m": 1e-3, "lb ft": POUND_N * FOOT / 1e3, "ft lb": POUND_N * FOOT / 1e3,
            "lb in": POUND_N * INCH / 1e3, "in lb": POUND_N * INCH / 1e3}  # fmt: skip
_PRESSURES = _over(_FORCES, _powers(2)) | {
    "kpa": 1.0, "pa": 1e-3, "mpa": 1e3, "bar": 100.0, "psf": PSF_KPA, "psi": 144 * PSF_KPA, "ksf": 1e3 * PSF_KPA,
}  # fmt: skip
_LINE_LENGTHS = {"m": 1.0, "mm": 1e-3, "ft": FOOT, "in": INCH}

MEASURES: dict[str, Measure] = {
    "length": Measure("a length", "m", _LENGTHS, "m", "ft", '4.8 m, 480 mm, 6 ft 3 1/2 in, 6\' 3-1/2"'),
    "area": Measure("an area", "m2", _AREAS, "m2", "ft2", "60 m2, 640 sq ft"),
    "volume": Measure("a volume", "m3", _VOLUMES, "m3", "yd3", "3.5 m3, 20 yd3, 80 l"),
    "angle": Measure("an angle", "deg", {"deg": 1.0, "rad": 180.0 / pi}, "deg", "deg", "31 deg, 0.54 rad"),
    "force": Measure("a force", "kN", _FORCES, "kn", "lb", "1.2 kN, 250 lb"),
    "mass": Measure("a weight", "kg", _MASSES, "kg", "lb", "23 kg, 84 lb, 2 ton"),
    "pressure": Measure("a pressure", "kPa", _PRESSURES, "kpa", "psf", "12 kPa, 250 psf"),
    "unit_weight": Measure(
        "a weight per volume", "kN/m3",
        _over(_FORCES, _powers(3)) | {"pcf": PCF_KN_M3, "kg/m3": GRAVITY / 1e3, "t/m3": GRAVITY},
        "kn/m3", "lb/ft3", "18.9 kN/m3, 120 pcf, 50 lb/ft3",
    ),
    "density": Measure(
        "a mass per volume", "kg/m3", _over(_MASSES, _powers(3)) | {"pcf": POUND_KG / FOOT**3},
        "kg/m3", "lb/ft3", "800 kg/m3, 50 lb/ft3",
    ),
    "line_load": Measure(
        "a load per length", "kN/m", _over(_FORCES, _LINE_LENGTHS) | {"plf": POUND_N / FOOT / 1e3},
        "kn/m", "lb/ft", "0.7 kN/m, 50 lb/ft",
    ),
    "moment": Measure("a turning moment", "kN m", _MOMENTS, "kn m", "lb ft", "1.5 kN m, 800 lb ft"),
    "line_moment": Measure(
        "a turning moment per length", "kN m/m", _over(_MOMENTS, _LINE_LENGTHS),
        "kn m/m", "lb ft/ft", "2 kN m/m, 450 lb ft/ft",
    ),
    "pressure_rate": Measure(
        "a pressure per depth", "kPa/m", _over(_PRESSURES, _LINE_LENGTHS) | {"pcf": PCF_KN_M3},
        "kpa/m", "psf/ft", "15 kPa/m, 150 psf/ft",
    ),
    "rain_depth": Measure("a depth of rain", "m", _LENGTHS, "mm", "in", "25 mm, 1 in"),
    "rate": Measure(
        "a depth per time", "mm/h", _over({unit: size * 1e3 for unit, size in _LENGTHS.items()},
                                          {unit: size / 3600 for unit, size in _SECONDS.items()}),
        "mm/h", "in/h", "100 mm/h, 4 in/h",
    ),
    "speed": Measure("a speed", "m/s", _over(_LENGTHS, _SECONDS), "m/s", "ft/s", "0.6 m/s, 2 ft/s"),
    "flow": Measure(
        "a flow", "l/s",
        _FLOWS | {"gpm": GALLON_L / 60, "gph": GALLON_L / 3600, "cfs": (FOOT**3) * 1e3, "lps": 1.0},
        "l/s", "gpm", "0.5 l/s, 8 gpm, 2 m3/h",
    ),
    "time": Measure(
        "a time", "s", _SECONDS | {"year": 365.25 * 86400.0, "week": 7 * 86400.0}, "min", "min", "10 min, 5 h 30 min"
    ),
    "temperature": Measure(
        "a temperature", "C", {"c": 1.0, "f": 5 / 9}, "c", "f", "20 C, 68 F", {"f": -160 / 9}
    ),
}  # fmt: skip

# Ending of a key -> (measure, size of the ending's unit in the measure's base).
ENDING_MEASURES: dict[str, tuple[str, float]] = {
    "m": ("length", 1.0), "mm": ("length", 1e-3), "in": ("length", INCH), "m2": ("area", 1.0), "m3": ("volume", 1.0),
    "l": ("volume", 1e-3), "deg": ("angle", 1.0), "rad": ("angle", 180.0 / pi), "kn": ("force", 1.0),
    "n": ("force", 1e-3), "kg": ("mass", 1.0), "kpa": ("pressure", 1.0), "mpa": ("pressure", 1e3),
    "kn_m3": ("unit_weight", 1.0), "kg_m3": ("density", 1.0), "kn_per_m": ("line_load", 1.0),
    "n_mm": ("line_load", 1.0), "kn_m": ("moment", 1.0), "kn_m_per_m": ("line_moment", 1.0),
    "kpa_per_m": ("pressure_rate", 1.0), "mm_h": ("rate", 1.0), "mm_day": ("rate", 1 / 24),
    "mm_per_year": ("rate", 1 / (365.25 * 24)), "m_s": ("speed", 1.0), "m_min": ("speed", 1 / 60),
    "l_s": ("flow", 1.0), "l_h": ("flow", 1 / 3600), "m3_s": ("flow", 1e3), "m3_per_h": ("flow", 1 / 3.6),
    "s": ("time", 1.0), "min": ("time", 60.0), "h": ("time", 3600.0), "day": ("time", 86400.0),
    "days": ("time", 86400.0), "years": ("time", 365.25 * 86400.0), "c": ("temperature", 1.0),
}  # fmt: skip
