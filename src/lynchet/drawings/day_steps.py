"""The steps of a day in their order, verb first, each with the caution and the look that belong to it."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from lynchet.drawings.day_amounts import amounts_of, wrapped
from lynchet.drawings.day_cut_offs import stone_sentences
from lynchet.drawings.day_figures import by_wall, marks
from lynchet.drawings.day_landings import landing_sentences
from lynchet.drawings.day_packing import packed_steps, packed_walls
from lynchet.drawings.day_places import Naming, place_of
from lynchet.drawings.day_tools import clear_of_wall
from lynchet.drawings.day_weeps import standing_holes, weep_sentences
from lynchet.drawings.letters import printable
from lynchet.drawings.pipes_under import reached_pipes
from lynchet.plan.building_days import days_of
from lynchet.plan.day_lifts import lift_tops, under_soil
from lynchet.plan.day_parts import DayParts, Share
from lynchet.plan.day_readings import base_depth_m
from lynchet.terraces.step_frames import STEP_STONE_M
from lynchet.walls.seen import all_seen
from lynchet.water.under_beds import STUB_M, kept_words, pipes_under_beds
from lynchet.works.bank_cover import mat_m2
from lynchet.works.volumes import REST
from lynchet.works.wall_parts import length_of

_CAUTIONS = {
    "topsoil": "topsoil", "trench": "trench", "pipe trench": "trench", "bench": "bench", "first course": "timber",
    "courses": "timber", "steps": "timber", "drain": "drain", "fill": "fill", "haul away": "haul_away",
    "plants": "plants", "clear up": "sawdust",
}  # fmt: skip
"""The caution beside the act."""
_LEVELS = 3
"""Heights of fill told for a day, of walls that stand to different levels."""
_OUTSIDE = frozenset({"pipe trench", "drain"})
"""Kinds that are told otherwise where they belong to no terrace: pipes of roofs and springs."""
_SAID = frozenset({"first course", "courses"})
"""Kinds whose pieces are named, so that a part of them needs no other words."""


@dataclass(frozen=True)
class DayStep:
    """One thing to do."""

    text: str
    more: tuple[str, ...] = ()
    """How it is done, sentence by sentence."""
    caution: str = ""
    look: str = ""
    """What to see before going on; empty where nothing, or where it is the day's hold point."""
    task: str = ""
    """Id of its task."""
    hold: bool = False
    """The day's hold point stands between it and the next."""
    part: int = 0
    """Which of several acts of its task, from 1; 0 for the only one."""


def steps_of_day(named: Naming, today: DayParts, hold: str) -> tuple[DayStep, ...]:
    """The steps.

    Args:
        named: names of the plan.
        today: what is done.
        hold: id of the task whose hold point stands by itself.
    """
    warned: dict[str, int] = {}  # again only where more hands are called for
    found: list[DayStep] = []
    for share in today.shares:
        kind = share.task.kind
        caution = _caution(named, share)
        people, said = _people(named, today, share) if caution == "timber" else 1, ""
        if caution and people > warned.get(caution, 0):
            warned[caution] = people
            said = named.words(f"day.caution.{caution}", clear=clear_of_wall(named), lift=_lift(named, people))
        look = share.task.id in today.day.holds and share.task.id != hold
        text = named.words("day.look." + kind.replace(" ", "_"), off=named.level_off) if look else ""
        if look and share.task.inspect:
            text = f"{text} {named.words('day.hold.inspect')}"
        # Of stone or fill left over from the evening before, the look comes after the last of it.
        last = share is [one for one in today.shares if one.task.id == share.task.id][-1]
        found += _acts(named, today, share, DayStep("", (), said, text if last else "", share.task.id,
                                                    last and share.task.id == hold))  # fmt: skip
    return tuple(found)


def _caution(named: Naming, share: Share) -> str:
    """Which caution belongs to the act; none of a drain under no wall, nor of sawdust where no timber is cut."""
    kind = share.task.kind
    idle = (kind == "drain" and not share.task.terrace) or (kind == "clear up" and not named.plan.walls.runs)
    idle |= kind == "bench" and share.task.terrace in named.dug_for_soil  # nobody can fall there
    return "" if idle else _CAUTIONS.get(kind, "")


def _acts(named: Naming, today: DayParts, share: Share, whole: DayStep) -> Iterator[DayStep]:
    """What is done of one task as acts to tick one by one: the caution before the first, look and hold after the last.

    More than one act: what is marked before the work begins, the point levels count from, drop zone, every heap; and
    what is cut in timber that stands before anything is laid behind it.
    """
    before = [standing_holes(named, share)]
    if share.task.kind == "drain":
        before.append(tuple(_notches_sawn(named, today, share)))
    goes_on = share.task.kind in ("first course", "courses") and not share.lays  # a piece that takes longer than a day
    told = (named.words("day.step_goes_on"),) if goes_on else tuple(_sentences(named, today, share))
    acts = [*filter(None, before), told]
    if share.task.kind == "set up":
        acts += [(text,) for text in (named.mark_at, *named.drop_zone, *_heaps_marked(named), named.banks) if text]
    for n, (first, *more) in enumerate(acts, start=1):
        end = n == len(acts)
        yield replace(whole, text=first, more=tuple(more), caution="" if n > 1 else whole.caution,
                      look=whole.look if end else "", hold=whole.hold and end, part=n * (len(acts) > 1))  # fmt: skip


def _sentences(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    words, kind, name = named.words, share.task.kind, _told_as(named, today, share)
    values = _values(named, today, share)
    carried = f"{words('day.carry', mark=named.mark)} " if kind == "set out" and named.carried else ""
    ties_alone = kind == "courses" and not values["marks"]
    told = [] if ties_alone else words.many(f"day.step.{name}")
    # The fabric is folded over the last lift of the stone alone.
    for n, text in enumerate(told if kind != "stone" or share.last == share.of else told[:1]):
        said = (carried if n == 0 else "") + text.format(**values)
        yield _part(named, share, said) if n == 0 and kind not in _SAID else said
        if n == 0:
            yield from stone_sentences(named, today, share)
        if n == 0 and share.top_m is not None:
            yield _no_higher(named, today, share, share.top_m)
            yield from _under_soil(named, share)
    deep = named.plan.project.planting.compost_m
    if name == "bed_soil" and deep > 0:
        yield words("day.compost", deep=named.digging(deep))
    if kind == "drain":
        yield from _of_drain(named, today, share)
    yield from _pits(named, today, share)
    if kind == "plants":
        yield from _pipes_here(named, share)
        if _drip_line(named, share):
            yield words("day.drip")
    if name == "topsoil_back" and mat_m2(named.plan.walls) > 0.0:
        yield from words.many("day.step.bank_ends" if named.plan.walls.bank_ends else "day.step.bank_mat")
    if kind == "clear up" and named.plan.water.outlets:
        yield words("day.run_outlets")
    if kind == "steps":
        yield from _of_steps(named, today, share)
    if name == "trench" and _standing_walls(named, share):
        yield words("day.trench_stands", walls=", ".join(_standing_walls(named, share)))
    yield from (*packed_walls(named, share), *landing_sentences(named, share), *weep_sentences(named, share))
    higher = [named.marks[name] for name in share.lays if kind == "first course" and named.rows[name] > 1]
    if higher:
        yield words("day.step_up", marks=_marks(higher))
    if kind == "courses":
        ties = [named.ties[name] for name in share.lays if name in named.ties]
        if ties:
            yield from (text.format(marks=marks(ties)) for text in words.many("day.step.ties"))


def _of_steps(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """What boxes of steps lie on: stone on the ground, packing on one another."""
    yield named.words("day.step_stone", deep=named.size(STEP_STONE_M))
    yield from packed_steps(named, today, _flights(named, today, share))


def _told_as(named: Naming, today: DayParts, share: Share) -> str:
    """Which text tells a task: that of its kind, or of a kind of its own."""
    kind = share.task.kind
    if kind == "bed soil" and share.task.id.startswith(f"{REST}/"):
        return "topsoil_back"
    if kind == "bench" and share.task.terrace in named.dug_for_soil:
        return "bench_dug"
    if kind == "stone" and wrapped(named, today, "stone") & {share.task.terrace}:
        return "stone_dry"
    if kind == "steps" and not _boxed(named, today, share):
        return "steps_solid"
    if kind == "trench" and not any(task.id == f"{share.task.terrace}/base" for task in named.plan.works.tasks):
        return "trench_pipes"
    return kind.replace(" ", "_") + ("_outside" if kind in _OUTSIDE and not share.task.terrace else "")


def _standing_walls(named: Naming, share: Share) -> list[str]:
    """Walls of a share's stage whose lowest timber stands all along, so that no trench is dug for them."""
    plan, stands = named.plan, named.plan.walls.standing.stands
    legs = (plan.walls.leg(name) for name in share.task.legs) if plan.standing.any_stands else ()
    return [leg.id for leg in legs if leg.segments and all(
        stands(leg.id, part.base, (part.start_m + part.end_m) / 2.0) for part in leg.segments
    )]  # fmt: skip


def _pits(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """Soakaways dug and filled with a share."""
    days = days_of(named.plan) if named.plan.water.soakaways else None
    names = [thing.owner for thing in days.things if thing.kind == "soakaway"
             and days.coming[thing.id].task == share.task.id
             and days.day_of(thing.id) == today.day.number] if days else []  # fmt: skip
    if names:
        yield named.words("day.pit", names=", ".join(map(printable, names)))


def _of_drain(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """Stone round the mouth, and trenches through beds."""
    if amounts_of(named, today).apron_m3 > 0.0:
        yield named.words("day.apron")
    yield from _through_beds(named, today, share)


def _through_beds(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """Pipes without holes begun today that run through ground of beds: trenches of their own, closed the same day."""
    runs = _runs(named, _begun(named, today, share))
    if runs:
        dug = any(task.id == f"{share.task.terrace}/pipe trench" for task in named.plan.works.tasks)
        yield named.words("day.pipe_cover" if dug else "day.pipe_trench", runs=runs)


def _runs(named: Naming, pipes: Container[str]) -> str:
    """Where pipes run through beds, each with its length there and how deep; empty where none does."""
    plan = named.plan
    return "; ".join(
        named.words("day.pipe_run", pipe=named.pipes[one.pipe], bed=one.bed, long=named.digging(one.length_m),
                    deep=named.digging(one.deepest_m))
        for one in pipes_under_beds(plan.terraces, plan.water.solids)
        if one.pipe in pipes and one.length_m > STUB_M
    )  # fmt: skip


def _runs_of(named: Naming, share: Share) -> str:
    """Where the pipes run for which a trench is dug; those of roofs and springs by name and length."""
    if share.task.terrace:
        return _runs(named, _of_stage(named, share)) if share.task.kind == "pipe trench" else ""
    water = named.plan.water
    return ", ".join(named.words("day.pipe_led", pipe=named.pipes[pipe.id], long=named.long(length_of(pipe.points_m)))
                     for pipe in water.led_away)  # fmt: skip


def _of_stage(named: Naming, share: Share) -> set[str]:
    """Pipes without holes that the drain of a stage brings."""
    days, drain = days_of(named.plan), f"{share.task.terrace}/drain"
    return {thing.owner for thing in days.things if thing.kind == "solid pipe" and days.coming[thing.id].task == drain}


def _begun(named: Naming, today: DayParts, share: Share) -> set[str]:
    """Pipes without holes of which the first part is laid today with a share."""
    days = days_of(named.plan)
    begun: dict[str, int] = {}
    for thing in days.things:
        if thing.kind == "solid pipe" and days.coming[thing.id].task == share.task.id:
            day = days.day_of(thing.id)
            begun[thing.owner] = min(day, begun.get(thing.owner, day))
    return {name for name, day in begun.items() if day == today.day.number}


def _notches_sawn(named: Naming, today: DayParts, share: Share) -> Iterator[str]:
    """Openings for the pipes begun today in timber that stands, where none is known to be."""
    plan = named.plan
    if not plan.standing.any_stands:
        return
    drains = {solid.drain for solid in plan.water.solids if solid.id in _begun(named, today, share)}
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    rows = []
    for notch in plan.water.notches:
        known = plan.standing.leg(notch.leg)
        closed = known.closed(notch.courses, notch.station_m, plan.project.drain.outside_m / 2) if known else []
        if closed and notch.drain in drains:
            low = plan.walls.leg(notch.leg).lowest_course
            rows.append(named.words("day.notch_row", wall=notch.leg, wide=named.size(notch.width_m),
                                    rows=", ".join(str(course - low + 1) for course in closed),
                                    at=named.tape(seen[notch.leg].along(notch.station_m))))  # fmt: skip
    if rows:
        yield named.words("day.notches", rows="; ".join(rows))


def _pipes_here(named: Naming, share: Share) -> Iterator[str]:
    """Pipes that a spade can reach in the bed planted."""
    bed = share.task.id.split("/")[0]
    names = [pipe.name for pipe, one in reached_pipes(named.plan) if one.bed == bed]
    if names:
        yield named.words("day.pipes_reached", pipes=", ".join(names), kept=kept_words(named.system))


def _no_higher(named: Naming, today: DayParts, share: Share, top_m: float) -> str:
    """How high stone or fill may rise today: at each wall no higher than it stands, the lowest first."""
    words, tops = named.words, lift_tops(named.plan, today.day.number, share)
    levels = _by_level(named, tops)
    if len(levels) < 2:
        return words("day.lift", level=next(iter(levels), _level(named, top_m)))
    rest = words("day.lift_rest") if len(levels) > _LEVELS else ""
    return words("day.lift", level=_said_at(named, levels) + rest)


def _under_soil(named: Naming, share: Share) -> Iterator[str]:
    """Where fill stops short of the timber, for the soil of a bed."""
    levels = _by_level(named, under_soil(named.plan, share), named.ground)
    if levels:
        said = next(iter(levels)) if len(levels) == 1 else _said_at(named, levels)
        yield named.words("day.lift_soil", level=said)


def _by_level(
    named: Naming, levels: Mapping[str, float], told: Callable[[float], str] | None = None
) -> dict[str, list[str]]:
    """Walls or beds by their level as it is told, the lowest first."""
    found = dict[str, list[str]]()
    for name, level in sorted(levels.items(), key=lambda one: one[1]):
        found.setdefault(_level(named, level, told), []).append(printable(name))
    return found


def _said_at(named: Naming, levels: Mapping[str, list[str]]) -> str:
    said = [named.words("day.lift_at", level=level, walls=", ".join(names)) for level, names in levels.items()]
    return "; ".join(said[:_LEVELS])


def _level(named: Naming, level_m: float, told: Callable[[float], str] | None = None) -> str:
    """ "1 ft 2 1/2 in below the mark"; where nothing else is asked, to the mark timber is laid to."""
    below = named.plan.walls.setting_out.benchmark_m - level_m
    return named.words("day.lift_below" if below >= 0 else "day.lift_above", size=(told or named.tape)(abs(below)))


def _drip_line(named: Naming, share: Share) -> bool:
    bed = share.task.id.split("/")[0]
    return any(row.bed == bed and row.drip_line_m > 0.0 for row in named.plan.planted.water)


def _people(named: Naming, today: DayParts, share: Share) -> int:
    """How many lift the heaviest timber of a share: two, or as many as its weight asks for."""
    mine = {*share.lays, *(f"{name}/cross" for name in share.lays)}
    if share.task.kind == "steps":
        flights = _flights(named, today, share)
        mine |= {piece.id for piece in today.treads if piece.flight in flights}
    return max((2, *(one.people for one in named.plan.timber.weights if one.piece in mine)))


def _lift(named: Naming, people: int) -> str:
    """How many lift; who is not here is called."""
    crew = named.plan.works.programme.crew
    if people > crew:
        return named.words("day.lift_help", people=people, more=people - crew)
    return named.words("day.lift_many", people=people) if people > 2 else named.words("day.lift_two")


def _heaps_marked(named: Naming) -> tuple[str, ...]:
    """Each heap of the plan with its place and the size of its foot."""
    return tuple(filter(None, (named.heap(name, marked=True) for name in ("heap", "topsoil heap"))))


def _heaps(named: Naming, today: DayParts, share: Share) -> str:
    """Where topsoil goes: once on every day it is stripped, but for the one on which its heap is marked."""
    told = share.task.kind == "topsoil" and not today.share("set up") and share is today.share("topsoil")[0]
    return named.heap("topsoil heap") if told else ""


def _values(named: Naming, today: DayParts, share: Share) -> dict[str, object]:
    laid = [named.marks[name] for name in share.lays if name in named.marks]
    return {
        "where": place_of(named, [share]),
        "depth": named.digging(base_depth_m()),
        "topsoil": named.digging(named.plan.project.digging.topsoil_m),
        "heaps": _heaps(named, today, share),
        "marks": _marks(laid),
        "flights": ", ".join(named.flight_at(name) for name in _flights(named, today, share)),
        "count": today.plants.get(share.task.id.split("/")[0], 0),
        "barrows": named.barrows(share.quantity) if share.task.measure == "m3" else "",
        "runs": _runs_of(named, share) if share.task.kind in _OUTSIDE else "",
    }


def _marks(names: Sequence[str]) -> str:
    """Pieces by wall: "W2 1a–1c; A0 1b"."""
    return "; ".join(f"{wall} {marks(rows)}" for wall, rows in by_wall(names))


def _flights(named: Naming, today: DayParts, share: Share) -> tuple[str, ...]:
    """Flights of which timbers are laid today with one task."""
    names = dict.fromkeys(piece.flight for piece in today.treads)
    return tuple(name for name in names if named.built.of_flight(name) == share.task.terrace)


def _boxed(named: Naming, today: DayParts, share: Share) -> bool:
    """Whether a flight of today has room between its timbers, where soil goes in."""
    flights = _flights(named, today, share)
    return any(piece.flight in flights and piece.hollow for piece in named.plan.timber.steps)


def _part(named: Naming, share: Share, text: str) -> str:
    if share.whole:
        return text
    if share.first == share.last:
        return named.words("day.step_part", text=text, first=share.first, of=share.of)
    return named.words("day.step_parts", text=text, first=share.first, last=share.last, of=share.of)
