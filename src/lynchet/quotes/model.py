"""A quote: cost line by line, the way from cost to price, and what the client is told. Sums are whole hundredths."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lynchet.project.firm import OfferOption
from lynchet.works.price import missing_words

CostKind = Literal["material", "soil away", "delivery", "labour", "travel", "own cost"]
Part = Literal["ready", "earth", "walls", "drains", "beds"]


@dataclass(frozen=True)
class CostLine:
    """One line of the cost."""

    key: str
    kind: CostKind
    part: Part
    """Part of the work the client sees it under."""
    name: str
    quantity: float
    unit: str
    rate: float | None
    """Money for one unit; None where no price is known."""
    cents: int | None
    """Quantity times rate in whole hundredths; None where no price is known."""
    note: str = ""


@dataclass(frozen=True)
class HourLine:
    """Hours of one task."""

    name: str
    kind: str
    """Kind of work: "trench", "courses"."""
    quantity: float
    """In ``measure``: as the file's units have it."""
    measure: str
    low: float
    likely: float
    high: float
    charged: float
    """The mean of the three: what such work takes on average."""


@dataclass(frozen=True)
class Sums:
    """From cost to price, whole hundredths; each is the sum of what is above it."""

    direct: int
    overhead: int
    profit: int
    """Price less cost."""
    price: int
    """Before tax."""
    tax: int
    minimum_applied: bool
    rounded: bool
    """The price went to whole steps."""

    @property
    def cost(self) -> int:
        """Direct cost and overhead."""
        return self.direct + self.overhead

    @property
    def total(self) -> int:
        """Price and tax."""
        return self.price + self.tax


@dataclass(frozen=True)
class ClientPart:
    """One part of the work with its share of the price."""

    part: Part
    name: str
    cents: int


@dataclass(frozen=True)
class Payment:
    """One payment."""

    name: str
    share: float
    cents: int


@dataclass(frozen=True)
class UnitPrice:
    """What one of something costs the firm and the client; None where nobody said."""

    name: str
    unit: str
    cost_money: float | None
    price_cents: int | None


@dataclass(frozen=True)
class PricedOption:
    """Something the client may add or leave out."""

    name: str
    words: str
    cents: int | None
    """Added to the price before tax; below nothing where it saves; None where it has no price."""
    why: str = ""
    """Why it has no price, or may not be offered: for the firm's eyes."""
    offered: bool = True
    """False: it stays off the client's copy."""


@dataclass(frozen=True)
class Missing:
    """What has no price."""

    names: tuple[str, ...]
    lines: int
    """Lines that want a price."""

    @property
    def words(self) -> str:
        """ "no price for 3 of 14 lines"; empty where none is missing."""
        return missing_words(len(self.names), self.lines)


@dataclass(frozen=True)
class Over:
    """What is left where the job costs more than reckoned."""

    share: float
    """By how much more, of the direct cost."""
    more: int
    profit: int
    """What is left of the profit; below nothing: a loss."""
    even: float | None
    """Share of the direct cost at which nothing is left; None where there is no cost."""
    away: int | None
    """Soil away: its loads and its loading. Forgotten, it would come wholly out of the profit. None where a load or an
    hour has no price."""


@dataclass(frozen=True)
class Quote:
    """Everything both copies say that is not in the plan itself."""

    currency: str
    lines: tuple[CostLine, ...]
    hours: tuple[HourLine, ...]
    missing: Missing
    sums: Sums
    parts: tuple[ClientPart, ...]
    payments: tuple[Payment, ...]
    allowances: tuple[UnitPrice, ...]
    options: tuple[PricedOption, ...]
    over: Over
    date: str
    """YYYY-MM-DD; empty where none is given."""
    valid_until: str
    """YYYY-MM-DD, that day included; empty where date or days are not said."""
    held: tuple[str, ...]
    """Why no client's copy is made at all; empty where one is."""
    before: tuple[str, ...]
    """What to settle before it is sent."""
    wishes: tuple[OfferOption, ...] = ()
    """Options that a plan of their own must price first."""

    @property
    def complete(self) -> bool:
        """Whether every line has its price."""
        return not self.missing.names
