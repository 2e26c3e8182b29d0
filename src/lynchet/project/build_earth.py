"""From checked tables to the digging."""

from __future__ import annotations

from lynchet.project.check import Got
from lynchet.project.digging import Digging, Spread
from lynchet.project.faults import Faults
from lynchet.project.polygons import check_outline, refuse_twins


def digging_of(got: Got, faults: Faults) -> Digging:
    """Settings of the digging, and the ground that may be raised."""
    rows = got["spread"]
    refuse_twins(((row.path, row["name"]) for row in rows), "spread", faults)
    spread = tuple(
        Spread(
            row["name"] or (f"spread {number + 1}" if len(rows) > 1 else "spread"),
            check_outline(row["outline"], row.at("outline"), faults),
            row["most"] or 0.1,
        )
        for number, row in enumerate(rows)
        if row["outline"] is not None
    )
    plain = Digging()
    topsoil, room = got["topsoil"], got["work_room"]
    return Digging(
        plain.topsoil_m if topsoil is None else topsoil,
        plain.work_room_m if room is None else room,
        got["heap_slope"] or plain.heap_slope,
        spread,
    )
