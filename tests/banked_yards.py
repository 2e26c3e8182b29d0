"""Random yards with banks on most of their edges, some too narrow to end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from lynchet.ground.model import Ground
from lynchet.project.model import EdgeRule, Project
from random_yards import crooked, realistic


def banked(seed: int) -> tuple[Project, Ground]:
    """A yard, two in three realistic, with banks of 0.3 to 4 m on six in ten of the edges nothing else is said of."""
    rng = np.random.default_rng(seed)
    project, found = (realistic if seed % 3 else crooked)(seed)
    taken = {rule.edge: rule for rule in project.area.edges}
    for edge in range(len(project.area.outline_m)):
        if edge not in taken and rng.random() < 0.6:
            taken[edge] = EdgeRule(edge, "bank", float(rng.uniform(0.3, 4.0)))
    return replace(project, area=replace(project.area, edges=tuple(taken[edge] for edge in sorted(taken)))), found
