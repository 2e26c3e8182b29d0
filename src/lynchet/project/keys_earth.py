"""Keys of the digging: topsoil, room to work, heaps, ground that may be raised."""

from __future__ import annotations

from lynchet.project.keys import Key, need, table, tables
from lynchet.project.keys_yard import NAME, depth, size

EARTH = table(
    "how the ground is dug",
    {
        "topsoil": depth(
            "topsoil stripped from all that is dug or filled, and kept for the beds; 0 where there is none", 0.6,
            default="150 mm", default_us="6 in", origin="PRACTICE: look into a test hole",
        ),
        "work_room": depth(
            "how much wider than its wall, tie or pipe a trench is dug, on every side", 0.6, default="100 mm",
            default_us="4 in", origin="PRACTICE: room for a boot and a tamper",
        ),
        "heap_slope": Key("slope", "slope of the sides of a heap", low=0.1, high=1.0, default="1 in 1.5",
                          origin="PRACTICE: flatter than moist soil stands, so that it stays put in rain"),
        "spread": tables(
            "ground that may be raised with soil left over",
            {
                "name": NAME,
                "outline": need(Key("points", "corners in order", least=3)),
                "most": size("by how much at most", 1.0, default="100 mm", default_us="4 in",
                             origin="PRACTICE: grass grows through no more at once than a thin layer; strip it first"),
            },
        ),
    },
)  # fmt: skip
