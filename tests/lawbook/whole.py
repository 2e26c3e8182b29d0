"""Laws of a whole plan: everything placed, cut and counted, on what the pipeline gives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import shapely

from lawbook.case import Case
from lawbook.piece_laws import PIECE_LAWS
from lawbook.water_laws import Wet, broken_water
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import kept_clear, plan_on
from lynchet.plan.placed import placed
from lynchet.project.model import Project
from lynchet.walls.joints import Laid, joint_rules

CLEAR_M = 0.05


@dataclass(frozen=True, eq=False)
class Whole:
    """A plan as the pipeline gives it, with the case and the water the other laws read."""

    plan: Plan

    @cached_property
    def case(self) -> Case:
        """Geometry and the pieces as really cut, clear of notches, ties and pins."""
        made = self.plan
        laid = Laid(made.pieces, made.joint_findings)
        avoid = kept_clear(made.water, made.stability)
        return Case(made.project, made.ground, made.terraces, made.walls, laid, joint_rules(made.project), avoid)

    @cached_property
    def wet(self) -> Wet:
        """The same with its water."""
        return Wet(self.case, self.plan.water)


WholeLaw = Callable[[Whole], list[str]]


def whole(project: Project, ground: Ground) -> Whole:
    """Plan a yard live on a ground given."""
    return Whole(plan_on(project, ground, Standing(), LIVE, lambda stage: None))


def ties_lie_in_standing_wall(found: Whole) -> list[str]:
    """A tie starts at a run of its course over the lowest and under the top course, clear of every notch."""
    out = []
    for tie in found.plan.stability.ties:
        leg = found.plan.walls.leg(tie.leg)
        segment = leg.segment_at(tie.station_m)
        if segment is None or not segment.base < tie.course < segment.top:
            out.append(f"{tie.id} at {tie.station_m:.2f} m has no course to hold")
        for notch in found.plan.water.notches_of(tie.leg):
            low, high = notch.stations_m
            if tie.course in notch.courses and low - CLEAR_M < tie.station_m < high + CLEAR_M:
                out.append(f"{tie.id} starts in notch {notch.id}")
    return out


def pins_go_through_the_lowest_course(found: Whole) -> list[str]:
    """A pin goes through the lowest course where it stands, and through no notch."""
    out = []
    for pin in found.plan.stability.pins:
        segment = found.plan.walls.leg(pin.leg).segment_at(pin.station_m)
        if segment is None or segment.base != pin.course:
            out.append(f"{pin.id} misses the lowest course at {pin.station_m:.2f} m")
        for notch in found.plan.water.notches_of(pin.leg):
            low, high = notch.stations_m
            if pin.course in notch.courses and low < pin.station_m < high:
                out.append(f"{pin.id} goes through notch {notch.id}")
    return out


def timber_volume_is_the_lists_volume(found: Whole) -> list[str]:
    """Pieces as solids hold the same timber as the runs less their notches, and as the lengths on the list."""
    plan = found.plan
    solid = sum(thing.volume_m3 for thing in placed(plan) if thing.kind == "timber")
    runs = sum(float(run.polygon.area) * (run.top_m - run.bottom_m) for run in plan.walls.runs)
    thickness = plan.project.timber.thickness_m
    tops = {run.id: run.top_m - run.bottom_m for run in plan.walls.runs}
    gone = sum(notch.width_m * thickness * tops[run] for notch in plan.water.notches for run in notch.runs)
    if abs(solid - (runs - gone)) > 1e-6 * max(1.0, runs):
        return [f"pieces hold {solid:.6f} m3, runs less notches {runs - gone:.6f}"]
    listed = sum(length for stick in plan.timber.sticks for length in stick.lengths_m)
    wanted = sum(piece.length_m for piece in plan.pieces)
    wanted += sum(tie.length_m - thickness + tie.cross_length_m for tie in plan.stability.ties)
    return (
        [] if abs(listed - wanted) < 1e-4 * max(1, len(plan.pieces)) else [f"list {listed:.4f} m, cut {wanted:.4f} m"]
    )


def soil_account_closes(found: Whole) -> list[str]:
    """What is dug is placed or carried away, to 1e-9."""
    account = found.plan.earth.account
    left = account.cut_m3 - account.fill_m3 / account.compacted_per_bank - account.away_bank_m3
    return [] if abs(left) < 1e-9 else [f"{left:.3e} m3 left over"]


def no_clash_is_silent(found: Whole) -> list[str]:
    """Ties and pins never clash with anything: they are placed last and must see all the rest."""
    return [f.text for f in found.plan.clashes if f.cause.startswith("clash.") and "tie" in f.cause]


def ties_stay_inside_their_ground(found: Whole) -> list[str]:
    """No tie lies in a house or in another wall."""
    out = []
    houses = [shapely.Polygon(house.outline_m) for house in found.plan.project.houses]
    for tie in found.plan.stability.ties:
        shape = shapely.union(shapely.Polygon(tie.outline_m), shapely.Polygon(tie.cross_outline_m))
        out += [f"{tie.id} lies in a house" for house in houses if shapely.intersection(shape, house).area > 1e-4]
    return out


WHOLE_LAWS: tuple[WholeLaw, ...] = (
    ties_lie_in_standing_wall,
    pins_go_through_the_lowest_course,
    timber_volume_is_the_lists_volume,
    soil_account_closes,
    no_clash_is_silent,
    ties_stay_inside_their_ground,
)


def broken_whole(found: Whole) -> list[str]:
    """Broken laws of water, pieces as really cut, ties, pins, timber and soil."""
    if found.case.refused:
        return []
    out = list(broken_water(found.wet))
    out += [f"{law.__name__}: {text}" for law in PIECE_LAWS for text in law(found.case)]
    return out + [f"{law.__name__}: {text}" for law in WHOLE_LAWS for text in law(found)]
