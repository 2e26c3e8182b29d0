"""What covers a bank until plants hold it: a mat pegged down over the topsoil."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from lynchet.core.same import Same
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.model import Walls
from lynchet.works.alongside import Beside

MAT_H_M2 = 0.05
"""Person hours to roll out and peg a square metre of mat, its edges turned in. PRACTICE."""
_LEAST_M2 = 0.1


def mat_m2(walls: Walls) -> float:
    """Surface of all banks, on the slope, what lies over another counted once; 0 where there is hardly any."""
    return _whole_m2(Same(walls))


@lru_cache(maxsize=2)
def _whole_m2(same: Same[Walls]) -> float:
    """The same; asked for with the hours, the order list and the days."""
    walls = same.thing
    whole = sum(bank.slope_m2 for bank in walls.banks)
    if walls.bank_ends:
        whole = sum(_seen_m2(walls))
    return whole if whole > _LEAST_M2 else 0.0


def _seen_m2(walls: Walls) -> Iterator[float]:
    """Surface of each part that no later one lies over."""
    from shapely.geometry import Polygon

    over = Polygon()
    for part in reversed(walls.shaped):
        shape = part.polygon
        if shape.area > 0.0:
            yield part.slope_m2 * shape.difference(over).area / shape.area
        over = over.union(shape) if isinstance(part, BankEnd) else over


def mat_beside(walls: Walls) -> Iterator[Beside]:
    """The mat along with the task that lays the topsoil back."""
    whole = mat_m2(walls)
    if whole > 0.0:
        yield Beside(MAT_H_M2 * whole, f"{MAT_H_M2:g} h for each m² of mat on banks (PRACTICE)")
