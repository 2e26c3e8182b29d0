"""The factors of the bearing formula: bearing, shape, depth, inclination, water, ground slope. Arrays, no checks."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

import numpy as np

from lynchet.core.calculator import calculator
from lynchet.stability.kinds import WALL_CAUTION, Array, Friction, Numbers, tangent

FactorMethod = Literal["terzaghi", "meyerhof", "hansen", "vesic", "eurocode"]
_MEYERHOF_FROM_DEG = 10.0
"""Meyerhof's shape and depth factors of q and gamma are 1 up to this friction angle."""


@dataclass(frozen=True)
class Three:
    """A factor for each term: cohesion, cover, width."""

    c: Array
    q: Array
    gamma: Array


def ones_like(numbers: Numbers) -> Three:
    """Factors of 1."""
    one = np.ones_like(np.asarray(numbers, dtype=np.float64))
    return Three(one, one, one)


def bearing_numbers(method: FactorMethod, friction_deg: Numbers) -> Three:
    """Nc, Nq, Ngamma (kernel)."""
    p = np.asarray(np.radians(friction_deg), dtype=np.float64)
    t = np.tan(p)
    if method == "terzaghi":
        a = np.exp(2 * pi * (0.75 - np.divide(friction_deg, 360.0)) * t)
        nq = a / (2 * np.cos(pi / 4 + p / 2) ** 2)
        at_zero, ng = 1.5 * pi + 1, 2 * (nq + 1) * t / (1 + 0.4 * np.sin(4 * p))
    else:
        nq = np.exp(pi * t) * np.tan(pi / 4 + p / 2) ** 2
        at_zero = 2 + pi
        ng = {
            "meyerhof": (nq - 1) * np.tan(1.4 * p),
            "hansen": 1.5 * (nq - 1) * t,
            "vesic": 2 * (nq + 1) * t,
            "eurocode": 2 * (nq - 1) * t,
        }[method]
    nc = np.where(t > 1e-9, (nq - 1) / np.where(t > 1e-9, t, 1.0), at_zero)
    return Three(nc, nq, ng)


def depth_ratio(depth_m: Numbers, width_m: Numbers) -> Array:
    """k = D/B up to one width, its arctangent in radians beyond (kernel)."""
    k = np.asarray(np.divide(depth_m, width_m), dtype=np.float64)
    return np.where(k <= 1, k, np.arctan(k))


def hansen_depth(numbers: Three, friction_deg: Numbers, ratio: Numbers, vesic: bool) -> Three:
    """Depth factors of Hansen; Vesic takes that of cohesion from that of cover (kernel)."""
    t, s = tangent(friction_deg), np.sin(np.radians(friction_deg))
    dq = 1 + 2 * t * (1 - s) ** 2 * ratio
    dc = 1 + 0.4 * np.asarray(ratio)
    if vesic:
        dc = np.where(t > 1e-9, dq - (1 - dq) / (numbers.c * np.where(t > 1e-9, t, 1.0)), dc)
    return Three(np.asarray(dc), np.asarray(dq), np.ones_like(dq))


def hansen_shape(numbers: Three, friction_deg: Numbers, ratio: Numbers, vesic: bool) -> Three:
    """Shape factors of Hansen or of De Beer as Vesic takes them, ratio = width over length (kernel)."""
    turn = tangent(friction_deg) if vesic else np.sin(np.radians(friction_deg))
    r = np.asarray(ratio, dtype=np.float64)
    return Three(1 + r * numbers.q / numbers.c, np.asarray(1 + r * turn), 1 - 0.4 * r)


def _meyerhof(friction_deg: Numbers, ratio: Numbers, of_c: float, of_q: float, root: bool) -> Three:
    kp = tangent(45.0 + np.divide(friction_deg, 2.0)) ** 2
    k = (np.sqrt(kp) if root else kp) * ratio
    q = np.where(np.asarray(friction_deg) > _MEYERHOF_FROM_DEG, 1 + of_q * k, 1.0)
    return Three(np.asarray(1 + of_c * k), q, q)


def meyerhof_shape(friction_deg: Numbers, ratio: Numbers) -> Three:
    """Shape factors of Meyerhof (kernel)."""
    return _meyerhof(friction_deg, ratio, 0.2, 0.1, root=False)


def meyerhof_depth(friction_deg: Numbers, depth_m: Numbers, width_m: Numbers) -> Three:
    """Depth factors of Meyerhof, not growing below one width (kernel; the limit is our rule)."""
    return _meyerhof(friction_deg, np.minimum(np.divide(depth_m, width_m), 1.0), 0.2, 0.1, root=True)


def meyerhof_inclination(friction_deg: Numbers, horizontal: Numbers, vertical: Numbers) -> Three:
    """Inclination factors of Meyerhof; that of the width is 0 from the friction angle on (kernel)."""
    lean = np.degrees(np.arctan2(horizontal, vertical))
    p = np.asarray(friction_deg, dtype=np.float64)
    ic = (1 - lean / 90) ** 2
    ig = np.where(lean >= p, np.where(lean > 0, 0.0, 1.0), (1 - lean / np.where(p > 0, p, 1.0)) ** 2)
    return Three(ic, ic, ig)


@dataclass(frozen=True)
class Leaning:
    """A leaning load on an effective width, per metre of length."""

    horizontal: Numbers
    vertical: Numbers
    width_m: Numbers
    cohesion_kpa: Numbers
    ratio: Numbers
    """Effective width over length."""


def vesic_inclination(numbers: Three, friction_deg: Numbers, load: Leaning) -> Three:
    """Inclination factors of Vesic (kernel; a push beyond V tan p + c B' gives no number)."""
    t = tangent(friction_deg)
    rough = t > 1e-9
    safe = np.where(rough, t, 1.0)
    m = (2 + np.asarray(load.ratio)) / (1 + np.asarray(load.ratio))
    grip = np.multiply(load.width_m, load.cohesion_kpa)
    held = np.where(rough, load.vertical + grip / safe, 1.0)
    z = np.maximum(1 - np.where(rough, load.horizontal, 0.0) / np.where(held > 0, held, 1.0), 0.0)
    iq = z**m
    smooth = 1 - m * load.horizontal / np.where(grip > 0, grip * numbers.c, np.inf)
    return Three(np.where(rough, iq - (1 - iq) / (numbers.c * safe), smooth), iq, z ** (m + 1))


def water_factors(water_depth_m: Numbers, width_m: Numbers, depth_m: Numbers) -> Three:
    """Water below the ground, on cover and width (kernel). FHWA GEC 6 Eqs 5-10, 5-11."""
    dw, d = np.asarray(water_depth_m, dtype=np.float64), np.asarray(depth_m, dtype=np.float64)
    under = np.minimum(1.0, 0.5 + 0.5 * dw / (np.multiply(1.5, width_m) + d))
    cover = np.minimum(1.0, np.where(d > 0, 0.5 + 0.5 * dw / np.where(d > 0, d, 1.0), 1.0))
    return Three(np.ones_like(under), cover, under)


def ground_factors(method: Literal["hansen", "vesic"], slope_deg: Numbers) -> Three:
    """Ground factors of a strip at the edge of falling ground (kernel). After Bowles, Table 4-5."""
    t = tangent(slope_deg)
    g = (1 - 0.5 * t) ** 5 if method == "hansen" else (1 - t) ** 2
    return Three(np.asarray(1 - np.divide(slope_deg, 147.0)), g, g)


@dataclass(frozen=True)
class BearingFactors:
    """Bearing capacity factors."""

    n_c: float
    n_q: float
    n_gamma: float


@calculator(
    source="Terzaghi (Coduto's fit), Meyerhof 1963, Hansen 1970, Vesic 1973, EN 1997-1 Annex D as in course tables",
    known="SEEN",
    example={"method": "vesic", "friction_angle_deg": 30.0},
    caution=WALL_CAUTION,
)
def bearing_factors(*, friction_angle_deg: Friction, method: FactorMethod) -> BearingFactors:
    """Bearing capacity factors Nc, Nq and Ngamma by five methods.

    Equation: Nq = e^(pi tan p) tan²(45 + p/2), Nc = (Nq - 1)/tan p (2 + pi at 0). Ngamma: meyerhof (Nq - 1) tan 1.4 p;
    hansen 1.5 (Nq - 1) tan p; vesic 2 (Nq + 1) tan p; eurocode 2 (Nq - 1) tan p. terzaghi: a = e^(2 pi (0.75 - p/360)
    tan p), Nq = a/(2 cos²(45 + p/2)), Nc = (Nq - 1)/tan p (1.5 pi + 1 at 0), Ngamma = 2 (Nq + 1) tan p/(1 + 0.4 sin
    4 p).

    Symbols: p friction angle.

    Limits: a rough level base under a vertical load.
    """
    n = bearing_numbers(method, friction_angle_deg)
    return BearingFactors(float(n.c), float(n.q), float(n.gamma))
