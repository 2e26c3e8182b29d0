"""What the file says of money, of the crew and of one's own hours."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ItemPrice:
    """The price of one item of the order list, of a load, or of an hour."""

    item: str
    """Key of the item, or of several at once ("stone")."""
    money: float
    per: str = ""
    """Unit it is for ("t", "yd3", "each", "pack"); empty: the unit in which the order list shows the item."""
    listed: bool = False
    """It comes from a price list beside the project."""


@dataclass(frozen=True)
class Prices:
    """Money; empty is allowed."""

    currency: str = ""
    items: tuple[ItemPrice, ...] = ()
    overhead: float = 0.0
    """Share of the direct cost."""
    profit: float = 0.0
    """Share of the price."""
    tax: float = 0.0
    """Share of the price."""
    left_out: tuple[str, ...] = ()
    """Rows of the price list that are of something else than what is built here, by name."""


@dataclass(frozen=True)
class OwnJob:
    """One finished job of one's own."""

    name: str
    quantity: float
    """In the unit of the task (metres, square metres, cubic metres, pieces)."""
    hours: float
    """Person hours."""
    difficulty: float = 1.0


@dataclass(frozen=True)
class OwnRate:
    """What one's own work says of one kind of task: a rate, finished jobs, or both."""

    task: str
    hours_per_unit: float | None
    """Person hours for one unit of the task in SI."""
    jobs: tuple[OwnJob, ...] = ()


@dataclass(frozen=True)
class WorksWish:
    """Who works, how long a day, and from when."""

    start: str | None = None
    """YYYY-MM-DD."""
    crew: int = 2
    day_h: float = 7.0
    weekends: bool = False
    """Only Saturdays and Sundays are worked."""
    holidays: tuple[str, ...] = ()
    """Dates on which nobody works."""
    rates: tuple[OwnRate, ...] = ()
