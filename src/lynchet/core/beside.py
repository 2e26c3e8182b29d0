"""Work done beside this one on another core, in a copy of the process; where that cannot be, done when it is asked for.

The work is a pure function, so it does not matter who does it: errors raised on purpose come up as if it were done
here, and a copy that fails in any other way counts as none: its work is done here, where its errors come up as ever. A
copy ends with the block that began it, and with the process that began it, in whichever way these end.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from io import FileIO
from pathlib import Path
from typing import NoReturn, TypeVar, cast

from lynchet.core.errors import LynchetError

T = TypeVar("T")
_ENDS = (signal.SIGINT, signal.SIGTERM)
_SIGNAL_AT_PARENTS_END = 1
"""PR_SET_PDEATHSIG of Linux."""
_TICKET_BYTES = 2
"""Of the number of a piece of work: the pipe holds those of some thousand pieces at once."""


@contextmanager
def beside(work: Callable[[], T]) -> Iterator[Callable[[], T]]:
    """Begin a piece of work on another core; the block gets a function that waits for what it gives.

    Args:
        work: pure, and what it gives can be pickled; what it changes, or leaves unasked for, is lost.
    """
    copy = _copied(work) if can_copy() else None
    if copy is None:
        yield work
        return
    try:
        yield lambda: copy.result(work)
    finally:
        copy.end()


def shared_out(pieces: Sequence[Callable[[], T]]) -> list[T]:
    """What pieces of work give, in their order; with a second core each is done by whoever is free first.

    The pieces are begun in their order and none after an error, so of several errors the first piece's comes up,
    whoever came upon it.

    Args:
        pieces: pure, and what they give can be pickled.

    Raises:
        LynchetError: a piece raised it.
    """
    tickets, written = os.pipe()
    os.write(written, b"".join(n.to_bytes(_TICKET_BYTES, "big") for n in range(len(pieces))))
    os.close(written)
    packed = [partial(_packed, piece) for piece in pieces]
    with os.fdopen(tickets, "rb", buffering=0) as left, beside(lambda: _done_of(packed, left)) as others:
        done = _done_of(pieces, left)
        for n, sent in others().items():
            done[n] = pickle.loads(sent) if isinstance(sent, bytes) else sent
    found: list[T] = []
    for n, piece in enumerate(pieces):
        one = done[n] if n in done else piece()  # a copy that failed leaves what it had begun
        if isinstance(one, LynchetError):
            raise one
        found.append(one)
    return found


def _packed(piece: Callable[[], object]) -> bytes:
    """What a piece gives, made ready for the way as soon as it is done: that is part of the work shared out."""
    return pickle.dumps(piece(), pickle.HIGHEST_PROTOCOL)


def _done_of(pieces: Sequence[Callable[[], T]], tickets: FileIO) -> dict[int, T | LynchetError]:
    """Take tickets and do their pieces until there are none left; by number what each gave, or the error it raised."""
    done: dict[int, T | LynchetError] = {}
    while ticket := tickets.read(_TICKET_BYTES):
        n = int.from_bytes(ticket, "big")
        try:
            done[n] = pieces[n]()
        except LynchetError as error:
            done[n] = error
            while tickets.read(_TICKET_BYTES):  # nobody begins another
                pass
    return done


def can_copy() -> bool:
    """Whether there is a second core, and a process that can be copied whole: on Linux, one of a single thread.

    Other threads (of a library too) would be missing in the copy, and what waits for them would wait for ever.
    """
    if sys.platform != "linux":
        return False
    try:
        return len(os.sched_getaffinity(0)) > 1 and len(list(Path("/proc/self/task").iterdir())) == 1
    except OSError:
        return False


class _Copy:
    """A copy of this process at work: its number, and the pipe it answers through."""

    def __init__(self, number: int, answer: int) -> None:
        self._number: int | None = number
        self._answer = os.fdopen(answer, "rb")

    def result(self, work: Callable[[], T]) -> T:
        """What the copy gave; where it gave nothing, what the work gives here.

        Raises:
            LynchetError: the work raised it.
        """
        written = b"" if self._number is None else self._answer.read()
        if self._ended() or not written:
            return work()
        found, error = pickle.loads(written)
        if error is not None:
            raise error
        return cast(T, found)

    def _ended(self) -> int:
        """Wait for its end; how it ended, 0 for well. Asked again: not well, as it has no more to give."""
        if self._number is None:
            return 1
        number, self._number = self._number, None
        return os.waitpid(number, 0)[1]

    def end(self) -> None:
        """Stop it where it is still at work."""
        self._answer.close()
        if self._number is not None:
            os.kill(self._number, signal.SIGTERM)
            self._ended()


def _copied(work: Callable[[], object]) -> _Copy | None:
    """A copy that has begun the work; None where the system has no room for one."""
    me = os.getpid()
    answer, written = os.pipe()
    held = signal.pthread_sigmask(signal.SIG_BLOCK, _ENDS)  # until the copy has its own ways to end
    try:
        number = os.fork()
        if number == 0:
            _work_and_leave(work, written, me)
    except OSError:
        os.close(answer)
        return None
    finally:
        os.close(written)
        signal.pthread_sigmask(signal.SIG_SETMASK, held)
    return _Copy(number, answer)


def _work_and_leave(work: Callable[[], object], answer: int, parent: int) -> NoReturn:
    """All that a copy ever does: nothing of the copied program goes on after it, nor is written out a second time."""
    status = 1
    try:
        signal.signal(signal.SIGTERM, _leave)  # through every block that has something to clear away
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # a key reaches both; the one that began this ends it
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _ENDS)
        _end_with(parent)
        with os.fdopen(answer, "wb") as stream:
            pickle.dump(_found(work), stream, pickle.HIGHEST_PROTOCOL)
        status = 0
    finally:
        os._exit(status)


def _found(work: Callable[[], object]) -> tuple[object, LynchetError | None]:
    try:
        return work(), None
    except LynchetError as error:
        return None, error


def _leave(number: int, frame: object) -> NoReturn:
    signal.signal(signal.SIGTERM, signal.SIG_IGN)  # once is enough: what clears up is not to be broken off
    sys.exit(1)


def _end_with(parent: int) -> None:
    """Ask the system to end this process when the one that began it ends."""
    import ctypes

    ctypes.CDLL(None).prctl(_SIGNAL_AT_PARENTS_END, signal.SIGTERM)
    if os.getppid() != parent:  # it has ended already
        sys.exit(1)
