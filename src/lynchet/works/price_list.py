"""Looking up what one unit of an item costs in the file's price list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lynchet.project.money import ItemPrice, Prices
from lynchet.works.items import PLANT, SEVERAL, TIMBER, Item, amount_of, items, plain_key
from lynchet.works.stick_names import SAME_M, stick_named


@dataclass
class PriceList:
    """Prices of the file; remembers which were used."""

    prices: Prices
    used: set[str] = field(default_factory=set)
    _by_item: Mapping[str, ItemPrice] = field(init=False)

    def __post_init__(self) -> None:
        self._by_item = {price.item: price for price in self.prices.items}

    def of(self, item: Item, *own_keys: str) -> float | None:
        """Money for one unit of an item as the list shows it; None where the file has no price.

        Args:
            item: what is bought.
            own_keys: keys that go before the item's own, the first found is taken ("plant_lavender").
        """
        wider = [key for key, several in SEVERAL.items() if item.key in several]
        for key in (*own_keys, item.key, *wider):
            price = self._by_item.get(key)
            if price is None:
                continue
            amount = amount_of(item, price.per)
            if amount is None:
                continue
            self.used.add(key)
            return price.money / amount * item.per_unit
        return None

    def of_stick(self, length_m: float, section_m: tuple[float, float]) -> float | None:
        """Money for one stick: by its length and section, by its length alone, else by the length of timber.

        Args:
            length_m: of the stick.
            section_m: its height and width as sawn; names may be up to 20 mm (3/4 in) more.
        """
        named = [
            (stick.section_m is None, key, price)
            for key, price in self._by_item.items()
            if (stick := stick_named(key)) is not None
            and abs(stick.length_m - length_m) < SAME_M
            and stick.is_of(section_m)
        ]
        if named:
            _, key, price = min(named, key=lambda one: one[0])
            self.used.add(key)
            return price.money
        by_length = self._by_item.get(TIMBER)
        metres = None if by_length is None else amount_of(items("metric")["drain_pipe"], by_length.per)
        if by_length is None or metres is None:
            return None
        self.used.add(TIMBER)
        return by_length.money / metres * length_m

    def unused(self) -> tuple[str, ...]:
        """Keys written in the project that no line wanted; a whole price list beside it may well hold more."""
        own = (price for price in self.prices.items if not price.listed)
        return tuple(price.item for price in own if price.item not in self.used)


def plant_keys(botanical: str, common: str) -> tuple[str, str]:
    """Keys by which one kind of plant may stand in a price list."""
    return PLANT + plain_key(common), PLANT + plain_key(botanical)
