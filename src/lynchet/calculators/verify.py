"""Run published cases through the calculators and say, case by case, whether they agree."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from lynchet.calculators.checked import call
from lynchet.calculators.registry import find
from lynchet.core.calculator import as_keys
from lynchet.core.errors import Fault, InputError, UnknownNameError

Outcome = Literal["passed", "failed", "missing"]


@dataclass(frozen=True)
class Line:
    """One compared key of one case, or the case's refusal."""

    key: str
    ours: Any
    published: Any
    tolerance: float | None
    ok: bool

    @property
    def difference(self) -> float | None:
        """Largest absolute difference, where both are numbers."""
        ours, published = _numbers(self.ours), _numbers(self.published)
        if ours is None or published is None or len(ours) != len(published):
            return None
        return max((abs(a - b) for a, b in zip(ours, published, strict=True)), default=0.0)


@dataclass(frozen=True)
class Checked:
    """A case with what came of it."""

    case: dict[str, Any]
    room: str
    outcome: Outcome
    lines: tuple[Line, ...]
    reason: str = ""


def shipped() -> Path:
    """The folder of the cases that ship with the package, one file for each room."""
    return Path(str(files("lynchet.calculators").joinpath("cases")))


def case_files(places: list[Path]) -> list[Path]:
    """The TOML files among these files and folders.

    Raises:
        InputError: a place does not exist or holds no case file.
    """
    found: list[Path] = []
    for place in places:
        if place.is_dir():
            found += sorted(place.rglob("*.toml"))
        elif place.is_file():
            found.append(place)
        else:
            raise InputError(Fault("no such file or folder", "a case file (TOML) or a folder of them", file=str(place)))
    if not found:
        raise InputError(Fault("no case file here", "TOML files with [[case]] entries", file=str(places[0])))
    return found


def read_cases(file: Path) -> list[dict[str, Any]]:
    """The cases of one file."""
    try:
        data = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(Fault(str(error), "a TOML file in UTF-8", file=str(file))) from None
    cases = data.get("case", [])
    if not isinstance(cases, list):
        raise InputError(Fault("`case` is no list", "[[case]] entries", "case", str(file)))
    return cases


def verify(paths: list[Path]) -> Iterator[Checked]:
    """Every case of these files, in order."""
    for file in paths:
        for case in read_cases(file):
            yield run_case(case, room=file.parent.name if file.stem == "public" else file.stem)


def run_case(case: dict[str, Any], room: str = "") -> Checked:
    """Run one case."""
    expected: dict[str, Any] = case.get("expect", {})
    word = case.get("refused", expected.get("refused"))
    try:
        declared = find(str(case.get("calculator", "")))
    except UnknownNameError as error:
        return Checked(case, room, "missing", (), str(error))
    try:
        result = as_keys(call(declared.function, case.get("given", {})))
    except InputError as error:
        return _refused(case, room, word, str(error))
    except Exception as error:  # a crash is our fault, and must show as a failed case
        return Checked(case, room, "failed", (), f"{type(error).__name__}: {error}")
    if word is not None:
        return Checked(case, room, "failed", (), f"must be refused ({word}), but gave a result")
    lines = tuple(_compare(key, result, wanted) for key, wanted in expected.items() if key != "refused")
    absent = [line.key for line in lines if line.ours is None and not line.ok]
    if absent:
        return Checked(case, room, "missing", lines, "no such key in the result: " + ", ".join(absent))
    return Checked(case, room, "passed" if all(line.ok for line in lines) else "failed", lines)


def _refused(case: dict[str, Any], room: str, word: str | None, text: str) -> Checked:
    if word is None:
        outcome: Outcome = "missing" if "unknown key" in text else "failed"
        return Checked(case, room, outcome, (), text)
    ok = word.lower() in text.lower()
    return Checked(case, room, "passed" if ok else "failed", (Line("refused", text, word, None, ok),))


def _compare(key: str, result: dict[str, Any], wanted: Any) -> Line:
    if isinstance(wanted, dict) and wanted.get("absent"):
        return Line(key, result.get(key), "absent", None, key not in result)
    if isinstance(wanted, dict) and "value" in wanted:
        published, tolerance = wanted["value"], wanted.get("tol")
    else:
        published, tolerance = wanted, None
    ours = result.get(key)
    return Line(key, ours, published, tolerance, key in result and _same(ours, published, tolerance))


def _same(ours: Any, published: Any, tolerance: float | None) -> bool:
    if isinstance(published, dict):
        return isinstance(ours, dict) and all(k in ours and _same(ours[k], v, tolerance) for k, v in published.items())
    if isinstance(published, list):
        return (
            isinstance(ours, list)
            and len(ours) == len(published)
            and all(_same(a, b, tolerance) for a, b in zip(ours, published, strict=True))
        )
    if isinstance(published, bool) or isinstance(ours, bool):
        return ours is published
    if isinstance(published, int | float):
        return isinstance(ours, int | float) and abs(ours - published) <= (tolerance or 0.0)
    return bool(ours == published)


def _numbers(value: Any) -> list[float] | None:
    items = value if isinstance(value, list) else [value]
    if all(isinstance(item, int | float) and not isinstance(item, bool) for item in items):
        return [float(item) for item in items]
    return None
