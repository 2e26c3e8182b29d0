"""Piece lengths and saw angles where two walls meet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.timber.values import Array, Values

Joint = Literal["lap", "mitre"]


def through_m(length_m: Values, width_m: Values, angle_deg: Values) -> Array:
    """Longest dimension of the piece that runs through a lapped corner, cut along the other wall's outside face."""
    return length_m + np.maximum(0.0, -np.asarray(width_m, float) / np.tan(np.radians(angle_deg)))


def butt_m(length_m: Values, width_m: Values, other_width_m: Values, angle_deg: Values) -> Array:
    """Longest dimension of the piece that butts against the other wall's timber."""
    return through_m(length_m, width_m, angle_deg) - other_width_m / np.sin(np.radians(angle_deg))


def mitre_short_m(length_m: Values, width_m: Values, angle_deg: Values) -> Array:
    """Inside length of a mitred piece."""
    return np.asarray(length_m, float) - width_m / np.tan(np.radians(angle_deg) / 2.0)


def mitre_angles_deg(angle_deg: Values, lean_deg: Values) -> tuple[Array, Array, Array]:
    """Angles of a mitre of tilted timbers: on the bed, on the face, and the blade's bevel (timber on its bed)."""
    plan, tilt = np.radians(90.0 - np.asarray(angle_deg, float) / 2.0), np.radians(lean_deg)
    bed = np.arctan(np.tan(plan) * np.cos(tilt))
    face = np.arctan(np.tan(plan) * np.sin(tilt))
    return np.degrees(bed), np.degrees(face), np.degrees(np.arcsin(np.sin(plan) * np.sin(tilt)))


@dataclass(frozen=True)
class CornerPieces:
    """Lengths are the longest dimension along the piece, the other end square; angles from a square cut."""

    through_1_m: float | None = None
    butt_1_m: float | None = None
    through_2_m: float | None = None
    butt_2_m: float | None = None
    mitre_1_m: float | None = None
    mitre_2_m: float | None = None
    short_1_m: float | None = None
    short_2_m: float | None = None
    end_cut_deg: float | None = None
    bed_angle_deg: float | None = None
    face_angle_deg: float | None = None
    bevel_deg: float | None = None


def _corner_steps(given: Mapping[str, Any], result: CornerPieces) -> list[Step]:
    angle = given.get("angle_deg", 90.0)
    cut = Step("end cut from square", f"corner of {angle:g} degrees", result.end_cut_deg or 0.0, "deg")
    if given.get("joint", "lap") == "mitre":
        return [
            cut,
            Step("piece 1, inside", f"{given['length_1_m']:g} - w / tan({angle / 2:g})", result.short_1_m or 0.0, "m"),
            Step("piece 2, inside", f"{given['length_2_m']:g} - w / tan({angle / 2:g})", result.short_2_m or 0.0, "m"),
            Step("bevel of the blade", "timber lying on its bed", result.bevel_deg or 0.0, "deg"),
        ]
    return [
        cut,
        Step("wall 1 runs through", "odd courses", result.through_1_m or 0.0, "m"),
        Step("wall 2 butts", f"through less {given['width_1_m']:g} / sin({angle:g})", result.butt_2_m or 0.0, "m"),
        Step("wall 2 runs through", "even courses", result.through_2_m or 0.0, "m"),
        Step("wall 1 butts", f"through less {given['width_2_m']:g} / sin({angle:g})", result.butt_1_m or 0.0, "m"),
    ]


@calculator(
    source="Plane and solid geometry",
    known="DERIVED",
    example={"length_1_m": 4.2, "length_2_m": 3.0, "width_1_m": 0.1397, "width_2_m": 0.1397},
    working=_corner_steps,
    caution="Heavy timber jumps when a cut closes on the saw: support both sides, wear mask and glasses.",
)
def corner_pieces(
    *,
    length_1_m: Positive,
    length_2_m: Positive,
    width_1_m: Positive,
    width_2_m: Positive,
    angle_deg: Annotated[float, Ge(30), Le(170)] = 90.0,
    joint: Joint = "lap",
    lean_deg: Annotated[float, Ge(0), Le(20)] = 0.0,
) -> CornerPieces:
    """Piece lengths and saw angles of a lapped or mitred corner.

    Equation: lap: through = L + max(0, -w cot t); butt = that - w_other/sin t; end cut |90 - t| from square. Mitre:
    p = 90 - t/2 from square, long side L, short L - w/tan(t/2); for timbers tilted by a: on the bed atan(tan p cos a),
    on the face atan(tan p sin a), blade bevel asin(sin p sin a).

    Symbols: L outside face length to the corner, w width of the timber in plan, t angle inside the corner, a lean.

    Limits: t 30 to 170 degrees, lean to 20. Which wall runs through changes with every course. Unequal widths take a
    lap, a lean takes a mitre.
    """
    lengths, widths = (length_1_m, length_2_m), (width_1_m, width_2_m)
    if joint == "mitre":
        return _mitre(lengths, widths, angle_deg, lean_deg)
    refuse_if(lean_deg > 0, "lean_deg", f"lean of {lean_deg:g} degrees with a lap found", "0, or a mitre")
    butts = [float(butt_m(lengths[i], widths[i], widths[1 - i], angle_deg)) for i in (0, 1)]
    _refuse_short(lengths, butts)
    return CornerPieces(
        through_1_m=float(through_m(length_1_m, width_1_m, angle_deg)),
        butt_1_m=butts[0],
        through_2_m=float(through_m(length_2_m, width_2_m, angle_deg)),
        butt_2_m=butts[1],
        end_cut_deg=abs(90.0 - angle_deg),
    )


def _mitre(
    lengths: tuple[float, float], widths: tuple[float, float], angle_deg: float, lean_deg: float
) -> CornerPieces:
    refuse_if(
        abs(widths[0] - widths[1]) > 1e-9,
        "width_2_m",
        f"width {widths[1]:g} m against {widths[0]:g} m found",
        "equal widths for a mitre",
    )
    shorts = [float(mitre_short_m(length, widths[0], angle_deg)) for length in lengths]
    _refuse_short(lengths, shorts)
    bed, face, bevel = mitre_angles_deg(angle_deg, lean_deg)
    return CornerPieces(
        mitre_1_m=lengths[0],
        mitre_2_m=lengths[1],
        short_1_m=shorts[0],
        short_2_m=shorts[1],
        end_cut_deg=90.0 - angle_deg / 2.0,
        bed_angle_deg=float(bed),
        face_angle_deg=float(face),
        bevel_deg=float(bevel),
    )


def _refuse_short(lengths: tuple[float, float], left: list[float]) -> None:
    for number, (length, rest) in enumerate(zip(lengths, left, strict=True), start=1):
        found = f"length of {length:g} m found"
        refuse_if(rest <= 0, f"length_{number}_m", found, "longer than the joint, which leaves nothing of this piece")
