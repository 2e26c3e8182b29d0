"""Soil in the bank, loose and compacted, and the loads it makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive, Words

State = Literal["bank", "loose", "compacted"]
Soil = Literal["sand", "common_earth", "clay", "blasted_rock"]
SLACK = 1e-9
SOIL_FACTORS: dict[str, tuple[float, float]] = {
    "sand": (1.11, 0.95),
    "common_earth": (1.25, 0.90),
    "clay": (1.43, 0.90),
    "blasted_rock": (1.50, 1.30),
}
"""Loose and compacted volume per bank volume: US Army FM 5-434, table 1-1 (sand row SEEN, the rest MEMORY)."""


@dataclass(frozen=True)
class EarthStates:
    """One amount of soil in its three states; a state without a factor is None."""

    bank_m3: float
    loose_m3: float | None = None
    loose_per_bank: float | None = None
    swell_pct: float | None = None
    compacted_m3: float | None = None
    compacted_per_bank: float | None = None
    shrink_pct: float | None = None


@dataclass(frozen=True)
class LoadCount:
    """Loads of a truck, trailer or barrow."""

    loads: int
    exact_loads: float
    load_m3: float
    governed_by: Literal["volume", "weight"]
    load_kg: float | None = None


def _state_steps(given: Mapping[str, Any], result: EarthStates) -> list[Step]:
    steps = []
    factors = {"loose": result.loose_per_bank, "compacted": result.compacted_per_bank}
    if given["state"] != "bank":
        how = f"{given['volume_m3']:g}/{factors[given['state']]:g}"
        steps.append(Step("in the bank", how, result.bank_m3, "m3"))
    if result.loose_m3 is not None:
        steps.append(Step("loose", f"{result.bank_m3:.5g} x {result.loose_per_bank:.4g}", result.loose_m3, "m3"))
    if result.compacted_m3 is not None:
        how = f"{result.bank_m3:.5g} x {result.compacted_per_bank:.4g}"
        steps.append(Step("compacted", how, result.compacted_m3, "m3"))
    return steps


@calculator(
    source="Dagostino and Peterson, Estimating in Building Construction (title recalled), Examples 9-2, 9-3; US Army "
    "FM 5-434, table 1-1 (sand row seen, rest recalled)",
    known="SEEN",
    example={"volume_m3": 6.0, "state": "bank", "soil": "common_earth"},
    working=_state_steps,
)
def earth_states(
    *,
    volume_m3: NotNegative,
    state: State,
    loose_per_bank: float | None = None,
    compacted_per_bank: float | None = None,
    bank_kg_m3: float | None = None,
    loose_kg_m3: float | None = None,
    compacted_kg_m3: float | None = None,
    soil: Soil | None = None,
) -> EarthStates:
    """Turn a volume of soil from bank, loose or compacted into the others.

    Equation: loose = bank x loose_per_bank; compacted = bank x compacted_per_bank; a factor from densities = bank
    density/density of the state; swell = 100 (loose_per_bank - 1); shrink = 100 (1 - compacted_per_bank).

    Symbols: bank, as it lies in the ground; loose, as dug; compacted, as rammed in place; densities are dry.

    Limits: one source of factors: the factors themselves (loose 1 to 2.5, compacted 0.5 to 1.6), the bank density with
    one or both others, or a named soil. Swell of yard soils is published as 20 to 40 percent: show a range.
    """
    direct = loose_per_bank is not None or compacted_per_bank is not None
    dense = bank_kg_m3 is not None or loose_kg_m3 is not None or compacted_kg_m3 is not None
    sources = direct + dense + (soil is not None)
    accepted = "one source of factors: factors, densities or a soil"
    refuse_if(sources != 1, "factor", f"{sources} sources found", accepted)
    loose, compacted = loose_per_bank, compacted_per_bank
    if dense:
        loose = _density_factor(bank_kg_m3, loose_kg_m3, compacted_kg_m3)
        compacted = _density_factor(bank_kg_m3, compacted_kg_m3, loose_kg_m3)
    elif soil is not None:
        loose, compacted = SOIL_FACTORS[soil]
    for name, factor, low, high in (("loose", loose, 1.0, 2.5), ("compacted", compacted, 0.5, 1.6)):
        key = f"{name}_per_bank"
        refuse_if(state == name and factor is None, key, "missing", f"needed for a {name} volume")
        out = factor is not None and not low - SLACK <= factor <= high + SLACK
        refuse_if(out, key, f"{factor} found", f"{low:g} to {high:g}")
    known = {"bank": 1.0, "loose": loose, "compacted": compacted}[state]
    bank = volume_m3 / (known or 1.0)
    return EarthStates(
        bank_m3=bank,
        loose_m3=bank * loose if loose is not None else None,
        loose_per_bank=loose,
        swell_pct=100.0 * (loose - 1.0) if loose is not None else None,
        compacted_m3=bank * compacted if compacted is not None else None,
        compacted_per_bank=compacted,
        shrink_pct=100.0 * (1.0 - compacted) if compacted is not None else None,
    )


def _density_factor(bank: float | None, own: float | None, other: float | None) -> float | None:
    """Volume per bank volume from the densities; None where this state's density is not given."""
    refuse_if(bank is None, "bank_kg_m3", "missing", "the bank density, without which no factor follows")
    alone = own is None and other is None
    refuse_if(alone, "bank_kg_m3", "alone", "a loose or compacted density beside it, for a factor")
    for density in (bank, own):
        found = f"density {density} found"
        refuse_if(density is not None and density <= 0, "density", found, "above 0, for a factor")
    return bank / own if bank is not None and own is not None else None


def full_load(truck_m3: ArrayLike, payload_kg: ArrayLike, loose_kg_m3: ArrayLike) -> NDArray[np.float64]:
    """Volume of a full load: the truck's, or what its payload allows of this soil where that is less."""
    by_weight = np.asarray(payload_kg, dtype=float) / np.asarray(loose_kg_m3, dtype=float)
    return np.asarray(np.minimum(np.asarray(truck_m3, dtype=float), by_weight), dtype=float)


def whole_loads(loose_m3: ArrayLike, load_m3: ArrayLike) -> NDArray[np.intp]:
    """Loads, rounded up; a shade over a whole number in floating point is that number."""
    exact = np.asarray(loose_m3, dtype=float) / np.asarray(load_m3, dtype=float)
    return np.asarray(np.maximum(np.ceil(exact - SLACK), 0.0), dtype=np.intp)


def _load_steps(given: Mapping[str, Any], result: LoadCount) -> list[Step]:
    how = f"{given['truck_m3']:g} m3"
    if "payload_kg" in given:
        how = f"smaller of {how} and {given['payload_kg']:g}/{given['loose_kg_m3']:g}"
    exact = f"{given['loose_m3']:g}/{result.load_m3:.4g}"
    return [
        Step("full load", how, result.load_m3, "m3"),
        Step("loads, exact", exact, result.exact_loads),
        Step("loads", "rounded up", result.loads),
    ]


@calculator(
    source="Dagostino and Peterson, Estimating in Building Construction (title recalled), Example 9-2; tipper figures",
    known="SEEN",
    example={"loose_m3": 7.5, "truck_m3": 3.0, "payload_kg": 3500, "loose_kg_m3": 1400},
    working=_load_steps,
    caution="An overloaded vehicle is unsafe and unlawful: the payload is the vehicle's own, from its plate.",
)
def load_count(
    *,
    loose_m3: Annotated[float, Ge(0), Words("loose volume")],
    truck_m3: Positive,
    payload_kg: Positive | None = None,
    loose_kg_m3: Annotated[Positive | None, Words("loose density")] = None,
) -> LoadCount:
    """Loads of a truck, trailer or barrow, by volume and by weight.

    Equation: full load = the smaller of the truck's volume and payload/loose density; loads = volume/full load,
    rounded up.

    Symbols: loose_m3, volume as dug; truck_m3, volume a full truck holds; payload_kg, what it may carry; loose_kg_m3,
    density as dug.

    Limits: payload and density together or neither; weight governs only where it is the smaller.
    """
    refuse_if(payload_kg is None and loose_kg_m3 is not None, "payload_kg", "missing beside a density", "both or none")
    missing = payload_kg is not None and loose_kg_m3 is None
    refuse_if(missing, "loose_kg_m3", "density missing beside a payload", "both or neither")
    load = truck_m3
    if payload_kg is not None and loose_kg_m3 is not None:
        load = float(full_load(truck_m3, payload_kg, loose_kg_m3))
    return LoadCount(
        loads=int(whole_loads(loose_m3, load)),
        exact_loads=loose_m3 / load,
        load_m3=load,
        governed_by="weight" if load < truck_m3 else "volume",
        load_kg=load * loose_kg_m3 if loose_kg_m3 is not None else None,
    )
