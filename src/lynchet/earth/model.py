"""Soil dug, filled and carried away: what the earth stage gives."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class BedSoil:
    """Cut and fill of one bed, timber and stone taken into account."""

    face: str
    cut_m3: float
    """Ground above the finished level, bank measure."""
    fill_m3: float
    """Soil to be placed and compacted under the finished level."""


@dataclass(frozen=True)
class SoilAccount:
    """Soil of the whole job. Bank measure = as it lies; compacted = as placed; loose = as carried."""

    bench_cut_m3: float
    trench_m3: float
    """Dug for buried timber, its stone bed, the drain stone and the ties, bank measure."""
    fill_m3: float
    """To be placed, compacted, what timber and stone take up already taken off."""
    displaced_m3: float
    """Fill that timber, stone and ties take the place of, compacted measure: soil pushed out by what comes in."""
    timber_m3: float
    stone_m3: float
    """Drain stone and the stone bed under the walls."""
    compacted_per_bank: float
    loose_per_bank: float
    away_bank_m3: float
    """Left over; negative where soil must be brought in."""
    away_loose_m3: float
    barrows: int
    loads: int
    """Loads away, or in where soil is short."""

    @property
    def cut_m3(self) -> float:
        """All that is dug, bank measure."""
        return self.bench_cut_m3 + self.trench_m3


@dataclass(frozen=True)
class Earth:
    """What the earth stage gives."""

    beds: tuple[BedSoil, ...]
    account: SoilAccount
