"""Laws of a whole plan: everything placed, cut and counted, on what the pipeline gives."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import shapely

from lawbook.case import Case
from lawbook.cut_off_laws import CUT_OFF_LAWS
from lawbook.drained import Data
from lawbook.fastener_laws import fasteners, screws_hold_every_lap
from lawbook.figure_laws import FIGURE_LAWS
from lawbook.piece_laws import PIECE_LAWS
from lawbook.pipe_laws import PIPE_LAWS
from lawbook.section_laws import SECTION_LAWS
from lawbook.water_laws import Wet, broken_water
from lawbook.weep_laws import WEEP_LAWS
from lynchet.core.standing import Standing
from lynchet.earth.model import DUG
from lynchet.exports.plan_json import plan_json
from lynchet.exports.setting_rows import set_points
from lynchet.ground.model import Ground
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import kept_clear, plan_on
from lynchet.plan.placed import placed, placed_steps
from lynchet.project.model import Project
from lynchet.units.format import small
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
        avoid = kept_clear(made.walls, made.water, made.stability)
        return Case(made.project, made.ground, made.terraces, made.walls, laid, joint_rules(made.project), avoid)

    @cached_property
    def wet(self) -> Wet:
        """The same with its water."""
        return Wet(self.case, self.plan.water)

    @cached_property
    def data(self) -> Data:
        """What is written of the plan."""
        return json.loads(plan_json(self.plan, self.plan.findings))  # type: ignore[no-any-return]


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
    """Pieces as solids hold the same timber as the runs less their notches and other openings that stand; those not
    standing as the stage says, and as the lengths on the list. Where nothing stands, every piece is on a stick."""
    plan = found.plan
    solid = sum(thing.volume_m3 for thing in placed(plan) if thing.kind == "timber")
    runs = sum(float(run.polygon.area) * (run.top_m - run.bottom_m) for run in plan.walls.runs)
    thickness = plan.project.timber.thickness_m
    tops = {run.id: run.top_m - run.bottom_m for run in plan.walls.runs}
    gone = sum(notch.width_m * thickness * tops[run] for notch in plan.water.notches for run in notch.runs)
    for leg, course, start, end in ((one.leg, *opening) for one in plan.standing.legs for opening in one.notches):
        planned = [n.stations_m for n in plan.water.notches_of(leg) if course in n.courses]
        left = end - start - sum(max(0.0, min(end, high) - max(start, low)) for low, high in planned)
        gone += sum(left * thickness * (run.top_m - run.bottom_m) for run in plan.walls.runs_of(leg, course)
                    if run.inner_m[0] < start < run.inner_m[1])  # fmt: skip
    if abs(solid - (runs - gone)) > 1e-6 * max(1.0, runs):
        return [f"pieces hold {solid:.6f} m3, runs less notches {runs - gone:.6f}"]
    cut = {name for stick in plan.timber.sticks for name in stick.pieces}
    stands = {piece.id for piece in plan.pieces} - cut
    stands |= {name for tie in plan.stability.ties for name in (tie.id, f"{tie.id}/cross") if tie.id not in cut}
    timber = ("timber", "tie", "cross-piece")
    if stands and not plan.standing.any_stands:
        return [f"{min(stands)} is on no stick"]
    built = sum(thing.volume_m3 for thing in placed(plan) if thing.kind in timber and thing.id not in stands)
    built += sum(thing.volume_m3 for thing in placed_steps(plan.timber))
    if abs(built - plan.timber.volume_m3) > 1e-6 * max(1.0, built):
        return [f"timber as built {built:.6f} m3, as the stage says {plan.timber.volume_m3:.6f}"]
    listed = sum(length for stick in plan.timber.sticks for length in stick.lengths_m)
    wanted = sum(piece.length_m for piece in plan.pieces if piece.id not in stands)
    wanted += sum(tie.length_m - thickness + tie.cross_length_m for tie in plan.stability.ties if tie.id not in stands)
    wanted += sum(piece.length_m for piece in plan.timber.steps)
    return (
        [] if abs(listed - wanted) < 1e-4 * max(1, len(plan.pieces)) else [f"list {listed:.4f} m, cut {wanted:.4f} m"]
    )


def steps_fill_their_boxes(found: Whole) -> list[str]:
    """Timbers of a step lie in its box, on each other nowhere, round a hollow or all through, in whole courses; every
    one is on a stick."""
    plan, out = found.plan, []
    course, thickness = plan.project.timber.course_m, plan.project.timber.thickness_m
    told = {one.place: one.text for one in plan.walls.findings if one.code == "standing.steps"}
    cut = {name for stick in plan.timber.sticks for name in stick.pieces}
    out += [f"{piece.id} is on no stick" for piece in plan.timber.steps if piece.id not in cut]
    for flight, tread in [(one, tread) for one in plan.terraces.flights for tread in one.treads]:
        own = [piece for piece in plan.timber.steps if piece.tread == tread.id]
        box, high = shapely.Polygon(tread.outline_m), tread.top_m - tread.bottom_m
        frame = box.area - box.buffer(-thickness, join_style="mitre").area
        volume = sum(piece.volume_m3 for piece in own)
        off = high - round(high / course) * course
        if abs(off) > 1e-3 * course:  # on another box, packed or sawn, and told so
            how = f"{small(abs(off), plan.project.units)} {'of treated packing' if off > 0 else 'off the underside'}"
            if tread.id == flight.treads[0].id or flight.kind != "projecting" or how not in told.get(flight.id, ""):
                out.append(f"{tread.id} is {high / course:.3f} courses high")
            high -= max(0.0, off)
        if abs(volume - frame * high) > 3e-3 * box.length * high * 0.5 + 1e-9:
            out.append(f"{tread.id}: {volume:.5f} m3 of timber, its frame holds {frame * high:.5f}")
        for layer in {piece.layer for piece in own}:
            shapes = [shapely.Polygon(piece.outline_m) for piece in own if piece.layer == layer]
            union = shapely.union_all(shapes)
            if abs(union.area - sum(shape.area for shape in shapes)) > 1e-9 or union.difference(box).area > 1e-9:
                out.append(f"{tread.id}: timbers of layer {layer} lie on each other or outside the box")
    return out


def steel_stands_in_timber(found: Whole) -> list[str]:
    """Screws and corner pins: within two courses, clear of notches, ties, pins and each other; every lap is held."""
    plan, avoid = found.plan, found.case.avoid
    return [
        *fasteners(plan.walls, plan.pieces, plan.timber.fasteners, avoid),
        *screws_hold_every_lap(plan.walls, plan.pieces, plan.timber.fasteners),
    ]


def soil_account_closes(found: Whole) -> list[str]:
    """What is dug is laid back, placed, spread or carried away, to 1e-9, and every part of that has its reason."""
    account = found.plan.earth.account
    k = account.compacted_per_bank
    placed = (account.fill_m3 + account.spread_m3) / k
    left = account.cut_m3 - account.topsoil_used_m3 - placed - account.away_bank_m3
    why = account.plain_away_bank_m3 + account.pushed_bank_m3 + account.settling_bank_m3
    why -= account.spread_m3 / k + account.away_bank_m3
    return [f"{gap:.3e} m3 left over" for gap in (left, why) if abs(gap) > 1e-9]


def soil_moves_add_up(found: Whole) -> list[str]:
    """Rows by place, the account and the building steps are one soil, and none of it is negative."""
    earth = found.plan.earth
    account = earth.account
    sums: dict[str, float] = {}
    for row in earth.moves:
        sums[row.kind] = sums.get(row.kind, 0.0) + row.volume_m3
    dug = sum(volume for kind, volume in sums.items() if kind in DUG)
    pairs = {
        "dug by rows": (dug, account.cut_m3),
        "topsoil by rows": (sums.get("topsoil off", 0.0), account.topsoil_m3),
        "fill by rows": (sums.get("fill", 0.0), account.fill_m3),
        "dug by steps": (sum(s.dug_m3 + s.topsoil_m3 for s in earth.steps), account.cut_m3),
        "needed by steps": (sum(s.needed_m3 for s in earth.steps), account.fill_m3 / account.compacted_per_bank),
        "away by steps": (sum(s.away_m3 - s.bought_m3 for s in earth.steps), account.away_bank_m3),
        "pushed by steps": (sum(s.pushed_m3 for s in earth.steps), account.pushed_bank_m3),
    }  # fmt: skip
    out = [f"{name}: {a:.9f} and {b:.9f} m3" for name, (a, b) in pairs.items() if abs(a - b) > 1e-6]
    least = min([0.0, *(row.volume_m3 for row in earth.moves), *(row.bank_m3 for row in account.pushed)])
    steps = [value for step in earth.steps for value in vars(step).values() if isinstance(value, float)]
    if min([least, *steps]) < -1e-9:
        out.append(f"a volume of {min([least, *steps]):.3e} m3")
    return out


def heaps_lie_on_free_ground(found: Whole) -> list[str]:
    """A heap placed by the tool keeps its distance from the digging and lies in no house, and none on another."""
    plan, out = found.plan, []
    area = shapely.Polygon(plan.project.area.outline_m)
    boxes = [shapely.Polygon(heap.outline_m) for heap in plan.earth.heaps if heap.outline_m and not heap.given]
    if plan.earth.drop_zone is not None and plan.earth.drop_zone.outline_m:
        boxes.append(shapely.Polygon(plan.earth.drop_zone.outline_m))
    for number, box in enumerate(boxes):
        if shapely.distance(box, area) < 0.6:
            out.append(f"heap {number} lies {shapely.distance(box, area):.2f} m off the digging")
        stays = [shapely.Polygon(house.outline_m) for house in plan.project.houses] + boxes[:number]
        out += [f"heap {number} lies on something" for shape in stays if shapely.intersection(box, shape).area > 1e-9]
    return out


def no_clash_is_silent(found: Whole) -> list[str]:
    """Ties and pins never clash with anything: they are placed last and must see all the rest."""
    return [f.text for f in found.plan.clashes if f.cause.startswith("clash.") and "tie" in f.cause]


def points_to_set_out_have_names_of_their_own(found: Whole) -> list[str]:
    """No two pegs, or other points of the setting-out card, are called the same: one peg would be driven for two."""
    counts = Counter(point.name for point in set_points(found.plan))
    return [f"{count} points are called {name}" for name, count in counts.items() if count > 1]


def ties_stay_inside_their_ground(found: Whole) -> list[str]:
    """No tie lies in a house or in another wall."""
    out = []
    houses = [shapely.Polygon(house.outline_m) for house in found.plan.project.houses]
    for tie in found.plan.stability.ties:
        shape = shapely.union(shapely.Polygon(tie.outline_m), shapely.Polygon(tie.cross_outline_m))
        out += [f"{tie.id} lies in a house" for house in houses if shapely.intersection(shape, house).area > 1e-4]
    return out


def figures_are_numbers(found: Whole) -> list[str]:
    """Nothing written is infinite or no number (JSON knows neither: RFC 8259, section 6)."""
    try:
        json.dumps(found.data, allow_nan=False)
    except ValueError as error:
        return [str(error)]
    return []


WHOLE_LAWS: tuple[WholeLaw, ...] = (
    ties_lie_in_standing_wall,
    pins_go_through_the_lowest_course,
    timber_volume_is_the_lists_volume,
    steps_fill_their_boxes,
    steel_stands_in_timber,
    soil_account_closes,
    soil_moves_add_up,
    heaps_lie_on_free_ground,
    no_clash_is_silent,
    ties_stay_inside_their_ground,
    points_to_set_out_have_names_of_their_own,
    figures_are_numbers,
)


def broken_whole(found: Whole) -> list[str]:
    """Broken laws of water, weep holes, cut-off drains, pipes told, sections, pieces, ties, pins, timber, soil."""
    if found.case.refused:
        return []
    out = list(broken_water(found.wet))
    out += [f"{law.__name__}: {text}" for law in WEEP_LAWS for text in law(found.data)]
    out += [f"{law.__name__}: {text}" for law in CUT_OFF_LAWS for text in law(found.data)]
    out += [f"{law.__name__}: {text}" for law in FIGURE_LAWS for text in law(found.data)]
    out += [f"{law.__name__}: {text}" for law in PIPE_LAWS for text in law(found.plan)]
    out += [f"{law.__name__}: {text}" for law in SECTION_LAWS for text in law(found.data, found.plan.project)]
    out += [f"{law.__name__}: {text}" for law in PIECE_LAWS for text in law(found.case)]
    return out + [f"{law.__name__}: {text}" for law in WHOLE_LAWS for text in law(found)]
