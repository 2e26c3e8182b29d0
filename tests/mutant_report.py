"""What a draw of planted errors came to: shares by room, survivors with and without a reason.

``python -m tests.mutant_report STATE`` prints the part of the documents that tells the last draw, from the file that
``python -m tests.mutants --kept FOLDER`` writes there; with the document's name behind it, it is put into it.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from mutant_survivors import Survivor, listed

GOAL = 0.95
BEGIN, END = "<!-- last draw -->", "<!-- end of the last draw -->"


@dataclass(frozen=True)
class Tried:
    """One planted error and whether the tests noticed it."""

    number: int
    room: str
    module: str
    function: str
    before: str
    after: str
    statement: str
    line: int
    caught: bool
    endless: bool
    seconds: float

    @property
    def reason(self) -> Survivor | None:
        """Its entry in the list of survivors."""
        return listed(self)

    def __str__(self) -> str:
        where = f"{self.module}.{self.function}" if self.function else self.module
        return f"{where}, line {self.line}: {self.before} -> {self.after}"


@dataclass(frozen=True)
class Drawn:
    """What was asked: the seed, how many errors, of which rooms, and how many places each has."""

    seed: int
    count: int
    places: dict[str, int]


class State:
    """The file of a draw: a line that tells what was asked, then a line for every error tried."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.asked: Drawn | None = None
        self.tried: list[Tried] = []
        if path is not None and path.exists():
            first, *rest = path.read_text(encoding="utf-8").splitlines()
            self.asked = Drawn(**json.loads(first))
            self.tried = [Tried(**json.loads(line)) for line in rest]

    def begin(self, asked: Drawn) -> None:
        """Keep what is asked, or go on with it.

        Raises:
            SystemExit: the file holds another draw, or the package has changed since.
        """
        if self.asked is None:
            self.asked = asked
            self._add(asdict(asked))
        elif self.asked != asked:
            sys.exit(f"{self.path} holds another draw: {self.asked}")

    def add(self, tried: Tried) -> None:
        """One more."""
        self.tried.append(tried)
        self._add(asdict(tried))

    def _add(self, line: dict[str, object]) -> None:
        if self.path is not None:
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(line) + "\n")


def shares(tried: Iterable[Tried]) -> tuple[int, int, int]:
    """How many were caught, how many were tried, and how many of those can change a result (not listed, or caught)."""
    rows = list(tried)
    caught = sum(row.caught for row in rows)
    return caught, len(rows), sum(row.caught or row.reason is None for row in rows)


def report(tried: Iterable[Tried]) -> int:
    """Print both shares by room and the survivors; 0 where the goal is reached among what can change a result."""
    rows = sorted(tried, key=lambda row: row.number)
    for room in dict.fromkeys(sorted(row.room for row in rows)):
        caught, count, able = shares(row for row in rows if row.room == room)
        print(f"{room:10} caught {caught:4} of {count:4}: {100.0 * caught / count:5.1f} %, of {able:4} able to matter")
    caught, count, able = shares(rows)
    endless = sum(row.endless for row in rows)
    print(f"all errors: caught {caught} of {count}, {100.0 * caught / max(count, 1):.1f} % ({endless} never ended)")
    print(f"without those listed as changing nothing: {caught} of {able}, {100.0 * caught / max(able, 1):.1f} %; "
          f"the goal is {100.0 * GOAL:.0f} %")  # fmt: skip
    lived = [row for row in rows if not row.caught]
    for row in lived:
        if row.reason is not None:
            print(f"  listed ({row.reason.kind}): {row}")
    for row in lived:
        if row.reason is None:
            print(f"  NOT LISTED: {row}")
    return int(caught < GOAL * able)


def table(state: State) -> str:
    """The last draw as it stands in the documents."""
    assert state.asked is not None
    rows = state.tried
    caught, count, able = shares(rows)
    ended = "all were tried" if count == state.asked.count else f"{count} of {state.asked.count} were tried"
    lines = [
        f"Seed {state.asked.seed}, {state.asked.count} errors, as many in every room; {ended}, "
        f"{sum(row.endless for row in rows)} caught because the tests never ended.", "",
        "| room | places | tried | caught | share of all | able to matter | share of those |",
        "|---|---|---|---|---|---|---|",
    ]  # fmt: skip
    for room in [*state.asked.places, "all"]:
        part = shares(row for row in rows if room in ("all", row.room))
        places = state.asked.places.get(room, sum(state.asked.places.values()))
        of_all, of_able = (f"{100.0 * part[0] / whole:.1f} %" if whole else "" for whole in part[1:])
        lines.append(f"| {room} | {places} | {part[1]} | {part[0]} | {of_all} | {part[2]} | {of_able} |")
    lines += ["", f"Caught: {caught} of {count}; of the {able} that can change a result "
              f"{100.0 * caught / max(able, 1):.1f} %.", ""]  # fmt: skip
    lived = sorted((row for row in rows if not row.caught), key=lambda row: row.number)
    if lived:
        lines += ["| error that lived | kind | reason |", "|---|---|---|"]
    for row in lived:
        entry = row.reason
        kind, reason = (entry.kind, entry.reason) if entry else ("not listed", "")
        where = f"{row.module}.{row.function}" if row.function else row.module
        error = f"{where}: {row.before} -> {row.after}".replace("|", "\\|")
        lines.append(f"| `{error}` | {kind} | {reason} |")
    return "\n".join(lines)


def put_into(document: Path, told: str) -> None:
    """Replace what stands between the marks of the last draw."""
    before, rest = document.read_text(encoding="utf-8").split(BEGIN)
    document.write_text(f"{before}{BEGIN}\n\n{told}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    last = "## The last draw\n\n" + table(State(Path(sys.argv[1])))
    print(last)
    for name in sys.argv[2:]:
        put_into(Path(name), last)
