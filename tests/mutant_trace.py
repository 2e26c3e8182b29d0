"""Which functions of the package each published case and each law runs through, so that a planted error meets the
tests that can notice it and no others."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

Place = tuple[str, str]
"""Module and function at its top level (or class)."""


@dataclass
class Trace:
    """What one run of the sound package went through."""

    cases: dict[str, set[Place]] = field(default_factory=dict)
    """By id of the case."""
    laws: dict[str, set[Place]] = field(default_factory=dict)
    """By pytest's name of the test."""
    seconds: dict[str, float] = field(default_factory=dict)

    def laws_through(self, module: str, function: str) -> list[str]:
        """Laws that run through a function (any of the module for an empty name), the quickest first."""
        return sorted(_through(self.laws, module, function), key=lambda name: self.seconds[name])

    def cases_through(self, module: str, function: str) -> set[str]:
        """Ids of the cases that do."""
        return set(_through(self.cases, module, function))

    def files(self) -> set[str]:
        """The files of the laws, relative to the folder."""
        return {law.partition("::")[0] for law in self.laws}

    def with_laws_of(self, other: Trace) -> Trace:
        """This one and the laws of another."""
        return Trace(self.cases, {**other.laws, **self.laws}, {**other.seconds, **self.seconds})


def _through(held: dict[str, set[Place]], module: str, function: str) -> Iterator[str]:
    for name, places in held.items():
        if any(place == module and function in ("", inner) for place, inner in places):
            yield name


class Watch:
    """Notes the package's functions that are called while it is on; also a plugin of pytest."""

    def __init__(self, package: Path) -> None:
        self.start = str(package) + "/"
        self.trace = Trace()
        self.names: dict[Any, Place | None] = {}

    def around(self, work: Callable[[], Any], places: set[Place]) -> Any:
        """Run the work and add the functions it calls."""
        codes: set[Any] = set()

        def note(frame: FrameType, event: str, _: object) -> None:
            if event == "call":
                codes.add(frame.f_code)

        sys.setprofile(note)
        try:
            return work()
        finally:
            sys.setprofile(None)
            places.update(place for place in map(self._place, codes) if place)

    def _place(self, code: Any) -> Place | None:
        if code not in self.names:
            inside = code.co_filename.startswith(self.start)
            module = "lynchet." + code.co_filename[len(self.start) : -3].replace("/", ".")
            self.names[code] = (module, code.co_qualname.split(".")[0]) if inside else None
        return self.names[code]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Watch one law."""
        start, places = time.perf_counter(), self.trace.laws.setdefault(item.nodeid, set())
        self.trace.seconds[item.nodeid] = 0.0
        codes: set[Any] = set()
        sys.setprofile(lambda frame, event, _: codes.add(frame.f_code) if event == "call" else None)
        try:
            return (yield)
        finally:
            sys.setprofile(None)
            places.update(place for place in map(self._place, codes) if place)
            self.trace.seconds[item.nodeid] = time.perf_counter() - start


def traced(package: Path, cases: Sequence[dict[str, Any]], run_case: Callable[[dict[str, Any]], str],
           options: list[str]) -> tuple[Trace, int]:  # fmt: skip
    """Run all cases of a room, and the laws the options name (none: no laws), through the sound package.

    Returns:
        What they went through, and 0 when all passed.
    """
    watch = Watch(package)
    for case in cases:
        if watch.around(lambda case=case: run_case(case), watch.trace.cases.setdefault(case["id"], set())) != "passed":
            return watch.trace, 1
    status = int(pytest.main(options, plugins=[watch])) if options else 0
    return watch.trace, 0 if status == pytest.ExitCode.NO_TESTS_COLLECTED else status


def copied(root: Path, folder: Path) -> Path:
    """Copy the package and its tests, unless they are there."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("src", "tests") if not (folder / "src").exists() else ():
        shutil.copytree(root / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    shutil.copy(root / "pyproject.toml", folder)
    return folder


def still_true(held: Trace, earlier: Path, folder: Path) -> Trace:
    """Of an earlier trace the files of laws that read the same and run through no module that changed since."""
    changed = {name for name in _modules(earlier) | _modules(folder)
               if _text(earlier / "src" / name) != _text(folder / "src" / name)}  # fmt: skip
    modules = {name.removesuffix(".py").replace("/", ".") for name in changed}
    gone = {file for file in held.files() if _text(earlier / file) != _text(folder / file)}
    gone |= {law.partition("::")[0] for law, places in held.laws.items() if any(name in modules for name, _ in places)}
    laws = {law: places for law, places in held.laws.items() if law.partition("::")[0] not in gone}
    return Trace({}, laws, {law: held.seconds[law] for law in laws})


def _modules(folder: Path) -> set[str]:
    return {str(path.relative_to(folder / "src")) for path in (folder / "src").rglob("*.py")}


def _text(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""
