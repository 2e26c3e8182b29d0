"""Plant one-line errors in the kernels and see whether the tests catch them: ``python -m tests.mutants``.

The package is copied to a folder of its own; there each error is planted in one module as a process of its own loads
it, and the published cases and the formula laws of its room are run until one fails. Nothing is written into the
working tree. ``docs/mutants.md`` lists what lived through a sample, each with its reason. Signal USR1 ends a run early
with its report.
"""

from __future__ import annotations

import argparse
import ast
import importlib.abc
import importlib.util
import multiprocessing
import os
import pickle
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType

os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.path.insert(0, str(Path(__file__).parent))

import house.source
from house.source import modules
from mutant_sites import Mutant, sites
from mutant_steering import at_load
from mutant_trace import Trace, traced

ROOMS = ("ground", "water", "stability", "timber", "planting", "works")
WHOLE_PLANS = re.compile(r"lynchet\.plan\b|lawbook|random_yards|drawn_yard|\.stage\b|\.model import")
"""Laws over whole plans are no quick tests of a formula."""
CLOCK_TESTS = "not within_its_time and not time_limit"
"""Tests that hold a time may fail on a busy machine alone."""
ENDLESS = 99
ROOT = Path(__file__).parents[1]
LIST = ROOT / "docs" / "mutants.md"


@dataclass(frozen=True)
class Work:
    """What every mutant's process needs."""

    folder: Path
    """Holds the copy of the package, of its tests, and the compiled code of the sound one."""
    compiled: frozenset[tuple[str, str]]
    """Modules and functions (none: anything in it) that end up in compiled code, which does not notice a planted error
    by itself."""
    compilers: tuple[str, ...]
    """The modules that compile."""
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


def compiling_modules() -> tuple[str, ...]:
    """Modules that use numba."""
    return tuple(name for name, module in modules().items() if "numba" in module.top_imports)


def compiled_places() -> frozenset[tuple[str, str]]:
    """What is compiled: all of the modules that use numba, and the functions and constants they take from others."""
    known, found = modules(), set()
    for name in compiling_modules():
        found.add((name, ""))
        text = known[name].path.read_text(encoding="utf-8")
        taken = set(re.findall(r"njit\((?:\w+\.)*(\w+)", text))
        for other in known[name].imports:
            found |= {(other, function) for function in taken}
    return frozenset(found)


def laws_of(tests: Path, room: str) -> list[str]:
    """The formula laws of a room."""
    return [str(path) for path in sorted((tests / "laws").glob(f"test_{room}_*.py"))
            if not WHOLE_PLANS.search(path.read_text(encoding="utf-8"))]  # fmt: skip


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


def _alone(work: Work, job: Callable[[], int], cache: Path) -> int:
    """Run a job in a process of its own, quietly, and give its exit status."""
    process = multiprocessing.get_context("fork").Process(target=_child, args=(work, job, cache))
    process.start()
    process.join()
    return process.exitcode if process.exitcode is not None else 4


def _child(work: Work, job: Callable[[], int], cache: Path) -> None:
    said = work.folder / f"said_{os.getpid()}"
    with said.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    resource.setrlimit(resource.RLIMIT_CPU, (work.cpu_s, work.cpu_s + 5))
    os.environ["NUMBA_CACHE_DIR"] = str(cache)
    os.chdir(work.folder)
    sys.path.insert(0, str(work.folder / "src"))
    try:
        status = job()
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        status = 3
    os._exit(status)


OPTIONS = ["-x", "-q", "--assert=plain", "--hypothesis-seed=0", "-p", "no:cacheprovider", "-p", "no:xdist"]


def trace_room(work: Work, room: str) -> Trace:
    """Run all tests of a room on the sound package and see what they go through.

    Raises:
        SystemExit: a test fails, so that nothing could be learned from planted errors.
    """
    kept = work.folder / f"trace_{room}"
    if kept.exists():
        held: Trace = pickle.loads(kept.read_bytes())
        return held

    def job() -> int:
        from lynchet.calculators.verify import read_cases, run_case, shipped

        assert shipped().is_relative_to(work.folder)
        files = laws_of(work.folder / "tests", room)
        options = [*OPTIONS, "-k", CLOCK_TESTS, *files]
        cases = read_cases(shipped() / f"{room}.toml")
        found, status = traced(work.folder / "src" / "lynchet", cases, lambda case: run_case(case).outcome, options)
        kept.write_bytes(pickle.dumps(found))
        return 0 if not files and status else status

    status = _alone(work, job, work.folder / "compiled")
    if status:
        said = "\n".join(path.read_text() for path in work.folder.glob("said_*"))
        sys.exit(f"{said}\n{room}: the tests must pass before errors are planted")
    found: Trace = pickle.loads(kept.read_bytes())
    return found


def noticed(work: Work, room: str, trace: Trace, mutant: Mutant) -> int:
    """What the tests end with when the error is planted: 0 when all pass, ``ENDLESS`` when they run out of CPU time."""
    compiled = (mutant.module, "") in work.compiled or (mutant.module, mutant.function) in work.compiled
    function = "" if (mutant.module, "") in work.compiled else mutant.function
    if not trace.laws_through(mutant.module, function) and not trace.cases_through(mutant.module, function):
        function = ""  # runs only while the module loads
    if function in at_load(ast.parse(mutant.path.read_text(encoding="utf-8"))):
        function = ""
    try:
        finder = _Finder(mutant.module, work.folder / "src" / Path(*mutant.module.split(".")).with_suffix(".py"),
                         mutant.source())  # fmt: skip
    except (SyntaxError, ValueError):
        return 3
    places = [(mutant.module, function), *([(name, "") for name in work.compilers] if compiled else [])]
    laws = list(dict.fromkeys(law for place in places for law in trace.laws_through(*place)))
    if not function:  # a constant may be looked at by a law that calls nothing of the module
        looked = {law: (work.folder / law.partition("::")[0]).read_text(encoding="utf-8") for law in trace.laws}
        laws += [law for law, text in looked.items() if mutant.module in text and law not in laws]
    ids = set().union(*(trace.cases_through(*place) for place in places))

    def job() -> int:
        sys.meta_path.insert(0, finder)
        return _tests(room, ids, [str(work.folder / law) for law in laws])

    cache = Path(tempfile.mkdtemp(dir=work.folder)) if compiled else work.folder / "compiled"
    status = _alone(work, job, cache)
    return ENDLESS if status in (-signal.SIGXCPU, -signal.SIGKILL) else status


def _tests(room: str, ids: set[str], laws: list[str]) -> int:
    from lynchet.calculators.verify import read_cases, run_case, shipped

    for case in read_cases(shipped() / f"{room}.toml"):
        if case["id"] in ids and run_case(case, room).outcome == "failed":
            return 1
    import pytest

    status = int(pytest.main([*OPTIONS, *laws])) if laws else 0
    if status == pytest.ExitCode.USAGE_ERROR:  # a case of a law is named after the changed number: take all its cases
        status = int(pytest.main([*OPTIONS, *dict.fromkeys(law.partition("[")[0] for law in laws)]))
    return status


def _load_libraries() -> None:
    """Once, before the processes part: what the tests need besides the package itself."""
    for name in ("numpy", "scipy.optimize", "scipy.stats", "shapely", "pydantic", "pytest", "hypothesis", "networkx"):
        importlib.import_module(name)


def _copied(folder: Path) -> Path:
    """Copy the package and its tests, unless they are there, and read the modules from there from now on."""
    for name in ("src", "tests") if not (folder / "src").exists() else ():
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    house.source.SOURCE = folder / "src" / "lynchet"
    return folder


def sample(rooms: Sequence[str], count: int, seed: int) -> list[tuple[str, Mutant]]:
    """Errors drawn by place, as many in every room: first a place, then one of the errors that can stand there."""
    known, chosen = modules(), []
    for room in rooms:
        places = [found for name in kernel_modules(room) for found in sites(known[name].path, name)]
        rng = random.Random(f"{seed} {room}")
        drawn = rng.sample(places, min(count // len(rooms), len(places)))
        chosen += [(room, rng.choice(found)) for found in drawn]
        print(f"{room}: {len(places)} places in {len({p[0].module for p in places})} modules, {len(drawn)} drawn")
    random.Random(seed).shuffle(chosen)
    return chosen


def run(
    asked: argparse.Namespace, work: Work, traces: dict[str, Trace]
) -> tuple[Counter[str], list[tuple[str, Mutant]]]:
    """How many were tried by room, and the survivors, printed as they come; also those that never end."""
    chosen = sample(asked.rooms, asked.count, asked.seed)
    lived: list[tuple[str, Mutant]] = []
    tried: Counter[str] = Counter()
    stop = [time.monotonic() + 60.0 * asked.minutes]
    signal.signal(signal.SIGUSR1, lambda *_: stop.append(0.0))  # the errors in hand are tried, then all is reported

    def one(item: tuple[str, Mutant]) -> tuple[int | None, float]:
        start = time.monotonic()
        status = noticed(work, item[0], traces[item[0]], item[1]) if start < min(stop) else None
        return status, time.monotonic() - start

    with ThreadPoolExecutor(asked.processes) as pool:
        done = zip(chosen, pool.map(one, chosen), strict=True)
        for number, ((room, mutant), (status, seconds)) in enumerate(done, start=1):
            if status is None:
                break
            tried[room] += 1
            if status == ENDLESS:
                print(f"{number:4} endless ({seconds:.0f} s)  line {mutant.line}  {mutant.key}", flush=True)
            elif status == 0:
                lived.append((room, mutant))
                print(f"{number:4} lived ({seconds:.0f} s)  line {mutant.line}  {mutant.key}", flush=True)
            elif asked.verbose or number % 25 == 0:
                print(f"{number:4} of {len(chosen)}, {len(lived)} lived", flush=True)
    return tried, lived


def report(tried: Counter[str], lived: list[tuple[str, Mutant]]) -> int:
    """Print the share caught by room; status 1 when a survivor has no reason yet or too few were caught."""
    reasons = LIST.read_text(encoding="utf-8") if LIST.exists() else ""
    left = Counter(room for room, _ in lived)
    for room, count in sorted(tried.items()):
        print(f"{room:10} caught {count - left[room]:4} of {count:4}: {100.0 * (1 - left[room] / count):.1f} %")
    unexplained = [mutant for _, mutant in lived if mutant.key not in reasons]
    count = tried.total()
    caught = count - len(lived)
    print(f"caught {caught} of {count}: {100.0 * caught / count:.1f} %; the goal is 95 %")
    for mutant in unexplained:
        print(f"  no reason in {LIST.name}: line {mutant.line}  {mutant.key}")
    return int(bool(unexplained) or caught < 0.95 * count)


def main() -> None:
    """The mutation check."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--seed", type=int, default=70633)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--minutes", type=float, default=600.0, help="no new error is tried after so long")
    parser.add_argument("--cpu-s", type=int, default=240, help="CPU seconds after which endless tests count as failed")
    parser.add_argument("--rooms", nargs="+", choices=ROOMS, default=ROOMS)
    parser.add_argument("--verbose", action="store_true")
    parser.add_argument(
        "--kept", help="folder of an earlier run: its copy of the package, and what its tests go through"
    )
    asked = parser.parse_args()
    _load_libraries()
    with nullcontext(asked.kept) if asked.kept else tempfile.TemporaryDirectory() as folder:
        work = Work(_copied(Path(folder)), compiled_places(), compiling_modules(), asked.cpu_s)
        with ThreadPoolExecutor(asked.processes) as pool:
            traces = dict(zip(asked.rooms, pool.map(lambda room: trace_room(work, room), asked.rooms), strict=True))
        sys.exit(report(*run(asked, work, traces)))


if __name__ == "__main__":
    main()
