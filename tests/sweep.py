"""Plan thousands of random yards and hold every plan to every law: ``python -m tests.sweep``.

Prints how many plans are clean, how many of these change the wish, how many are refused and why, and how many are
wrong; ends with status 1 if any is wrong.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parent))

from banked_yards import banked
from built_yards import built_plan
from days_and_order import not_adding_up
from filed_yards import filed
from flight_yards import flight_plan
from found_yards import found_plan
from lawbook.amount_laws import broken_amounts
from lawbook.book import broken
from lawbook.case import Case
from lawbook.money_laws import broken_money
from lawbook.whole import Whole, broken_whole, whole
from lynchet.core.errors import InputError
from lynchet.core.findings import Verdict as Word
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from measured_yards import measured_plan
from priced_yards import Priced, priced
from random_yards import crooked, realistic
from rare_yards import rare_plan
from spring_yards import sprung
from wide_yards import wide_plan
from wished_yards import wished_plan

CHUNK = 20
KINDS: dict[str, Callable[[int], Whole]] = {
    "realistic": lambda seed: whole(*realistic(seed)),
    "crooked": lambda seed: whole(*crooked(seed)),
    "filed": lambda seed: Whole(plan_project(filed(seed), effort=LIVE)),
    "flights": lambda seed: Whole(flight_plan(seed)),
    "springs": sprung,
    "banks": lambda seed: whole(*banked(seed)),
    "wished": lambda seed: Whole(wished_plan(seed)),
    "built": lambda seed: Whole(built_plan(seed)),
    "found": lambda seed: Whole(found_plan(seed)),
    "priced": priced,
    "measured": lambda seed: Whole(measured_plan(seed)),
    "rare": lambda seed: Whole(rare_plan(seed)),
    "wide": lambda seed: Whole(wide_plan(seed)),
}
"""How a yard of each kind is planned; ``filed`` are read from the text of a project file, with wishes; ``wished`` have
all that a file may hold, ``built`` walls that stand beside it, ``found`` things found by the walls, ``priced`` a price
list, an offer and schemes, ``measured`` ground read in every way a file knows,
``rare`` one thing that few files hold, ``wide`` keys from their whole range."""


@dataclass(frozen=True)
class Verdict:
    """What came of one yard."""

    kind: str
    """One of ``KINDS``."""
    seed: int
    refused: str
    wrong: tuple[str, ...]
    changes: tuple[str, ...]
    """Codes of findings that change the wish."""
    flights: tuple[tuple[str, str], ...] = ()
    """(slope class, outcome) of every flight wished."""
    undrained: bool = False
    """A pocket found no way out: told as a stop."""
    clashes: tuple[str, ...] = ()
    """Causes of told clashes."""
    word: str = ""
    """The word of the stability stage on the yard."""


def judge(kind: str, seed: int) -> Verdict:
    """Plan one yard and hold it to the laws; a crash counts as wrong."""
    try:
        found = KINDS[kind](seed)
        case = found.case
        wrong = tuple(_wrong(found)) if not case.refused else ()
    except InputError as error:
        return Verdict(kind, seed, f"file: {error.faults[0].text()}", (), ())
    except Exception as error:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(frame.filename).name} line {frame.lineno}"
        return Verdict(kind, seed, "", (f"crash at {place}: {type(error).__name__}: {error}",), ())
    changes = tuple(sorted({f.code for f in case.terraces.findings if f.code.startswith("terraces.")}))
    return Verdict(kind, seed, case.refused, wrong, changes, flights_of(case), *_later(found))


def _wrong(found: Whole) -> Iterator[str]:
    """Every broken law of a plan."""
    yield from broken(found.case)
    yield from broken_whole(found)
    yield from broken_amounts(found.data, found.plan.project)
    yield from not_adding_up(found.plan)
    if isinstance(found, Priced):
        yield from broken_money(found)


def _later(found: Whole) -> tuple[bool, tuple[str, ...], str]:
    """What the later stages say: undrained, clashes told, the word on the walls."""
    made = found.plan
    undrained = any(f.code == "water.no_way_out" for f in made.water.findings)
    clashes = tuple(sorted({f.cause for f in made.clashes if f.code == "clash"}))
    word = max((wall.verdict for wall in made.stability.walls), default=Word.OK)
    return undrained, clashes, word.key


def flights_of(case: Case) -> tuple[tuple[str, str], ...]:
    """Slope class and outcome of every flight wished."""
    slope = (case.terraces.fall[0] ** 2 + case.terraces.fall[1] ** 2) ** 0.5
    group = next((name for least, name in ((0.45, "over 45 %"), (0.30, "30 to 45 %"), (0.15, "15 to 30 %"))
                  if slope >= least), "under 15 %")  # fmt: skip
    out = [(group, flight.kind) for flight in case.terraces.flights]
    out += [(group, "unfit") for f in case.terraces.findings if f.code == "terraces.flight_unfit"]
    return tuple(out)


def _chunk(jobs: list[tuple[str, int]]) -> list[Verdict]:
    return [judge(kind, seed) for kind, seed in jobs]


def verdicts(jobs: list[tuple[str, int]], processes: int) -> Iterator[Verdict]:
    """Verdicts in the order of the jobs."""
    chunks = [jobs[i : i + CHUNK] for i in range(0, len(jobs), CHUNK)]
    if processes == 1:
        for chunk in chunks:
            yield from _chunk(chunk)
        return
    with ProcessPoolExecutor(processes) as pool:
        for found in pool.map(_chunk, chunks):
            yield from found


def report(kind: str, found: list[Verdict]) -> None:
    """Counts for one kind of yard."""
    wrong = [v for v in found if v.wrong]
    refused = [v for v in found if v.refused and not v.wrong]
    clean = len(found) - len(wrong) - len(refused)
    fewer = sum("terraces.fewer" in v.changes for v in found if not v.refused)
    print(f"{kind}: {len(found)} yards, {clean} clean, {len(refused)} refused, {len(wrong)} wrong")
    share = (len(refused) + fewer) / max(1, len(found))
    print(f"  refused or fewer terraces than asked: {len(refused) + fewer} ({share:.1%})")
    for code, count in Counter(c for v in found for c in v.changes).most_common():
        print(f"  changed: {code} in {count} ({count / len(found):.1%})")
    for reason, count in Counter(v.refused.split(":")[0] for v in refused).most_common():
        example = next(v for v in refused if v.refused.startswith(reason))
        print(f"  refused: {count}, e.g. yard {example.seed}: {example.refused}")
    laid = [v for v in found if not v.refused]
    dry = sum(v.undrained for v in laid)
    print(f"  drains refused, told with level and place: {dry} ({dry / max(1, len(laid)):.1%} of the rest)")
    for cause, count in Counter(c for v in laid for c in v.clashes).most_common():
        seeds = [v.seed for v in laid if cause in v.clashes]
        print(f"  stopped by a told clash: {cause} in {count}, e.g. yard {seeds[0]}")
    words = Counter(v.word for v in laid)
    print("  word on the walls: " + ", ".join(f"{word} {words[word]}" for word in ("ok", "watch", "ask", "stop")))
    flights = Counter(f for v in found for f in v.flights)
    for group in sorted({g for g, _ in flights}):
        print(f"  flights on ground {group}: " + ", ".join(f"{k} {n}" for (g, k), n in flights.items() if g == group))
    for law, count in Counter(text.split(":")[0] for v in wrong for text in v.wrong[:1]).most_common():
        print(f"  WRONG: {law} in {count}")
    for verdict in wrong[:12]:
        print(f"  WRONG yard {verdict.seed}: {len(verdict.wrong)} places, first: {verdict.wrong[0]}")


def main() -> int:
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--yards", type=int, default=3000)
    parser.add_argument("--crooked", type=int, default=300)
    parser.add_argument("--filed", type=int, default=300)
    parser.add_argument("--flights", type=int, default=100)
    parser.add_argument("--springs", type=int, default=100)
    parser.add_argument("--banks", type=int, default=100)
    parser.add_argument("--wished", type=int, default=100)
    parser.add_argument("--built", type=int, default=100)
    parser.add_argument("--found", type=int, default=100)
    parser.add_argument("--priced", type=int, default=50)
    parser.add_argument("--measured", type=int, default=50)
    parser.add_argument("--rare", type=int, default=50)
    parser.add_argument("--wide", type=int, default=50)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    counts = {kind: getattr(given, "yards" if kind == "realistic" else kind) for kind in KINDS}
    jobs = [(kind, given.seed + i) for kind, count in counts.items() for i in range(count)]
    found: list[Verdict] = []
    start = time.perf_counter()
    for verdict in verdicts(jobs, given.processes):
        found.append(verdict)
        if verdict.wrong:
            print(f"{verdict.kind} yard {verdict.seed}: {verdict.wrong[0]}", file=sys.stderr)
        if len(found) % 100 == 0:
            bad = sum(bool(v.wrong) for v in found)
            print(f"{len(found)} of {len(jobs)}, {bad} wrong, {time.perf_counter() - start:.0f} s", file=sys.stderr)
    for kind in KINDS:
        part = [v for v in found if v.kind == kind]
        if part:
            report(kind, part)
    return int(any(v.wrong for v in found))


if __name__ == "__main__":
    sys.exit(main())
