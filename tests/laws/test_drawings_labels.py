"""Label places: no overlap whatever the scene, same answer whatever the order."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.drawings.display import Letters
from lynchet.drawings.label_tries import Wish
from lynchet.drawings.labels import MARGIN_MM, Scene, Spot, place
from lynchet.drawings.letters import width
from lynchet.drawings.model import Label, View
from lynchet.drawings.placing import place_labels

REGION = (20.0, 10.0, 320.0, 260.0)


def _scene(seed: int, count: int) -> tuple[list[Wish], Scene]:
    """Labels of 8 to 24 mm, six in ten along a few walls, some boxes and lines in the way."""
    rng = np.random.default_rng(seed)
    walls = [(rng.uniform(40, 120), rng.uniform(40, 230), rng.uniform(200, 300)) for _ in range(max(4, count // 12))]
    wishes = []
    for n in range(count):
        if rng.random() < 0.6:
            x0, y, x1 = walls[int(rng.integers(len(walls)))]
            at = (float(rng.uniform(x0, x1)), float(y))
        else:
            at = (float(rng.uniform(30, 310)), float(rng.uniform(20, 250)))
        wishes.append(Wish(f"L{n:03d}", at, (float(rng.uniform(8, 24)), 3.6), int(rng.integers(4))))
    boxes = tuple(
        (x, y, x + 14.0, y + 6.0) for x, y in zip(rng.uniform(30, 290, 6), rng.uniform(20, 240, 6), strict=True)
    )
    segments = np.array([(x0, y, x1, y) for x0, y, x1 in walls])
    return wishes, Scene(REGION, boxes, segments, tuple(f"wall{n}" for n in range(len(walls))))


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and a[2] > b[0] and a[1] < b[3] and a[3] > b[1]


def _crosses(leader: tuple[tuple[float, float], tuple[float, float]], box: tuple[float, float, float, float]) -> bool:
    """Many points of the leader, none of them inside: an independent, slower test."""
    (ax, ay), (bx, by) = leader
    shares = np.linspace(0, 1, 400)[1:-1]
    x, y = ax + shares * (bx - ax), ay + shares * (by - ay)
    eps = 1e-6
    return bool(((x > box[0] + eps) & (x < box[2] - eps) & (y > box[1] + eps) & (y < box[3] - eps)).any())


@pytest.mark.parametrize(
    ("seed", "count", "least"), [(1, 20, 1.0), (2, 60, 1.0), (3, 100, 0.97), (4, 200, 0.9), (5, 300, 0.8)]
)
def test_no_label_meets_another(seed: int, count: int, least: float) -> None:
    """In random scenes no text meets a text, a fixed box or a foreign leader, or leaves the region; most find room."""
    wishes, scene = _scene(seed, count)
    found = place(wishes, scene)
    assert set(found) == {wish.id for wish in wishes}
    spots: list[Spot] = [spot for spot in found.values() if spot]
    assert len(spots) >= least * count
    for n, one in enumerate(spots):
        assert REGION[0] <= one.box[0] and one.box[2] <= REGION[2]
        assert REGION[1] <= one.box[1] and one.box[3] <= REGION[3]
        assert not any(_meet(one.box, box) for box in scene.boxes)
        for two in spots[n + 1 :]:
            assert not _meet(one.box, two.box)
            for first, second in ((one, two), (two, one)):
                assert first.leader is None or not _crosses(first.leader, second.box)


def test_sparse_labels_all_find_the_best_place() -> None:
    """Labels far apart with nothing in the way stand at the upper right, without leaders."""
    wishes = [Wish(f"L{x}{y}", (40.0 + 60 * x, 40.0 + 60 * y), (12.0, 3.6)) for x in range(4) for y in range(3)]
    found = place(wishes, Scene(REGION))
    for wish in wishes:
        spot = found[wish.id]
        assert spot is not None and spot.ring == 0 and spot.cost == 0.0
        assert spot.box[0] > wish.anchor[0] and spot.box[3] <= wish.anchor[1]


def test_order_of_the_file_does_not_matter() -> None:
    """The same labels in another order stand in the same places."""
    wishes, scene = _scene(7, 80)
    there = place(wishes, scene)
    back = place(wishes[::-1], scene)
    assert there == back


def test_a_leader_does_not_cross_what_it_names_this_side_of() -> None:
    """Where the free place lies beyond a wall, the name of the next wall stands on its own side, farther off."""
    walls = np.array([[40.0, 96.0, 260.0, 96.0], [40.0, 100.0, 260.0, 100.0], [40.0, 106.0, 260.0, 106.0]])
    scene = Scene(REGION, (), walls, ("other-0", "mine-0", "edge-0"))
    free, barred = (place([Wish("a", (100.0, 100.0), (6.0, 6.0), bars=bars)], scene)["a"]
                    for bars in (frozenset[str](), frozenset({"other"})))  # fmt: skip
    assert free is not None and barred is not None
    assert free.box[3] < 96.0 and barred.box[1] > 100.0, "above the other wall; below its own"


def test_a_label_avoids_a_foreign_line_but_may_lie_on_its_own() -> None:
    """A line through the best place moves the label; its own line does not."""
    line = np.array([[40.0, 98.0, 160.0, 98.0]])
    foreign = place([Wish("a", (100.0, 100.0), (12.0, 3.6))], Scene(REGION, (), line, ("wall",)))["a"]
    own = place([Wish("a", (100.0, 100.0), (12.0, 3.6), own=frozenset({"wall"}))], Scene(REGION, (), line, ("wall",)))[
        "a"
    ]
    assert own is not None and own.cost == 0.0
    assert foreign is not None and foreign.crossings == 0
    assert foreign.box[1] - MARGIN_MM >= 98.0 or foreign.box[3] + MARGIN_MM <= 98.0


def test_a_label_without_room_is_left_for_the_key() -> None:
    """Where the whole region is taken the label gets no place rather than a bad one."""
    found = place([Wish("a", (100.0, 100.0), (12.0, 3.6))], Scene(REGION, (REGION,)))
    assert found == {"a": None}


@pytest.mark.parametrize(("wide_m", "stands"), [(1.0, True), (0.1, False)])
def test_a_name_bound_to_its_area_stands_in_it_or_not_at_all(wide_m: float, stands: bool) -> None:
    """In an area wide enough the name stands wholly inside; in one too narrow it is left out, with no leader to it."""
    ring = ((0.0, 0.0), (wide_m, 0.0), (wide_m, 0.3), (0.0, 0.3))
    label = Label(id="name", layer="labels", anchor=ring, kind="area", lines=("bed 1",), optional=True, inside=True)
    view = View("v", "section", 20, (label,), (0.0, 0.0, 200.0, 100.0), "", (0.0, 0.0), (20.0, 60.0))
    marks, _ = place_labels([label], view, [])
    words = [mark for mark in marks if isinstance(mark, Letters)]
    assert len(marks) == len(words) == stands
    for word in words:
        start = word.x - {"l": 0.0, "c": 0.5, "r": 1.0}[word.anchor] * width("bed 1", 2.5)
        assert start >= 20.0 and start + width("bed 1", 2.5) <= 20.0 + wide_m * 50.0


@pytest.mark.parametrize("close_m", [0.05, 0.3, 0.6])
def test_every_number_of_the_key_is_on_the_drawing(close_m: float) -> None:
    """Long names of sixty points in a heap do not find room: each has its text or its number, and none meets another;
    ring and leader of a number lead to its point."""
    labels = [
        Label(id=f"peg-{n}", layer="labels", anchor=(((n % 8) * close_m, (n // 8) * close_m),),
              lines=(f"corner {n} of the area",))
        for n in range(60)
    ]  # fmt: skip
    view = View("v", "plan", 100, tuple(labels), (20.0, 10.0, 180.0, 170.0), "", (0.0, 0.0), (100.0, 90.0))
    marks, placed = place_labels(labels, view, [])
    words = [mark for mark in marks if isinstance(mark, Letters)]
    numbers = [one.number for one in placed if one.number]
    told = {mark.text for mark in words}
    assert numbers and {str(number) for number in numbers} <= told and len(placed) == len(labels) == len(words)
    boxes = [mark.box() for mark in words]
    assert not any(_meet(a, b) for n, a in enumerate(boxes) for b in boxes[:n])
