"""Stretches of walls and the water behind them, worked out again from the data a plan is written with."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot
from typing import Any, NamedTuple

Data = dict[str, Any]
Point = tuple[float, float]


class Held(NamedTuple):
    """A stretch of a wall that holds ground, between two changes of anything."""

    leg: Data
    start_m: float
    end_m: float
    segment: Data
    span: Data
    held: int
    """+1 where the left is the high side."""
    row: Data | None
    """Water behind it."""

    def levels(self, station_m: float) -> tuple[float, float]:
        """Ground in front and ground held."""
        share = (station_m - self.span["start_m"]) / (self.span["end_m"] - self.span["start_m"])
        left, right = (
            (1.0 - share) * self.span[f"{side}0_m"] + share * self.span[f"{side}1_m"] for side in ("left", "right")
        )
        return (right, left) if self.held > 0 else (left, right)

    @property
    def faces(self) -> tuple[str, str]:
        """Ids of the low and the high face."""
        names = self.span["left"], self.span["right"]
        return (names[1], names[0]) if self.held > 0 else names


def at(leg: Data, station_m: float, left_m: float = 0.0) -> Point:
    """A plan point by its distance along a wall and to the left of its line."""
    (x, y), (dx, dy), (nx, ny) = leg["start_m"], leg["direction"], leg["normal"]
    return x + station_m * dx + left_m * nx, y + station_m * dy + left_m * ny


def along(leg: Data, point: Point) -> tuple[float, float]:
    """Station and distance to the left of a plan point."""
    dx, dy = point[0] - leg["start_m"][0], point[1] - leg["start_m"][1]
    return (
        dx * leg["direction"][0] + dy * leg["direction"][1],
        dx * leg["normal"][0] + dy * leg["normal"][1],
    )


def legs_of(data: Data) -> dict[str, Data]:
    """Walls by id."""
    return {leg["id"]: leg for leg in data["walls"]["legs"]}


def held_of(data: Data) -> Iterator[Held]:
    """Every stretch, wall by wall; what a house holds is none."""
    rows: dict[str, list[Data]] = {}
    for row in data["water"]["levels"]:
        rows.setdefault(row["leg"], []).append(row)
    for leg in data["walls"]["legs"]:
        own = rows.get(leg["id"], [])
        cuts = {s for one in (*leg["segments"], *leg["spans"], *own) for s in (one["start_m"], one["end_m"])}
        for start, end in pairwise(sorted(cuts)):
            middle = (start + end) / 2.0
            segment = next((one for one in leg["segments"] if one["start_m"] <= middle <= one["end_m"]), None)
            if segment is None or end - start < 1e-3:
                continue
            span = next(one for one in leg["spans"] if one["start_m"] <= middle <= one["end_m"])
            rise = span["left0_m"] + span["left1_m"] - span["right0_m"] - span["right1_m"]
            held = (rise > 0) - (rise < 0)
            here = [one for one in own if one["start_m"] <= middle <= one["end_m"] and one["held"] == held]
            found = Held(leg, start, end, segment, span, held, here[0] if here else None)
            if held and found.faces[1] != "house":
                yield found


def foot(data: Data, hole: Data) -> Point:
    """The point of its wall's line a weep hole stands at."""
    return at(legs_of(data)[hole["leg"]], hole["station_m"])


def away(one: Point, other: Point) -> float:
    """Distance in plan."""
    return hypot(one[0] - other[0], one[1] - other[1])
