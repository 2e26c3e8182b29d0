"""Find each scheme by planning a small set of briefs; the same brief is planned once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from lynchet.core.errors import InputError
from lynchet.core.findings import Verdict
from lynchet.plan.cures import lack
from lynchet.plan.effort import FULL, LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project
from lynchet.schemes.figures import row_of
from lynchet.schemes.model import Edits, Row

Reread = Callable[[Sequence[tuple[str, object]]], Project]
"""Gives the project with these edits laid over its file."""
Note = Callable[[str], None]


@dataclass(frozen=True)
class Tried:
    """One brief with its plan."""

    edits: Edits
    plan: Plan
    row: Row


@dataclass
class Bench:
    """Plans of one yard at live effort, each brief once; what is shown of them is planned whole.

    A brief that the file contradicts is remembered as None.
    """

    reread: Reread
    base: Tried
    note: Note
    known: dict[str, Tried | None] = field(default_factory=dict)
    wholes: dict[str, Tried] = field(default_factory=dict)
    """Plans at full effort, as ``lynchet plan`` makes them."""

    def plan(self, edits: Edits) -> Tried | None:
        """The plan with these edits; None where something the file pins contradicts them."""
        key = key_of(edits)
        if key not in self.known:
            try:
                self.known[key] = self.sure(edits)
            except InputError:
                self.known[key] = None
        return self.known[key]

    def sure(self, edits: Edits) -> Tried:
        """The plan with these edits.

        Raises:
            InputError: they contradict the file or themselves.
        """
        self.note(f"planning: {edits_said(edits)}")
        plan = plan_project(self.reread(edits), effort=LIVE, before=self.base.plan)
        return Tried(edits, plan, row_of(plan))

    def whole(self, tried: Tried) -> Tried:
        """The same brief planned as ``lynchet plan`` plans it: what is shown beside others is what one then gets."""
        key = key_of(tried.edits)
        if key not in self.wholes:
            self.note(f"planning whole: {edits_said(tried.edits)}")
            plan = plan_project(self.reread(tried.edits), effort=FULL, before=self.base.plan)
            self.wholes[key] = Tried(tried.edits, plan, row_of(plan))
        return self.wholes[key]

    def planned(self, briefs: Iterable[Edits]) -> Iterator[Tried]:
        """The plans of those briefs that can be laid out, in order."""
        for edits in briefs:
            tried = self.plan(edits)
            if tried is not None and not tried.plan.refused:
                yield tried


def bench_of(reread: Reread, note: Note) -> Bench:
    """A bench whose base is the file as written.

    Raises:
        InputError: what is wrong with the file.
    """
    note("planning: the file as written")
    plan = plan_project(reread(()), effort=LIVE)
    return Bench(reread, Tried((), plan, row_of(plan)), note)


Measure = Callable[[Row], float]
"""What a scheme wants least of."""


def least(bench: Bench, measure: Measure, briefs: Iterable[Edits], digits: int) -> tuple[Tried, int]:
    """The brief with the least of something, never more of it than the file as written.

    A plan that stops comes after every plan that does not, and is left out where its walls fall further short than
    those of the file; among equals (to ``digits`` after the point) the file as written, then the earlier brief. They
    are put in order as planned quickly, and the first taken that keeps its promise as a whole plan.

    Returns:
        The best, planned whole, and how many plans were compared.
    """
    found = [bench.base, *bench.planned(briefs)]
    own = bench.whole(bench.base)

    def rank(tried: Tried) -> tuple[bool, float]:
        return _stops(tried), round(measure(tried.row), digits)

    def keeps(tried: Tried, base: Tried) -> bool:
        short = _stops(tried) and lack(tried.plan) > lack(base.plan) + 1e-9
        return measure(tried.row) <= measure(base.row) + 1e-9 and not short

    free = sorted((tried for tried in found if keeps(tried, bench.base)), key=rank)
    for tried in free[: free.index(bench.base)]:
        whole = bench.whole(tried)
        if keeps(whole, own) and rank(whole) < rank(own):
            return whole, len(found)
    return own, len(found)


def gentlest(found: Sequence[Tried]) -> Tried:
    """Of plans that all do what is asked the one that stops least, then has the better word, the lower walls."""
    return min(found, key=lambda tried: (_stops(tried), tried.row.verdict, round(tried.row.highest_m, 3)))


def key_of(edits: Edits) -> str:
    """What tells one brief from another."""
    return repr(sorted(edits, key=lambda edit: edit[0]))


def edits_said(edits: Edits) -> str:
    """A brief in one line."""
    return ", ".join(edit_text(edit) for edit in edits) or "the file as written"


def _stops(tried: Tried) -> bool:
    return tried.row.verdict is Verdict.STOP


def edit_text(edit: tuple[str, object]) -> str:
    """An edit as it would stand in the file."""
    key, value = edit
    if value is None:
        return f"{key} taken away"
    if isinstance(value, bool):
        return f"{key} = {str(value).lower()}"
    if isinstance(value, str):
        return f'{key} = "{value}"'
    if isinstance(value, list | tuple):
        return f"{key} = [{', '.join(_item(part) for part in value)}]"
    return f"{key} = {value}"


def _item(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(edit_text((str(k), v)) for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return f"[{', '.join(_item(part) for part in value)}]"
    return f'"{value}"' if isinstance(value, str) else str(value)
