"""Files written into a folder: all of them or none, and none of a person's is lost."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from lynchet.core.errors import NoRoomError
from lynchet.exports.exchange import alone, exchange
from lynchet.exports.into import Into
from lynchet.exports.settled import Gone, settled
from lynchet.exports.written_list import LIST, list_text


def _nothing(_: str) -> bool:
    """No file is taken away."""
    return False


def _which(error: OSError, out: Path) -> str:
    """What could not be written: the folder, and the file in it where it was one."""
    name = Path(error.filename).name if isinstance(error.filename, str) else ""
    return f"{out} cannot be written: {name}" if (out / name).is_file() else f"{out} cannot be written"


def write_files(files: Mapping[str, str | bytes], into: Into, gone: Gone = _nothing) -> list[Path]:
    """Write all files, made beside first; what stood under other names stays, but for what is to go.

    A file that an earlier run wrote and nobody changed is replaced. One that was changed since is kept beside under a
    new name, and one that this run reads stays where it is, the new one beside it; both are told.

    Args:
        files: content by name.
        into: the folder, made where it is not there; what is read from it; who is told.
        gone: whether an old file of a name is taken away where it is not among those written.

    Raises:
        NoRoomError: the folder cannot be written; what stood there stands as it was.
    """
    data = {name: text if isinstance(text, bytes) else text.encode("utf-8") for name, text in files.items()}
    out = into.folder
    try:
        out.mkdir(parents=True, exist_ok=True)
        for name in data:
            if (out / name).is_dir():
                raise NoRoomError(f"{out / name} is a folder: move it away, a file of that name is written here")
        with alone(out) as work:
            found = settled(data, into, gone)
            new = {found.names[name]: content for name, content in data.items()}
            aside = [*found.aside, *([LIST] if (out / LIST).exists() else [])]
            exchange(work, out, new | {LIST: list_text(found.sums).encode("utf-8")}, aside, found.yours)
    except OSError as error:
        raise NoRoomError(f"{_which(error, out)}: {error.strerror}; what stood there stands as it was") from None
    for line in found.told:
        into.tell(line)
    return [out / name for name in new]
