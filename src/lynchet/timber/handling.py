"""Weight of every piece and how many people it takes; liquid for cut ends; the stamp to look for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lynchet.core.tables import read_table
from lynchet.project.model import Timber as Wood
from lynchet.timber.exposure import least_coating, timber_exposure
from lynchet.timber.model import PieceWeight, Preservative, Stamp, Stick
from lynchet.timber.weight import GRAVITY_M_S2

END_RATE_L_M2 = 0.8
"""Two flooding coats on rough wood and end grain, each about 100 sq ft to the US gallon (2.45 m² to the litre), as
published labels of brush-on copper preservatives give; the label of the tin rules. PRACTICE."""
PRESERVATIVE = (
    "AWPA M4; IRC R317.1.1: every cut, notch and hole of treated timber is treated again (copper naphthenate, 2 % "
    "copper in the ground); rate: labels of brush-on preservatives, two coats, PRACTICE"
)
CREW = 2


@dataclass(frozen=True)
class Lifts:
    """What one, two, three people may lift."""

    limits_kg: tuple[float, ...]
    source: str

    def people(self, mass_kg: float) -> int:
        """How many; one more than the table knows where it is too heavy for all of them."""
        return next(
            (n for n, limit in enumerate(self.limits_kg, 1) if mass_kg <= limit + 1e-9), len(self.limits_kg) + 1
        )


def lifts() -> Lifts:
    """The table of lifting."""
    table = read_table("timber", "lifting")
    return Lifts(table.column("limit_kg"), f"{table.source} ({table.known})")


def mass_per_m(wood: Wood) -> float:
    """Kilograms of a metre of stick."""
    return wood.unit_weight_kn_m3 / GRAVITY_M_S2 * 1000.0 * wood.course_m * wood.thickness_m


def weights_of(
    wood: Wood, wanted: Sequence[tuple[str, float]], sawn: Mapping[str, float] | None = None
) -> tuple[PieceWeight, ...]:
    """Every piece, the heaviest first.

    Args:
        wood: the timber.
        wanted: id and length of every piece.
        sawn: share of the section left, by id, where a piece is sawn along.
    """
    table, each, shares = lifts(), mass_per_m(wood), sawn or {}
    masses = [each * length * shares.get(name, 1.0) for name, length in wanted]
    found = [PieceWeight(name, length, kg, table.people(kg)) for (name, length), kg in zip(wanted, masses, strict=True)]
    return tuple(sorted(found, key=lambda one: (-one.mass_kg, one.piece)))


def preservative_of(wood: Wood, sticks: Sequence[Stick], sawn_m2: float = 0.0) -> Preservative:
    """Every sawn end that is built in, the faces of notches among them; ends as delivered are left alone.

    Args:
        wood: the timber.
        sticks: with their pieces.
        sawn_m2: faces of timbers sawn along.
    """
    ends = sum(_sawn_ends(stick) for stick in sticks)
    area = ends * wood.course_m * wood.thickness_m + sawn_m2
    return Preservative(ends, area, area * END_RATE_L_M2, END_RATE_L_M2, PRESERVATIVE)


def _sawn_ends(stick: Stick) -> int:
    """Each saw cut makes one end where it takes off the trim or the rest, two between pieces."""
    return stick.saw_cuts + len(stick.pieces) - 1


# Hazard classes H4 and H5 of the second: MEMORY, so the words ask the yard.
_STAMPS: Mapping[str, str] = {
    "us": "Look for the stamp of use category UC4B (ground contact, heavy duty); UC4A (ground contact, general) is the "
    "least. “Above ground”, UC3B, and landscape timbers without a stamp rot in the ground.",
    "metric": "Look for use class 4 (in contact with the ground) on the label, in some countries hazard class H4, for "
    "walls hard to renew H5: ask at the yard. Use class 3 is for timber above ground and rots in it.",
}


def stamp_of(units: str) -> Stamp:
    """Walls lie in the ground and are hard to renew."""
    found = timber_exposure(place="ground", replacement="hard")
    return Stamp(found.use_category, found.use_class, _STAMPS[units])


_COATING = {"hot_dip": "hot-dip galvanised, or as its maker says for treated timber", "plain_steel": "plain steel bar",
            "zinc": "zinc plated", "stainless": "stainless steel"}  # fmt: skip


def coating(diameter_m: float) -> str:
    """Least coating of a fastener in treated timber in the ground, in words. IRC R317.3 (MEMORY)."""
    return _COATING[least_coating("ground", "copper", diameter_m)]
