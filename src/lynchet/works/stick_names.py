"""Sticks as price lists name them: "timber 8 ft", "6x6x8", "150 x 150 sleeper 2.4 m", "timber_12_ft"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from lynchet.core.errors import InputError
from lynchet.units.measures import FOOT, INCH
from lynchet.units.parse import parse

NOMINAL_M = 0.020
"""Timber is named up to so much thicker than it is sawn: 6 in for 5 1/2 in, 8 in for 7 1/4 in. PRACTICE."""
SAME_M = 0.003
"""Sticks whose lengths differ by less are one length."""
_NAMES = {"timber", "timbers", "stick", "sticks", "sleeper", "sleepers", "lumber", "beam", "beams"}
_BESIDE = _NAMES | {
    "treated", "pressure", "pt", "ground", "contact", "gc", "landscape", "long", "length", "of", "lengths",
    "each", "post", "posts", "garden", "railway", "new", "h3", "h4", "h5", "uc4", "uc4a", "uc4b", "uc4c", "uc5",
    "green", "brown", "sawn", "rough", "planed", "square", "softwood", "hardwood", "southern", "yellow", "hem",
    "fir", "douglas", "pine", "larch", "oak", "cedar", "redwood", "spruce", "syp", "grade", "c14", "c16", "c18",
    "c24", "c27", "c30", "d30", "d40",
}  # fmt: skip
"""Words that stand beside the sizes of a stick: what it is called, its wood, its grade, its treatment."""
GRADE = re.compile(r"(?:#|\bno\.?) ?[1-4](?![\w./])", re.IGNORECASE)
"""A grade as the trade writes it, "No. 2" or "#2": no length, no inches."""
_ONE = r"(\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?) ?(mm|cm|m|in|inch|ft|feet|foot)?"
_SECTION = re.compile(rf"(?<![\d/.]){_ONE} ?x ?{_ONE}(?: ?x ?{_ONE})?(?![\d/.])")
_THIN_M, _LONG_M = 0.4, 15.0
_LENGTHS_M = (0.3, 30.0)
"""Of sticks one can buy: what is read as shorter is no length, such as 2,400 mm with its comma taken for a point."""


@dataclass(frozen=True)
class Stick:
    """What a name says of a stick."""

    length_m: float
    section_m: tuple[float, float] | None = None
    """Two sides, the smaller first, as the trade names them; None where the name says nothing."""

    def is_of(self, section_m: tuple[float, float]) -> bool:
        """Whether timber of this section goes by this name; any does where it names none."""
        if self.section_m is None:
            return True
        sides = zip(self.section_m, sorted(section_m), strict=True)
        return all(-SAME_M <= named - sawn <= NOMINAL_M for named, sawn in sides)


@lru_cache(maxsize=1024)
def stick_named(name: str) -> Stick | None:
    """The stick a name stands for; None where it names none, or no length. Kept by name: lists are read plan by plan.

    Lengths carry their unit, but for the third number of a section: 6x6x8 is 8 ft of 6 in, 150x150x2400 is in mm.
    """
    text = _spread(name)
    section = _SECTION.search(text)
    rest = text if section is None else f"{text[: section.start()]} {text[section.end() :]}"
    words = rest.split()
    if section is None and not set(words) & _NAMES:
        return None
    left = " ".join(word for word in words if word not in _BESIDE)
    if section is None:
        length = _length(left)
        return None if length is None else Stick(length)
    return _of_section(section.groups(), left)


def strange_words(name: str) -> tuple[str, ...]:
    """Words of a name with a section or a word for timber that are neither sizes nor known beside them."""
    text = _SECTION.sub(" ", _spread(name))
    return tuple(word for word in text.split() if re.search("[a-z]", word) and word not in {*_BESIDE, *_SIZES})


def _of_section(parts: tuple[str | None, ...], left: str) -> Stick | None:
    """A stick whose name begins with a section, the length third, first or after it."""
    numbers = [(value, unit or "") for value, unit in zip(parts[::2], parts[1::2], strict=True) if value is not None]
    small = all(_number(value) <= 16.0 for value, unit in numbers[:2])
    sides_unit = next((unit for _, unit in numbers[:2] if unit), "in" if small else "mm")
    sizes = [_number(value) * _SIZES[unit or sides_unit] for value, unit in numbers[:2]]
    if len(numbers) == 3 and left:
        return None
    length = _length(left)
    if len(numbers) == 3:
        value, unit = numbers[2]
        sizes.append(_number(value) * _SIZES[unit or ("ft" if sides_unit == "in" else "mm")])
        *sizes, length = sorted(sizes)
    elif length is None and re.fullmatch(r"\d+(?:\.\d+)?", left):
        length = float(left) * (FOOT if sides_unit == "in" else 1.0 if float(left) < _LONG_M else 1e-3)
    if length is None or not _LENGTHS_M[0] <= length <= _LENGTHS_M[1] or max(sizes) > _THIN_M or min(sizes) <= 0.0:
        return None
    return Stick(length, (min(sizes), max(sizes)))


_SIZES = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": INCH, "inch": INCH, "ft": FOOT, "feet": FOOT, "foot": FOOT}


def _spread(name: str) -> str:
    """Small letters, blanks for strokes, marks of feet and inches as words, the sign for "by" as x."""
    text = name.lower().replace("\u00d7", "x").replace("\u2032", "'").replace("\u2033", '"').replace("\u2019", "'")
    text = re.sub(r"(?<=\d)\s*(?:\"|'')", " in ", text)
    text = re.sub(r"(?<=\d)\s*'", " ft ", text)
    text = re.sub(r"[\s_,;-]+", " ", re.sub(r"(?<=\d),(?=\d)", ".", text))
    text = GRADE.sub(" ", text)
    text = re.sub(r"(\d)(mm|cm|m|in|inch|inches|ft|feet|foot)\b", r"\1 \2", text)
    return re.sub(r" ?\b(?:x|by)\b ?|(?<=\d)x(?=\d)", " x ", text).strip()


def _number(text: str) -> float:
    whole, _, part = text.rpartition(" ")
    above, _, below = part.partition("/")
    return (float(whole) if whole else 0.0) + float(above) / (float(below or 1.0) or 1.0)


def _length(text: str) -> float | None:
    """A length with its unit, in metres."""
    if not re.search("[a-z]", text):
        return None
    try:
        length = parse(text, "length")
    except InputError:
        return None
    return length if _LENGTHS_M[0] <= length <= _LENGTHS_M[1] else None
