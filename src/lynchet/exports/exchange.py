"""Files of a folder exchanged for new ones all together: whatever goes wrong, the old ones are put back."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from lynchet.core.errors import NoRoomError

WORK = ".being-written"
"""Folder in the folder: there while a run writes, with the new files, and the old ones until all are in place."""
WAIT_S = 20.0
"""So long one run waits for another."""
STALE_S = 120.0
"""A run that moved nothing for so long was broken off (writing takes seconds)."""
_NEW, _OLD, _DONE = "new", "old", "done"


@contextmanager
def alone(out: Path) -> Iterator[Path]:
    """Write into a folder while no other run does; gives the work folder.

    Raises:
        NoRoomError: another run goes on writing there.
    """
    work = _taken(out)
    try:
        (work / _NEW).mkdir()
        (work / _OLD).mkdir()
        yield work
    finally:
        shutil.rmtree(work / _NEW, ignore_errors=True)
        shutil.rmtree(work / _DONE, ignore_errors=True)
        with suppress(OSError):  # what could not be put back lies there still; the next run tries again
            (work / _OLD).rmdir()
        with suppress(OSError):
            work.rmdir()


def _taken(out: Path) -> Path:
    work, until = out / WORK, time.monotonic() + WAIT_S
    while True:
        try:
            work.mkdir()
        except FileExistsError:
            if time.time() - _touched(work) > STALE_S:
                _mend(work, out)
            elif time.monotonic() > until:
                since = time.strftime("%H:%M:%S", time.localtime(_touched(work)))
                raise NoRoomError(
                    f"another run is writing into {out} (last at {since}); nothing was changed. If none is: "
                    f"it was broken off; wait {STALE_S / 60:g} minutes, or delete {work}, and run again"
                ) from None
            else:
                time.sleep(0.1)
        else:
            return work


def _touched(work: Path) -> float:
    """When something last happened there."""
    times = [0.0]
    for place in (work, work / _NEW, work / _OLD):
        with suppress(OSError):
            times.append(place.stat().st_mtime)
    return max(times) or time.time()  # gone meanwhile: asked again


def _mend(work: Path, out: Path) -> None:
    """After a run that was broken off: old files that miss in the folder are put back, the rest is cleared away."""
    mine = out / f"{WORK}-{uuid4().hex[:8]}"
    with suppress(FileNotFoundError):  # another run was quicker
        work.rename(mine)
        if (mine / _OLD).is_dir():
            _put_back([(out / old.name, old) for old in (mine / _OLD).iterdir()])
        shutil.rmtree(mine, ignore_errors=True)


def exchange(work: Path, out: Path, new: Mapping[str, bytes], aside: Iterable[str], renamed: Mapping[str, str]) -> None:
    """Put new files into a folder.

    Args:
        work: the work folder.
        out: the folder.
        new: content by name.
        aside: names of old files that are replaced or go.
        renamed: old files that stay under another name.

    Raises:
        OSError: something cannot be written or moved; all is as it was.
    """
    for name, content in new.items():
        (work / _NEW / name).write_bytes(content)
    moves = [(out / name, out / other) for name, other in renamed.items()]
    moves += [(out / name, work / _OLD / name) for name in aside]
    moves += [(work / _NEW / name, out / name) for name in new]
    done: list[tuple[Path, Path]] = []
    try:
        for source, target in moves:
            done.append((source, target))  # before it is done: a broken-off move is found by what lies where
            source.replace(target)
        (work / _OLD).rename(work / _DONE)
    except BaseException:
        if not (work / _DONE).exists():  # else all was in place already
            _put_back(done)
        raise


def _put_back(done: list[tuple[Path, Path]]) -> None:
    """Undo moves, the last first; somebody who breaks off once more waits for it."""
    while done:
        source, target = done[-1]
        try:
            if target.exists() and not source.exists():
                target.replace(source)
            done.pop()
        except KeyboardInterrupt:
            continue
        except OSError:
            done.pop()
