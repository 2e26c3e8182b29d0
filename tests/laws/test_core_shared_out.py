"""Pieces of work shared out between two processes: the same results in their order, and the first piece's error."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from functools import partial

import pytest

from lynchet.core import beside as room
from lynchet.core.beside import shared_out
from lynchet.core.errors import NoRoomError

pytestmark = pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")


@pytest.fixture(autouse=True)
def copied(monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy each time where one can be made."""
    monkeypatch.setattr(room, "can_copy", lambda: sys.platform == "linux")


def _slow(n: int, seconds: float = 0.01) -> tuple[int, int]:
    time.sleep(seconds)
    return n, os.getpid()


def _refuses(n: int, seconds: float = 0.0) -> tuple[int, int]:
    time.sleep(seconds)
    raise NoRoomError(f"piece {n}")


def test_pieces_come_back_in_their_order_from_both() -> None:
    """Three hundred pieces, more than a byte can count: each once, in order; on Linux two processes have done them."""
    found = shared_out([partial(_slow, n, 0.0005) for n in range(300)])
    assert [n for n, _ in found] == list(range(300))
    assert len({who for _, who in found}) == (2 if sys.platform == "linux" else 1)


def test_whoever_is_free_takes_the_next() -> None:
    """Beside one long piece the other process does all the short ones."""
    found = shared_out([partial(_slow, 0, 0.4), *(partial(_slow, n) for n in range(1, 6))])
    long, *short = (who for _, who in found)
    assert len(set(short)) == 1 and (sys.platform != "linux" or short[0] != long)


def test_one_core_and_no_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no copy can be made all is done here, in order; of nothing comes nothing."""
    monkeypatch.setattr(room, "can_copy", lambda: False)
    assert shared_out([partial(_slow, n) for n in range(4)]) == [(n, os.getpid()) for n in range(4)]
    none: list[Callable[[], int]] = []
    assert shared_out(none) == []


def test_of_two_errors_the_first_pieces_comes_up() -> None:
    """Also where the later piece fails first, in whichever process; and no piece is begun after it."""
    begun: list[int] = []

    def later() -> tuple[int, int]:
        begun.append(1)
        return 0, 0

    for _ in range(5):
        with pytest.raises(NoRoomError, match="piece 1"):
            shared_out([_quick, partial(_refuses, 1, 0.05), partial(_refuses, 2), later])
    assert begun == []


def _quick() -> tuple[int, int]:
    return 0, 0


def test_a_copy_that_fails_leaves_its_pieces_to_be_done_here() -> None:
    """A copy that breaks off in the middle of a piece: that one and those it had done are done again."""
    here = os.getpid()

    def breaks_elsewhere(n: int) -> tuple[int, int]:
        time.sleep(0.01)
        if os.getpid() != here:
            os._exit(3)
        return n, here

    assert shared_out([partial(breaks_elsewhere, n) for n in range(8)]) == [(n, here) for n in range(8)]


def test_an_error_not_meant_comes_up_as_ever() -> None:
    """A fault of the program in either process comes up from this one."""

    def wrong() -> int:
        return 1 // 0

    with pytest.raises(ZeroDivisionError):
        shared_out([wrong, wrong])
