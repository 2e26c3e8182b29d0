"""Whether a place takes files, asked before anything is worked out; nothing is left there."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lynchet.core.errors import NoRoomError


def refuse_folder(out: Path | None) -> None:
    """Say at once that no file can be written into the folder asked for, or that it cannot be made.

    Args:
        out: the folder, there or not; None where none is asked for.

    Raises:
        NoRoomError: it is a file, lies under one, or takes no file.
    """
    if out is None:
        return
    with _told_of(out, ": name another folder"):
        place = next(one for one in (out, *out.absolute().parents) if _stands(one))
        if not place.is_dir():
            under = "" if place == out else f", so {out} cannot be made"
            raise NoRoomError(f"{place} is a file{under}: name a folder, or another name")
        _try(place)


def refuse_file(target: Path) -> None:
    """Say at once that a file asked for cannot be written.

    Args:
        target: the file, there or not; its folder must be there.

    Raises:
        NoRoomError: it cannot be.
    """
    with _told_of(target):
        folder = (target.resolve() if target.is_symlink() else target).parent
        if not _stands(folder):
            raise NoRoomError(f"{target} cannot be written: there is no folder {folder}; nothing was done")
        _try(folder)


def is_there(target: Path) -> bool:
    """Whether a file of this name is there.

    Args:
        target: the file asked for.

    Raises:
        NoRoomError: no file can have this name.
    """
    with _told_of(target):
        return target.exists()


@contextmanager
def _told_of(path: Path, way_out: str = "") -> Iterator[None]:
    """What the system refuses meanwhile, told of the place asked for."""
    try:
        yield
    except OSError as error:
        raise NoRoomError(f"{path} cannot be written: {error.strerror}; nothing was done{way_out}") from None


def _stands(path: Path) -> bool:
    """Whether something of that name is there; what the system says of a name it cannot look for is passed on."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def _try(folder: Path) -> None:
    """A file that leaves no trace: rights, a full disk or one for reading only show for sure in nothing else."""
    with tempfile.TemporaryFile(dir=folder):
        pass
