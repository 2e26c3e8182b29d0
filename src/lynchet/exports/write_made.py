"""The two files that tell what cures lead to, and a folder of them and all that was drawn meanwhile.

Apart from ``folder``: who tries cures while a copy draws needs none of the drawings.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from lynchet.core.findings import Finding
from lynchet.exports.into import Into
from lynchet.exports.known_names import of_a_plan
from lynchet.exports.left_out import left_out_lines
from lynchet.exports.plan_json import plan_json
from lynchet.exports.write_files import write_files
from lynchet.plan.model import Plan

Files = Mapping[str, str | bytes]


def write_made(
    plan: Plan, findings: tuple[Finding, ...], text: Sequence[str], into: Into, made: Callable[[], Files]
) -> list[Path]:
    """Write all files of a plan where those that tell no cure are made already, or just now.

    Args:
        plan: the plan.
        findings: with what cures lead to.
        text: lines of ``findings.txt``; what is left out, and why, is said after them.
        into: the folder, what the plan was read from, who is told of files that are kept.
        made: gives what ``folder.made_files`` gives.

    Raises:
        NoRoomError: the folder cannot be written; what stood there stands as it was.
    """
    left = left_out_lines(plan)
    lines = (*text, *(("", *left) if left else ()))
    told = {"plan.json": plan_json(plan, findings), "findings.txt": "\n".join(lines) + "\n"}
    return write_files({**told, **made()}, into, of_a_plan)
