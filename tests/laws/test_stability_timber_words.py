"""Words on timber that rots in the ground."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lynchet.core.findings import Verdict
from lynchet.stability.site import timber_findings
from yards import project_of, readings_over

OUTLINE = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0), (0.0, 5.0)]


@pytest.mark.parametrize(
    ("treatment", "begins"), [("none", "Untreated timber rots"), ("above ground", "Timber treated for use above")]
)
def test_timber_that_rots_in_the_ground_is_named_as_one_speaks(treatment: str, begins: str) -> None:
    """Only timber stamped for ground contact (AWPA use category UC4A and up, MEMORY) may be a wall; a word of the file
    is no word for a person."""
    project, _ = project_of(OUTLINE, readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y))
    (found,) = timber_findings(replace(project, timber=replace(project.timber, treatment=treatment)))
    assert found.verdict is Verdict.STOP and found.text.startswith(begins) and "“" not in found.text
    assert timber_findings(replace(project, timber=replace(project.timber, treatment="ground contact"))) == []
