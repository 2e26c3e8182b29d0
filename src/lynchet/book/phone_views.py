"""The book cut into views of a phone: every part, every sheet and every step of a day has its own, with its address."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from lynchet.book.blocks import Block, Book, Break, Contents, Heading, OnPaper, Picture, Screen
from lynchet.book.texts import Words


@dataclass(frozen=True)
class View:
    """What one screen shows."""

    anchor: str
    """Its place in the address."""
    title: str
    blocks: tuple[Block, ...]
    part: str
    """Anchor of the part it belongs to; its own for a part."""
    listed: bool
    """Named in the contents."""


def views_of(book: Book, words: Words) -> tuple[View, ...]:
    """The views in order: the first page, the contents, then part by part."""
    found: list[View] = []
    part = ""
    for block in book.blocks:
        if isinstance(block, OnPaper | Break):
            continue
        if isinstance(block, Heading) and block.level == 1:
            part = _free(block.anchor or slug(block.text), found)
            found.append(View(part, block.text, (), part, True))
        elif isinstance(block, Contents):
            part = _free("contents", found)
            found.append(View(part, block.title, (block,), part, False))
        elif isinstance(block, Screen):
            found.append(View(_free(block.anchor, found), block.title, block.blocks, part, block.listed))
        elif isinstance(block, Picture) and block.page:
            found.append(View(_free(block.anchor or block.name, found), block.title, (block,), part, True))
        else:
            last = found.pop()
            found.append(View(last.anchor, last.title, (*last.blocks, block), last.part, last.listed))
    return tuple(replace(view, blocks=tuple(_unskipped(view.blocks))) for view in found)


def _unskipped(blocks: Sequence[Block]) -> Iterator[Block]:
    """The blocks, no heading more than one level below the one before it."""
    last = 1
    for block in blocks:
        if isinstance(block, Heading):
            last = min(block.level, last + 1)
            yield replace(block, level=last)
        else:
            yield block


def slug(text: str) -> str:
    """A heading as part of an address: small letters and hyphens."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-") or "part"


def _free(wished: str, found: Sequence[View]) -> str:
    """The anchor, with a number where it is taken."""
    taken = {view.anchor for view in found}
    name, n = wished, 2
    while name in taken:
        name, n = f"{wished}-{n}", n + 1
    return name
