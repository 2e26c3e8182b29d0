"""Plans as an office gets them: a firm, a title block and lot lines laid over a demo, in both unit systems."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from functools import cache

from demo_plans import demo
from lynchet.core.findings import Finding, Verdict
from lynchet.plan.model import Plan
from lynchet.project.firm import Firm, Logo, Offer
from lynchet.project.sheet_block import SheetBlock
from lynchet.project.things import LotLine

FIRM = "Moss and Daughter, Garden Walls"


def png(wide: int, high: int) -> bytes:
    """A white picture."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" + b"\xff" * wide) * high)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


LOGO = Logo("logo.png", "png", 120.0, 60.0, png(120, 60))
BLOCK = SheetBlock("2027-14", "12 Quarry Lane, Oldtown", "R. Moss", "", "2027-02-20", "B", "for build")


@cache
def office(name: str, units: str = "") -> Plan:
    """A demo with everything an office asks for; drawn in other units where they are given."""
    plan = demo(name)
    xs, ys = plan.ground.surface.points[:, 0], plan.ground.surface.points[:, 1]
    left, right, low = float(xs.min()) - 1.0, float(xs.max()) + 1.0, float(ys.min()) - 1.0
    lots = (
        LotLine("street", ((left, low), (right, low)), "survey"),
        LotLine("west", ((left, low), (left, low + 90.0)), "fence"),
    )
    offer = Offer(Firm(FIRM, ("Unit 4, Mill Yard", "Oldtown"), "01234 567 890", logo=LOGO))
    project = replace(plan.project, lot_lines=lots, offer=offer, sheet=BLOCK, units=units or plan.project.units)  # type: ignore[arg-type]
    return replace(plan, project=project)


def stopped(plan: Plan) -> Plan:
    """The same with a stop of the site."""
    stop = Finding(
        "test.stop", Verdict.STOP, "Invented stop of the whole site.", "site", withholds=("all",), ask="engineer"
    )
    return replace(plan, clashes=(*plan.clashes, stop))
