"""A book as Typst source: every text goes in as a quoted string, so that no sign in a name can be read as markup."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.resources import files

from lynchet.book.blocks import (
    Block,
    Book,
    Break,
    Bullets,
    Caution,
    Contents,
    Entry,
    Flag,
    Heading,
    OnPaper,
    Para,
    Picture,
    Same,
    Screen,
    Table,
    Working,
)
from lynchet.book.signs import held, signed
from lynchet.drawings.letters import printable

_ALIGN = {"l": "left", "r": "right", "c": "center"}
_WHOLE_ROWS = 16
"""A table no longer stays on one page."""
MARGINS_MM = 34.0
"""Left and right margin of a page together, as the look has them."""


def typst_source(book: Book) -> str:
    """The whole book; its pictures are read from "NAME.svg" beside it."""
    width, height = book.paper
    start = f"#show: body => setup({_q(book.title)}, {_q(book.lang)}, {width}mm, {height}mm, {_q(book.foot)}, body)"
    lines = [files("lynchet.book").joinpath("data", "book.typ").read_text(encoding="utf-8"), start]
    first = True
    for block in _printed(book.blocks):
        if isinstance(block, Heading) and block.level == 1:
            lines += [] if first else ["#part-goes-on()" if block.flows else "#pagebreak(weak: true)"]
            first = False
        lines.append(_cautions(block) if isinstance(block, list) else _written(block, book))
    return "\n".join(lines) + "\n"


def _printed(blocks: Iterable[Block]) -> Iterator[Block | list[Caution]]:
    """What a printed book has; cautions that follow one another together, as they share one frame."""
    held: list[Caution] = []
    for block in blocks:
        for one in block.blocks if isinstance(block, OnPaper) else (block,):
            if isinstance(one, Caution):
                held.append(one)
                continue
            if held:
                yield held
                held = []
            yield one
    if held:
        yield held


def _cautions(blocks: list[Caution]) -> str:
    return f"#cautions({_list(block.text for block in blocks)})"


def _written(block: Block, book: Book) -> str:
    match block:
        case Heading():
            return f"#heading(level: {block.level}, {_q(block.text)})"
        case Para():
            return f"#para({_q(block.text)}, {_q(block.style)})"
        case Flag():
            return f"#flag({_q(block.word)}, {_q(block.label)}, {_q(block.text)}, {_list(block.more)})"
        case Bullets():
            return f"#bullets({'true' if block.tick else 'false'}, {_list(block.items)})"
        case Table():
            return _table(block)
        case Picture():
            return _picture(block, book)
        case Working():
            told = "".join(f"({_q(name)}, {_list(lines)}), " for name, lines in block.parts)
            return f"#working({_q(block.title)}, ({told}))"
        case Break():
            return "#pagebreak(weak: true)"
        case Contents():
            return f"#contents({_q(block.title)})"
        case Entry() | Same() | Screen() | OnPaper() | Caution():
            return ""  # of the phone alone; what is only on paper, and cautions, have been opened already


def _table(block: Table) -> str:
    columns = [f"{share}fr" for share in block.shares] or ["auto"] * len(block.heads)
    aligns = ", ".join(_ALIGN[letter] for letter in block.aligns)
    cells = _list(cell for row in block.rows for cell in row)
    whole = block.together or len(block.rows) <= _WHOLE_ROWS
    strong, together = ("true" if flag else "false" for flag in (block.strong_last, whole))
    return f"#rows(({', '.join(columns)},), ({aligns},), {_list(block.heads)}, {cells}, {strong}, {together})"


def _picture(block: Picture, book: Book) -> str:
    name = _q(f"{block.name}.svg")
    if block.page:
        size = f"{block.width_mm}mm, {block.height_mm}mm"
        return f"#sheet({name}, {_q(block.title)}, {_q(block.alt)}, {size})"
    wide, left = min(block.width_mm, book.paper[0] - MARGINS_MM), "true" if block.left else "false"
    return f"#picture({name}, {_q(block.alt)}, {wide}mm, {left})"


def _list(texts: Iterable[str]) -> str:
    return "(" + "".join(f"{_q(text)}, " for text in texts) + ")"


def _q(text: str) -> str:
    """A quoted string; line breaks become spaces."""
    return '"' + held(printable(signed(" ".join(text.split())))).replace("\\", "\\\\").replace('"', '\\"') + '"'
