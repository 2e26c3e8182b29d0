"""Who offers, and on which terms: the firm, its terms, allowances, options, costs of its own, and the quote's head."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

LogoKind = Literal["png", "jpeg", "svg"]


@dataclass(frozen=True)
class Logo:
    """A picture for the head of a sheet, read with the file so that later rooms open none."""

    path: str
    """As the file names it, seen from the folder of the job's file."""
    kind: LogoKind
    width: float
    """In dots, or in the picture's own units; only width over height means anything."""
    height: float
    data: bytes = field(repr=False)


@dataclass(frozen=True)
class Firm:
    """Who makes the drawings and the offer; all empty where the file says nothing."""

    name: str = ""
    address: tuple[str, ...] = ()
    """Lines."""
    phone: str = ""
    mail: str = ""
    licence: str = ""
    """Number of the trade's licence, in the user's own words."""
    logo: Logo | None = None
    file: str = ""
    """The firm's own file, as the job's file names it; empty where there is none."""


@dataclass(frozen=True)
class Stage:
    """One payment."""

    name: str
    """When it is due, in words."""
    share: float
    """Of the total, 0 to 1."""


@dataclass(frozen=True)
class AllowedFor:
    """What may be met in the ground, at a price agreed before: paid only where it is met."""

    name: str
    unit: str
    cost_money: float | None = None
    """Direct cost of one unit: overhead and profit are laid on it as on the rest."""
    price_money: float | None = None
    """Price of one unit as the client pays it."""


@dataclass(frozen=True)
class OwnCost:
    """A cost the plan does not know: a machine, a permit's papers, a skip."""

    name: str
    quantity: float
    unit: str
    money: float | None
    """For one unit; None where the price is still missing."""


@dataclass(frozen=True)
class OfferOption:
    """Something the client may add, or leave out."""

    name: str
    words: str = ""
    quantity: float = 1.0
    unit: str = ""
    cost_money: float | None = None
    """Direct cost of one unit."""
    price_money: float | None = None
    """Price of one unit as the client pays it."""
    leave_out: str = ""
    """A thing of the file that is left out: "steps", "on_wall", or one of them, "steps.2"; the difference is priced."""


@dataclass(frozen=True)
class Terms:
    """Terms of a firm's offers; nothing is filled in where the file says nothing."""

    valid_days: int | None = None
    stages: tuple[Stage, ...] = ()
    exclusions: tuple[str, ...] = ()
    duties: tuple[str, ...] = ()
    """What the client does, beside what every such wall asks for."""
    warranty: str = ""
    minimum_money: float = 0.0
    """Smallest job, before tax."""
    minimum_days: float = 0.0
    """Fewest crew days that are charged."""
    bill_days: float | None = None
    """Crew days are charged in whole steps of this many; None: hours as they come."""
    travel_day_money: float | None = None
    """Way to the yard and back, for each day of work."""
    travel_once_money: float | None = None
    """Bringing and fetching tools, once a job."""
    round_to_money: float | None = None
    rounding: Literal["nearest", "up"] = "nearest"
    run_over: float = 0.20
    """By how much more the own copy asks "what if": a share of the direct cost."""


@dataclass(frozen=True)
class QuoteHead:
    """What one quote is called, and for whom it is; issue, date and place are those of every sheet (``SheetBlock``)."""

    number: str = ""
    client: str = ""


@dataclass(frozen=True)
class Offer:
    """All of it."""

    firm: Firm = field(default_factory=Firm)
    terms: Terms = field(default_factory=Terms)
    head: QuoteHead = field(default_factory=QuoteHead)
    allowances: tuple[AllowedFor, ...] = ()
    costs: tuple[OwnCost, ...] = ()
    options: tuple[OfferOption, ...] = ()
