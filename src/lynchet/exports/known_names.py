"""Names of the sheets in the plan folder: what an earlier plan may have left there."""

from __future__ import annotations

import re

from lynchet.exports.left_out import TO_BUILD_FROM

_SHEET = re.compile(
    r"(first-look|site|terraces|water|section|section-behind|setting-out|planting|soil|permit-\d"
    r"|(sections|wall-[A-Z]\w*|details|gauge-rod|cut-sheet|planting-list|eye-level)(-\d+)?|day-\d+(-page-\d+)?)\.svg"
)


def known_sheet(name: str) -> bool:
    """Whether a drawing has the name of a sheet."""
    return _SHEET.fullmatch(name) is not None


def of_a_plan(name: str) -> bool:
    """Whether a file of the plan folder goes where the plan of now has none of that name."""
    return name in TO_BUILD_FROM or known_sheet(name)
