"""Work done beside, in a copy of the process: the same result, the same errors, and nothing of it left behind."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from lynchet.core import beside as room
from lynchet.core.beside import beside, can_copy
from lynchet.core.errors import Fault, InputError, LynchetError, NoRoomError, UnknownNameError
from lynchet.drawings.paper import PAPERS, PageTooSmallError

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="processes are copied on Linux alone"),
    pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning"),
]


@pytest.fixture(autouse=True)
def copied(monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy each time: what is done in it here waits for no thread."""
    monkeypatch.setattr(room, "can_copy", lambda: True)


def _gone(number: int) -> bool:
    """Whether no process of this number is left, looked for until it is or five seconds are over."""
    end = time.monotonic() + 5.0
    while time.monotonic() < end:
        try:
            os.kill(number, 0)
            state = Path(f"/proc/{number}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
        except (ProcessLookupError, FileNotFoundError):
            return True
        if state == "Z":  # ended, and waited for by nobody: a child whose parent was killed, in a bare container
            return True
        time.sleep(0.02)
    return False


def test_the_work_is_done_by_another_process_and_comes_back_whole() -> None:
    """What comes back is what the work gives, megabytes of it too, and another process has done it."""
    with beside(lambda: (os.getpid(), bytes(range(256)) * 40_000)) as work:
        number, data = work()
    assert number != os.getpid() and data == bytes(range(256)) * 40_000
    assert _gone(number)


def test_where_no_process_can_be_copied_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a copy the same function gives the same, in this process, and only when it is asked."""
    monkeypatch.setattr(room, "can_copy", lambda: False)
    done: list[int] = []
    with beside(lambda: done.append(1) or os.getpid()) as work:
        assert done == []
        assert work() == os.getpid()


def test_no_copy_is_made_of_a_process_that_cannot_get_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system has no room for another process the work is done here."""

    def refused() -> int:
        raise BlockingIOError

    monkeypatch.setattr(os, "fork", refused)
    with beside(os.getpid) as work:
        assert work() == os.getpid()


def test_a_process_of_several_threads_or_one_core_is_not_copied() -> None:
    """A program with a second thread, or held to one core, says that it cannot be copied; alone on two it can."""
    program = (
        "import os, threading; from lynchet.core.beside import can_copy\n"
        "print(can_copy())\n"
        "hold = threading.Event(); other = threading.Thread(target=hold.wait); other.start()\n"
        "print(can_copy()); hold.set(); other.join()\n"
        "os.sched_setaffinity(0, {min(os.sched_getaffinity(0))}); print(can_copy())\n"
    )
    ran = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True, timeout=60)
    alone = str(len(os.sched_getaffinity(0)) > 1)
    assert ran.stdout.split() == [alone, "False", "False"]


class _OwnError(InputError):
    """As a sheet raises one: made of other things than its faults."""

    def __init__(self, size: int) -> None:
        self.size = size
        super().__init__(Fault(f"{size} found", "less"))

    def __reduce__(self) -> tuple[type[_OwnError], tuple[int]]:
        return type(self), (self.size,)


@pytest.mark.parametrize("error", [
    InputError(Fault("found so", "accepted so", "key.of.it"), Fault("another", "a second", "", "file.toml", 7)),
    UnknownNameError(Fault("no such", "one of a, b")), _OwnError(7), NoRoomError("no folder"),
])  # fmt: skip
def test_errors_raised_on_purpose_come_up_whole(error: LynchetError) -> None:
    """An error of bad input has its type, its faults and its words, and the work is not done twice for it."""
    here = os.getpid()

    def bad() -> None:
        assert os.getpid() != here
        raise error

    with pytest.raises(type(error)) as caught, beside(bad) as work:
        work()
    assert type(caught.value) is type(error)
    assert str(caught.value) == str(error)
    assert getattr(caught.value, "faults", ()) == getattr(error, "faults", ())
    assert getattr(caught.value, "size", 0) == getattr(error, "size", 0)


def test_a_page_too_small_is_told_as_it_was() -> None:
    """The error of a sheet without room keeps its paper, its reason, its sheet and the paper that holds all."""
    small = PageTooSmallError(PAPERS["A4"], "no room for the key", "Planting plan", "A3")
    again = pickle.loads(pickle.dumps(small))
    assert (again.paper, again.why, again.sheet, again.holds) == (small.paper, small.why, "Planting plan", "A3")
    assert str(again) == str(small)


def _fault() -> None:
    raise ZeroDivisionError("a fault of the program")


def test_any_other_error_has_the_lines_it_came_from() -> None:
    """A fault of the program comes up with its own traceback, as if there were no copy."""
    with pytest.raises(ZeroDivisionError, match="a fault of the program") as caught, beside(_fault) as work:
        work()
    assert caught.traceback[-1].name == "_fault"


@pytest.mark.parametrize("fails", [
    lambda: os._exit(3),
    lambda: os._exit(0),  # ended well, and gave nothing
    lambda: os.kill(os.getpid(), signal.SIGKILL),
    lambda: sys.exit(0),
    lambda: (lambda: None),  # nothing that can be sent
])  # fmt: skip
def test_a_copy_that_fails_counts_as_none(fails: Callable[[], object]) -> None:
    """Killed, ended early or with an answer that cannot be sent: the work is done here."""
    here = os.getpid()
    with beside(lambda: "done" if os.getpid() == here else fails()) as work:
        assert work() == "done"


def test_a_block_left_early_ends_its_copy_and_what_that_holds_is_cleared_away(tmp_path: Path) -> None:
    """Left by an error while the copy is at work, nothing of it runs on, and its own last lines have run."""
    began, cleared = tmp_path / "began", tmp_path / "cleared"

    def long() -> None:
        try:
            began.write_text(str(os.getpid()), encoding="ascii")
            time.sleep(60.0)
        finally:
            cleared.touch()

    with pytest.raises(KeyError), beside(long):
        while not (began.exists() and began.read_text(encoding="ascii")):
            time.sleep(0.01)
        raise KeyError
    assert _gone(int(began.read_text(encoding="ascii"))) and cleared.exists()


_LONG = """
import os, signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job ignores the key
from pathlib import Path
from lynchet.core import beside as room
room.can_copy = lambda: True
folder = Path(sys.argv[1])

def deeper():
    (folder / "inner").write_text(str(os.getpid()))
    try:
        time.sleep(60.0)
    finally:
        (folder / "inner cleared").touch()

def long():
    try:
        with room.beside(deeper) as work:
            (folder / "outer").write_text(str(os.getpid()))
            work()
    finally:
        (folder / "outer cleared").touch()

with room.beside(long) as work:
    work()
"""


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_copies_end_with_the_program(tmp_path: Path, ending: signal.Signals) -> None:
    """Ctrl-C, ended or killed: a copy and the copy it has made itself end too, their last lines run."""
    program = subprocess.Popen(
        [sys.executable, "-c", _LONG, str(tmp_path)], start_new_session=True, stderr=subprocess.DEVNULL
    )
    marks = [tmp_path / "inner", tmp_path / "outer"]
    while not all(mark.exists() and mark.read_text(encoding="ascii") for mark in marks):
        assert program.poll() is None
        time.sleep(0.02)
    if ending is signal.SIGINT:
        os.killpg(program.pid, ending)  # a key reaches all that run in the window
    else:
        program.send_signal(ending)
    program.wait(timeout=20.0)
    assert all(_gone(int(mark.read_text(encoding="ascii"))) for mark in marks)
    assert (tmp_path / "inner cleared").exists() and (tmp_path / "outer cleared").exists()


def test_can_copy_says_no_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a system other than Linux no process is copied."""
    monkeypatch.setattr(sys, "platform", "win32")
    assert not can_copy()
