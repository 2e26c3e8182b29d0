"""Unit endings of keys: which ending a key has, what it measures, and the key in plain words."""

from __future__ import annotations

# Longest endings first when matching. The text is what a person reads after a number.
ENDINGS: dict[str, str] = {
    "kn_m_per_m": "kN m/m", "kn_per_m": "kN/m", "kn_m3": "kN/m³", "kn_m": "kN m", "kn": "kN",
    "kpa_per_m": "kPa/m", "kpa_c": "kPa/°C", "kpa": "kPa", "mpa": "MPa", "n_mm": "N/mm", "n": "N",
    "m2_per_m": "m²/m", "m3_s_per_m": "m³/s per m", "m3_s": "m³/s", "m3_per_h": "m³/h", "m4": "m⁴",
    "m3": "m³", "m2": "m²",
    "l_s_per_m": "l/s per m", "l_s": "l/s", "l_h": "l/h", "l": "l",
    "mm_h": "mm/h", "mm_day": "mm/day", "mm_per_m": "mm/m", "mm_per_year": "mm/year", "mm": "mm",
    "m_s": "m/s", "m_min": "m/min", "m": "m", "in": "in",
    "kg_m3": "kg/m³", "kg": "kg", "mj_m2_day": "MJ/m² per day",
    "deg": "°", "rad": "rad", "per_s": "1/s", "s": "s", "min": "min", "h": "h", "day2": "days²",
    "day": "days", "days": "days", "years": "years", "c": "°C", "pct": "%", "pct_per_pct": "% per %",
    "money": "(money)", "money_per_day": "(money) per day",
    "per_h": "per h", "per_min": "per min", "min_per_h": "min per h",
}  # fmt: skip
# No units: a slope of one in so many, factors by their letters, a pH, plain words.
_NO_ENDING = {
    "one_in",
    "n_c",
    "g_c",
    "gamma_m",
    "ph_min",
    "whole_days",
    "work_days",
    "extra_days",
    "first_day",
    "last_of_day",
}
_BY_LENGTH = sorted(ENDINGS, key=len, reverse=True)


def ending(key: str) -> str:
    """Unit ending of a key without its underscore ("thickness_m" -> "m"); empty when it has none."""
    for candidate in () if key in _NO_ENDING else _BY_LENGTH:
        if key.endswith("_" + candidate):
            return candidate
    return ""


def unit_text(key: str) -> str:
    """The unit as people write it after a number ("kN/m"); empty for pure numbers, text and flags."""
    return ENDINGS.get(ending(key), "")


def in_words(key: str) -> str:
    """A key in plain words: underscores as spaces, the unit left out, ``_pct`` said as percent."""
    found = ending(key)
    if found == "pct":
        return key[:-4].replace("_", " ") + " percent"
    return (key[: -len(found) - 1] if found else key).replace("_", " ")
