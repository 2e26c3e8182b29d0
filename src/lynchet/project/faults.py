"""Collecting what is wrong with a file, each with its line, and what was filled in by default."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lynchet.core.errors import Fault, InputError
from lynchet.project.lines import KeyPath, Lines
from lynchet.project.model import DefaultUsed
from lynchet.units.measures import System


@dataclass(frozen=True)
class Source:
    """A file that was read: how the user named it, and where its keys stand."""

    name: str
    lines: Lines


class Faults:
    """Faults and defaults of one reading. The job's file is asked first for a line, then the firm's under it."""

    def __init__(self, system: System, sources: Iterable[Source]) -> None:
        self.system = system
        self.sources = tuple(sources)
        self.found: list[Fault] = []
        self.defaults: list[DefaultUsed] = []
        self.quiet = False
        """True while defaults are not listed (schemes lie over a brief whose defaults are listed already)."""

    def add(self, path: KeyPath, found: str, accepted: str) -> None:
        """One thing wrong at a key."""
        file, line = self.place(path)
        self.found.append(Fault(found=found, accepted=accepted, key=dotted(path), file=file, line=line))

    def take(self, path: KeyPath, error: InputError) -> None:
        """The faults of an error raised beneath, put at this key; those at a line of another file stay there."""
        for fault in error.faults:
            if fault.file and fault.line:
                self.found.append(fault)
            elif fault.file:
                self.add(path, f'"{fault.file}": {fault.found}', fault.accepted)
            else:
                self.add(path, fault.found, fault.accepted)

    def default(self, path: KeyPath, value: str, origin: str, note: str = "") -> None:
        """A value nobody wrote."""
        if not self.quiet:
            self.defaults.append(DefaultUsed(dotted(path), value, origin, note))

    def place(self, path: KeyPath) -> tuple[str, int]:
        """File and line of a key, or of the nearest table around it."""
        for source in self.sources:
            if source.lines.has(path):
                return source.name, source.lines.line(path)
        best = max(self.sources, key=lambda source: _depth(source.lines, path))
        return best.name, best.lines.line(path)

    def raise_if_any(self) -> None:
        """Raise all faults at once, in the order of the file."""
        if self.found:
            order = {source.name: place for place, source in enumerate(self.sources)}
            once = dict.fromkeys(self.found)
            raise InputError(*sorted(once, key=lambda fault: (order.get(fault.file, len(order)), fault.line)))


def _depth(lines: Lines, path: KeyPath) -> int:
    return next((n for n in range(len(path), 0, -1) if lines.has(path[:n])), -1)


def dotted(path: KeyPath) -> str:
    """A key as people and edits name it; list places count from 1: "fixed.2.stem"."""
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in path)


def as_written(value: Any) -> str:
    """A raw value as it stands in the file, shortened."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 160 else f'"{value[:157]}..."'
    text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."
