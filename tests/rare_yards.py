"""Random yards each with one thing that few files hold and some finding speaks of: narrow gates, ground hemmed in by
lot lines, reused timber, sticks too short, banks over trees, pits in the wrong place, levels pinned, thin pipes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from filed_yards import STOCK, yard_text
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load_text
from lynchet.project.read import checked
from wished_yards import Edit, Yard, fitting

Turn = Callable[[Yard], list[Edit]]


def rare_plan(seed: int) -> Plan:
    """The filed yard of this seed with the turn of this seed, and now and then with another beside it."""
    yard = Yard(seed, np.random.default_rng([seed, 41]))
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    turns = [TURNS[seed % len(TURNS)]]
    if yard.some(0.3):
        turns.append(TURNS[int(yard.rng.integers(len(TURNS)))])
    edits = fitting(loaded, [turn(yard) for turn in turns])
    return plan_project(checked(loaded, edits), effort=LIVE)


def _gate(yard: Yard) -> list[Edit]:
    """A gate no barrow goes through, far below the heap."""
    x0, x1, y0, y1 = yard.box
    return [("access.truck_stop", yard.at(x0 - 2.0, y0 - 3.0)), ("access.gate_at", yard.at(x0 - 1.2, y0 - 1.0)),
            ("access.gate", yard.long(0.4, 0.8)), ("access.heap", yard.at((x0 + x1) / 2.0, y1 + 5.0))]  # fmt: skip


def _hemmed(yard: Yard) -> list[Edit]:
    """Lot lines close by on all sides: no room for heaps."""
    x0, x1, y0, y1 = yard.box
    far = yard.between(0.2, 1.2)
    lines = [((x0 - far, y0 - 9), (x0 - far, y1 + 9)), ((x1 + far, y0 - 9), (x1 + far, y1 + 9)),
             ((x0 - 9, y0 - far), (x1 + 9, y0 - far)), ((x0 - 9, y1 + far), (x1 + 9, y1 + far))]  # fmt: skip
    rows = [{"name": f"lot {n}", "line": [yard.at(*a), yard.at(*b)]} for n, (a, b) in enumerate(lines)]
    return [("lot_line", rows)]


def _old_timber(yard: Yard) -> list[Edit]:
    """Old timber from a heap, with deep mulch over the rim."""
    rim, stamp = yard.long(0.0, 0.03), yard.pick("none", "above ground")
    timber = [("timber.1.reused", yard.some(0.5)), ("timber.1.material.treatment", stamp)]
    return [*timber, ("planting.mulch", yard.long(0.12)), ("brief.freeboard", rim), ("planting.food", True)]


def _too_short(yard: Yard) -> list[Edit]:
    """Pieces longer than any stick; joints that want to lie farther apart than sticks are long."""
    one = STOCK[yard.units][0]
    if yard.some(0.5):
        return [
            ("timber.1.stock", [{"length": one}]),
            ("brief.longest_piece", yard.long(4.0, 6.0)),
            ("brief.one_stick", True),
        ]
    return [
        ("timber.1.stock", [{"length": one}]),
        ("brief.joint_offset", yard.long(1.0, 1.8)),
        ("brief.shortest_piece", yard.long(0.9)),
    ]


def _few_high(yard: Yard) -> list[Edit]:
    return [("brief.terraces", 1 + yard.some(0.5)), ("brief.highest_wall", yard.long(0.15, 0.4))]


def _edges(yard: Yard, **more: object) -> list[Edit]:
    return [("area.edges", [{"from": n, **more} for n in range(len(yard.draft.outline))])]


def _no_digging(yard: Yard) -> list[Edit]:
    return _edges(yard, finish="wall", dig_beyond=yard.long(0.0, 0.2))


def _open_edges(yard: Yard) -> list[Edit]:
    return _edges(yard, finish="open")


def _banks(yard: Yard) -> list[Edit]:
    """Banks where little may be dug, a tree on one of them."""
    x0, x1, y0, _ = yard.box
    tree = {"kind": "tree", "name": "pear", "at": yard.at(yard.between(x0, x1), y0 - 0.8), "stem": yard.long(0.3)}
    wide = _edges(yard, finish="bank", width=yard.long(1.0, 3.0), dig_beyond=yard.long(0.2, 0.9))
    return [*wide, ("fixed", [tree])]


def _cloudburst(yard: Yard) -> list[Edit]:
    return [("rain.intensity", "400 mm/h"), ("rain.runoff", "95 %"), ("drain.pipe", "50 mm"), ("drain.fall", "0.5 %"),
            ("drain.pipe_from", yard.long(0.0))]  # fmt: skip


def _pit(yard: Yard) -> list[Edit]:
    """A soakaway among the beds or just below them, in soil nobody or somebody tried."""
    x0, x1, y0, _ = yard.box
    where = yard.inside(0.1, 0.9) if yard.some(0.4) else yard.at(yard.between(x0, x1), y0 - yard.between(0.8, 2.5))
    pit: dict[str, object] = {"name": "pit", "at": where, "length": yard.long(0.8, 2.0), "width": yard.long(0.6),
                              "depth": yard.long(0.5, 1.2)}  # fmt: skip
    if yard.some(0.6):
        pit["soak"] = yard.pick("3 mm/h", "10 mm/h", "60 mm/h")
    return [("soakaway", [pit]), ("rain.storm", "60 mm")]


def _holes(yard: Yard) -> list[Edit]:
    """Test holes that met rock or soak slowly."""
    one: dict[str, object] = {"at": yard.inside(0.0, 1.0), "depth": yard.long(1.2), "feel": "sticky"}
    one[yard.pick("refusal", "water")] = yard.long(0.2, 0.8)
    two = {"at": yard.inside(0.0, 1.0), "depth": yard.long(0.8), "soak": yard.pick("1400 min", "30 h", "10 min")}
    return [("hole", [one, two])]


def _pinned(yard: Yard) -> list[Edit]:
    """Levels pinned by hand, near the ground or not: soil is short, or cannot be laid out."""
    low = 100.0 + yard.between(-0.2, 1.2)
    step = yard.between(0.1, 0.6)
    count = int(yard.rng.integers(2, 5))
    return [("brief.terraces", count), ("brief.levels", [yard.long(low + n * step) for n in range(count)])]


def _oak(yard: Yard) -> list[Edit]:
    tree = {
        "kind": "tree",
        "name": "oak",
        "at": yard.inside(-0.05, 1.05),
        "stem": yard.long(0.4, 0.8),
        "crown": yard.long(8.0),
    }
    return [("fixed", [tree])]


def _steps(yard: Yard) -> list[Edit]:
    """Steps over one terrace or over as many as there is no room for."""
    x0, x1, y0, y1 = yard.box
    x = yard.between(x0, x1)
    wish = {"name": "steps", "line": [yard.at(x, y0 - 1.0), yard.at(x, y1 + 0.5)], "width": yard.long(1.0)}
    count: list[Edit] = (
        [("brief.terraces", int(yard.rng.choice([1, 8])))] if yard.some(0.6) else [("brief.terraces", None)]
    )
    return [("steps", [wish]), *count]


def _far_outlet(yard: Yard) -> list[Edit]:
    """An outlet nobody measured the ground at; a house whose siding stands in the soil."""
    x0, x1, y0, y1 = yard.box
    corners = [(x0, y1 + 0.1), (x1, y1 + 0.1), (x1, y1 + 6.0), (x0, y1 + 6.0)]
    house = {"name": "house", "outline": [yard.at(*one) for one in corners], "floor": yard.long(100.5),
             "siding": {"kind": "wood", "lowest": yard.long(99.5, 100.5)}}  # fmt: skip
    return [("house", [house]), ("drain.outlet", [{"at": yard.at(x0 - 4.0, y0 - 6.0)}])]


def _pushed(yard: Yard) -> list[Edit]:
    things = [{"kind": "seat", "fixed_to": "top course", "height": yard.long(0.1), "push": "0.74 kN/m"},
              {"kind": "fence", "fixed_to": yard.pick("top course", "behind"), "height": yard.long(1.0)}]  # fmt: skip
    return [("on_wall", things)]


def _sticks_weighed(yard: Yard) -> list[Edit]:
    """Prices of single lengths in the list alone, one of them out of all proportion."""
    prices = {f"timber {one}": round(yard.between(10.0, 40.0), 2) for one in STOCK[yard.units]}
    prices[f"timber {STOCK[yard.units][0]}"] = 900.0
    return [("prices", {"currency": "XXX", "items": prices})]


def _own_line(yard: Yard) -> list[Edit]:
    """A wall line that bends back, or ends on a corner."""
    x0, x1, y0, y1 = yard.box
    middle = (y0 + y1) / 2.0
    points = [yard.at(x0 + 0.2, middle), yard.at((x0 + x1) / 2.0, y1 - 0.3), yard.at(x0 + 0.6, y1 - 0.2)]
    if yard.some(0.5):
        points = [yard.at(*yard.draft.outline[0]), yard.at(x1, middle)]
    return [("brief.terraces", 3), ("wall_line", [{"terrace": 2, "points": points}])]


TURNS: tuple[Turn, ...] = (
    _gate, _hemmed, _old_timber, _too_short, _few_high, _no_digging, _open_edges, _banks, _cloudburst, _pit, _holes,
    _pinned, _oak, _steps, _far_outlet, _pushed, _sticks_weighed, _own_line,
)  # fmt: skip
"""By the seed, in turn."""
