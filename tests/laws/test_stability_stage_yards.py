"""Laws of the stability stage on whole yards: ties and pins in their ground, and what never makes a plan better."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely

from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.plan.pipeline import pieces_of
from lynchet.project import model as pm
from lynchet.stability.model import Place, Stability
from lynchet.stability.stage import stability
from lynchet.stability.tie_holds import grip_of, inside_wedge_m
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from lynchet.water.stage import water
from random_yards import Placing, realistic
from yards import ell, project_of, readings_over, rectangle

TIED = pm.Brief(terraces=3, weeps=True, path_strip_m=0.6, dig_depth_m=0.1)
SEEDS = (2, 5, 11, 23)


class Yard:
    """One yard planned up to its stability."""

    def __init__(self, project: pm.Project, ground: Any) -> None:
        self.project, self.ground = project, ground
        self.terraces = terraces(project, ground, Standing())
        self.walls = walls(project, ground, self.terraces, Standing())
        self.water = water(project, ground, self.terraces, self.walls, 1)
        self.stability = stability(project, ground, self.terraces, self.walls, self.water)

    def again(self, **brief: object) -> Stability:
        """The stability with another brief over the same walls and drains."""
        project = replace(self.project, brief=replace(self.project.brief, **brief))  # type: ignore[arg-type]
        return stability(project, self.ground, self.terraces, self.walls, self.water)


@cache
def tied_yards() -> list[Yard]:
    """Yards in which ties stand."""
    four = replace(TIED, terraces=4)
    made = [Yard(*rectangle(brief=TIED)), Yard(*ell(brief=four)), Yard(*rectangle(brief=replace(TIED, ties="always")))]
    tied = [yard for yard in made if yard.stability.ties]
    assert tied, "no yard of the test has ties"
    return tied


@cache
def random_yards() -> list[Yard]:
    """A few random yards with walls."""
    return [Yard(*realistic(seed)) for seed in SEEDS]


def place_of(yard: Yard, leg: str, station: float) -> Place:
    """The place nearest a station of a leg."""
    return min((p for p in yard.stability.places if p.leg == leg), key=lambda p: abs(p.station_m - station))


def test_ties_grip_beyond_the_wedge_they_count():
    """Every tie reaches past the sliding wedge, or its cross-piece holds outside it; it counts no more than that."""
    for yard in tied_yards():
        for tie in yard.stability.ties:
            place = place_of(yard, tie.leg, tie.station_m)
            below = round((place.top_m - tie.top_m) / place.course_m)
            reach = inside_wedge_m(yard.project, place, below)
            grip = grip_of(yard.project, place, "dry", below, (np.array([tie.length_m]), 0.0))
            assert tie.length_m > reach
            short = grip_of(yard.project, place, "dry", below, (np.array([reach]), 0.0))
            assert short.friction_kn[0] == 0.0 and grip.friction_kn[0] > 0.0
            assert grip.face_kn_per_m[0] >= short.face_kn_per_m[0]


def test_ties_keep_clear_of_pipes_notches_joints_and_each_other():
    """In space no tie or cross-piece meets a pipe, fitting, notch, other timber or tie; no joint falls on one."""
    for yard in tied_yards():
        ties = yard.stability.ties
        bodies = [b for b in yard.water.bodies if b.kind not in ("stone", "fabric")]
        joints = pieces_of(yard.project, yard.walls, yard.water, yard.stability).pieces
        for number, tie in enumerate(ties):
            for outline in (tie.outline_m, tie.cross_outline_m):
                shape = shapely.Polygon(outline).buffer(-0.002)
                for body in bodies:
                    apart = body.bottom_m >= tie.top_m or body.top_m <= tie.bottom_m
                    assert apart or not shape.intersects(shapely.Polygon(body.outline_m)), (tie.id, body.id)
                for run in yard.walls.runs:
                    apart = run.leg == tie.leg or run.bottom_m >= tie.top_m - 1e-6 or run.top_m <= tie.bottom_m + 1e-6
                    assert apart or not shape.intersects(run.polygon), (tie.id, run.id)
                for other in ties[number + 1 :]:
                    level = abs(other.bottom_m - tie.bottom_m) < 0.01
                    assert not (level and shape.intersects(shapely.Polygon(other.outline_m))), (tie.id, other.id)
            for notch in yard.water.notches_of(tie.leg):
                low, high = notch.stations_m
                assert tie.course not in notch.courses or not low - 0.15 < tie.station_m < high + 0.15
            for piece in (p for p in joints if p.leg == tie.leg and p.course == tie.course):
                for end in (*piece.start_m, *piece.end_m):
                    assert abs(end - tie.station_m) > 0.05, (tie.id, piece.id)


def test_pins_stand_in_their_lowest_course():
    """Every pin goes through the lowest course there, clear of notches, into the ground under it."""
    for yard in tied_yards() + random_yards():
        for pin in yard.stability.pins:
            segment = yard.walls.leg(pin.leg).segment_at(pin.station_m)
            assert segment is not None and pin.course == segment.base
            runs = yard.walls.runs_of(pin.leg, pin.course)
            assert any(run.polygon.covers(shapely.Point(pin.point_m)) for run in runs)
            assert pin.bottom_m < min(run.bottom_m for run in runs) - 0.2


def words(found: Stability) -> dict[str, Verdict]:
    """Verdict of every wall."""
    return {wall.leg: wall.verdict for wall in found.walls}


@pytest.mark.parametrize("help_name", ["back friction", "buried course", "pins", "screws", "returns", "ties"])
def test_a_help_switched_off_never_makes_a_wall_of_a_yard_better(help_name):
    """Without a help no wall of a yard that has no ties gets a better word."""
    for yard in random_yards():
        before, after = words(yard.again(ties="never")), words(yard.again(ties="never", helps_off=(help_name,)))
        assert all(after[leg] >= before[leg] for leg in before), help_name


def test_ties_never_make_a_wall_worse():
    """With ties allowed no wall has a worse word than with ties never."""
    for yard in tied_yards() + random_yards():
        tied, bare = words(yard.again(ties="auto")), words(yard.again(ties="never"))
        assert all(tied[leg] <= bare[leg] for leg in bare)


def test_gaps_in_the_foot_never_make_a_wall_worse():
    """Weeps counted as a way out never make a wall's word worse."""
    for yard in random_yards():
        shut, open_ = words(yard.again(ties="never")), words(yard.again(ties="never", weeps=True))
        assert all(open_[leg] <= shut[leg] for leg in shut)


def test_shallower_digging_never_makes_a_wall_worse():
    """Beds dug less deep leave more ground before and over what holds."""
    for yard in random_yards():
        deep, shallow = words(yard.again(ties="never")), words(yard.again(ties="never", dig_depth_m=0.05))
        assert all(shallow[leg] <= deep[leg] for leg in deep)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_turned_or_mirrored_yard_has_the_same_words(seed):
    """Turned, mirrored, shifted: the same walls with the same words, cases, factors and ties."""
    first = Yard(*realistic(seed, Placing())).stability
    second = Yard(*realistic(seed, Placing(1.234, True, (31.0, -7.0)))).stability
    assert [(w.leg, w.verdict, w.governing, w.case, w.tied) for w in first.walls] == [
        (w.leg, w.verdict, w.governing, w.case, w.tied) for w in second.walls
    ]
    assert [w.factor for w in second.walls] == pytest.approx([w.factor for w in first.walls], rel=1e-4, nan_ok=True)
    assert [tie.id for tie in first.ties] == [tie.id for tie in second.ties]


def test_a_yard_without_walls_has_nothing_to_hold():
    """Flat ground and one bed: no places, no ties, no pins, no words, no findings."""
    outline = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]
    flat = project_of(outline, readings_over(outline, lambda x, y: 100.0), brief=pm.Brief(terraces=1))
    found = Yard(*flat).stability
    assert found.places == found.ties == found.pins == found.walls == found.findings == ()
