"""Faults a machine can see on a sheet: texts that meet, leave the frame, are too small, covered or crossed.

Run by the tests on every sheet, and by anyone who changes a drawing.
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, radians, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.display import Display, Letters, Stroke
from lynchet.drawings.hatches import inside
from lynchet.drawings.labels import crosses
from lynchet.drawings.letters import LEAST_MM, missing
from lynchet.drawings.paper import Paper

Point = tuple[float, float]
EDGE_MM = 4.0


def faults(display: Display, paper: Paper) -> list[str]:
    """Everything wrong, one line each; empty when the sheet passes."""
    return [*meeting(display), *outside(display, paper), *covered(display), *small(display), *blank(display)]


def small(display: Display) -> list[str]:
    """Texts under 2.2 mm."""
    return [f"too small: {t.text!r} {t.h:.2f} mm" for t in display.texts if t.h < LEAST_MM - 1e-9]


def blank(display: Display) -> list[str]:
    """Characters the font lacks."""
    return [f"no glyph: {t.text!r}" for t in display.texts if missing(t.text, t.weight)]


def meeting(display: Display) -> list[str]:
    """Pairs of texts whose boxes meet (turned boxes by the separating-axis test)."""
    texts = display.texts
    boxes = np.array([text.box() for text in texts]).reshape(-1, 4)
    found = []
    for n, text in enumerate(texts):
        later = boxes[n + 1 :]
        near = (later[:, 0] < boxes[n, 2]) & (later[:, 2] > boxes[n, 0])
        near &= (later[:, 1] < boxes[n, 3]) & (later[:, 3] > boxes[n, 1])
        for k in np.flatnonzero(near):
            other = texts[n + 1 + int(k)]
            if _overlap(text, other):
                found.append(f"texts meet: {text.text!r} and {other.text!r}")
    return found


def _overlap(one: Letters, two: Letters) -> bool:
    """Separating axes of two turned boxes; touching by a hundredth of a millimetre is no overlap."""
    a, b = one.corners(), two.corners()
    for turn in (one.turn_deg, two.turn_deg):
        c, s = cos(radians(turn)), -sin(radians(turn))
        for ax, ay in ((c, s), (-s, c)):
            first = [x * ax + y * ay for x, y in a]
            second = [x * ax + y * ay for x, y in b]
            if max(first) <= min(second) + 0.01 or max(second) <= min(first) + 0.01:
                return False
    return True


def outside(display: Display, paper: Paper) -> list[str]:
    """Marks of the drawing within 4 mm of the frame, and texts outside their part of the sheet."""
    left, top, right, bottom = paper.field
    near = (left + EDGE_MM, top + EDGE_MM, right - EDGE_MM, bottom - EDGE_MM)
    frame = paper.frame
    found = []
    for mark in display.marks:
        if mark.layer == "title":
            continue
        box = mark.box() if isinstance(mark, Letters) else _box(mark)
        in_strip = mark.layer == "key"
        room = (right + 0.5, frame[1], frame[2] - 1.0, frame[3]) if in_strip and paper.wide else near
        if in_strip and not paper.wide:
            room = (frame[0] + 1.0, frame[1] + 1.0, frame[2] - 1.0, frame[3])
        if box[0] < room[0] - 0.01 or box[1] < room[1] - 0.01 or box[2] > room[2] + 0.01 or box[3] > room[3] + 0.01:
            what = mark.text if isinstance(mark, Letters) else mark.of
            found.append(f"too near the frame: {mark.layer} {what!r} {tuple(round(v, 1) for v in box)}")
    return found


def _box(mark: Stroke) -> tuple[float, float, float, float]:
    xs, ys = zip(*(point for path in mark.paths for point in path), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def covered(display: Display) -> list[str]:
    """Texts that an area drawn later lies on."""
    texts = display.texts
    points = np.array([(*text.corners(), _middle(text)) for text in texts]).reshape(-1, 5, 2)
    found = []
    before = 0
    for mark in display.marks:
        if isinstance(mark, Letters):
            before += 1
        elif mark.fill and before:
            left, top, right, bottom = _box(mark)
            earlier = points[:before]
            near: NDArray[np.bool_] = np.all((earlier > (left, top)) & (earlier < (right, bottom)), axis=2)
            met: NDArray[np.bool_] = np.any(near, axis=1)
            for n in np.flatnonzero(met).tolist():
                if inside(mark.paths, earlier[n][near[n]]).any():
                    found.append(f"covered: {texts[n].text!r} by {mark.of!r} on {mark.layer}")
    return found


def _middle(text: Letters) -> Point:
    xs, ys = zip(*text.corners(), strict=True)
    return sum(xs) / 4, sum(ys) / 4


def crossed(display: Display, least_mm: float = 0.18) -> list[str]:
    """Texts with a line of this pen or more through them: counted, as a label may have no other place.

    A text with a halo breaks the lines drawn before it; only those drawn later cross it.
    """
    segments: list[tuple[float, float, float, float]] = []
    owners: list[str] = []
    order: list[int] = []
    for n, mark in enumerate(display.marks):
        if isinstance(mark, Stroke) and mark.width_mm >= least_mm - 1e-9 and mark.role != "paper":
            for path in mark.paths:
                ring = (*path, path[0]) if mark.closed else path
                segments.extend((*a, *b) for a, b in pairwise(ring) if hypot(b[0] - a[0], b[1] - a[1]) > 1e-9)
                owners.extend([mark.of] * (len(segments) - len(owners)))
                order.extend([n] * (len(segments) - len(order)))
    lines, turns = np.array(segments).reshape(-1, 4), np.array(order)
    low, high = np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])
    found: list[str] = []
    for n, text in enumerate(display.marks):
        if not isinstance(text, Letters) or not len(lines):
            continue
        box = text.box()
        near = np.flatnonzero(((low <= box[2:]) & (high >= box[:2])).all(axis=1))
        if text.halo:
            near = near[turns[near] > n]
        hit = crosses(_core(text)[None, :], _turned(lines[near], text))[0] if len(near) else np.empty(0, dtype=bool)
        names = {owners[int(k)] for k in near[hit]} - {text.of}
        found.extend(f"line through {text.text!r}: {name}" for name in sorted(names))
    return found


def _core(text: Letters) -> np.ndarray:
    """The box of the letters themselves, without descenders, at its own turn."""
    start = {"l": 0.0, "c": -0.5, "r": -1.0}[text.anchor] * text.width_mm
    return np.array([start, -text.h, start + text.width_mm, 0.0])


def _turned(lines: np.ndarray, text: Letters) -> np.ndarray:
    c, s = cos(radians(text.turn_deg)), sin(radians(text.turn_deg))
    moved = lines - np.array([text.x, text.y, text.x, text.y])
    turn = np.array([[c, -s], [s, c]])
    return np.hstack([moved[:, :2] @ turn.T, moved[:, 2:] @ turn.T])
