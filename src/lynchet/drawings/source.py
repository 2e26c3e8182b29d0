"""What the sheets read of a plan: the stages' results, no more. Any object with these names will do."""

from __future__ import annotations

from typing import Protocol

from lynchet.core.findings import Finding
from lynchet.earth.model import Earth
from lynchet.ground.model import Ground
from lynchet.planting.model import Planted
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Piece, Walls
from lynchet.water.model import Water


class Planned(Protocol):
    """A plan, as far as drawings know it."""

    @property
    def project(self) -> Project: ...
    @property
    def ground(self) -> Ground: ...
    @property
    def terraces(self) -> Terraces: ...
    @property
    def walls(self) -> Walls: ...
    @property
    def water(self) -> Water: ...
    @property
    def stability(self) -> Stability: ...
    @property
    def pieces(self) -> tuple[Piece, ...]: ...
    @property
    def earth(self) -> Earth: ...
    @property
    def planted(self) -> Planted: ...
    @property
    def findings(self) -> tuple[Finding, ...]: ...
