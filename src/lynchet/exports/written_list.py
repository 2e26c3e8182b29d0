"""The list of what was written into a folder: a check sum by file name, so that a change by hand shows.

Form: that of the common check-sum tools, one line a file, "SHA-256  name" (`sha256sum -c` reads it).
"""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

LIST = ".written.sha256"
_DIGITS = 64


def checksum(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return sha256(data).hexdigest()


def listed(folder: Path) -> dict[str, str]:
    """Check sums by name, as the last runs wrote them; empty where there is no list, or none that can be read."""
    try:
        lines = (folder / LIST).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return {}
    return {line[_DIGITS + 2 :]: line[:_DIGITS] for line in lines if line[_DIGITS : _DIGITS + 2] == "  "}


def list_text(sums: Mapping[str, str]) -> str:
    """The list as it is written."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums))
