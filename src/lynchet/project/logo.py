"""A firm's logo: which kind of picture a file is, and its shape, from its first bytes; nothing is drawn here."""

from __future__ import annotations

import re
import struct
import zlib
from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.project.firm import Logo, LogoKind

MOST_BYTES = 2_000_000
_ACCEPTED = "a PNG, JPEG or SVG picture up to 2 MB, beside this file"
_PNG = b"\x89PNG\r\n\x1a\n"
_WIDEST = 20.0
"""Width over height, or height over width: beyond it nothing could be read."""
_MOST_DOTS = 5000
"""More than any print needs; a small file can claim sides that no memory holds."""
_SIZED = range(0xC0, 0xD0)
"""Markers of a JPEG frame, which give its size; three of them mean other things."""
_NOT_FRAMES = {0xC4, 0xC8, 0xCC}


def read_logo(folder: Path, name: str) -> Logo:
    """A logo from its file.

    Args:
        folder: of the job's file.
        name: as the file names it.

    Raises:
        InputError: missing, too big, no such picture, or a drawing that carries a script.
    """
    try:
        data = (folder / name).read_bytes()
    except FileNotFoundError:
        raise _wrong(name, "there is no such file") from None
    except OSError as error:
        raise _wrong(name, error.strerror or "it cannot be read") from None
    if len(data) > MOST_BYTES:
        raise _wrong(name, f"{len(data) / 1e6:.1f} MB")
    kind, size = _shape(data)
    if kind is None:
        raise _wrong(name, "no picture of a kind that is known")
    if size is None or min(size) <= 0:
        raise _wrong(name, f"a broken {kind.upper()} picture")
    if max(size) / min(size) > _WIDEST:
        raise _wrong(name, f"{size[0]:g} x {size[1]:g}, far too long for its height")
    if kind != "svg" and max(size) > _MOST_DOTS:
        raise _wrong(name, f"{size[0]:g} x {size[1]:g} dots")
    if kind == "svg" and re.search(rb"<script|<foreignObject|javascript:|href\s*=\s*[\"']\s*(?!#|data:image/)", data):
        raise _wrong(name, "a drawing that carries a script or fetches something")
    return Logo(name, kind, *size, data)


def _wrong(name: str, found: str) -> InputError:
    return InputError(Fault(found=found, accepted=_ACCEPTED, file=name))


def _shape(data: bytes) -> tuple[LogoKind | None, tuple[float, float] | None]:
    if data.startswith(_PNG):
        return "png", struct.unpack(">II", data[16:24]) if data[12:16] == b"IHDR" and _sound_png(data) else None
    if data.startswith(b"\xff\xd8"):
        return "jpeg", _jpeg(data)
    if b"<svg" in data[:4096]:
        return "svg", _svg(data)
    return None, None


def _sound_png(data: bytes) -> bool:
    """Whether every part of a PNG is whole by its own check sum, up to the last."""
    at = len(_PNG)
    while at + 12 <= len(data):
        (size,) = struct.unpack(">I", data[at : at + 4])
        part, end = data[at + 4 : at + 8 + size], at + 12 + size
        if end > len(data) or zlib.crc32(part) != struct.unpack(">I", data[end - 4 : end])[0]:
            return False
        if part[:4] == b"IEND":
            return True
        at = end
    return False


def _jpeg(data: bytes) -> tuple[float, float] | None:
    at = 2
    while at + 9 < len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker in _SIZED and marker not in _NOT_FRAMES:
            high, wide = struct.unpack(">HH", data[at + 5 : at + 9])
            return float(wide), float(high)
        at += 2 + struct.unpack(">H", data[at + 2 : at + 4])[0]
    return None


def _svg(data: bytes) -> tuple[float, float] | None:
    head = re.search(rb"<svg[^>]*>", data)
    if head is None or b"</svg>" not in data:
        return None
    box = re.search(rb"viewBox\s*=\s*[\"']\s*[-\d.e]+[ ,]+[-\d.e]+[ ,]+([\d.e]+)[ ,]+([\d.e]+)", head[0])
    sizes = [re.search(rb"[\s\"']" + side + rb"\s*=\s*[\"']([\d.]+)", head[0]) for side in (b"width", b"height")]
    found = box.groups() if box else tuple(size[1] for size in sizes if size)
    try:
        wide, high = (float(part) for part in found)
    except ValueError:
        return None
    return wide, high
