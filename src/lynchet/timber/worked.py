"""Workings of what is said of buying and lifting timber: the calculator and what it is given."""

from __future__ import annotations

from collections import Counter

from lynchet.core.late import Worked
from lynchet.project.model import Timber as Wood
from lynchet.timber.buying import Bought, shelf_of
from lynchet.timber.cut_orders import metres, units
from lynchet.timber.handling import mass_per_m
from lynchet.timber.model import PieceWeight
from lynchet.timber.weight import GRAVITY_M_S2


def cutting_working(wood: Wood, bought: Bought) -> Worked:
    """The least that any cutting of the pieces can cost, sticks on hand counted as bought.

    Where not every length has a price a stick costs its length. Special lengths are left out: there is no choice.
    """
    shelf = shelf_of(wood)
    cut = Counter(units(piece) for stick in bought.sticks if stick.source != "special" for piece in stick.lengths_m)
    stock = [{"length_m": metres(shelf.sticks.length[row]), "price_money": shelf.sticks.price[row]}
             for row in shelf.sold]  # fmt: skip
    pieces = [{"length_m": metres(length), "count": count} for length, count in sorted(cut.items(), reverse=True)]
    given = (("stock", stock), ("pieces", pieces), ("kerf_m", wood.kerf_m), ("end_trim_m", wood.end_trim_m),
             ("over_length_m", wood.over_length_m))  # fmt: skip
    return "cut_bounds", given


def weight_working(wood: Wood, piece: PieceWeight) -> Worked | None:
    """What a piece weighs: the timber's weight as it is, wet with what it was treated with, over that of water.

    A piece sawn along weighs as one so much thinner. None for wood heavier than the calculator knows.
    """
    gravity = wood.unit_weight_kn_m3 / GRAVITY_M_S2
    if not 0.1 <= gravity <= 1.2:
        return None
    width = wood.thickness_m * piece.mass_kg / (mass_per_m(wood) * piece.length_m)
    given = (("specific_gravity", gravity), ("moisture_pct", 0.0), ("basis", "as_is"), ("width_m", width),
             ("height_m", wood.course_m), ("length_m", piece.length_m))  # fmt: skip
    return "timber_weight", given
