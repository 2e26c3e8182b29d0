"""Laws of the drains on random yards, under turning and mirroring, and under planted faults."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from lawbook.case import Case, plan
from lawbook.water_laws import Wet, broken_water
from lawbook.whole import Whole
from lynchet.core.findings import Verdict
from lynchet.water import nets
from lynchet.water.bodies import pipe_bodies
from lynchet.water.model import Body, Drain, SolidPipe, Water
from lynchet.water.problem import Laid, Net, Problem
from lynchet.water.routes import Pipe, crosses
from lynchet.water.settings import settings_of
from lynchet.water.stage import water
from measured_yards import measured_plan
from random_yards import Placing, crooked, realistic
from yards import ell, rectangle

SEEDS = range(100, 124)
CROOKED = range(6)


@cache
def _realistic(seed: int) -> tuple[Case, Water | None]:
    case = plan(*realistic(seed))
    return case, None if case.refused else _water(case)


def _water(case: Case, beam: int = 1) -> Water:
    return water(case.project, case.ground, case.terraces, case.walls, beam)


@pytest.mark.parametrize("seed", SEEDS)
def test_laws_hold_on_realistic_yards(seed: int) -> None:
    """No law of the drains is broken, whether or not a chain is refused."""
    case, made = _realistic(seed)
    if made is not None:
        assert broken_water(Wet(case, made)) == []


@pytest.mark.parametrize("seed", CROOKED)
def test_laws_hold_on_crooked_yards(seed: int) -> None:
    """The same on yards meant to break things."""
    case = plan(*crooked(seed))
    if not case.refused:
        assert broken_water(Wet(case, _water(case))) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_every_refusal_names_level_place_and_help(seed: int) -> None:
    """A chain without a way out is a stop that tells leg, station, level and what would do; nothing else refuses it."""
    _, made = _realistic(seed)
    if made is None:
        return
    stops = {f.place: f for f in made.findings if f.code == "water.no_way_out"}
    assert set(stops) == {refused.chain for refused in made.refused}
    for refused in made.refused:
        finding = stops[refused.chain]
        assert finding.verdict is Verdict.STOP and finding.cures and finding.withholds
        assert refused.leg in finding.text and finding.demand == refused.highest_outlet_m
        chain = made.chain(refused.chain)
        assert refused.highest_outlet_m <= max(node.ceiling_m for node in chain.nodes) + 1e-9
        assert not [drain for drain in made.drains if drain.chain == refused.chain]


@pytest.mark.parametrize("seed", [28, 104])
def test_no_question_is_asked_twice_of_one_net(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a chain finds no way out the net is grown again and again: never is a chain laid twice after the same
    others, in the same pipes, under the same settings."""
    (case, _), asked, layouts_of = _realistic(seed), [], nets.layouts_of

    def seen(problem: Problem, number: int, net: Net, width: int) -> list[Laid]:
        asked.append((problem.yard.settings, number, net.refused, [laid.chain for laid in net.laid], net.pipes))
        return layouts_of(problem, number, net, width)

    monkeypatch.setattr(nets, "layouts_of", seen)
    made = _water(case)
    assert made.refused and len(asked) > len(made.chains)
    assert len(set(map(repr, asked))) == len(asked)


@pytest.mark.parametrize("make", [rectangle, ell])
def test_fixed_yards_are_drained(make: Callable[[], tuple]) -> None:  # type: ignore[type-arg]
    """The plain yards find a way out for every chain at both efforts, and the wider beam never costs more here."""
    case = plan(*make())
    narrow, wide = _water(case, 1), _water(case, 6)
    for made in (narrow, wide):
        assert not made.refused and broken_water(Wet(case, made)) == []
    assert wide.quantities.cost_points <= narrow.quantities.cost_points + 1e-6


def _told(made: Water) -> tuple[object, ...]:
    q = made.quantities
    return (
        tuple(chain.id for chain in made.chains),
        tuple((d.id, d.sink_kind, d.into) for d in made.drains),
        tuple((n.id, round(n.station_m, 4)) for n in made.notches),
        tuple(r.chain for r in made.refused),
        q.outlets,
        q.fittings,
        round(q.cost_points, 3),
        round(q.stone_m3, 4),
    )


@pytest.mark.parametrize("seed", [3, 7, 12, 19, 26, 31])
def test_turned_mirrored_shifted_yards_are_drained_alike(seed: int) -> None:
    """The same yard lying otherwise in the file gives the same drains, notches, counts and cost."""
    places = [Placing(), Placing(0.93), Placing(0.0, True), Placing(2.1, True, (3500.0, -1200.0))]
    told = []
    for placing in places:
        case = plan(*realistic(seed, placing))
        told.append(case.refused[:20] if case.refused else _told(_water(case)))
    assert told.count(told[0]) == len(told)


def _with_pipe(made: Water, name: str, kind: str, pipe: Drain | SolidPipe) -> tuple[Body, ...]:
    settings = settings_of(replace(_drain_wish(), bore_m=pipe.bore_m, outside_m=pipe.outside_m))
    kept = [body for body in made.bodies if body.part_of != name or body.kind not in ("drain pipe", "solid pipe")]
    return (*kept, *pipe_bodies(name, kind, pipe.points_m, pipe.inverts_m, settings))  # type: ignore[arg-type]


def _drain_wish():  # type: ignore[no-untyped-def]
    return rectangle()[0].drain


def _change_drain(made: Water, case: Case, shift_m: float, raise_m: float) -> Water:
    drain = max(made.drains, key=lambda d: len(d.points_m))
    chain = made.chain(drain.chain)
    points = []
    for node, point in zip(drain.nodes, drain.points_m, strict=True):
        leg = case.walls.leg(chain.nodes[node].leg)
        held = next(e.held for e in chain.edges if e.leg == leg.id)
        points.append((point[0] - held * shift_m * leg.normal[0], point[1] - held * shift_m * leg.normal[1]))
    moved = replace(drain, points_m=tuple(points), inverts_m=tuple(y + raise_m for y in drain.inverts_m))
    drains = tuple(moved if d is drain else d for d in made.drains)
    return replace(made, drains=drains, bodies=_with_pipe(made, drain.id, "drain pipe", moved))


def _pipe_into_timber(made: Water, case: Case) -> Water:
    return _change_drain(made, case, 0.20, 0.0)


def _invert_raised(made: Water, case: Case) -> Water:
    return _change_drain(made, case, 0.0, 0.40)


def _pipe_flattened(made: Water, case: Case) -> Water:
    drain = max(made.drains, key=lambda d: len(d.points_m))
    flat = replace(drain, inverts_m=(drain.inverts_m[drain.sink],) * len(drain.inverts_m))
    return replace(made, drains=tuple(flat if d is drain else d for d in made.drains))


def _notch_lost(made: Water, case: Case) -> Water:
    return replace(made, notches=made.notches[1:])


def _notch_moved(made: Water, case: Case) -> Water:
    notch = made.notches[0]
    leg = case.walls.leg(notch.leg)
    moved = tuple((x + 0.2 * leg.direction[0], y + 0.2 * leg.direction[1]) for x, y in notch.outline_m)
    return replace(made, notches=(replace(notch, station_m=notch.station_m + 0.2, outline_m=moved), *made.notches[1:]))


def _outlet_buried(made: Water, case: Case) -> Water:
    outlet = made.outlets[0]
    return replace(made, outlets=(replace(outlet, invert_m=outlet.invert_m - 0.2), *made.outlets[1:]))


def _drain_lost(made: Water, case: Case) -> Water:
    drain = max(made.drains, key=lambda d: len(d.points_m))
    return replace(made, drains=tuple(d for d in made.drains if d is not drain))


def _flow_lost(made: Water, case: Case) -> Water:
    outlet = made.outlets[0]
    return replace(made, outlets=(replace(outlet, flow_l_s=outlet.flow_l_s * 0.9), *made.outlets[1:]))


def _solid_crosses(made: Water, case: Case) -> Water:
    """A solid pipe laid straight over the longest drain, at its level."""
    drain = max(made.drains, key=lambda d: len(d.points_m))
    k = max(range(len(drain.points_m) - 1), key=lambda i: abs(drain.points_m[i + 1][0] - drain.points_m[i][0]))
    (ax, ay), (bx, by) = drain.points_m[k], drain.points_m[k + 1]
    middle, way = ((ax + bx) / 2, (ay + by) / 2), (by - ay, ax - bx)
    size = 0.5 / (way[0] ** 2 + way[1] ** 2) ** 0.5
    ends = tuple((middle[0] + f * size * way[0], middle[1] + f * size * way[1]) for f in (-1, 1))
    level = (drain.inverts_m[k] + drain.inverts_m[k + 1]) / 2
    stray = pipe_bodies("stray", "solid pipe", ends, (level, level), settings_of(_drain_wish()))
    return replace(made, bodies=(*made.bodies, *stray))


def _level_sunk(made: Water, case: Case) -> Water:
    row = next(r for r in made.levels if r.drained == "pipe")
    sunk = replace(row, all_shut_m=row.wet_m - 0.1)
    return replace(made, levels=tuple(sunk if r is row else r for r in made.levels))


FAULTS = [
    _pipe_into_timber, _invert_raised, _pipe_flattened, _notch_lost, _notch_moved, _outlet_buried, _drain_lost,
    _flow_lost, _solid_crosses, _level_sunk,
]  # fmt: skip


@cache
def _sound() -> tuple[tuple[Case, Water], ...]:
    """Both plain yards, drained and free of faults."""
    yards = tuple((case, _water(case)) for case in (plan(*make()) for make in (rectangle, ell)))
    assert all(broken_water(Wet(case, made)) == [] for case, made in yards)
    return yards


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f.__name__.strip("_"))
def test_planted_faults_are_caught(fault: Callable[[Water, Case], Water]) -> None:
    """Each law bites: a fault put into a sound plan breaks at least one, on both plain yards."""
    for case, made in _sound():
        assert broken_water(Wet(case, fault(made, case)))


def test_no_pipe_comes_round_the_one_it_runs_into() -> None:
    """Along x lies a pipe: one that comes down to it from its own side joins it; one that crosses it a hand before and
    comes back from the other side does not; what crosses far off is looked at by level elsewhere."""
    other = Pipe("B1/A0/1", ((-3.0, 0.0), (3.0, 0.0)), (0.1, 0.0))
    end = (0.0, 0.0)
    own_side = Pipe("B2/A2/1", ((-0.5, 1.0), (-0.2, 0.3), end), (0.2, 0.12, 0.1))
    round_it = Pipe("B2/A2/1", ((-0.25, 1.0), (-0.25, -0.25), (0.0, -0.25), end), (0.2, 0.14, 0.12, 0.1))
    far_off = Pipe("B2/A2/1", ((-1.0, 1.0), (-1.0, -0.25), (0.0, -0.25), end), (0.5, 0.45, 0.12, 0.1))
    assert [crosses(pipe, other, end) for pipe in (own_side, round_it, far_off)] == [False, True, False]


def test_a_yard_where_one_did() -> None:
    """Its pipe crossed the other at its level 0.23 m before they merged."""
    plan = measured_plan(96120)
    assert broken_water(Wet(Whole(plan).case, plan.water)) == []
