"""Laws of weep holes, worked out again from the data a plan is written with and plain geometry alone."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import shapely

from lawbook.drained import Data, Held, along, at, away, foot, held_of, legs_of
from lynchet.terraces.model import OUTSIDE

SPACING_M = 1.2
"""Apart at most; no place that counts on holes lies farther than half of it from one."""
HALF_BORE_M, FALL_M = 0.0125, 0.01
"""Of the bore, and from its back to its front."""
OVER_GROUND_M, UNDER_TOP_M = 0.02, 0.02
CLEAR_M = 0.15
"""From notches and from the sides of ties."""
JOINT_M = 0.1
BEFORE_M = 0.3
"""Room in front to see a hole and rinse it."""
STEEL_M = 0.036
"""From the middle of a bore to that of a screw or pin: four diameters of a screw."""
STONE_M = 0.1
"""Behind the timber at most, where a hole begins."""
SLACK_M = 2e-6
WeepLaw = Callable[[Data], list[str]]


def what_counts_on_holes_has_them(data: Data) -> list[str]:
    """All along a stretch of which a place counts on holes one in the same stone lies within half their spacing, and
    the level counted on is the highest that is so near, no lower than a course over the ground in front."""
    out = []
    holes = data["stability"]["weeps"]
    legs = legs_of(data)
    stretches = list(held_of(data))
    for place in data["stability"]["places"]:
        if place["weep_m"] is None:
            continue
        here = _stretch(stretches, place)
        if here is None or here.row is None or here.row["drained"] == "none":
            out.append(f"{place['leg']} at {place['station_m']:.2f} counts on holes where no stone drains")
            continue
        own = [(hole, foot(data, hole)) for hole in holes if hole["chain"] == here.row["chain"]]
        first, last = _checked(data, here, place)
        for n in range(25):
            point = at(here.leg, first + (last - first) * n / 24)
            if not any(away(point, near) <= SPACING_M / 2 + SLACK_M for _, near in own):
                out.append(f"{place['leg']} from {first:.2f} to {last:.2f} counts on holes too far away")
                break
        point = at(legs[place["leg"]], place["station_m"])
        near = [hole["level_m"] + FALL_M + HALF_BORE_M for hole, x in own if away(point, x) <= SPACING_M / 2 + SLACK_M]
        course = (place["top_m"] - place["base_m"]) / place["courses"]
        if near and abs(place["weep_m"] - max(*near, place["low_m"] + course)) > 1e-6:
            out.append(f"{place['leg']} at {place['station_m']:.2f}: level {place['weep_m']:.4f} is not that of a hole")
    return out[:5]


def _checked(data: Data, here: Held, place: Data) -> tuple[float, float]:
    """What of a stretch a place stands for: where loads begin and end it is parted, and checked on both sides."""
    own = sorted(one["station_m"] for one in data["stability"]["places"]
                 if (one["leg"], one["held"]) == (place["leg"], place["held"])
                 and here.start_m < one["station_m"] < here.end_m)  # fmt: skip
    cuts = [(a + b) / 2 for a, b in itertools.pairwise(own) if b - a < 1e-5]
    first = max((cut for cut in cuts if cut <= place["station_m"]), default=here.start_m)
    return first, min((cut for cut in cuts if cut > place["station_m"]), default=here.end_m)


def water_stands_as_high_as_it_is_let(data: Data) -> list[str]:
    """Water behind every place: by the drains' levels, no higher than the rim, nor than the holes while they are open;
    those that lie under the water of the design rain lower it no further."""
    out = []
    natural = {OUTSIDE} | {face["id"] for face in data["terraces"]["faces"] if face["kind"] in ("path", "kept")}
    stretches = list(held_of(data))
    for place in data["stability"]["places"]:
        here = _stretch(stretches, place)
        if here is None:
            out.append(f"{place['leg']} at {place['station_m']:.2f} is a place of no stretch")
            continue
        said = tuple(place[name] for name in ("wet_m", "one_shut_m", "all_shut_m"))
        if here.row is None:
            wanted: tuple[float | None, ...] = (None, None, None)
        else:
            rim = place["high_m"] if here.faces[1] in natural else place["top_m"]
            wet = min(here.row["wet_m"], rim)
            most = rim if place["weep_m"] is None else max(place["weep_m"], wet)
            wanted = (wet, min(here.row["one_shut_m"], most), min(here.row["all_shut_m"], most))
        if any((a is None) != (b is None) or (a is not None and abs(a - b) > 1e-6)  # type: ignore[operator]
               for a, b in zip(said, wanted, strict=True)):  # fmt: skip
            out.append(f"{place['leg']} at {place['station_m']:.2f}: water at {said}, by its levels {wanted}")
        low, high = here.levels(place["station_m"])
        if abs(low - place["low_m"]) > 1e-6 or abs(high - place["high_m"]) > 1e-6:
            out.append(f"{place['leg']} at {place['station_m']:.2f}: ground of the place is not that of its span")
    return out[:5]


def holes_go_from_held_ground_to_the_open(data: Data) -> list[str]:
    """Each on a stretch that holds ground with stone behind it: lower edge in front over the ground, upper edge behind
    under the ground held, in front and at the back a quarter of a bore inside its timber at least; in the stone it is
    said to serve."""
    out = []
    stretches = list(held_of(data))
    for hole in data["stability"]["weeps"]:
        here = [one for one in stretches if one.leg["id"] == hole["leg"]
                and one.start_m - SLACK_M <= hole["station_m"] <= one.end_m + SLACK_M]  # fmt: skip
        fit = [one for one in here if _goes_through(one, hole)]
        if not fit:
            out.append(f"{hole['id']} at {hole['station_m']:.2f} lets no water from stone into the open")
        runs = [run for run in data["walls"]["runs"] if (run["leg"], run["course"]) == (hole["leg"], hole["course"])]
        edge = 1.5 * HALF_BORE_M - SLACK_M
        if not any(run["bottom_m"] + edge < hole["level_m"] < run["top_m"] - FALL_M - edge
                   and abs(run["bottom_m"] + hole["up_m"] - hole["level_m"]) < 1e-6 for run in runs):  # fmt: skip
            out.append(f"{hole['id']} is not bored in its course")
    return out[:5]


def _goes_through(one: Held, hole: Data) -> bool:
    if one.row is None or one.row["drained"] == "none" or one.row["chain"] != hole["chain"]:
        return False
    low, high = one.levels(hole["station_m"])
    over = hole["level_m"] - HALF_BORE_M >= low + OVER_GROUND_M - SLACK_M
    under = hole["level_m"] + FALL_M + HALF_BORE_M <= high - UNDER_TOP_M + SLACK_M
    return one.held == hole["held"] and one.faces[0] != "house" and over and under


def holes_begin_in_stone(data: Data) -> list[str]:
    """Drain stone of its chain stands behind the back of each, as high as the lower edge of the bore there."""
    out = []
    legs = legs_of(data)
    by_chain: dict[str, list[Data]] = {}
    for stone in data["water"]["stone"]:
        by_chain.setdefault(stone["chain"], []).append(stone)
    for hole in data["stability"]["weeps"]:
        leg = legs[hole["leg"]]
        lefts = [along(leg, tuple(point))[1] for point in hole["outline_m"]]
        back = at(leg, hole["station_m"], max(lefts) if hole["held"] > 0 else min(lefts))
        level = hole["level_m"] + FALL_M - HALF_BORE_M
        above = max((part["top"] for part in leg["segments"]), default=hole["course"]) - hole["course"]
        reach = STONE_M + leg["setback_m"] * above  # stone stands upright behind the highest course of a leaning wall
        near = [
            stone
            for stone in by_chain.get(hole["chain"], [])
            if shapely.Polygon(stone["outline_m"]).distance(shapely.Point(back)) <= reach + SLACK_M
            and stone["bottom_m"] - 2 * HALF_BORE_M <= level <= max(stone["top_start_m"], stone["top_end_m"]) + SLACK_M
        ]
        if not near:
            out.append(f"{hole['id']} at {hole['station_m']:.2f} has no stone behind it")
    return out[:5]


def holes_are_not_closed(data: Data) -> list[str]:
    """Nothing stands before a hole or in it: no step, no other timber, no tie, screw or pin; no lap, joint or notch of
    its course is near."""
    out = []
    legs = legs_of(data)
    treads = [(t["id"], shapely.Polygon(t["outline_m"])) for f in data["terraces"]["flights"] for t in f["treads"]]
    for hole in data["stability"]["weeps"]:
        leg, s = legs[hole["leg"]], hole["station_m"]
        lefts = [along(leg, tuple(point))[1] for point in hole["outline_m"]]
        near, far = min(lefts), max(lefts)
        front = (near - BEFORE_M, near) if hole["held"] > 0 else (far, far + BEFORE_M)
        ground = _strip(leg, s, front)
        out += [f"{hole['id']} lies behind step {name}" for name, shape in treads if shape.intersects(ground)]
        through = _strip(leg, s, (near - 0.02, far + 0.02))
        low, high = hole["level_m"] - HALF_BORE_M, hole["level_m"] + FALL_M + HALF_BORE_M
        for piece in data["pieces"]:
            if piece["bottom_m"] >= high or piece["top_m"] <= low:
                continue
            if piece["leg"] != leg["id"]:
                if shapely.Polygon(piece["outline_m"]).intersects(through):
                    out.append(f"{hole['id']} is closed by {piece['id']}")
            elif piece["course"] == hole["course"]:
                ends = (max(piece["start_m"]), min(piece["end_m"]))
                if any(abs(end - s) < JOINT_M for end in ends):
                    out.append(f"{hole['id']} is too near an end of {piece['id']}")
        out += _in_the_way(data, hole, through, (low, high))
    return out[:5]


def no_soil_of_banks_covers_holes(data: Data) -> list[str]:
    """Soil round the end of a front lies lower than every mouth before which it lies: worked out again by the shares of
    a point in each triangle between its crest and its toe."""
    out = []
    legs = legs_of(data)
    for end in data["walls"]["bank_ends"]:
        tops = [(*point, level) for point, level in zip(end["edge_m"], end["edge_levels_m"], strict=True)]
        toes = [(*point, level) for point, level in zip(end["toe_m"], end["toe_levels_m"], strict=True)]
        parts = [corners for (p, q), (u, v) in zip(itertools.pairwise(tops), itertools.pairwise(toes), strict=True)
                 for corners in ((p, u, q), (q, u, v))]  # fmt: skip
        for hole in data["stability"]["weeps"]:
            station, left = along(legs[hole["leg"]], tuple(hole["point_m"]))
            spot = at(legs[hole["leg"]], station, left - hole["held"] * 0.02)
            soil = max((level for corners in parts if (level := _level_in(corners, spot)) is not None), default=None)
            if soil is not None and soil > hole["level_m"] - HALF_BORE_M - OVER_GROUND_M + 0.005:
                out.append(f"{hole['id']} lies under the soil of a bank at {end['line']}")
    return out[:5]


def _level_in(corners: tuple[tuple[float, float, float], ...], spot: tuple[float, float]) -> float | None:
    """Level of a triangle at a plan point; None beside it."""
    (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = corners
    twice = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    if abs(twice) < 1e-9:
        return None
    first = ((spot[0] - x0) * (y2 - y0) - (x2 - x0) * (spot[1] - y0)) / twice
    second = ((x1 - x0) * (spot[1] - y0) - (spot[0] - x0) * (y1 - y0)) / twice
    inside = min(first, second, 1.0 - first - second) >= -1e-9
    return z0 + first * (z1 - z0) + second * (z2 - z0) if inside else None


def _in_the_way(data: Data, hole: Data, through: shapely.Polygon, levels: tuple[float, float]) -> list[str]:
    """Ties, notches and steel in or beside a hole."""
    low, high = levels
    out = []
    for tie in data["stability"]["ties"]:
        for shape in (tie["outline_m"], tie["cross_outline_m"]):
            if tie["bottom_m"] < high and tie["top_m"] > low and shapely.Polygon(shape).intersects(through):
                out.append(f"{hole['id']} meets {tie['id']}")
    for notch in data["water"]["notches"]:
        near = abs(notch["station_m"] - hole["station_m"]) < notch["width_m"] / 2.0 + CLEAR_M - SLACK_M
        if near and notch["leg"] == hole["leg"] and hole["course"] in notch["courses"]:
            out.append(f"{hole['id']} is too near {notch['id']}")
    middle = through.centroid
    steel = (*data["timber"]["fasteners"], *data["stability"]["pins"])
    for one in steel:
        if one["bottom_m"] < high and one["top_m"] > low:
            at_m = shapely.LineString([one["point_m"], one.get("end_m", one["point_m"])])
            if at_m.distance(middle) < 2.0 and at_m.distance(through) < STEEL_M - HALF_BORE_M:
                out.append(f"{hole['id']} meets {one['id']}")
    return out


def no_hole_is_for_nothing(data: Data) -> list[str]:
    """Each hole lies within half the spacing of a stretch that counts on holes; the names are different."""
    out = []
    holes, stretches = data["stability"]["weeps"], list(held_of(data))
    counting = [_stretch(stretches, place) for place in data["stability"]["places"] if place["weep_m"] is not None]
    lines = [shapely.LineString([at(one.leg, one.start_m), at(one.leg, one.end_m)]) for one in counting if one]
    for hole in holes:
        point = shapely.Point(foot(data, hole))
        if not any(line.distance(point) <= SPACING_M / 2 + SLACK_M for line in lines):
            out.append(f"{hole['id']} serves no place")
    names = [hole["id"] for hole in holes]
    return out[:5] + (["two holes of one name"] if len(set(names)) < len(names) else [])


def _stretch(stretches: list[Held], place: Data) -> Held | None:
    here = [one for one in stretches if one.leg["id"] == place["leg"] and one.held == place["held"]
            and one.start_m <= place["station_m"] <= one.end_m]  # fmt: skip
    return here[0] if here else None


def _strip(leg: Data, station_m: float, lefts: tuple[float, float]) -> shapely.Polygon:
    """A strip as wide as a bore across a wall."""
    a, b = station_m - HALF_BORE_M, station_m + HALF_BORE_M
    return shapely.Polygon([at(leg, a, lefts[0]), at(leg, b, lefts[0]), at(leg, b, lefts[1]), at(leg, a, lefts[1])])


WEEP_LAWS: tuple[WeepLaw, ...] = (
    what_counts_on_holes_has_them,
    water_stands_as_high_as_it_is_let,
    holes_go_from_held_ground_to_the_open,
    holes_begin_in_stone,
    holes_are_not_closed,
    no_soil_of_banks_covers_holes,
    no_hole_is_for_nothing,
)
