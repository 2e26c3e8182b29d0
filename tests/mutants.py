"""Plant one-line errors in the kernels and see whether the tests catch them: ``python -m tests.mutants``.

The package is copied to a folder of its own; there each error is planted in one module as a process of its own loads
it, and the published cases and the formula laws of its room are run until one fails. Nothing is written into the
working tree. ``mutant_survivors.toml`` lists the errors that no test can notice, each with its reason. Signal USR1 ends
a run early with its report.
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
import signal
import sys
import tempfile
import time
import traceback
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
from mutant_report import Drawn, State, Tried, report
from mutant_sites import Mutant, sites
from mutant_steering import at_load
from mutant_survivors import listed, survivors
from mutant_trace import Trace, copied, still_true, traced

ROOMS = ("ground", "water", "stability", "timber", "planting", "works")
WHOLE_PLANS = re.compile(r"lynchet\.plan\b|lawbook|random_yards|drawn_yard|\.stage\b|\.model import")
"""Laws over whole plans are no quick tests of a formula."""
CLOCK_TESTS = "not within_its_time and not time_limit"
"""Tests that hold a time may fail on a busy machine alone."""
ENDLESS = 99
ROOT = Path(__file__).parents[1]


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


def _alone(work: Work, job: Callable[[], int], cache: Path, cpu_s: int = 3600) -> int:
    """Run a job in a process of its own, quietly, and give its exit status."""
    process = multiprocessing.get_context("fork").Process(target=_child, args=(work, job, cache, cpu_s))
    process.start()
    process.join()
    return process.exitcode if process.exitcode is not None else 4


def _child(work: Work, job: Callable[[], int], cache: Path, cpu_s: int) -> None:
    said = work.folder / f"said_{os.getpid()}"
    with said.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 5))
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


def trace_room(work: Work, room: str, earlier: Path | None = None) -> Trace:
    """Run all tests of a room on the sound package and see what they go through.

    Args:
        work: The folder and what is compiled.
        room: Whose tests.
        earlier: A folder kept before, whose traces hold for laws that neither changed nor run through a changed module.

    Raises:
        SystemExit: a test fails, so that nothing could be learned from planted errors.
    """
    kept = work.folder / f"trace_{room}"
    if kept.exists():
        held: Trace = pickle.loads(kept.read_bytes())
        return held
    files = laws_of(work.folder / "tests", room)
    known = Trace()
    if earlier is not None and (earlier / f"trace_{room}").exists():
        known = still_true(pickle.loads((earlier / f"trace_{room}").read_bytes()), earlier, work.folder)
        files = [file for file in files if str(Path(file).relative_to(work.folder)) not in known.files()]

    def job() -> int:
        from lynchet.calculators.verify import read_cases, run_case, shipped

        assert shipped().is_relative_to(work.folder)
        options = [*OPTIONS, "-k", CLOCK_TESTS, *files] if files else []
        cases = read_cases(shipped() / f"{room}.toml")
        found, status = traced(work.folder / "src" / "lynchet", cases, lambda case: run_case(case).outcome, options)
        kept.write_bytes(pickle.dumps(found.with_laws_of(known)))
        return status

    status = _alone(work, job, work.folder / "compiled")
    if status:
        kept.unlink(missing_ok=True)
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
    status = _alone(work, job, cache, work.cpu_s)
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


def all_places(rooms: Sequence[str]) -> dict[str, list[list[Mutant]]]:
    """By room the places where errors can be planted, each with the errors that can stand there."""
    known = modules()
    return {room: [found for name in kernel_modules(room) for found in sites(known[name].path, name)] for room in rooms}


def sample(places: dict[str, list[list[Mutant]]], count: int, seed: int) -> list[tuple[str, Mutant]]:
    """Errors drawn by place, as many in every room: first a place, then one of the errors that can stand there."""
    chosen: list[tuple[str, Mutant]] = []
    for room, found in places.items():
        rng = random.Random(f"{seed} {room}")
        drawn = rng.sample(found, min(count // len(places), len(found)))
        chosen += [(room, rng.choice(one)) for one in drawn]
    random.Random(seed).shuffle(chosen)
    return chosen


def listed_errors(places: dict[str, list[list[Mutant]]]) -> list[tuple[str, Mutant]]:
    """Every error of the list of survivors, wherever its text stands: does it live, as the list says?"""
    return [(room, one) for room, found in places.items() for many in found for one in many
            if listed(one)]  # fmt: skip


def run(asked: argparse.Namespace, work: Work, traces: dict[str, Trace], chosen: list[tuple[str, Mutant]],
        state: State) -> None:  # fmt: skip
    """Try what has not been tried yet; what lives is printed as it comes."""
    done = {row.number for row in state.tried}
    left = [(number, *one) for number, one in enumerate(chosen, start=1) if number not in done]
    stop = [time.monotonic() + 60.0 * asked.minutes]
    signal.signal(signal.SIGUSR1, lambda *_: stop.append(0.0))  # the errors in hand are tried, then all is reported

    def one(item: tuple[int, str, Mutant]) -> Tried | None:
        number, room, mutant = item
        start = time.monotonic()
        if start >= min(stop):
            return None
        status = noticed(work, room, traces[room], mutant)
        return Tried(
            number, room, mutant.module, mutant.function, mutant.before, mutant.after,
            mutant.statement, mutant.line,
            bool(status), status == ENDLESS, round(time.monotonic() - start, 1),
        )  # fmt: skip

    with ThreadPoolExecutor(asked.processes) as pool:
        for tried in pool.map(one, left):
            if tried is None:
                continue
            state.add(tried)
            if not tried.caught:
                print(f"{tried.number:4} lived ({tried.seconds:.0f} s)  {tried}", flush=True)
            elif asked.verbose or len(state.tried) % 25 == 0:
                print(f"{len(state.tried):4} of {len(chosen)} tried", flush=True)


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
    parser.add_argument("--listed", action="store_true", help="try the errors of the list of survivors instead")
    parser.add_argument("--kept", help="folder that keeps the copy of the package, what its tests go through, and what "
                                       "was tried: the same command goes on where it was stopped")  # fmt: skip
    parser.add_argument("--earlier", help="folder kept before: only tests that changed since are watched again")
    asked = parser.parse_args()
    _load_libraries()
    survivors()  # as the list reads now, whatever is written into it while the errors are tried
    with nullcontext(asked.kept) if asked.kept else tempfile.TemporaryDirectory() as folder:
        house.source.SOURCE = copied(ROOT, Path(folder)) / "src" / "lynchet"
        work = Work(Path(folder), compiled_places(), compiling_modules(), asked.cpu_s)
        earlier = Path(asked.earlier) if asked.earlier else None
        with ThreadPoolExecutor(asked.processes) as pool:
            found = pool.map(lambda room: trace_room(work, room, earlier), asked.rooms)
            traces = dict(zip(asked.rooms, found, strict=True))
        places = all_places(asked.rooms)
        chosen = listed_errors(places) if asked.listed else sample(places, asked.count, asked.seed)
        kind = "listed" if asked.listed else f"draw_{asked.seed}_{asked.count}"
        state = State(Path(folder) / f"{kind}.jsonl" if asked.kept else None)
        state.begin(Drawn(asked.seed, len(chosen), {room: len(found) for room, found in places.items()}))
        run(asked, work, traces, chosen, state)
        status = report(state.tried)
        if asked.listed:
            for row in (row for row in state.tried if row.caught):
                print(f"  listed but caught: {row}")
        sys.exit(0 if asked.listed else status)


if __name__ == "__main__":
    main()
