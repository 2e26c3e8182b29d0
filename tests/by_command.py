"""Run the command `lynchet` inside the test process: what it prints, what it returns."""

from __future__ import annotations

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from lynchet.commands.app import main

YARDS = Path(__file__).parent / "scenarios" / "yards"


@dataclass(frozen=True)
class Ran:
    """One run."""

    status: int
    out: str
    err: str


def command(*words: str) -> Ran:
    """The command with these words, as typed."""
    out, err = io.StringIO(), io.StringIO()
    before, sys.argv, status = sys.argv, ["lynchet", *words], 0
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main()
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    finally:
        sys.argv = before
    return Ran(status, out.getvalue(), err.getvalue())


@dataclass(frozen=True)
class Planned:
    """A plan as `lynchet plan FILE --json` prints it."""

    data: dict[str, Any]

    @property
    def verdict(self) -> str:
        """ok, watch, ask or stop."""
        return str(self.data["verdict"])

    def findings(self, code: str) -> list[dict[str, Any]]:
        """Findings whose code begins so, the worst first."""
        return [finding for finding in self.data["findings"] if finding["code"].startswith(code)]

    def text(self, code: str) -> str:
        """Their texts in one."""
        return " ".join(finding["text"] for finding in self.findings(code))

    def verdicts(self, code: str) -> set[str]:
        """Their verdicts."""
        return {finding["verdict"] for finding in self.findings(code)}

    def wall(self, leg: str) -> dict[str, Any]:
        """The verdict on one wall."""
        return next(wall for wall in self.data["stability"]["walls"] if wall["leg"] == leg)

    def base(self, leg: str, case: str = "dry") -> dict[str, Any]:
        """The check of the base joint of a wall in a case, at its middle-most place."""
        rows = [
            joint for joint in self.data["stability"]["joints"]
            if joint["place"]["leg"] == leg and joint["case"] == case and joint["joint"] == 0
        ]  # fmt: skip
        return rows[len(rows) // 2]

    def cures(self) -> dict[str, dict[str, Any]]:
        """Cures of all stops by name."""
        return {cure["name"]: cure for finding in self.data["findings"] for cure in finding["cures"]}


def planned(file: Path, *words: str) -> Planned:
    """The plan of a file; those of the yards that lie here are planned once."""
    return _once(file, *words) if file.parent == YARDS else _planned(file, *words)


@cache
def _once(file: Path, *words: str) -> Planned:
    return _planned(file, *words)


def _planned(file: Path, *words: str) -> Planned:
    ran = command("plan", str(file), "--json", *words)
    assert ran.status == 0, ran.err
    return Planned(json.loads(ran.out))


def changed(tmp_path: Path, name: str, changes: dict[str, str], more: str = "") -> Path:
    """A copy of a yard with parts of its text replaced (each must be there) and lines added at its end."""
    text = (YARDS / name).read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text, f"{name} has no {old!r}"
        text = text.replace(old, new)
    copy = tmp_path / name
    copy.write_text(text + more, encoding="utf-8")
    return copy
