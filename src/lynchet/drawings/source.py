"""What the sheets read of a plan: the stages' results, no more. Any object with these names will do."""

from __future__ import annotations

from typing import Protocol

from lynchet.core.findings import Finding
from lynchet.ground.model import Ground
from lynchet.plan.further_pegs import SetOut
from lynchet.planting.model import Planted
from lynchet.stability.model import Stability
from lynchet.walls.model import Piece


class Planned(SetOut, Protocol):
    """A plan, as far as drawings know it."""

    @property
    def ground(self) -> Ground: ...
    @property
    def stability(self) -> Stability: ...
    @property
    def pieces(self) -> tuple[Piece, ...]: ...
    @property
    def planted(self) -> Planted: ...
    @property
    def findings(self) -> tuple[Finding, ...]: ...
