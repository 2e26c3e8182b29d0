"""Sizes and prices the drains are laid out by, each with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from lynchet.project.model import DrainWish
from lynchet.walls.limits import NO_STONE_M
from lynchet.water.pipe_flow import full_flow_m3_s

NOTCH_M = 0.15
"""Width of a notch for a usual pipe. PRACTICE."""
_SHALLOW_M = 0.10
"""Cover where the usual one leaves no way out. PRACTICE."""
_LONG_MOUND_M = 10.0
"""Length of earth heaped over the end of a pipe where nothing shorter leads out. PRACTICE."""
NOTCH_SIDE_M = 0.015
"""Room at either side of a pipe in its notch, at the least. PRACTICE."""


@dataclass(frozen=True)
class Settings:
    """Everything a drain layout turns on. Lengths in metres; costs in points that stand for money."""

    bore_m: float
    outside_m: float
    fall: float
    """Least fall of any pipe. 1 %: PRACTICE; 1/8 in per ft in plumbing codes, 0.15 % at the very least in UFC 3-270-04
    (2001), 12.6."""
    stone_width_m: float
    roughness: float = 0.015
    """Manning's n of corrugated plastic pipe, as drains are. MEMORY."""
    smooth_roughness: float = 0.011
    """The same of smooth-walled plastic pipe, as the solid pipes are. MEMORY."""
    stone_bed_m: float = 0.15
    """Stone under the lowest course. PRACTICE."""
    stone_under_m: float = 0.05
    """Stone under the pipe: 2 in, International Residential Code R405.1."""
    cover_m: float = 0.15
    """Earth over the crown, and over the stone. PRACTICE."""
    drop_m: float = 0.05
    """Free fall at the mouth on a stone apron. PRACTICE."""
    least_held_m: float = NO_STONE_M
    """Steps of level up to this need no drain. PRACTICE."""
    stone_only_m: float = 0.30
    """Up to this held height stone alone may drain. PRACTICE."""
    pipe_from_m: float | None = None
    """Where the file says so, a pipe is laid behind lower ground too wherever it finds a way out."""
    named_only: bool = False
    """Water leaves by the outlets and soakaways of the file alone."""
    stone_last_m: float = 0.35
    """Where no pipe finds a way out, stone alone may stay up to this held height; it counts as full of water. The
    height up to which the design lets a bare wall stand with its drain shut. PRACTICE."""
    stone_short_m: float = 0.45
    """The same for a short length."""
    stone_short_length_m: float = 3.0
    pond: float = 0.5
    """Highest invert above the low ground as a share of the held height. PRACTICE."""
    notch_m: float = NOTCH_M
    """Width of a notch, as drawn for a pipe of 100 mm (4 in); a thicker one has a wider notch."""
    notch_play_m: float = 0.005
    """Play under and over the pipe in a notch."""
    notches_apart_m: float = 0.30
    """Least timber between two notches of a leg."""
    ring_m: float = 0.45
    """Solid pipe outside runs this far off the outline, beyond the stone of a bank."""
    mouth_m: float = 0.10
    """A pipe through a wall reaches this far past the timber."""
    tail_bare_m: float = 1.2
    """The last part of a tail may come out of the ground."""
    tail_mound_m: float = 3.0
    """With earth heaped over it, so much of its end may. PRACTICE."""
    house_mouth_m: float = 1.5
    """Outlet to house at least. PRACTICE."""
    pours_m: float = 1.5
    """An outlet that pours toward a lot line within this distance points over it. PRACTICE."""
    clear_m: float = 0.05
    """Clear of a pipe to timber and to other pipes that it does not meet."""
    ground_reach_m: float = 0.75
    """How far beyond the measured ground its level is taken as that of the nearest measured edge. PRACTICE."""
    overlap_m: float = 0.30
    """Overlap of fabric."""
    cleanout_m: float = 15.0
    """Cleanout at every upper end and each so many metres. UFC 3-270-04 (2001), 12.6 (ends); PRACTICE."""
    cost_outlet: float = 30.0
    cost_notch: float = 12.0
    cost_sawn: float = 60.0
    """For each course that stands and must be sawn where an opening that stands would do. PRACTICE."""
    cost_beside: float = 20.0
    """For a notch beside a joint that stands, nearer than joints of two courses are apart at least. PRACTICE."""
    cost_solid: float = 9.0
    share_named: float = 0.5
    """Share of that a pipe to an outlet or soakaway of the file counts with. PRACTICE."""
    cost_wye: float = 8.0
    cost_drop: float = 8.0
    cost_mound: float = 10.0
    cost_high_point: float = 14.0
    cost_raise: float = 25.0
    cost_stone_only: float = 15.0
    cost_stone_last: float = 40.0

    @cached_property
    def unpiped_m(self) -> float:
        """Up to this held height stone alone is a choice; above it only where no pipe finds a way out."""
        return self.stone_only_m if self.pipe_from_m is None else min(self.stone_only_m, self.pipe_from_m)

    @cached_property
    def radius_m(self) -> float:
        """Half the outside diameter."""
        return self.outside_m / 2

    @cached_property
    def wall_m(self) -> float:
        """Thickness of the pipe's own wall: the invert lies this much above the underside."""
        return (self.outside_m - self.bore_m) / 2

    @cached_property
    def solid_carries_l_s(self) -> float:
        """What solid pipe at the least fall carries, running full."""
        return 1000.0 * float(full_flow_m3_s(self.bore_m, self.fall, self.smooth_roughness))

    @cached_property
    def pipe_off_m(self) -> float:
        """From the face of the timber to the middle of the pipe."""
        return self.stone_width_m / 2


def settings_of(wish: DrainWish) -> Settings:
    """The settings a project asks for.

    Args:
        wish: the file's drain part.
    """
    return Settings(
        bore_m=wish.bore_m,
        outside_m=wish.outside_m,
        fall=wish.least_fall,
        stone_width_m=wish.stone_width_m,
        pipe_from_m=wish.pipe_from_m,
        named_only=wish.named_only,
        notch_m=max(NOTCH_M, wish.outside_m + 2.0 * NOTCH_SIDE_M),
    )


def gentle(settings: Settings) -> Settings:
    """With what may be given up where no way out is found: half the fall, a thinner cover, a longer mound at the end.

    Settings that have given it up already stay as they are.
    """
    if settings.tail_mound_m >= _LONG_MOUND_M:
        return settings
    return replace(settings, fall=settings.fall / 2, cover_m=_SHALLOW_M, tail_mound_m=_LONG_MOUND_M)
