"""What stands over a part of a wall, or over a course of it from above: its title and a line under it."""

from __future__ import annotations

from lynchet.drawings.figures import Figures
from lynchet.drawings.paper import scale_words
from lynchet.drawings.wall_above import row_of, ties_in
from lynchet.drawings.wall_face import Face, Interval

Course = tuple[int, Interval]
"""A course from above and the stretch of it that is shown."""
Shown = Interval | Course


def said_of(face: Face, shown: Shown, scale: int, figures: Figures) -> tuple[str, str]:
    """Title of a picture and the line under it."""
    if isinstance(shown[1], tuple):
        return _from_above(face, (int(shown[0]), shown[1]), scale, figures)
    return _part(face, (shown[0], shown[1]), scale, figures)


def _from_above(face: Face, shown: Course, scale: int, figures: Figures) -> tuple[str, str]:
    course, stretch = shown
    row, ties = row_of(face, course), len(ties_in(face, course))
    title = f"Course {row} of wall {face.leg.id} from above" + (", with its ties" if ties else "")
    under = f"{scale_words(scale, figures.system)}. Front at the bottom."
    if stretch[1] - stretch[0] < face.length_m - 1e-6:
        under += f" From {figures.length(stretch[0])} to {figures.words(stretch[1])} from its left end."
    if ties:
        low = f"course {row - 1}" if row > 1 else "the stone bed"
        under += f" Ties lie level on {low} and tamped fill."
    return title, under


def _part(face: Face, part: Interval, scale: int, figures: Figures) -> tuple[str, str]:
    whole = part[1] - part[0] > face.length_m - 1e-6
    said = scale_words(scale, figures.system)
    lengths = "feet and inches" if figures.system == "us" else "millimetres"
    title = f"Wall {face.leg.id}, seen from {_front(face)}"
    if whole:
        return title, f"{said}. Piece mark, then length in {lengths}."
    return title, f"{said}. {_reach(part, figures)}. Piece mark, then length in {lengths}."


def goes_on_words(face: Face, part: Interval, figures: Figures) -> str:
    """The line over a further part of a wall."""
    reach = _reach(part, figures)
    return f"Wall {face.leg.id} goes on: {reach[:1].lower()}{reach[1:]}"


def _reach(part: Interval, figures: Figures) -> str:
    return f"From {figures.timber(part[0])} to {figures.height(part[1])} from its left end"


def _front(face: Face) -> str:
    """Where one stands to see it so."""
    low = sorted({span.low_face for span in face.leg.spans if span.held == face.held})
    if len(low) == 1 and low[0].startswith("B"):
        return f"bed {low[0][1:]}"
    if low and all(name.startswith("P") for name in low):
        return "the path"
    if face.leg.role == "edge":
        return "outside" if face.held > 0 else "inside"
    return "its low side"
