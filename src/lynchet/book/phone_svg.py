"""Drawings made small for a phone: the same lines to a hundredth of a millimetre, said in as few letters as can be."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

_PATH = re.compile(r'<path d="([^"]*)" (.*?)/>$')
_NO_FILL = 'fill="none"'
_EVEN = ' fill-rule="evenodd"'
_LENGTH = re.compile(r' textLength="[^"]*" lengthAdjust="[^"]*"')


def slim(svg: str) -> str:
    """A drawing as ``drawings.svg`` writes it, smaller; it looks the same.

    Paths are written step by step instead of point by point; a fill and the line round it become one path, as do lines
    of one pen that follow each other. Text loses its measured length: the file carries the letters themselves.
    """
    return "".join(_text(_LENGTH.sub("", line)) for line in _joined(svg.split("\n")))


def _text(line: str) -> str:
    return line.replace('data-layer="', 'class="') if line.startswith("<g ") else line


def _joined(lines: list[str]) -> Iterator[str]:
    d = look = ""
    for line in lines:
        found = _PATH.match(line)
        if found is None:
            yield _path(d, look)
            d = look = ""
            yield line
            continue
        new, own = found[1], found[2]
        if own == look and _NO_FILL in own:
            d += new
        elif new == d and _NO_FILL in own and "stroke" not in look:
            look = look + own.removeprefix(_NO_FILL)
        else:
            yield _path(d, look)
            d, look = new, own
    yield _path(d, look)


def _path(d: str, look: str) -> str:
    if not d:
        return ""
    if d.count("M") == 1:
        look = look.replace(_EVEN, "")
    return f'<path d="{"".join(_steps(part) for part in d.split("M")[1:])}" {look}/>'


def _steps(part: str) -> str:
    """One stroke: where it starts, then how far each point lies from the one before, in mm to a hundredth."""
    closed = part.endswith("Z")
    ends = [round(float(number) * 100) for number in part.removesuffix("Z").replace("L", " ").split(" ")]
    x, y = ends[:2]
    said = [f"M{_n(x)} {_n(y)}"]
    steps = []
    for to_x, to_y in zip(ends[2::2], ends[3::2], strict=True):
        if to_x != x or to_y != y or len(ends) == 4:
            steps.append(f"{_n(to_x - x)} {_n(to_y - y)}")
            x, y = to_x, to_y
    if steps:
        said.append("l" + " ".join(steps).replace(" -", "-"))
    return "".join(said) + ("z" if closed else "")


@lru_cache(maxsize=1 << 16)
def _n(value: int) -> str:
    """Hundredths as a number without needless noughts: -5 as "-.05"."""
    text = f"{abs(value) / 100:.2f}".rstrip("0").rstrip(".").removeprefix("0") or "0"
    return f"-{text}" if value < 0 and text != "0" else text
