"""What covers a bank until plants hold it: a mat pegged down over the topsoil."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.walls.model import Walls
from lynchet.works.alongside import Beside

MAT_H_M2 = 0.05
"""Person hours to roll out and peg a square metre of mat, its edges turned in. PRACTICE."""
_LEAST_M2 = 0.1


def mat_m2(walls: Walls) -> float:
    """Surface of all banks, on the slope; 0 where there is hardly any."""
    whole = sum(bank.slope_m2 for bank in walls.banks)
    return whole if whole > _LEAST_M2 else 0.0


def mat_beside(walls: Walls) -> Iterator[Beside]:
    """The mat along with the task that lays the topsoil back."""
    whole = mat_m2(walls)
    if whole > 0.0:
        yield Beside(MAT_H_M2 * whole, f"{MAT_H_M2:g} h for each m² of mat on banks (PRACTICE)")
