"""What a day sheet says, as texts by part: once for the sheet of paper and for the phone, in any language there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.book.day_evening import evening_line
from lynchet.book.texts import Words
from lynchet.drawings.day_needs import Need, needs_of
from lynchet.drawings.day_places import Naming, naming, place_of
from lynchet.drawings.day_readings import Expected, expected_of
from lynchet.drawings.day_steps import DayStep, steps_of_day
from lynchet.drawings.day_tools import tools_of
from lynchet.plan.day_parts import DayParts, Share, day_parts
from lynchet.plan.model import Plan
from lynchet.works.model import Left, Task

_SHOWN = (
    "first course", "courses", "drain", "steps", "bed soil", "plants", "bench", "fill", "stone", "base", "trench",
    "pipe trench", "topsoil", "haul away", "set out", "set up", "clear up", "mulch",
)  # fmt: skip
"""What a day is named after, the most telling first."""
_HOLDS = ("set up", "drain", "first course", "trench", "base", "set out", "fill", "clear up")
"""Which hold point of a day stands full width: the one whose miss costs most, first."""
_DIG = frozenset({"topsoil", "trench", "pipe trench", "bench", "set out", "set up"})
_BUILD = frozenset({"base", "first course", "drain", "courses", "stone", "fill", "steps"})


@dataclass(frozen=True)
class DayContent:
    """One day in words and figures."""

    number: int
    of: int
    title: str
    when: str
    """Weekday and date; empty where the file names no start."""
    crew: str
    tools: str
    needs: tuple[Need, ...]
    steps: tuple[DayStep, ...]
    expected: Expected
    hold: str
    inspect: str
    """Who else looks at the hold point; empty for nobody."""
    evening: tuple[str, ...]
    stop: str


def day_contents(plan: Plan, words: Words) -> tuple[DayContent, ...]:
    """Every day of a plan.

    Args:
        plan: what is built.
        words: texts of one language.
    """
    named = naming(plan, words)
    return tuple(_content(named, today) for today in day_parts(plan))


def _content(named: Naming, today: DayParts) -> DayContent:
    words, plan, day = named.words, named.plan, today.day
    held = [plan.works.task(task) for task in day.holds]
    held.sort(key=lambda task: _HOLDS.index(task.kind))
    hold = words("day.hold." + (_hold(named, held[0]) if held else "none"), off=named.level_off)
    steps = steps_of_day(named, today, held[0].id if held else "")
    after = next((number for number, step in enumerate(steps, start=1) if step.hold), 0)
    if after:
        hold = words("day.hold_after", number=after, text=hold[:1].lower() + hold[1:])
    when = " ".join(part for part in (words(f"day.weekday.{day.weekday}") if day.weekday else "", day.date) if part)
    return DayContent(
        day.number, len(plan.works.days), _title(named, today.shares), when, _crew(named, day.used_h),
        tools_of(named, today), needs_of(named, today), steps,
        expected_of(named, today), hold, words("day.hold.inspect") if held and held[0].inspect else "",
        tuple(_left(named, left) for left in day.evening), _stop(named, today.shares),
    )  # fmt: skip


def _key(kind: str) -> str:
    return kind.replace(" ", "_")


def _hold(named: Naming, task: Task) -> str:
    """What is looked at in the end, where there is no outlet to run, says nothing of outlets."""
    return _key(task.kind) + ("" if task.kind != "clear up" or named.plan.water.outlets else "_dry")


def _title(named: Naming, shares: Sequence[Share]) -> str:
    """ "First course and bench, terraces 1 to 3"."""
    words = named.words
    kinds = sorted({share.task.kind for share in shares}, key=_SHOWN.index)[:2]
    benches = {share.task.terrace for share in shares if share.task.kind == "bench"}
    plain = {"bench": "bench_dug" if benches <= named.dug_for_soil else "bench"}
    names = [words(f"day.title.{plain.get(kind, _key(kind))}") for kind in kinds]
    work = words("day.and", first=names[0], last=names[1]) if len(names) > 1 else names[0]
    shown = [share for share in shares if share.task.kind in kinds]
    title = words("day.title.one", work=work, where=place_of(named, shown)) if place_of(named, shown) else work
    return title[:1].upper() + title[1:]


def _crew(named: Naming, hours: float) -> str:
    words, count = named.words, named.plan.works.programme.crew
    said = words("day.hours", hours=f"{hours:.0f}" if hours >= 1.5 else f"{hours:.1f}")
    return words("day.crew_one", hours=said) if count == 1 else words("day.crew_many", count=count, hours=said)


def _left(named: Naming, left: Left) -> str:
    return evening_line(named.words, left, named.digging(left.height_m), named.long(left.length_m))


def _stop(named: Naming, shares: Sequence[Share]) -> str:
    kinds = {share.task.kind for share in shares}
    name = "dig" if kinds & _DIG else "build" if kinds & _BUILD else "finish"
    return named.words(f"day.stop.{name}", root=named.size(0.05))
