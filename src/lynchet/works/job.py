"""Everything the works stage reads, in one bundle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.earth.model import Earth
from lynchet.planting.model import Planted
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.timber.model import Timber
from lynchet.walls.model import Piece, Walls
from lynchet.water.model import Water


@dataclass(frozen=True)
class Job:
    """The results of all earlier stages of one plan."""

    project: Project
    terraces: Terraces
    walls: Walls
    water: Water
    stability: Stability
    pieces: Sequence[Piece]
    earth: Earth
    timber: Timber
    planted: Planted | None = None
    """None where nothing is planted."""

    @property
    def us(self) -> bool:
        """Whether people are shown feet."""
        return self.project.units == "us"
