"""Reference design values of sawn lumber and timbers, United States practice: the lookup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import Positive
from lynchet.timber.tables import rows
from lynchet.timber.values import NEAR, PSI_MPA, inches

Species = Literal["southern_pine", "douglas_fir_larch", "hem_fir", "spruce_pine_fir"]
SizeClass = Literal["timber", "posts_timbers", "beams_stringers", "dimension"]
Grade = Literal["select_structural", "no1", "no2"]


@dataclass(frozen=True)
class ReferenceStrength:
    """Values before any adjustment."""

    bending_mpa: float
    shear_mpa: float
    bearing_mpa: float
    """Across the grain."""
    modulus_mpa: float
    modulus_min_mpa: float
    specific_gravity: float
    table: str


@calculator(
    source="NDS Supplement 2018, Tables 4A, 4B, 4D",
    known="MEMORY",
    example={"species": "southern_pine", "size_class": "timber", "grade": "no2"},
    caution="Partly recalled values, see the table's own column: check them against the stamp and the Supplement "
    "before you rely on them.",
)
def reference_strength_us(
    *, species: Species, size_class: SizeClass, grade: Grade, depth_m: Positive | None = None
) -> ReferenceStrength:
    """Reference strength of US lumber and timbers by species, size class and grade.

    Equation: table lookup; 1 psi = 0.00689475729 MPa.

    Symbols: bending Fb, shear Fv, bearing across the grain Fc⊥, modulus E and Emin, specific gravity G.

    Limits: posts_timbers: 5 x 5 in and larger, the width at most 2 in above the thickness; beams_stringers: more.
    Southern Pine timbers (5 x 5 in and larger) stand in one class, "timber". Southern Pine dimension lumber is
    tabulated by its dressed width, `depth_m`, to 11.3 in. A beams_stringers row is for load on the narrow face; with
    the load on the wide face take Fb x 0.86 (select structural), 0.74 (no1), 1 (no2) and E x 0.9 for no1 (MEMORY).
    """
    found = [
        row
        for row in rows("us_reference_values")
        if (row["species"], row["size_class"], row["grade"]) == (species, size_class, grade)
    ]
    held = sorted(
        {
            row["grade"]
            for row in rows("us_reference_values")
            if (row["species"], row["size_class"]) == (species, size_class)
        }
    )
    accepted = "tabulated here: " + ", ".join(held) if held else f"{species} has no class {size_class}"
    refuse_if(not found, "grade", f"grade {grade} of {species}, {size_class} found", accepted)
    row = found[0]
    if row["depth_to_in"]:
        if depth_m is None:
            raise refuse("depth_m", "depth missing", "the dressed width: this class is tabulated by it")
        row_or_none = next((r for r in found if inches(depth_m) <= float(r["depth_to_in"]) + NEAR), None)
        if row_or_none is None:
            raise refuse("depth_m", f"depth of {inches(depth_m):.4g} in found", "up to 11.3 in")
        row = row_or_none
    return ReferenceStrength(
        bending_mpa=float(row["bending_psi"]) * PSI_MPA,
        shear_mpa=float(row["shear_psi"]) * PSI_MPA,
        bearing_mpa=float(row["bearing_psi"]) * PSI_MPA,
        modulus_mpa=float(row["modulus_million_psi"]) * 1e6 * PSI_MPA,
        modulus_min_mpa=float(row["modulus_min_million_psi"]) * 1e6 * PSI_MPA,
        specific_gravity=float(row["specific_gravity"]),
        table=row["table"],
    )
