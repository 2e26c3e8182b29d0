"""Signs of paper size, the same at every scale: drawn in paper mm round a point, y down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import cos, pi, radians, sin

from lynchet.drawings.display import Letters, Mark, Stroke
from lynchet.drawings.roles import DASH_MM, PEN_MM, Role

Point = tuple[float, float]


@dataclass(frozen=True)
class Sign:
    """One sign to draw."""

    at: Point
    layer: str
    turn_deg: float = 0.0
    """Anticlockwise as seen."""
    size_mm: float = 1.0
    """Size of signs whose size is a thing of the yard (a root circle), in paper mm."""
    text: str = ""
    role: Role = "ink"
    of: str = ""
    marks: list[Mark] = field(default_factory=list, compare=False)

    def spot(self, along: float, across: float) -> Point:
        """A point of the sign: along its direction, across to the left of it."""
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        return self.at[0] + along * c - across * s, self.at[1] - along * s - across * c

    def line(
        self, *points: Point, pen: str = "visible", closed: bool = False, fill: Role = "", dash: str = "solid"
    ) -> None:
        """A line through points of the sign, or a filled outline."""
        path = tuple(self.spot(*point) for point in points)
        width = PEN_MM[pen] if pen else 0.0
        self.marks.append(Stroke((path,), self.layer, closed, width, self.role, DASH_MM[dash], fill, self.of))

    def circle(self, radius: float, pen: str = "visible", fill: Role = "", dash: str = "solid") -> None:
        """A circle round the point."""
        width = PEN_MM[pen] if pen else 0.0
        ring = circle(self.at, radius)
        self.marks.append(Stroke((ring,), self.layer, True, width, self.role, DASH_MM[dash], fill, self.of))

    def letters(self, text: str, at: Point, h: float = 2.5, anchor: str = "c", halo: Role = "") -> None:
        """Upright text at a point of the sign; its middle stands at the point."""
        x, y = self.spot(*at)
        self.marks.append(Letters(x, y + h / 2, text, h, self.layer, anchor, "bold", self.role, halo=halo, of=self.of))


def circle(at: Point, radius: float, parts: int = 0) -> tuple[Point, ...]:
    """A circle as a polygon with sides under about half a millimetre."""
    count = parts or max(12, min(72, int(2 * pi * radius / 0.5)))
    return tuple(
        (at[0] + radius * cos(2 * pi * n / count), at[1] + radius * sin(2 * pi * n / count)) for n in range(count)
    )


def _north(sign: Sign) -> None:
    sign.circle(7.0, "fine")
    sign.line((6.2, 0), (-5.2, 2.4), (-3.4, 0), pen="fine", closed=True)
    sign.line((6.2, 0), (-5.2, -2.4), (-3.4, 0), pen="fine", closed=True, fill=sign.role)
    sign.letters("N", (9.4, 0), 3.5, halo="ground")


def _benchmark(sign: Sign) -> None:
    sign.line((-2.0, 0), (2.0, 0), (0, 3.4), pen="fine", closed=True, fill=sign.role)


def _flow(sign: Sign) -> None:
    sign.line((-4.5, 0), (3.0, 0))
    sign.line((4.5, 0), (1.5, 0.9), (1.5, -0.9), pen="", closed=True, fill=sign.role)


def _head(sign: Sign) -> None:
    sign.line((0, 0), (-3.0, 0.9), (-3.0, -0.9), pen="", closed=True, fill=sign.role)


def _rod_eye(sign: Sign) -> None:
    sign.line((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9), pen="visible", closed=True, fill="paper")


def _joint(sign: Sign) -> None:
    sign.circle(1.3, "visible", "paper")


def _cap(sign: Sign) -> None:
    sign.line((-1.1, -0.5), (1.1, -0.5), (1.1, 0.5), (-1.1, 0.5), pen="fine", closed=True, fill=sign.role)


def _outlet(sign: Sign) -> None:
    sign.line((-2.2, 0), (0, 2.2), (2.2, 0), (0, -2.2), pen="visible", closed=True, fill="paper")
    sign.marks.append(Stroke((circle(sign.at, 0.45),), sign.layer, True, fill=sign.role, of=sign.of))


def _notch(sign: Sign) -> None:
    sign.line((-1.2, -0.9), (1.2, -0.9), (1.2, 0.9), (-1.2, 0.9), pen="thin", closed=True, fill="water tone")


def _stop(sign: Sign) -> None:
    corners = [
        (4.5 / cos(pi / 8) * cos(pi / 8 + n * pi / 4), 4.5 / cos(pi / 8) * sin(pi / 8 + n * pi / 4)) for n in range(8)
    ]
    sign.line(*corners, pen="visible", closed=True, fill="warn tone")
    sign.letters(sign.text or "STOP", (0, 0), 2.2, halo="warn tone")


def _section_mark(sign: Sign) -> None:
    """A corner in cut pen whose leg points the way one looks, and the letter beyond."""
    sign.line((0, 0), (0, 5.0), pen="cut")
    sign.line((0, 5.0), (4.0, 5.0), pen="visible")
    x, y = sign.spot(7.0, 5.0)
    turned = Sign((x, y), sign.layer, sign.turn_deg, role=sign.role, of=sign.of)
    turned.line((0, 0), (-3.0, 0.9), (-3.0, -0.9), pen="", closed=True, fill=sign.role)
    sign.marks.extend(turned.marks)
    sign.letters(sign.text, (-3.2, 3.0), 4.0, halo="ground")


def _section_flag(sign: Sign) -> None:
    """Smaller than the mark of a whole section: a short cut line, a head the way one looks, the letter behind."""
    sign.line((0, -0.6), (0, 2.6), pen="cut")
    sign.line((0, 2.6), (1.2, 2.6), pen="visible")
    x, y = sign.spot(3.4, 2.6)
    turned = Sign((x, y), sign.layer, sign.turn_deg, role=sign.role, of=sign.of)
    turned.line((0, 0), (-2.2, 0.8), (-2.2, -0.8), pen="", closed=True, fill=sign.role)
    sign.marks.extend(turned.marks)
    sign.letters(sign.text, (-2.9, 1.0), 2.8, halo="ground")


def _tree(sign: Sign) -> None:
    """Crown as a wavy line; trunk in the middle."""
    waves = max(8, round(sign.size_mm * 1.2))
    points = []
    for n in range(waves * 8):
        angle = 2 * pi * n / (waves * 8)
        radius = sign.size_mm + 0.5 * sin(angle * waves)
        points.append((radius * cos(angle), radius * sin(angle)))
    sign.line(*points, pen="fine", closed=True)


def _dot(sign: Sign) -> None:
    sign.marks.append(Stroke((circle(sign.at, 0.5),), sign.layer, True, fill=sign.role, of=sign.of))


def _found_mark(sign: Sign) -> None:
    sign.circle(1.3, "visible", "paper")
    _dot(sign)


def _unsure(sign: Sign) -> None:
    sign.letters("?", (0, 0), 2.8, halo="paper")


def _pin(sign: Sign) -> None:
    """Dashed, standing, with a bar on top; size is its length on paper."""
    sign.line((0, 0), (0, -sign.size_mm), pen="fine", dash="short")
    sign.line((-0.9, 0), (0.9, 0), pen="visible")


def _level(sign: Sign) -> None:
    """Open triangle standing on the line."""
    sign.line((0, 0), (-1.4, 2.2), (1.4, 2.2), pen="thin", closed=True, fill="paper")


def _spring(sign: Sign) -> None:
    sign.circle(1.8, "visible", "paper")
    for n in range(3):
        sign.line((-0.9, 0.7 - 0.7 * n), (0.9, 0.7 - 0.7 * n), pen="fine")


def _screw(sign: Sign) -> None:
    """Head of a screw from above."""
    sign.circle(0.8, "fine", "paper")
    sign.line((-0.5, 0), (0.5, 0), pen="fine")


def _truck(sign: Sign) -> None:
    """A lorry from above: bed and cab; always the same way round."""
    level = Sign(sign.at, sign.layer, role=sign.role, of=sign.of)
    level.line((-4.0, -1.5), (1.6, -1.5), (1.6, 1.5), (-4.0, 1.5), closed=True, fill="paper")
    level.line((1.9, -1.3), (4.0, -1.3), (4.0, 1.3), (1.9, 1.3), closed=True, fill="mid")
    sign.marks.extend(level.marks)


def _gate(sign: Sign) -> None:
    """Two posts and the leaf standing open."""
    level = Sign(sign.at, sign.layer, role=sign.role, of=sign.of)
    for x in (-2.0, 2.0):
        level.line(
            (x - 0.5, -0.5), (x + 0.5, -0.5), (x + 0.5, 0.5), (x - 0.5, 0.5), pen="fine", closed=True, fill="ink"
        )
    level.line((-2.0, 0.0), (0.8, 2.4), pen="visible")
    sign.marks.extend(level.marks)


def _weep(sign: Sign) -> None:
    """A bore seen from the front."""
    sign.circle(0.75, fill="paper")


def _test_hole(sign: Sign) -> None:
    """A round hole from above, two of its quarters dark."""
    sign.circle(1.5, "visible", "paper")
    for start in (0, 180):
        arc = [(1.5 * cos(radians(start + a)), 1.5 * sin(radians(start + a))) for a in range(0, 91, 15)]
        sign.line((0, 0), *arc, pen="", closed=True, fill=sign.role)


SIGNS: dict[str, Callable[[Sign], None]] = {
    "north": _north, "benchmark": _benchmark, "flow": _flow, "head": _head, "rod eye": _rod_eye, "joint": _joint,
    "outlet": _outlet, "notch": _notch, "stop": _stop, "section mark": _section_mark, "section flag": _section_flag,
    "tree": _tree, "screw": _screw, "dot": _dot,
    "found mark": _found_mark, "unsure": _unsure, "pin": _pin, "spring": _spring, "level": _level,
    "truck": _truck, "cap": _cap, "gate": _gate, "weep": _weep,
    "test hole": _test_hole,
}  # fmt: skip


def draw(name: str, sign: Sign) -> list[Mark]:
    """The marks of a sign.

    Raises:
        KeyError: no sign of this name.
    """
    SIGNS[name](sign)
    return sign.marks
