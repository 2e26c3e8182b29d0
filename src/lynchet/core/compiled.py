"""Whether the compiled formulas are ready: numba keeps its work beside the module, or in the user's own folder."""

from __future__ import annotations

import os
import sys
from hashlib import sha1
from importlib.util import find_spec
from pathlib import Path

ENDING = "_compiled"
"""Of the names of modules that numba compiles."""


def kept_in(source: Path) -> tuple[Path, ...]:
    """Folders in which numba keeps its work for a module: the one wished, else beside it or in the user's own folder.

    Args:
        source: file of the module.
    """
    folder = source.resolve().parent
    elsewhere = f"{folder.name}_{sha1(str(folder).encode(), usedforsecurity=False).hexdigest()}"
    wished = os.environ.get("NUMBA_CACHE_DIR", "")
    return (Path(wished) / elsewhere,) if wished else (folder / "__pycache__", _user_folder() / elsewhere)


def is_ready(source: Path) -> bool:
    """Whether a module's compiled work is kept for this Python and is not older than its source."""
    tag = f"py{sys.version_info.major}{sys.version_info.minor}"
    kept = (index for folder in kept_in(source) for index in folder.glob(f"{source.stem}.*{tag}*.nbi"))
    try:
        written = source.stat().st_mtime
        return any(index.stat().st_mtime >= written for index in kept)
    except OSError:  # a package in an archive, or a folder nobody may look into
        return False


def not_ready(package: Path) -> tuple[Path, ...]:
    """Modules of a package that would have to be compiled first; empty where numba is not there."""
    if find_spec("numba") is None:
        return ()
    return tuple(source for source in sorted(package.rglob(f"*{ENDING}.py")) if not is_ready(source))


def _user_folder() -> Path:
    """Where numba keeps its work when the package's folder may not be written."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home()) / "numba" / "Cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "numba"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "numba"
