"""The book for a phone with no signal: one file, nothing fetched; ticks stay on it; every sheet can be zoomed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from hashlib import sha256
from html import escape
from importlib.resources import files

from lynchet.book.blocks import (
    Block,
    Book,
    Break,
    Bullets,
    Caution,
    Contents,
    Flag,
    Heading,
    Para,
    Picture,
    Table,
    Working,
)
from lynchet.book.texts import Words
from lynchet.drawings.letters import FAMILY
from lynchet.drawings.svg import subset

_COLUMNS = 3
"""A table with more is shown row by row, each as a card, where the screen is narrow."""
_TEXT_WEIGHTS = {"regular": 400, "semibold": 600, "bold": 700}


def to_phone(book: Book) -> str:
    """The book as one HTML file."""
    words = Words(book.lang)
    body = "\n".join(_body(book))
    buttons = "".join(
        f'<button type="button" id="{name}">{escape(words(f"phone.{name}"))}</button>'
        for name in ("back", "top", "sun", "next")
    )
    zoom = "".join(
        f'<button type="button" id="{name}">{escape(words(f"phone.{name}"))}</button>'
        for name in ("smaller", "bigger", "close")
    )
    job = sha256(book.title.encode()).hexdigest()[:12]
    return (
        f'<!doctype html>\n<html lang="{escape(book.lang)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{escape(book.title)}</title>\n<style>{_faces(book, body)}{_data('phone.css')}</style>\n</head>\n"
        f'<body data-job="{job}">\n<main>\n{body}\n<p class="note">{escape(book.foot)}</p>\n</main>\n'
        f"<nav>{buttons}</nav>\n"
        f'<div id="zoom" role="dialog" aria-modal="true"><div class="bar">{zoom}</div><div class="room"></div></div>\n'
        f"<script>{_data('phone.js')}</script>\n</body>\n</html>\n"
    )


def _body(book: Book) -> Iterator[str]:
    heads = [block for block in book.blocks if isinstance(block, Heading) and block.level == 1]
    for number, block in enumerate(book.blocks):
        yield _written(block, number, heads)


def _written(block: Block, number: int, heads: list[Heading]) -> str:
    match block:
        case Heading():
            name = f' id="p{heads.index(block)}"' if block.level == 1 else ""
            return f"<h{block.level}{name}>{escape(block.text)}</h{block.level}>"
        case Para():
            return f'<p class="{block.style}">{escape(block.text)}</p>'
        case Flag():
            more = "".join(f'<div class="small">{escape(line)}</div>' for line in block.more)
            word = f'<div class="word {block.word}">{escape(block.label)}</div>'
            return f'<div class="flag">{word}<div>{escape(block.text)}{more}</div></div>'
        case Caution():
            return f'<div class="caution">{escape(block.text)}</div>'
        case Bullets():
            return _bullets(block, number)
        case Table():
            return _table(block)
        case Picture():
            return _picture(block)
        case Working():
            lines = "".join(f"<div class='small'>{escape(line)}</div>" for line in block.lines)
            return f"<details><summary>{escape(block.title)}</summary>{lines}</details>"
        case Contents():
            links = "".join(f'<li><a href="#p{i}">{escape(head.text)}</a></li>' for i, head in enumerate(heads))
            return f'<h2 id="contents">{escape(block.title)}</h2><ol class="contents">{links}</ol>'
        case Break():
            return ""


def _bullets(block: Bullets, number: int) -> str:
    if not block.tick:
        return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in block.items) + "</ul>"
    name = block.name or str(number)
    return "".join(
        f'<label class="tick"><input type="checkbox" data-tick="{escape(name)}/{_short(item)}">'
        f"<span>{escape(item)}</span></label>"
        for item in block.items
    )


def _short(text: str) -> str:
    """A short stable name of a text: its tick survives a new issue as long as the words are the same."""
    return sha256(text.encode()).hexdigest()[:8]


def _table(block: Table) -> str:
    aligns = block.aligns
    head = "".join(f'<th class="{a}">{escape(text)}</th>' for a, text in zip(aligns, block.heads, strict=True))
    rows = []
    for at, row in enumerate(block.rows):
        total = ' class="total"' if block.strong_last and at == len(block.rows) - 1 else ""
        cells = "".join(
            f'<td class="{a}" data-head="{escape(name, quote=True)}">{escape(text)}</td>'
            for a, name, text in zip(aligns, block.heads, row, strict=True)
        )
        rows.append(f"<tr{total}>{cells}</tr>")
    top = f"<thead><tr>{head}</tr></thead>" if any(block.heads) else ""
    kind = ' class="cards"' if len(block.heads) > _COLUMNS else ""
    return f'<div class="wide"><table{kind}>{top}<tbody>{"".join(rows)}</tbody></table></div>'


def _picture(block: Picture) -> str:
    # Ids inside the drawings are unique only within each; a phone reads the label of the button instead.
    svg = re.sub(r'\s(?:aria-labelledby|id)="[^"]*"', "", block.svg)
    label = escape(f"{block.title}. {block.alt}", quote=True)
    return (
        f'<figure><button type="button" class="sheet" aria-label="{label}">{svg}</button>'
        f"<figcaption>{escape(block.title)}</figcaption></figure>"
    )


def _faces(book: Book, body: str) -> str:
    """The letters used anywhere, once for the file."""
    letters = "".join(sorted({letter for letter in body if letter.isprintable()} | set(book.foot)))
    return "".join(
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};font-display:block;"
        f"src:url(data:font/woff;base64,{subset(name, letters)}) format('woff')}}"
        for name, weight in _TEXT_WEIGHTS.items()
    )


def _data(name: str) -> str:
    return files("lynchet.book").joinpath("data", name).read_text(encoding="utf-8")
