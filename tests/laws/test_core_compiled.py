"""Whether the compiled formulas are ready is told as numba itself keeps its work."""

import os
import sys
from pathlib import Path

import pytest

import lynchet
from lynchet.commands.first_run import FIRST_RUN, SIGNS, tell_first_run
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


@pytest.mark.parametrize("drawn", [False, True])
def test_a_first_run_says_why_it_takes_longer(tmp_path, monkeypatch, drawn):
    """With an empty folder for numba's work one line is said, before anything is planned."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    said: list[str] = []
    tell_first_run(said.append, drawn=drawn)
    assert said == [FIRST_RUN]
    assert not_ready(Path(lynchet.__file__).parent)


def test_a_later_run_says_nothing(tmp_path, monkeypatch):
    """With the work kept of what a plan and its drawings always compile nothing is said, whatever else one yard never
    asks for; a plan that is drawn for the first time says it once more."""
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    package = Path(lynchet.__file__).parent
    for drawn, sign in enumerate(SIGNS):
        source, said = package / sign, list[str]()
        tell_first_run(said.append, drawn=bool(drawn))
        assert said == [FIRST_RUN]
        folder = kept_in(source)[0]
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{source.stem}.work-1.{TAG}.nbi").write_bytes(b"")
        tell_first_run(said.append, drawn=bool(drawn))
        assert said == [FIRST_RUN] and len(not_ready(package)) > 1
