"""Files written into a folder: all of them or none."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from lynchet.core.errors import NoRoomError


def refuse_file_as_folder(out: Path | None) -> None:
    """Say at once that the folder asked for is a file, before anything is worked out.

    Raises:
        NoRoomError: it is one.
    """
    if out is not None and out.exists() and not out.is_dir():
        raise NoRoomError(f"{out} is a file: name a folder, or another name")


def write_files(files: Mapping[str, str | bytes], out: Path, gone: Iterable[str] = ()) -> list[Path]:
    """Write all files, made beside first; what stood under other names stays, but for what is to go.

    Args:
        files: content by name.
        out: the folder; made where it is not there.
        gone: patterns of names whose files are taken away where they are not among those written.

    Raises:
        NoRoomError: the folder cannot be written; what stood there stands as it was.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out, prefix=".making-") as making:
            for name, content in files.items():
                data = content if isinstance(content, bytes) else content.encode("utf-8")
                (Path(making) / name).write_bytes(data)
            for name in files:
                if (out / name).is_dir():
                    raise NoRoomError(f"{out / name} is a folder: move it away, a file of that name is written here")
            for old in (path for pattern in gone for path in out.glob(pattern)):
                if old.name not in files and old.is_file():
                    old.unlink()
            for name in files:
                (Path(making) / name).replace(out / name)
    except OSError as error:
        raise NoRoomError(f"{out} cannot be written: {error.strerror}") from None
    return [out / name for name in files]
