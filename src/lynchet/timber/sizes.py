"""Sizes of screws and pins as sold and drilled, and how they are spread."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from lynchet.project.model import Units
from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, THREAD_M

INCH_M = 0.0254
_SOLD_M: dict[Units, tuple[float, ...]] = {
    "us": tuple(inches * INCH_M for inches in (4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 24)),
    "metric": tuple(mm / 1000.0 for mm in (100, 120, 140, 160, 180, 200, 220, 240, 260, 280, 300, 320, 350, 400, 450,
                                           500, 600)),
}  # fmt: skip
"""Lengths of long structural screws on sale. PRACTICE."""
PILOT = 0.6
"""Pilot hole of a lag screw over its diameter: 40 to 70 % in woods of specific gravity up to 0.5, 60 to 75 % in
heavier ones. NDS 2018, 12.1.4."""
CORNER_RECESS_M = 0.01
SAME_M = 1e-4
"""Heights of courses nearer than this are one height."""
FAR_FACE_M = 0.015
"""Timber left over the point of a screw, so that none comes out at the far face. PRACTICE."""


@dataclass(frozen=True)
class Sizes:
    """Lengths and drills for one section of timber."""

    screw_m: float
    """Through one course and at least half the one below."""
    corner_pin_m: float
    """Through two courses, its head let in."""
    tie_screw_m: float
    """Through the face and the thread into the tie's end."""
    tie_pilot_m: float
    on_sale_m: tuple[float, ...] = ()
    """Lengths of screws that are sold."""
    course_m: float = 0.0
    """Height of a whole course."""
    bar_step_m: float = 0.001
    """Bars are cut to whole steps of this: the finest mark that is read off a tape."""

    def screw_for(self, over_m: float, under_m: float) -> float:
        """Screw of a course into the one below where either is thinned or packed; ``screw_m`` where both are whole.

        Args:
            over_m: from the top of the upper course to the top of the lower one, packing included.
            under_m: height of the lower course.
        """
        if self._whole(over_m, under_m):
            return self.screw_m
        return _joining(over_m, under_m, self.on_sale_m)

    def pin_for(self, over_m: float, under_m: float) -> float:
        """Corner pin through a course into the one below, as ``screw_for``; cut from bar, to a mark of the tape."""
        if self._whole(over_m, under_m):
            return self.corner_pin_m
        return floor((over_m + under_m - CORNER_RECESS_M) / self.bar_step_m + 1e-6) * self.bar_step_m

    def _whole(self, over_m: float, under_m: float) -> bool:
        return abs(over_m - self.course_m) < SAME_M and abs(under_m - self.course_m) < SAME_M

    def level_m(self, first_m: float, behind_m: float) -> float:
        """Screw through a timber of a step into what lies behind it: as deep as into a tie, and never nearer to the
        far face than ``FAR_FACE_M``."""
        most = first_m + behind_m - FAR_FACE_M
        least = min(most, first_m + THREAD_M)
        fitting = [size for size in self.on_sale_m if size <= most + 1e-9]
        return next((size for size in fitting if size >= least - 1e-9), max(fitting, default=most))


def sizes_of(course_m: float, thickness_m: float, units: Units) -> Sizes:
    """The shortest lengths on sale that do; the corner pin is cut from bar."""
    return Sizes(
        screw_m=_joining(course_m, course_m, _SOLD_M[units]),
        corner_pin_m=2.0 * course_m - CORNER_RECESS_M,
        tie_screw_m=_sold(thickness_m + THREAD_M, _SOLD_M[units]),
        tie_pilot_m=PILOT * SCREW_DIAMETER_M,
        on_sale_m=_SOLD_M[units],
        course_m=course_m,
        bar_step_m=INCH_M / 8.0 if units == "us" else 0.001,
    )


def _joining(over_m: float, under_m: float, on_sale_m: tuple[float, ...]) -> float:
    """Through one course and at least half the one below, and never out of it."""
    return min(_sold(over_m + under_m / 2.0, on_sale_m), over_m + under_m - CORNER_RECESS_M)


def _sold(least_m: float, on_sale_m: tuple[float, ...]) -> float:
    """Next length on sale; beyond the longest the length itself."""
    return next((size for size in on_sale_m if size >= least_m - 1e-9), least_m)


CLEAR_M = 4.0 * SCREW_DIAMETER_M
"""Screws keep four diameters from each other and from pins. NDS 2018, Table 12.5.1B, C."""
CLEAR_PIN_M = 4.0 * PIN_DIAMETER_M
END_M = 0.10
"""Screw to the end of a timber, seven diameters (67 mm) for full strength. NDS 2018, Table 12.5.1A; rounded up."""
CLEAR_NOTCH_M = 0.15
"""No screw within this of a notch. PRACTICE, as the water stage asks."""
CLEAR_TIE_M = 0.12
"""Upright screws stay this far from a tie's middle: half its screws' spread and four diameters."""
CLEAR_WEEP_M = 0.06
"""Screws keep this far from the middle of a weep hole: half its bore and five diameters. PRACTICE."""
