"""A course of a wall from above: its pieces and joints, ties with cross-pieces, notches, and what lies behind it.

World of the picture: x = distance along the wall from the end that stands at the left, y = distance from its front.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

from lynchet.drawings.clipping import clip_area
from lynchet.drawings.detail_model import in_window
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import width
from lynchet.drawings.model import Area, Dim, Item, Line, Text
from lynchet.drawings.paper import largest_scale
from lynchet.drawings.wall_face import Face, Interval, timber_look
from lynchet.drawings.wall_facts import piece_marks
from lynchet.stability.model import Tie
from lynchet.walls.model import Piece

Point = tuple[float, float]
LEAST_SCALE = {"metric": 50, "us": 48}
LEAST_BEHIND_M = 0.55
_BEYOND_M = 0.35
_ROUND_TIES_M = 0.5
ABOVE_MM = 11.0
UNDER_MM = 9.0


def courses_from_above(face: Face) -> tuple[int, ...]:
    """Courses worth a look from above: those with most ties, three at most, the highest first; else one notched."""
    counts = Counter(tie.course for tie in face.plan.stability.ties_of(face.leg.id))
    if counts:
        return tuple(sorted(sorted(counts, key=lambda course: (-counts[course], -course))[:3], reverse=True))
    notched = sorted({course for notch in face.plan.water.notches_of(face.leg.id) for course in notch.courses})
    return tuple(notched[:1])


def ties_in(face: Face, course: int) -> tuple[Tie, ...]:
    """Ties of one course, from the left."""
    own = [tie for tie in face.plan.stability.ties_of(face.leg.id) if tie.course == course]
    return tuple(sorted(own, key=lambda tie: face.x(tie.station_m)))


def depth_m(face: Face, course: int) -> float:
    """From the front to behind the last cross-piece, or what is shown of the stone."""
    thick = face.leg.thickness_m
    own = [tie.length_m for tie in ties_in(face, course)]
    return thick + max([LEAST_BEHIND_M, *(length + 0.05 for length in own)])


def before_m(face: Face, course: int) -> float:
    """How far ties reach out at the front: where a wall holds the other side on a part of it."""
    ends = (y for tie in ties_in(face, course) for _, y in _ring(face, tie.cross_outline_m))
    lowest = min(ends, default=0.0)
    return 0.05 - lowest if lowest < 0.0 else 0.0


def stretch_of(face: Face, course: int, room_mm: float, figures: Figures) -> Interval:
    """What of a wall is shown: all of it, or where its ties are if the whole is too long for 1 : 50."""
    if face.length_m * 1000.0 / LEAST_SCALE[figures.system] <= room_mm:
        return 0.0, face.length_m
    ties = [x for tie in ties_in(face, course) for x, _ in _ring(face, tie.cross_outline_m)]
    if not ties:
        return 0.0, face.length_m
    return max(0.0, min(ties) - _ROUND_TIES_M), min(face.length_m, max(ties) + _ROUND_TIES_M)


def scale_from_above(stretch: Interval, room_mm: float, figures: Figures) -> int:
    """The largest scale, no larger than 1 : 50, at which a stretch fits."""
    return largest_scale((stretch[1] - stretch[0], 0.1), (room_mm, 1e9), figures.system, LEAST_SCALE[figures.system])


def row_of(face: Face, course: int) -> int:
    """The course as people count it on this wall."""
    return next(run.row for run in face.plan.walls.runs if run.leg == face.leg.id and run.course == course)


def above_items(face: Face, course: int, look: tuple[Interval, int], figures: Figures) -> Iterable[Item]:
    """Everything of one course from above, for a stretch of the wall at a scale."""
    (start, end), scale = look
    timber = [x for piece in _of_course(face, course) for x, _ in _ring(face, piece.outline_m)]
    low, high = max(start, min(timber)) - _BEYOND_M, min(end, max(timber)) + _BEYOND_M
    window = (low, -0.06, high, depth_m(face, course))
    yield from in_window(_behind(face), window)
    yield from in_window(_pieces(face, course, ((start, end), scale)), window)
    yield from _ties(face, course, (start, end), figures)
    yield from in_window(_notches(face, course), window)


def _local(face: Face, point: Point) -> Point:
    leg = face.leg
    left = (point[0] - leg.start_m[0]) * leg.normal[0] + (point[1] - leg.start_m[1]) * leg.normal[1]
    return face.x(leg.station_of(point)), left if face.held > 0 else leg.thickness_m - left


def _ring(face: Face, outline: Iterable[Point]) -> tuple[Point, ...]:
    return tuple(_local(face, point) for point in outline)


def _behind(face: Face) -> Iterable[Item]:
    """Drain stone and pipe of this wall."""
    water = face.plan.water
    for n, stone in enumerate(one for one in water.stone if one.leg == face.leg.id):
        yield Area(id=f"stone-{n:02d}", layer="hatches", rings=(_ring(face, stone.outline_m),), fill="stone",
                   hatch="stone small", pen="hair", role="mid", key="drain stone", of=stone.id)  # fmt: skip
    chains = {chain.id for chain in water.chains if any(edge.leg == face.leg.id for edge in chain.edges)}
    for drain in water.drains:
        for n, (a, b) in enumerate(pairwise(drain.points_m) if drain.chain in chains else ()):
            yield Line(id=f"pipe-{drain.id}-{n}", layer="water", pts=(_local(face, a), _local(face, b)), pen="outline",
                       dash="holes", role="water", bed_mm=1.1, key="pipe", of=drain.id)  # fmt: skip


def _pieces(face: Face, course: int, look: tuple[Interval, int]) -> Iterable[Item]:
    (start, end), scale = look
    marks = piece_marks(face.plan, face.leg)
    last = -1e9
    for piece in sorted(_of_course(face, course), key=lambda one: min(x for x, _ in _ring(face, one.outline_m))):
        ring = _ring(face, piece.outline_m)
        fill, key = timber_look(face, piece)
        yield Area(id=f"piece-{piece.id}", layer="walls", rings=(ring,), fill=fill, pen="outline", key=key,
                   of=piece.id)  # fmt: skip
        xs = [x for x, _ in ring]
        seen = max(start, min(xs)), min(end, max(xs))
        middle, half = sum(seen) / 2, (width(marks[piece.id], 2.8, "bold") / 2 + 0.6) * scale / 1000.0
        if middle - half > last and seen[1] - seen[0] > 0.05:
            last = middle + half
            at = (middle, max(-0.05, min(y for _, y in ring)))
            yield Text(id=f"mark-{piece.id}", layer="labels", at=at, anchor="c", text=marks[piece.id], h=2.8,
                       weight="bold", shift_mm=(0.0, 4.4))  # fmt: skip
    for piece in face.plan.pieces:
        ring = _ring(face, piece.outline_m)
        if piece.leg != face.leg.id and piece.course == course and _beside(face, ring):
            yield from _other(face, piece, ring)


def _of_course(face: Face, course: int) -> list[Piece]:
    return [piece for piece in face.plan.pieces if piece.leg == face.leg.id and piece.course == course]


def _beside(face: Face, ring: tuple[Point, ...]) -> bool:
    """Whether timber of another wall comes to this one within its length."""
    thick = face.leg.thickness_m
    return any(-thick < x < face.length_m + thick and -0.05 < y < thick + 0.05 for x, y in ring)


def _other(face: Face, piece: Piece, ring: tuple[Point, ...]) -> Iterable[Item]:
    """The end of a wall that meets this one, broken off a little way on."""
    near = face.leg.thickness_m + _BEYOND_M
    box = (-_BEYOND_M, -0.02, face.length_m + _BEYOND_M, near)
    for n, rings in enumerate(clip_area((ring,), box)):
        yield Area(id=f"other-{piece.id}-{n}", layer="walls", rings=rings, fill="paper", hatch="left over", pen="fine",
                   key="other wall", of=piece.id)  # fmt: skip


def _ties(face: Face, course: int, stretch: Interval, figures: Figures) -> Iterable[Item]:
    ties = ties_in(face, course)
    for tie in ties:
        yield Area(id=f"tie-{tie.id}", layer="ties", rings=(_ring(face, tie.outline_m),), fill="timber", pen="visible",
                   key="tie above", of=tie.id)  # fmt: skip
        yield Area(id=f"cross-{tie.id}", layer="ties", rings=(_ring(face, tie.cross_outline_m),), fill="timber",
                   pen="outline", key="tie above", of=tie.id)  # fmt: skip
    if not ties:
        return
    behind = [tie for tie in ties if not _in_front(face, tie)]
    longest = max(behind or ties, key=lambda tie: tie.length_m)
    ring = _ring(face, longest.cross_outline_m)
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    # The far edge of the cross-piece, the edge of the wall the tie starts from, and the side its figures stand on.
    far, start, side = (max(ys), face.leg.thickness_m, 1.0) if behind else (min(ys), 0.0, -1.0)
    wide, long = max(xs) - min(xs), abs(far - start)
    yield Dim(id="cross-length", layer="dimensions", pts=((min(xs), far), (max(xs), far)), along="h",
              values_m=(wide,), texts=(figures.length(wide, 8),), off_mm=5.0 * side)  # fmt: skip
    right = max([stretch[1], *(x for tie in ties for x, _ in _ring(face, tie.cross_outline_m))])
    yield Dim(id="tie-length", layer="dimensions", pts=((right, start), (right, far)), along="v",
              values_m=(long,), texts=(figures.length(long, 8),), off_mm=-9.0)  # fmt: skip


def _in_front(face: Face, tie: Tie) -> bool:
    """Whether a tie reaches out at the front: the wall holds the other side there."""
    return min(y for _, y in _ring(face, tie.cross_outline_m)) < 0.0


def _notches(face: Face, course: int) -> Iterable[Item]:
    for notch in face.plan.water.notches_of(face.leg.id):
        if course in notch.courses:
            a, b = face.span(*notch.stations_m)
            ring = ((a, 0.0), (b, 0.0), (b, face.leg.thickness_m), (a, face.leg.thickness_m))
            yield Area(id=f"notch-{notch.id}", layer="walls", z=2, rings=(ring,), fill="water tone", pen="thin",
                       role="water", key="notch", of=notch.id)  # fmt: skip
