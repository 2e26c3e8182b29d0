"""Whether the compiled formulas are ready is told as numba itself keeps its work."""

import os
import sys
from pathlib import Path

import pytest

import lynchet
from lynchet.commands.first_run import _NOT_IN_A_PLAN, FIRST_RUN, tell_first_run
from lynchet.core.compiled import is_ready, kept_in, not_ready

TAG = f"py{sys.version_info.major}{sys.version_info.minor}"


@pytest.fixture
def module(tmp_path, monkeypatch):
    """A module with an empty folder for numba's work."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "kept"))
    source = tmp_path / "room" / "sum_compiled.py"
    source.parent.mkdir()
    source.write_text("# compiled by numba\n")
    kept_in(source)[0].mkdir(parents=True)
    return source


def test_folders_are_those_numba_names():
    """The folder numba itself reports for a compiled function is among those looked in."""
    slip = pytest.importorskip("lynchet.stability.slip_compiled")
    assert Path(slip._top.stats.cache_path) in kept_in(Path(slip.__file__))


def test_ready_only_with_work_for_this_python_as_new_as_the_source(module):
    """Nothing kept, kept for another Python, or older than the source: not ready."""
    folder = kept_in(module)[0]
    assert not is_ready(module)
    (folder / "sum_compiled.total-3.py27.nbi").write_bytes(b"")
    (folder / f"other_compiled.total-3.{TAG}.nbi").write_bytes(b"")
    assert not is_ready(module)
    index = folder / f"sum_compiled.total-3.{TAG}.nbi"
    index.write_bytes(b"")
    assert is_ready(module)
    assert not_ready(module.parent) == ()
    os.utime(index, (1.0, 1.0))
    assert not is_ready(module)
    assert not_ready(module.parent) == (module,)


def test_a_first_run_says_why_it_takes_longer(tmp_path, monkeypatch):
    """With an empty folder for numba's work one line is said, before anything is planned."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    said: list[str] = []
    tell_first_run(said.append)
    assert said == [FIRST_RUN]
    assert not_ready(Path(lynchet.__file__).parent)


def test_a_later_run_says_nothing(tmp_path, monkeypatch):
    """With the work kept of what plans have compiled, a formula only ``calc`` compiles makes no run a first one."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    package = Path(lynchet.__file__).parent
    kept = [source for source in package.rglob("*_compiled.py") if source.name not in _NOT_IN_A_PLAN]
    for source in kept:
        folder = kept_in(source)[0]
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{source.stem}.work-1.{TAG}.nbi").write_bytes(b"")
    said: list[str] = []
    tell_first_run(said.append)
    assert said == []
    (kept_in(kept[0])[0] / f"{kept[0].stem}.work-1.{TAG}.nbi").unlink()
    tell_first_run(said.append)
    assert said == [FIRST_RUN]


def test_no_room_plans_with_what_is_not_in_a_plan():
    """No module of the package but its own twin names the formulas that only a call by themselves compiles."""
    package = Path(lynchet.__file__).parent
    for name in _NOT_IN_A_PLAN:
        twin = name.removesuffix("_compiled.py")
        users = [path for path in package.rglob("*.py")
                 if f".{twin} import" in path.read_text(encoding="utf-8")]  # fmt: skip
        assert users == [], twin
