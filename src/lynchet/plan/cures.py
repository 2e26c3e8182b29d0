"""Cures: edits of the project file that would help, each planned before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.cure_edits import EASE_CURES, LIKELY_CURES, SOIL_CODE, TOLD_CURES, WALL_CODES, WATER_CURES, cure_edits
from lynchet.plan.cure_nearer import nearer
from lynchet.plan.edge_cures import ENDS_SHORT, LEAST_LEFT
from lynchet.plan.effort import LIVE, Effort
from lynchet.plan.figures import Figures, figures
from lynchet.plan.flight_cures import of_steps, room_told
from lynchet.plan.model import Plan
from lynchet.plan.piece_cures import AS_LAID, PIECE_CURES, as_laid, eased
from lynchet.plan.pipeline import plan_project
from lynchet.plan.root_cures import ROOT_CODES, ROOT_CURE
from lynchet.plan.stone_cures import LOW_PIPES, STONE_CURES, lays_pipes, on_stone, pipes_told, rain_told
from lynchet.project.model import Project
from lynchet.terraces.flight_refusals import UNFIT
from lynchet.timber.short_pieces import SHORT_CODE
from lynchet.units.format import area, length, volume
from lynchet.water.named_outlets import NAMED_ONLY, NOT_NAMED, UNUSED

Edit = tuple[str, object]
Reread = Callable[[Sequence[Edit]], Project]
"""Gives the project with these edits laid over its file."""
MOST_ALONE, MOST_TOGETHER = 12, 3
"""Cures tried by themselves, and taken together, at most: more is another yard."""
FIELD = 4
"""So many of the best are tried beside those already taken."""
MOST_WHOLE = 2
"""So many of the cures told are planned with the same effort as the plan they mend, of the others it is said."""
MOST_FIRST, MOST_STOPS = 3, 3
"""Cures tried for a first look, and stops a plan may have for that."""
_MUCH_LEFT = 0.9
"""Ground to plant that is lost is told from a tenth on."""


@dataclass(frozen=True)
class Tried:
    """A cure with the plan it leads to."""

    cure: Cure
    after: Figures | None
    """None for what must be drawn by hand: its effect is computed on the wall alone."""
    helps: bool
    """No stop is left."""
    lack: float = 0.0
    """How far the walls stopped then still fall short, all together."""
    whole: bool = True
    """Whether it was planned with the effort of the plan it mends: then its figures are those of the plan with it."""

    def told(self, before: Figures, project: Project) -> Cure:
        """The cure with what it changes of a plan."""
        if self.after is None:
            return self.cure
        return replace(self.cure, effect=effect(before, self.after, project, "" if self.whole else "about "))


def tried_cures(plan: Plan, reread: Reread) -> list[Tried]:
    """Plan every cure and keep those that help: alone if any does, else several together.

    Args:
        plan: the plan with its stops.
        reread: reads the project with edits laid over.

    Returns:
        What leaves no stop, the cheapest first; where nothing does, what leaves fewer or smaller ones. Then what
        keeps soil in a yard without stops, whatever it leads to, and what leaves fewer short pieces there, or that
        nothing does. What must be drawn by hand comes last.
    """
    bench = _Bench(plan, figures(plan), reread)
    known = list(cure_edits(plan))
    walls = [cure for cure in known if cure.name not in EASE_CURES][:MOST_ALONE]
    alone = [one for cure in walls if (one := bench.tried(cure))]
    found = [one for one in alone if one.helps]
    if not found and alone and bench.before.stops:
        together = _joined(bench, sorted(alone, key=lambda one: one.lack))
        better = sorted((one for one in alone if bench.is_better(one)), key=lambda one: one.lack)
        found = [*together, *better[:3], *(one for one in better[3:] if bench.makes_room(one))]
    owner = [cure for cure in known if cure.name in TOLD_CURES and not bench.before.stops]
    told = [one for cure in owner if (one := bench.tried(cure)) and (one.helps or cure.name != NAMED_ONLY)]
    if not bench.before.stops:
        found = [firm for one in found if (firm := bench.with_factors(one, plan))]
    found = [one for one in bench.whole(_unlike(sorted(found, key=_rank))) if one.helps or bench.is_better(one)]
    pieces = () if bench.before.stops else bench.of_pieces([cure for cure in known if cure.name in PIECE_CURES])
    return [*_unlike(sorted(found, key=_rank)), *bench.whole(told), *pieces, *_by_hand(plan)]


def first_cure(plan: Plan, reread: Reread) -> Tried | None:
    """A cure that alone leaves no stop, looked for among the likeliest; None where none of them does.

    Much quicker than trying all, for a first look: no cure alone has been seen to mend more than a few stops, and what
    mends these is most often lower walls.
    """
    bench = _Bench(plan, figures(plan), reread)
    if bench.before.stops > MOST_STOPS:
        return None
    known = [cure for cure in cure_edits(plan) if cure.name not in EASE_CURES]
    rank = {name: place for place, name in enumerate(LIKELY_CURES)}
    likely = sorted(known, key=lambda cure: rank.get(cure.name, len(rank)))[:MOST_FIRST]
    tried = (bench.tried(cure) for cure in likely)
    return next((one for one in tried if one is not None and one.helps), None)


def _joined(bench: _Bench, alone: Sequence[Tried]) -> list[Tried]:
    """Cures taken together until no stop is left, each time the one that leaves least; then without those not needed.

    Args:
        bench: plans them.
        alone: each cure by itself, the best first.

    Returns:
        The group that leaves no stop; where none does, the best group if it leaves less than its best member.
    """
    taken = alone[0]
    group = [taken.cure]
    sound = [one for one in alone if not bench.is_worse(one)]
    while len(group) < MOST_TOGETHER and not taken.helps and _within_reach(taken, len(group)):
        nearest = [one.cure for one in sound if not _share_a_key(one.cure, group)][:FIELD]
        tried: list[tuple[Tried, Cure]] = []
        for cure in nearest:
            one = bench.tried(_together([*group, cure]))
            tried += [(one, cure)] if one is not None else []
            if one is not None and one.helps:
                break  # nothing leaves less than none
        best = min(tried, key=lambda pair: pair[0].lack, default=None)
        if best is None or best[0].lack > taken.lack - 0.02:
            break
        taken = best[0]
        group.append(best[1])
    for cure in tuple(group[:-1]) if taken.helps else ():
        rest = [one for one in group if one is not cure]
        without = bench.tried(_together(rest))
        if without is not None and without.helps:
            taken, group = without, rest
    return [taken] if len(group) > 1 else []


def _within_reach(taken: Tried, count: int) -> bool:
    """Whether one more cure is looked for: a third only where one stop is left, to be rid of it."""
    return count < MOST_TOGETHER - 1 or (taken.after is not None and taken.after.stops <= 1)


def _share_a_key(cure: Cure, group: Sequence[Cure]) -> bool:
    keys = {key for one in group for key, _ in one.edits}
    return any(key in keys for key, _ in cure.edits)


def _unlike(found: Sequence[Tried]) -> list[Tried]:
    """Without cures that lead to the same figures as one before them."""
    kept: list[Tried] = []
    for one in found:
        if not any(one.after == other.after and _told_alike(one, other) for other in kept):
            kept.append(one)
    return kept


def _told_alike(one: Tried, other: Tried) -> bool:
    """Whether no figure but those of the plan as a whole tells them apart."""
    return one.cure.effect == other.cure.effect or not {one.cure.name, other.cure.name} & STONE_CURES


def _together(cures: Sequence[Cure]) -> Cure:
    edits = tuple(edit for cure in cures for edit in cure.edits)
    return Cure("+".join(cure.name for cure in cures), "; and ".join(cure.text for cure in cures), edits)


@dataclass(frozen=True)
class _Bench:
    """Plans cures at live effort, from the plan with its stops; those that are told with the effort of that plan."""

    plan: Plan
    before: Figures
    reread: Reread
    known: dict[frozenset[str], tuple[Figures, float, Plan] | None] = field(default_factory=dict)
    """What cures led to, by their names: the same taken in another order are not planned again."""
    plans: list[Plan] = field(default_factory=list)
    """What was planned."""

    def tried(self, cure: Cure) -> Tried | None:
        """The plan a cure leads to; None where the file pins something against it, and where pipes asked for find no
        way out."""
        names = frozenset(cure.name.split("+"))
        if names not in self.known:
            self.known[names] = self._led_to(cure)
        found = self.known[names]
        if found is None:
            return None
        after, short, planned = found
        if ENDS_SHORT in names and after.bed_m2 < LEAST_LEFT * self.before.bed_m2:
            return None
        if names == {LOW_PIPES} and not lays_pipes(self.plan, planned):
            return None
        if names == {NAMED_ONLY} and lays_pipes(planned, self.plan):
            return None  # what finds no named place would lie on stone alone
        one = Tried(cure, after, after.verdict < Verdict.STOP, short, planned.effort == self.plan.effort)
        told, room = one.told(self.before, self.plan.project), room_told(self.plan, planned)
        pipes = pipes_told(self.plan, planned) if names & {LOW_PIPES, NAMED_ONLY} else ""
        near = nearer(self.plan, planned) if after.stops == self.before.stops and self.is_better(one) else ""
        return replace(one, cure=replace(told, effect="; ".join(filter(None, (room, told.effect, pipes, near)))))

    def whole(self, quick: Sequence[Tried]) -> list[Tried]:
        """The first few planned again, with the effort of the plan they mend: finer slips, exact cutting. What is no
        better then, in a yard without stops, is none."""
        found = []
        for place, one in enumerate(quick):
            if place < MOST_WHOLE and not one.whole:
                self.known[frozenset(one.cure.name.split("+"))] = self._led_to(one.cure, self.plan.effort)
            again = self.tried(one.cure)
            if again is not None and not self.before.stops and again.cure.name not in TOLD_CURES:
                again = self.with_factors(again, self.plan if again.whole else self.quick)
            found += [again] if again is not None else []
        return found

    def _led_to(self, cure: Cure, effort: Effort = LIVE) -> tuple[Figures, float, Plan] | None:
        try:
            project = self.reread(cure.edits)
            standing = None if project.so_far.stands else self.plan.standing
            planned = plan_project(project, standing=standing, effort=effort, before=self.plan, known=self.plans)
        except InputError:
            return None  # the edit contradicts something the file pins; it is no cure here
        self.plans.append(planned)
        if planned.refused and not self.plan.refused:
            return None
        return figures(planned), lack(planned), planned

    @cached_property
    def quick(self) -> Plan:
        """The plan without any cure at live effort: it tells the joints that a cure tried so tells, and no more."""
        if self.plan.effort == LIVE:
            return self.plan
        standing = None if self.plan.project.so_far.stands else self.plan.standing
        return plan_project(self.plan.project, standing=standing, effort=LIVE, before=self.plan)

    def with_factors(self, tried: Tried, plan: Plan) -> Tried | None:
        """A cure of walls built with care, its effect told by what holds there; None where it is no better.

        The plan with it is the one it was tried with, held beside a plan without it.
        """
        found = self.known.get(frozenset(tried.cure.name.split("+")))
        if found is None:
            return None
        if tried.cure.name in STONE_CURES:
            told = rain_told(plan, found[2])
            return (
                replace(tried, cure=replace(tried.cure, effect="; ".join([*told, tried.cure.effect]))) if told else None
            )
        walls = {f.place for f in plan.findings if any(cure.name == tried.cure.name for cure in f.cures)}
        factors = [{wall.leg: wall.factor for wall in one.stability.walls} for one in (plan, found[2])]
        pairs = [(name, before, factors[1].get(name)) for name, before in factors[0].items() if name in walls]
        parts = [f"what holds at {name} {a:.2f} → {b:.2f} times what pushes" for name, a, b in pairs
                 if a is not None and b is not None and b > a + 0.01]  # fmt: skip
        if not parts:
            return None
        return replace(tried, cure=replace(tried.cure, effect=f"{'; '.join(parts)}; {tried.cure.effect}"))

    def of_pieces(self, cures: Sequence[Cure]) -> list[Tried]:
        """Cures of short pieces that leave fewer and stop nothing; that none does, where a piece is short."""
        found = []
        for one in (tried for cure in cures if (tried := self.tried(cure)) is not None and tried.helps):
            led = self.known[frozenset({one.cure.name})]
            less = "" if led is None else eased(self.plan, led[2])
            if less:
                found.append(replace(one, cure=replace(one.cure, effect=f"{less}; {one.cure.effect}")))
        none = None if found else as_laid(self.plan)
        return found if none is None else [Tried(none, None, False)]

    def makes_room(self, tried: Tried) -> bool:
        """Whether more of the steps wished find room."""
        found = self.known.get(frozenset(tried.cure.name.split("+")))
        return found is not None and bool(room_told(self.plan, found[2]))

    def is_worse(self, tried: Tried) -> bool:
        """Whether more is left to cure, by count and by size: such a cure is not joined with others."""
        after = tried.after
        return after is None or (after.stops > self.before.stops and tried.lack > lack(self.plan) + 0.02)

    def is_better(self, tried: Tried) -> bool:
        """Whether fewer or smaller stops are left."""
        after = tried.after
        return after is not None and (after.stops < self.before.stops or tried.lack < lack(self.plan) - 0.02)


def lack(plan: Plan) -> float:
    """How far the stopped walls fall short of standing, all together, and one for each other stop."""
    walls = [wall for wall in plan.stability.walls if wall.verdict is Verdict.STOP]
    others = sum(f.verdict is Verdict.STOP and f.code not in WALL_CODES for f in plan.findings)
    return others + sum(0.2 + max(0.0, 1.0 - min(max(wall.factor or 0.0, 0.0), 1.0)) for wall in walls)


def _rank(tried: Tried) -> tuple[bool, int, float, float]:
    """Cures before half cures, then by what they add to build: sticks, soil, and bed that is lost."""
    after = tried.after
    if after is None:
        return True, 0, 0.0, 0.0
    cost = after.sticks + 3.0 * abs(after.away_loose_m3) - after.bed_m2
    return not tried.helps, 0 if tried.helps else after.stops, 0.0 if tried.helps else round(tried.lack, 2), cost


def _by_hand(plan: Plan) -> list[Tried]:
    """Cures without an edit, computed on the wall alone; one of each name."""
    found: dict[str, Tried] = {}
    for finding in plan.findings:
        for cure in finding.cures:
            if finding.verdict is Verdict.STOP and not cure.edits and cure.effect:
                found.setdefault(cure.name, Tried(cure, None, True))
    return list(found.values())


def effect(before: Figures, after: Figures, project: Project, about: str = "") -> str:
    """What a cure changes, in one line.

    Args:
        before, after: figures of the plan without and with it.
        project: for the units.
        about: said before the sticks where both were not cut with the same effort.
    """
    units = project.units
    same = after.verdict is before.verdict
    parts = [f"still {after.verdict.words}" if same else f"{before.verdict.words} becomes {after.verdict.words}"]
    if before.stops and after.stops:
        parts.append(f"{after.stops} of {before.stops} stops left")
    parts.append(_change("highest wall", length(before.highest_m, units), length(after.highest_m, units)))
    parts.append(_change("sticks", str(before.sticks), f"{about}{after.sticks}"))
    away = (f"{volume(one.away_loose_m3, units)} loose" for one in (before, after))
    parts.append(_change("soil away", *away))
    if after.beds < before.beds:
        lost = before.beds - after.beds
        ground = (area(one.bed_m2, units) for one in (before, after))
        parts.append(f"{lost} bed{'' if lost == 1 else 's'} lost, ground to plant {' → '.join(ground)}")
    elif after.bed_m2 < _MUCH_LEFT * before.bed_m2:
        ground = (area(one.bed_m2, units) for one in (before, after))
        parts.append(f"ground to plant {' → '.join(ground)}")
    return "; ".join(parts)


def _change(what: str, before: str, after: str) -> str:
    return f"{what} still {after}" if before == after else f"{what} {before} → {after}"


def with_cures(plan: Plan, tried: Sequence[Tried]) -> tuple[Finding, ...]:
    """The plan's findings, each stop of a wall or drain with the cures that were tried for it, before its own.

    Soil left over has its cures, those that were tried with what they lead to.
    """
    cures = tuple(one.cure for one in tried if one.after is not None)
    rain = on_stone(plan)
    found = []
    for finding in plan.findings:
        water = finding.code.startswith("water.")
        wall = finding.code in WALL_CODES or finding.code == "stability.tiers"
        if finding.verdict is Verdict.STOP and finding.code in ROOT_CODES:
            mine = [cure for cure in cures if ROOT_CURE in cure.name.split("+")]
            finding = replace(finding, cures=(*mine, *finding.cures))
        elif finding.code == UNFIT:  # of its own edits those that were tried and leave less
            mine = [cure for cure in cures if of_steps(cure, finding)]
            finding = replace(finding, cures=(*mine, *(cure for cure in finding.cures if not cure.edits)))
        elif finding.verdict is Verdict.STOP and (water or wall):
            mine = [cure for cure in cures if (set(cure.name.split("+")) <= WATER_CURES) == water]
            names = {cure.name for cure in mine}
            finding = replace(finding, cures=(*mine, *(cure for cure in finding.cures if cure.name not in names)))
        elif finding.verdict < Verdict.STOP and finding.code in WALL_CODES and (finding.cures or finding in rain):
            care = {cure.name: cure for cure in cures}
            wanted = {cure.name for cure in finding.cures} | (STONE_CURES if finding in rain else set())
            finding = replace(finding, cures=tuple(cure for name, cure in care.items() if name in wanted))
        elif finding.code in (UNUSED, NOT_NAMED):
            finding = replace(finding, cures=tuple(cure for cure in cures if cure.name == NAMED_ONLY))
        elif finding.code == SHORT_CODE:
            finding = replace(
                finding, cures=tuple(one.cure for one in tried if one.cure.name in PIECE_CURES | {AS_LAID})
            )
        elif finding.code == SOIL_CODE and finding.cures:
            soil = {cure.name: cure for cure in cures}
            own = [soil.get(cure.name, cure) for cure in finding.cures]
            finding = replace(finding, cures=tuple(own))
        found.append(finding)
    return tuple(found)


def named_cure(plan: Plan, name: str) -> Cure:
    """The cure of this name; several joined by "+" are applied together.

    Raises:
        UnknownNameError: the plan has no such cure; those it has are named.
    """
    known = {cure.name: cure for found in plan.findings for cure in found.cures if cure.edits}
    known |= {cure.name: cure for cure in cure_edits(plan)}
    asked = [part.strip() for part in name.split("+")]
    for one in asked:
        if one not in known:
            hand = [found.cure for found in _by_hand(plan) if found.cure.name == one]
            offer = hand[0].text if hand else ", ".join(known) or "this plan has no stop that a cure is known for"
            what = f"{one!r} is drawn by hand" if hand else f"no cure is called {one!r} here"
            raise UnknownNameError(Fault(what, offer, "--with"))
    return _together([known[one] for one in asked]) if len(asked) > 1 else known[asked[0]]
