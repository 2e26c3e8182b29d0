"""Plant one-line errors in the kernels and see whether the tests catch them: ``python -m tests.mutants``.

The package is copied to a folder of its own; there each error is planted in one module as a process of its own loads
it, and the published cases and the formula laws of its room are run until one fails. Nothing is written into the
working tree. ``docs/mutants.md`` lists what lived through a sample, each with its reason.
"""

from __future__ import annotations

import argparse
import importlib.abc
import importlib.util
import multiprocessing
import os
import random
import re
import resource
import shutil
import sys
import tempfile
import time
import traceback
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType

os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.path.insert(0, str(Path(__file__).parent))

import house.source
from house.source import imported, modules
from mutant_sites import Mutant, sites

ROOMS = ("ground", "water", "stability", "timber", "planting", "works")
WHOLE_PLANS = re.compile(r"lynchet\.plan\b|lawbook|random_yards|drawn_yard|\.stage\b|\.model import")
"""Laws over whole plans are no quick tests of a formula."""
CLOCK_TESTS = "not within_its_time and not time_limit"
"""Tests that hold a time may fail on a busy machine alone."""
ROOT = Path(__file__).parents[1]
LIST = ROOT / "docs" / "mutants.md"


@dataclass(frozen=True)
class Work:
    """What every mutant's process needs."""

    folder: Path
    """Holds the copy of the package, of its tests, and the compiled code of the sound one."""
    compiled: frozenset[str]
    """Modules whose text ends up in compiled code, which does not notice a planted error by itself."""
    cpu_s: int


def kernel_modules(room: str) -> list[str]:
    """The modules of a room that its calculators stand on, and compiled ones."""
    known = modules()
    found = [
        n
        for n, m in known.items()
        if _formula(n, room) and ("lynchet.core.calculator" in m.imports or "numba" in m.top_imports)
    ]
    for name in found:
        found += [other for other in sorted(known[name].imports) if _formula(other, room) and other not in found]
    return sorted(set(found))


def _formula(name: str, room: str) -> bool:
    return name.startswith(f"lynchet.{room}.") and not name.endswith((".stage", ".model"))


def compiled_modules() -> frozenset[str]:
    """Modules that use numba, and all they import."""
    known = modules()
    found = [name for name, module in known.items() if "numba" in module.top_imports]
    for name in found:
        found += [other for other in known[name].imports if other not in found]
    return frozenset(found)


def laws_of(tests: Path, room: str, module: str) -> list[Path]:
    """The formula laws of a room that load the module, the shortest way first."""
    far = {path: _steps_to(path, module) for path in sorted((tests / "laws").glob(f"test_{room}_*.py"))
           if not WHOLE_PLANS.search(path.read_text(encoding="utf-8"))}  # fmt: skip
    return sorted((path for path, steps in far.items() if steps is not None), key=lambda path: far[path] or 0)


def _steps_to(test: Path, module: str) -> int | None:
    """How many imports lie between a file of tests and a module; None where it cannot reach it. No name: 0."""
    if not module:
        return 0
    known = modules()
    near = imported(test.read_text(encoding="utf-8"), set(known))
    if any(name.startswith("lynchet.calculators.registry") for name in near):
        return 9  # finds calculators by name
    seen, steps = set(near), 1
    while near and module not in near:
        near = {other for name in near for other in known[name].imports if other not in seen}
        seen |= near
        steps += 1
    return steps if near else None


class _Planted(SourceFileLoader):
    """Loads one module from the text with the error in it."""

    def __init__(self, name: str, path: str, text: str) -> None:
        super().__init__(name, path)
        self.text = text

    def get_code(self, fullname: str) -> CodeType:
        return compile(self.text, self.path, "exec", dont_inherit=True)


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, name: str, path: Path, text: str) -> None:
        self.name, self.loader = name, _Planted(name, str(path), text)

    def find_spec(self, fullname: str, path: Sequence[str] | None, target: object = None) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.loader.path, loader=self.loader)


def _child(work: Work, room: str, module: str, text: str | None) -> None:
    """In a process of its own: plant the error, run the tests, end with 0 when all pass."""
    quiet = os.open(work.folder / f"said_{os.getpid()}", os.O_WRONLY | os.O_CREAT)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    resource.setrlimit(resource.RLIMIT_CPU, (work.cpu_s, work.cpu_s + 5))
    cache = work.folder / "compiled"
    if text is not None and module in work.compiled:
        cache = Path(tempfile.mkdtemp(dir=work.folder))
    os.environ["NUMBA_CACHE_DIR"] = str(cache)
    sys.path.insert(0, str(work.folder / "src"))
    if text is not None:
        copied = work.folder / "src" / Path(*module.split(".")).with_suffix(".py")
        sys.meta_path.insert(0, _Finder(module, copied, text))
    try:
        status = _tests(work.folder, room, module)
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        status = 3
    if text is not None:
        (work.folder / f"said_{os.getpid()}").unlink()
    os._exit(status)


def _tests(folder: Path, room: str, module: str) -> int:
    import lynchet.core
    from lynchet.calculators.registry import entries
    from lynchet.calculators.verify import read_cases, run_case, shipped

    assert Path(str(lynchet.core.__file__)).is_relative_to(folder)
    home = {entry.name: entry.module for entry in entries()}
    cases = read_cases(shipped() / f"{room}.toml")
    for case in sorted(cases, key=lambda case: home.get(case["calculator"]) != module):
        if run_case(case, room).outcome == "failed":
            return 1
    import pytest

    files = [str(path) for path in laws_of(folder / "tests", room, module)]
    if not files:
        return 0
    options = ["-x", "-q", "--assert=plain", "--hypothesis-seed=0", "-k", CLOCK_TESTS]
    options += ["-p", "no:cacheprovider", "-p", "no:xdist"]
    return int(pytest.main([*options, *files]))


def outcome(work: Work, room: str, module: str, text: str | None) -> tuple[int, float]:
    """Exit status of the tests (0: nothing noticed) and the seconds they took."""
    start = time.perf_counter()
    process = multiprocessing.get_context("fork").Process(target=_child, args=(work, room, module, text))
    process.start()
    process.join()
    return process.exitcode or 0, time.perf_counter() - start


def _load_libraries() -> None:
    """Once, before the processes part: what the tests need besides the package itself."""
    for name in ("numpy", "scipy.optimize", "scipy.stats", "shapely", "pydantic", "pytest", "hypothesis", "networkx"):
        importlib.import_module(name)


def _copied(folder: Path) -> Path:
    """Copy the package and its tests, and read the modules from there from now on."""
    for name in ("src", "tests"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    house.source.SOURCE = folder / "src" / "lynchet"
    return folder


def sample(rooms: Sequence[str], count: int, seed: int) -> list[tuple[str, Mutant]]:
    """Errors drawn by place: first a place, then one of the errors that can stand there."""
    known = modules()
    places = [(room, found) for room in rooms for name in kernel_modules(room)
              for found in sites(known[name].path, name)]  # fmt: skip
    rng = random.Random(seed)
    print(f"{len(places)} places in {len({p[1][0].module for p in places})} modules")
    return [(room, rng.choice(found)) for room, found in rng.sample(places, min(count, len(places)))]


def run(asked: argparse.Namespace, work: Work) -> list[tuple[str, Mutant]]:
    """Survivors of the sample, printed as they come."""
    chosen = sample(asked.rooms, asked.count, asked.seed)
    lived: list[tuple[str, Mutant]] = []

    def one(item: tuple[str, Mutant]) -> tuple[int, float]:
        room, mutant = item
        try:
            text = mutant.source()
        except (SyntaxError, ValueError):
            return 1, 0.0
        return outcome(work, room, mutant.module, text)

    with ThreadPoolExecutor(asked.processes) as pool:
        for number, (item, (status, seconds)) in enumerate(zip(chosen, pool.map(one, chosen), strict=True), start=1):
            if status == 0:
                lived.append(item)
                print(f"{number:4} lived ({seconds:.0f} s)  line {item[1].line}  {item[1].key}", flush=True)
            elif asked.verbose or number % 25 == 0:
                print(f"{number:4} of {len(chosen)}, {len(lived)} lived", flush=True)
    return lived


def report(lived: list[tuple[str, Mutant]], count: int) -> int:
    """Print the share caught; status 1 when a survivor has no reason yet or too few were caught."""
    reasons = LIST.read_text(encoding="utf-8") if LIST.exists() else ""
    unexplained = [mutant for _, mutant in lived if mutant.key not in reasons]
    caught = count - len(lived)
    print(f"caught {caught} of {count}: {100.0 * caught / count:.1f} %; the goal is 95 %")
    for mutant in unexplained:
        print(f"  no reason in {LIST.name}: line {mutant.line}  {mutant.key}")
    return int(bool(unexplained) or caught < 0.95 * count)


def main() -> None:
    """The mutation check."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--cpu-s", type=int, default=240, help="CPU seconds after which endless tests count as failed")
    parser.add_argument("--rooms", nargs="+", choices=ROOMS, default=ROOMS)
    parser.add_argument("--verbose", action="store_true")
    asked = parser.parse_args()
    _load_libraries()
    with tempfile.TemporaryDirectory() as folder:
        work = Work(_copied(Path(folder)), compiled_modules(), asked.cpu_s)
        for room in asked.rooms:
            status, seconds = outcome(work, room, "", None)
            print(f"{room}: the sound package takes {seconds:.0f} s, status {status}", flush=True)
            if status:
                said = "\n".join(path.read_text() for path in Path(folder).glob("said_*"))
                sys.exit(f"{said}\n{room}: the tests must pass before errors are planted")
        sys.exit(report(run(asked, work), asked.count))


if __name__ == "__main__":
    main()
