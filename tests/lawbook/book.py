"""The whole list: (stage, laws). Later stages add a pair of their own here."""

from __future__ import annotations

from lawbook.case import Case, Law
from lawbook.flight_laws import FLIGHT_LAWS
from lawbook.level_laws import LEVEL_LAWS
from lawbook.piece_laws import PIECE_LAWS
from lawbook.timber_laws import TIMBER_LAWS

LAWS: tuple[tuple[str, tuple[Law, ...]], ...] = (
    ("terraces and levels", LEVEL_LAWS),
    ("walls", TIMBER_LAWS),
    ("flights", FLIGHT_LAWS),
    ("pieces", PIECE_LAWS),
)


def broken(case: Case) -> list[str]:
    """Every broken law of a plan, with its place; empty for a sound one and for a refused yard."""
    if case.refused:
        return []
    return [f"{law.__name__}: {text}" for _, laws in LAWS for law in laws for text in law(case)]
