"""Several files put into a folder: all of them or none."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from lynchet.core.errors import NoRoomError


def write_files(files: Mapping[str, bytes], out: Path, gone: Iterable[str] = ()) -> list[Path]:
    """Write files; each is made beside first, then all are put in their places.

    Args:
        files: contents by name.
        out: the folder, made where there is none.
        gone: names of an earlier run that must not stand beside these.

    Raises:
        NoRoomError: the folder cannot be written, or a folder bears the name of a file; nothing was changed.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out, prefix=".making-") as making:
            for name, content in files.items():
                if (out / name).is_dir():
                    raise NoRoomError(f"{out / name} is a folder: move it away, a file of that name is written here")
                (Path(making) / name).write_bytes(content)
            for name in gone:
                (out / name).unlink(missing_ok=True)
            for name in files:
                (Path(making) / name).replace(out / name)
    except OSError as error:
        raise NoRoomError(f"{out} cannot be written: {error.strerror}") from None
    return [out / name for name in files]
