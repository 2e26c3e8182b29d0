"""The paths of all strokes of a sheet as SVG writes them, to a thousandth of a millimetre, in one go.

A number is put together of a whole and a part, both looked up: to print each takes six times as long.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import chain
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.display import Paths

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
_MOST_MM = 1000
"""Nothing of a sheet lies further from its corner; where something does all is printed point by point."""
_LEADS = ("L", "M", "ZM", "\nM", "Z\nM")
"""Before a point: on from the last; another path of the same stroke, open or closed; another stroke after such."""
_NEAR_HALF = 1e-5


def outlines(strokes: Sequence[tuple[Paths, bool]]) -> list[str]:
    """What each stroke is drawn by: "M1 2L3 4Z".

    Args:
        strokes: paths in paper mm, and whether they are closed.
    """
    known: dict[tuple[int, bool], int] = {}
    own: list[tuple[Paths, bool]] = []
    which: list[int] = []
    for paths, closed in strokes:
        # A fill and the line round it are written alike.
        n = known.setdefault((id(paths), closed), len(own))
        if n == len(own):
            own.append((paths, closed))
        which.append(n)
    written = _together(own)
    if written is None:
        written = [one_by_one(paths, closed) for paths, closed in own]
    return [written[n] for n in which]


def one_by_one(paths: Paths, closed: bool) -> str:
    """The same of one stroke, number by number."""
    end = "Z" if closed else ""
    text = "".join(["M" + "L".join(["%.3f %.3f " % point for point in path]) + end for path in paths])  # noqa: UP031 - twice as fast
    for _ in range(3):
        text = text.replace("0 ", " ")
    text = text.replace(". ", " ").replace("-0 ", "0 ")
    return text.replace(" L", "L").replace(" Z", "Z").replace(" M", "M").rstrip(" ")


def _together(strokes: Sequence[tuple[Paths, bool]]) -> list[str] | None:
    """All strokes in one text, which is then parted; None where one has no points or some lie far off."""
    counts = [len(path) for paths, _ in strokes for path in paths]
    many = [len(paths) for paths, _ in strokes]
    if not counts or not min(many) or not min(counts):
        return None
    paths = chain.from_iterable(paths for paths, _ in strokes)
    values = np.fromiter(chain.from_iterable(chain.from_iterable(paths)), np.float64, 2 * sum(counts))
    if not (np.abs(values) < _MOST_MM).all():
        return None
    whole, part = _thousandths(values)
    wholes, parts = _words()
    pieces = np.empty((len(values) // 2, 4), dtype=object)
    pieces[:, 0] = wholes[_leads(strokes, counts, many), whole[::2]]
    pieces[:, 1] = parts[0, part[::2]]
    pieces[:, 2] = wholes[len(_LEADS), whole[1::2]]
    pieces[:, 3] = parts[1, part[1::2]]
    text = "".join(pieces.ravel().tolist())
    return f"{text}{'Z' if strokes[-1][1] else ''}".split("\n")[1:]


def _leads(strokes: Sequence[tuple[Paths, bool]], counts: list[int], many: list[int]) -> Whole:
    """(n,) what stands before each point, as a number of ``_LEADS``."""
    closed = np.array([closed for _, closed in strokes], dtype=np.int64)
    before_path = np.repeat(1 + closed, many)
    before_path[np.cumsum([0, *many[:-1]])] = 3 + np.concatenate([[0], closed[:-1]])
    found = np.zeros(sum(counts), dtype=np.int64)
    found[np.cumsum([0, *counts[:-1]])] = before_path
    return found


def _thousandths(values: Array) -> tuple[Whole, Whole]:
    """Of every number which whole of ``_words`` it has, and how many thousandths; rounded as Python prints it."""
    scaled = values * 1000.0
    rounded = np.rint(scaled)
    near_half = np.flatnonzero(np.abs(np.abs(scaled - rounded) - 0.5) < _NEAR_HALF)
    for n in near_half.tolist():  # halfway between two, what is printed hangs on the last digit of the number
        rounded[n] = float(f"{values[n]:.3f}".replace(".", ""))
    whole, part = np.divmod(np.abs(rounded).astype(np.int64), 1000)
    whole[rounded < 0] += _MOST_MM + 1
    return whole, part


@lru_cache(maxsize=1)
def _words() -> tuple[Any, Any]:
    """(leads + 1, 2 m) whole millimetres after each lead and after none, the negative ones last; (2, 1000) parts."""
    wholes = [f"{sign}{n}" for sign in ("", "-") for n in range(_MOST_MM + 1)]
    parts = [f".{n:03d}".rstrip("0").rstrip(".") for n in range(1000)]
    return (np.array([[lead + one for one in wholes] for lead in (*_LEADS, "")], dtype=object),
            np.array([[f"{one} " for one in parts], parts], dtype=object))  # fmt: skip
