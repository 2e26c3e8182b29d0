"""The tree of errors that bad input raises. A failed check of a design is a finding, never an error."""

from __future__ import annotations

from dataclasses import dataclass


class LynchetError(Exception):
    """Root of every error this package raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with the input, said so that a person can mend it."""

    found: str
    """What stands there, as written."""
    accepted: str
    """What would be taken instead."""
    key: str = ""
    """The key, in the words of the file or the call."""
    file: str = ""
    """The file, as the user named it; empty where there is none."""
    line: int = 0
    """Line in the file, from 1; 0 where there is none."""

    def text(self) -> str:
        """One line: file and line, key, found, accepted."""
        place = f"{self.file}:{self.line}: " if self.file and self.line else f"{self.file}: " if self.file else ""
        key = f"{self.key}: " if self.key else ""
        accepted = f"; accepted: {self.accepted}" if self.accepted else ""
        return f"{place}{key}{self.found}{accepted}"


class InputError(LynchetError, ValueError):
    """Bad input. Carries every fault found, not only the first."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(fault.text() for fault in faults))

    def __reduce__(self) -> tuple[type[InputError], tuple[object, ...]]:
        """Sent from one process to another with its faults."""
        return type(self), self.faults


class UnknownNameError(InputError):
    """A name that does not exist: a calculator, a key, a plant, a cure."""


class NoRoomError(LynchetError):
    """A file or folder cannot be written; nothing was."""
