"""The demos planned once, live."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import lynchet.demos
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

DEMOS = ("l_garden", "side_yard", "spot_levels")


@cache
def demo(name: str) -> Plan:
    """One demo."""
    file = Path(lynchet.demos.__file__).with_name(f"{name}.toml")
    return plan_project(checked(load(file), []), effort=LIVE)
