"""What is wished of the beds and known of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LEAST_SOIL_M = 0.20
"""Good soil under plants: one spit. PRACTICE."""


@dataclass(frozen=True)
class Planting:
    """What is wished of the beds; None and "unknown" where the file does not say."""

    food: bool | None = None
    """True where food is grown, None where not said."""
    children: bool = False
    zone: str | None = None
    """Hardiness zone, as ``hardiness_zone`` writes it."""
    wishes: tuple[str, ...] = ()
    """Botanical names of the plant table."""
    avoid: tuple[str, ...] = ()
    """Botanical names, kinds and traits to keep out."""
    kinds: tuple[str, ...] = ()
    """Kinds of plants wished (herb, fern, ...)."""
    pets: bool = False
    suggest: bool = True
    """Plants are chosen for ground the wishes leave open."""
    moisture: Literal["dry", "medium", "wet"] | None = None
    ph: float | None = None
    region: str = ""
    """As people call it; plants that spread there are told by it."""
    last_frost: str | None = None
    """Day of the last spring frost, MM-DD, half the years at 0 C."""
    first_frost: str | None = None
    """Day of the first autumn frost, likewise."""
    bed_soil_m: float | None = None
    """Depth of good soil; None = topsoil and compost, :data:`LEAST_SOIL_M` at least."""
    compost_m: float = 0.05
    """Part of it."""
    mulch_m: float = 0.05
    """On top of it."""
