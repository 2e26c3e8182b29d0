"""From checked tables to the yard as it is: area, houses, paths, things that stay, lot lines, loads."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import hypot

from lynchet.core.plane import Point, segments_cross
from lynchet.project.check import Got
from lynchet.project.faults import Faults, dotted
from lynchet.project.inset import faulty_inset, inset_outline
from lynchet.project.lines import KeyPath
from lynchet.project.model import (
    Area,
    EdgeRule,
    Finish,
    Fixed,
    House,
    Load,
    LotLine,
    OnWall,
    OwnLine,
    Path,
    Site,
    StepsWish,
)
from lynchet.project.polygons import check_outline, open_outline, outside_m, place_text, refuse_twins
from lynchet.project.things import LANDING_M
from lynchet.units.format import length, small

STRAY_M = 0.3
"""How far an own wall line may stick out of the area before it is taken for a slip (PRACTICE)."""
_LEAST_INSET_M = 0.01
STEM_RADII = 12.0
"""Root radius over stem diameter: a foot for each inch, the same in metres (MEMORY, arborists' rule)."""
_CLEAR = {
    "tree": (3.0, "MEMORY", "stem not given; a foot of radius for each inch of stem is the rule"),
    "service": (0.6, "PRACTICE", "24 in each side of a mark; ask the locator"),
    "septic": (7.62, "MEMORY", "25 ft; one state's exam text; ask the health office"),
    "well": (3.0, "MEMORY", "ask the health office"),
    "wall": (0.3, "PRACTICE", ""),
    "rock": (0.3, "PRACTICE", ""),
    "pole": (0.6, "PRACTICE", ""),
    "other": (0.3, "PRACTICE", ""),
}


def site_of(got: Got) -> Site:
    """Where the yard is."""
    return Site(got["latitude"], got["longitude"], got["north"], got["frost_depth"])


def area_of(got: Got, faults: Faults) -> Area | None:
    """The area; None where it has no usable outline."""
    sides = got.complete("length", "depth")
    if "outline" in got.written and ("length" in got.written or "depth" in got.written):
        faults.add(got.path, "both an outline and length, depth", "an outline, or length and depth")
    if "outline" in got.written:
        outline = check_outline(got["outline"], got.at("outline"), faults)
    elif sides:
        wide, deep = got["length"], got["depth"]
        outline = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    else:
        if not {"length", "depth"} <= got.written:
            faults.add(got.path, "no outline", "an outline of three corners or more, or length and depth")
        return None
    if not outline:
        _edges(got["edges"], len(open_outline(got["outline"] or ())), faults)
        return None
    far = max(outline, key=lambda corner: hypot(corner[0] - outline[0][0], corner[1] - outline[0][1]))
    if hypot(far[0] - outline[0][0], far[1] - outline[0][1]) > 10_000.0:
        faults.add(got.at("outline"), f"a corner at {place_text(far, faults.system)}", "within 10 km of the first one")
        return None
    return _inset(got, Area(outline, _edges(got["edges"], len(outline), faults)), faults)


def _inset(got: Got, area: Area, faults: Faults) -> Area:
    """The area with its edges moved inward as the file says."""
    insets = {rule.edge: rule.inset_m for rule in area.edges if rule.inset_m > 0.0}
    if not insets:
        return area
    outline = inset_outline(area.outline_m, insets, faults.system)
    if isinstance(outline, str):
        edge, most = faulty_inset(area.outline_m, insets, faults.system)
        row = next(row for row in got["edges"] if row["from"] == edge)
        found = f"{length(insets[edge], faults.system)} inside edge {edge}: {outline}"
        under = f"less than {length(most, faults.system)} there" if most > _LEAST_INSET_M else "a smaller inset"
        faults.add(row.at("inset"), found, f"{under}, so that an area with the same edges is left")
        return area
    return replace(area, outline_m=outline, drawn_m=area.outline_m)


def _edges(rows: tuple[Got, ...], count: int, faults: Faults) -> tuple[EdgeRule, ...]:
    rules: dict[int, EdgeRule] = {}
    for row in rows:
        edge = row["from"]
        if edge is None:
            continue
        if edge >= count > 0:
            accepted = f"0 to {count - 1}: the outline has {count} corners"
            faults.add(row.at("from"), f"there is no edge {edge}", accepted)
        elif edge in rules:
            faults.add(row.at("from"), f"edge {edge} stands twice", "one entry for an edge")
        else:
            width = row["width"]
            if row["finish"] == "bank" and width is None and "width" not in row.written:
                faults.add(row.path, "a bank without its width", "`width`: how far the bank may reach outside")
            rules[edge] = _edge_rule(edge, row, faults)
    return tuple(rules.values())


def _edge_rule(edge: int, row: Got, faults: Faults) -> EdgeRule:
    finish: Finish = row["finish"] or "wall"
    inset, beyond = row["inset"] or 0.0, row["dig_beyond"]
    if finish == "house" and inset > 0.0:
        faults.add(row.at("inset"), "an inset on the edge of a house", "no inset there, or another finish")
    return EdgeRule(edge, finish, row["width"], None if beyond is None else beyond + inset, inset)


def houses_of(rows: tuple[Got, ...], faults: Faults) -> tuple[House, ...]:
    """Buildings that stay."""
    refuse_twins(((row.path, row["name"]) for row in rows), "house", faults)
    houses = []
    for number, row in enumerate(rows):
        siding, roof = row["siding"], row["roof"]
        _ridge_over_eaves(row, faults)
        houses.append(
            House(
                name=_name(row, "house", number, len(rows)),
                outline_m=check_outline(row["outline"], row.at("outline"), faults),
                floor_m=row["floor"],
                siding_lowest_m=siding["lowest"] if siding else None,
                siding=(siding["kind"] or "unknown") if siding else "unknown",
                footing_depth_m=row["footing_depth"],
                roof_area_m2=(roof["area"] or 0.0) if roof else 0.0,
                downspouts_m=(roof["downspouts"] or ()) if roof else (),
                built_year=row["built"],
                eaves_m=row["eaves"],
                ridge_m=row["ridge"],
                far_side=row["far_side"],
            )
        )
    return tuple(houses)


def _ridge_over_eaves(row: Got, faults: Faults) -> None:
    eaves, ridge = row["eaves"], row["ridge"]
    if eaves is not None and ridge is not None and ridge < eaves:
        found = f"a ridge at {length(ridge, faults.system)}, below the eaves at {length(eaves, faults.system)}"
        faults.add(row.at("ridge"), found, "the height of the eaves or more; left out for a flat roof")


def _name(row: Got, kind: str, number: int, count: int) -> str:
    return row["name"] or (kind if count == 1 else f"{kind} {number + 1}")


def paths_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Path, ...]:
    """Paths at the level of the ground."""
    refuse_twins(((row.path, row["name"]) for row in rows), "path", faults)
    return tuple(
        Path(_name(row, "path", n, len(rows)), row["line"], row["width"])
        for n, row in enumerate(rows)
        if row.complete("line", "width")
    )


def flights_of(rows: tuple[Got, ...], faults: Faults) -> tuple[StepsWish, ...]:
    """Flights of steps wished for."""
    refuse_twins(((row.path, row["name"]) for row in rows), "flight of steps", faults)
    return tuple(
        StepsWish(_name(row, "steps", n, len(rows)), row["line"], row["width"], _landing(row, faults))
        for n, row in enumerate(rows)
        if row.complete("line", "width")
    )


def _landing(row: Got, faults: Faults) -> float | None:
    """Depth of the landings of a flight; None where it is wrong."""
    deep: float | None = row["landing"]
    if deep is None or deep >= LANDING_M[faults.system] - 1e-6:
        return deep
    least = small(LANDING_M[faults.system], faults.system)
    accepted = f"{least} or more, as codes for stairs ask (International Residential Code R311.7.6)"
    faults.add(row.at("landing"), f"a landing {small(deep, faults.system)} deep", accepted)
    return None


def fixed_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Fixed, ...]:
    """Things that stay, each with the ground it needs."""
    refuse_twins(((row.path, row["name"]) for row in rows), "thing that stays", faults)
    return tuple(thing for number, row in enumerate(rows) if (thing := _fixed(row, number, len(rows), faults)))


def _fixed(row: Got, number: int, count: int, faults: Faults) -> Fixed | None:
    given = [key for key in ("at", "line", "outline") if key in row.written]
    if len(given) != 1:
        faults.add(row.path, ", ".join(given) or "no place", "one of at, line, outline")
        return None
    kind, place = row["kind"], row[given[0]]
    if kind is None or place is None:
        return None
    line: tuple[Point, ...] = (place,) if given[0] == "at" else place
    if given[0] == "outline":
        line = check_outline(place, row.at("outline"), faults)
    return Fixed(
        id=f"F{number}",
        kind=kind,
        name=row["name"] or (kind if count == 1 else f"{kind} {number + 1}"),
        line_m=line,
        closed=given[0] == "outline",
        clear_m=_clear(row, kind, faults),
        depth_m=row["depth"],
        stem_m=row["stem"],
        height_m=row["height"],
        crown_m=row["crown"],
    )


def _clear(row: Got, kind: str, faults: Faults) -> float:
    if row["clear"] is not None:
        return row["clear"]  # type: ignore[no-any-return]
    if kind == "tree" and row["stem"] is not None:
        radius: float = STEM_RADII * row["stem"]
        text = length(radius, faults.system)
        faults.default(row.at("clear"), text, "MEMORY", "root radius of 12 stems; a foot for each inch of stem")
        return radius
    if kind == "tree" and row["crown"] is not None:
        radius = row["crown"] / 2.0
        faults.default(
            row.at("clear"), length(radius, faults.system), "PRACTICE", "out to the drip line; give the stem"
        )
        return radius
    clear, origin, note = _CLEAR[kind]
    faults.default(row.at("clear"), length(clear, faults.system), origin, note)
    return clear


def lot_lines_of(rows: tuple[Got, ...], faults: Faults) -> tuple[LotLine, ...]:
    """Lines of the lot."""
    refuse_twins(((row.path, row["name"]) for row in rows), "lot line", faults)
    return tuple(
        LotLine(_name(row, "lot line", n, len(rows)), row["line"], row["trust"] or "guess", row["height"])
        for n, row in enumerate(rows)
        if row.complete("line")
    )


def own_lines_of(rows: tuple[Got, ...], area: Area | None, most: int | None, faults: Faults) -> tuple[OwnLine, ...]:
    """Own wall lines, each inside the area, one for a terrace."""
    lines: dict[int, OwnLine] = {}
    places: list[tuple[KeyPath, OwnLine]] = []
    for row in rows:
        if not row.complete("terrace", "points"):
            continue
        terrace = row["terrace"]
        if terrace in lines:
            faults.add(row.at("terrace"), f"terrace {terrace} has two lines", "one own line for a terrace")
        if most is not None and terrace > most:
            faults.add(row.at("terrace"), f"there is no terrace {terrace}", f"1 to {most}: `brief.terraces` is {most}")
        if area is not None:
            _inside(row, area, faults)
        lines[terrace] = OwnLine(terrace, row["points"])
        crossed = next((path for path, other in places if _cross(other, lines[terrace])), None)
        if crossed is not None:
            apart = "lines that do not meet: walls of two terraces stand one behind the other"
            faults.add(row.at("points"), f"this wall line crosses that of {dotted(crossed)}", apart)
        places.append((row.path, lines[terrace]))
    return tuple(lines.values())


def _cross(one: OwnLine, other: OwnLine) -> bool:
    return any(
        segments_cross(a, b, c, d) is not None for a, b in pairwise(one.line_m) for c, d in pairwise(other.line_m)
    )


def _inside(row: Got, area: Area, faults: Faults) -> None:
    for point in row["points"]:
        off = outside_m(point, area.outline_m)
        if off > STRAY_M:
            found = f"the wall line leaves the area: {place_text(point, faults.system)} lies "
            found += f"{length(off, faults.system, 2)} outside the outline"
            accepted = f"points inside the area (up to {small(STRAY_M, faults.system)} over its edge is cut off)"
            faults.add(row.at("points"), found, accepted)
            return


def loads_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Load, ...]:
    """Loads on the ground."""
    refuse_twins(((row.path, row["name"]) for row in rows), "load", faults)
    return tuple(
        Load(
            _name(row, "load", n, len(rows)),
            check_outline(row["outline"], row.at("outline"), faults),
            row["pressure"] or 0.0,
        )
        for n, row in enumerate(rows)
        if row["outline"] is not None
    )


def on_wall_of(rows: tuple[Got, ...], area: Area | None, faults: Faults) -> tuple[OnWall, ...]:
    """What stands on or behind a wall."""
    for row in rows:
        at = row["at"] or ""
        if area is not None and at[:1] == "A" and at[1:].isdigit() and int(at[1:]) >= len(area.outline_m):
            faults.add(
                row.at("at"), f'there is no edge "{at}"', f"A0 to A{len(area.outline_m) - 1}, or W and a terrace"
            )
    return tuple(
        OnWall(row["kind"], row["at"] or "", row["fixed_to"] or "behind", row["height"] or 0.0, row["push"] or 0.0)
        for row in rows
        if row["kind"] is not None
    )
