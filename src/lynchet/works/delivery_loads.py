"""How many truck or trailer loads an order needs."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Annotated, Literal

from annotated_types import Len

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import Count, NotNegative, Positive, Words
from lynchet.works.load_packing import SLACK, Pieces, fewest_loads

TIME_LIMIT_S = 60.0


@dataclass(frozen=True)
class LoadItem:
    """Pieces of one kind."""

    name: str
    each_kg: Annotated[NotNegative, Words("weight of one")]
    count: Count = 1
    each_m3: Annotated[NotNegative, Words("weight or room of one")] = 0.0
    length_m: NotNegative = 0.0


@dataclass(frozen=True)
class DeliveryLoads:
    """The fewest loads and what goes into each."""

    loads: int
    bound: int
    governed_by: Literal["weight", "volume"]
    total_kg: float
    total_m3: float
    packing: list[list[int]]


@calculator(
    source="Packing by weight and room: integer programme; answers of the contest problem BinPackingEasy",
    known="SEEN",
    example={
        "items": [
            {"name": "timber 2.4 m", "count": 44, "each_kg": 18, "each_m3": 0.023, "length_m": 2.4},
            {"name": "bag of stone", "count": 30, "each_kg": 25, "each_m3": 0.0155},
        ],
        "payload_kg": 750, "space_m3": 1.2, "bed_length_m": 3.0,
    },
    caution="Keep within the vehicle's own payload, axle and tow-ball limits and tie the load down.",
)  # fmt: skip
def delivery_loads(
    *,
    items: Annotated[list[LoadItem], Len(1)],
    payload_kg: Positive,
    space_m3: Positive | None = None,
    bed_length_m: float | None = None,
    time_limit_s: Positive = TIME_LIMIT_S,
) -> DeliveryLoads:
    """Fewest loads for an order whose pieces cannot be split.

    Equation: fewest loads with, in each, the weights within payload_kg and the rooms within space_m3; bound =
    max(total kg/payload, total m3/space, 1), each rounded up.

    Symbols: count, pieces of a kind; each_kg, each_m3, of one piece; length_m has only to fit the bed; governed_by, the
    larger part of the bound (weight when equal); packing, loads by items.

    Limits: proven fewest; how pieces lie beside each other is not looked at.
    """
    space = inf if space_m3 is None else space_m3
    for place, item in enumerate(items):
        key = f"items[{place}]"
        refuse_if(
            item.each_kg > payload_kg + SLACK, "payload_kg", f"a payload of {payload_kg:g} kg, below one {item.name}",
            f"{item.each_kg:g} or more",
        )  # fmt: skip
        refuse_if(
            item.each_m3 > space + SLACK, "space_m3", f"a space of {space:g} m3, below one {item.name}",
            f"{item.each_m3:g} or more",
        )  # fmt: skip
        refuse_if(
            bed_length_m is not None and item.length_m > bed_length_m + SLACK, f"{key}.length_m",
            f"a length of {item.length_m:g} m", f"up to the bed, {bed_length_m} m",
        )  # fmt: skip
    pieces = Pieces(
        tuple(item.count for item in items), tuple(item.each_kg for item in items),
        tuple(item.each_m3 for item in items), payload_kg, space,
    )  # fmt: skip
    packing = fewest_loads(pieces, time_limit_s)
    if packing is None:
        raise refuse("time_limit_s", f"no proof within the time of {time_limit_s:g} s", "more time")
    by_weight, by_room = pieces.part_bounds()
    return DeliveryLoads(
        loads=len(packing),
        bound=pieces.bound(),
        governed_by="weight" if by_weight >= by_room else "volume",
        total_kg=sum(item.count * item.each_kg for item in items),
        total_m3=sum(item.count * item.each_m3 for item in items),
        packing=packing,
    )
