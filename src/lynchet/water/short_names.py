"""What pipes and outlets are called on paper: OUT1, D1 = drain with holes, P1 = pipe without, R1 = roof water, C1 =
cut-off drain; each kind numbered in the order of the plan."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from lynchet.core.findings import Finding


class Named(Protocol):
    """Anything with an id."""

    @property
    def id(self) -> str: ...


def short_names(
    outlets: Sequence[Named], drains: Sequence[Named], solids: Sequence[Named] = (), roofs: Sequence[Named] = (),
    cut_offs: Sequence[Named] = (),
) -> dict[str, str]:  # fmt: skip
    """Short names by id; a single outlet is "OUT".

    Args:
        outlets, drains, solids, roofs, cut_offs: of one plan, in its order.
    """
    names = {one.id: "OUT" if len(outlets) == 1 else f"OUT{n}" for n, one in enumerate(outlets, start=1)}
    for sign, things in (("D", drains), ("P", solids), ("R", roofs), ("C", cut_offs)):
        names |= {one.id: f"{sign}{n}" for n, one in enumerate(things, start=1)}
    return names


def named(finding: Finding, names: Mapping[str, str]) -> Finding:
    """A finding that calls things in its words by their short names; its place stays the id.

    Args:
        finding: as made.
        names: short names by id.
    """
    cures = tuple(
        replace(cure, text=_said(cure.text, names), effect=_said(cure.effect, names)) for cure in finding.cures
    )
    return replace(finding, text=_said(finding.text, names), cures=cures)


def _said(text: str, names: Mapping[str, str]) -> str:
    for name in sorted((one for one in names if one in text), key=len, reverse=True):
        text = re.sub(rf"(?<![\w/]){re.escape(name)}(?![\w/])", names[name], text)
    return text
