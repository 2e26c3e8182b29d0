"""Blocks of the book as HTML for a phone."""

from __future__ import annotations

import re
from hashlib import sha256

from lynchet.book.blocks import (
    Block,
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
from lynchet.book.phone_svg import slim
from lynchet.book.phone_views import View
from lynchet.book.signs import escape
from lynchet.book.spoken import marked
from lynchet.book.texts import Words

_COLUMNS = 3
"""A table with more is shown row by row, each as a card, where the screen is narrow."""


def written(block: Block, view: View, views: tuple[View, ...], words: Words) -> str:
    """One block.

    Args:
        block: what is written.
        view: the view it stands in.
        views: all, for the contents.
        words: texts.
    """
    lang = words.lang
    match block:
        case Heading():
            # One heading of the first level in the file; no level is skipped below it.
            level = block.level if view is views[0] else block.level + 1
            return f"<h{level}{marked(block.text, lang)}>{escape(block.text)}</h{level}>"
        case Para():
            return f'<p class="{block.style}"{marked(block.text, lang)}>{escape(block.text)}</p>'
        case Flag():
            more = "".join(f'<div class="small"{marked(line, lang)}>{escape(line)}</div>' for line in block.more)
            word = f'<div class="word {block.word}"{marked(block.label, lang)}>{escape(block.label)}</div>'
            return f'<div class="flag">{word}<div{marked(block.text, lang)}>{escape(block.text)}{more}</div></div>'
        case Caution():
            return f'<div class="caution"{marked(block.text, lang)}>{escape(block.text)}</div>'
        case Bullets():
            return _bullets(block, view, lang)
        case Table():
            return _table(block, lang)
        case Picture() | Same():
            return _picture(block, words) if isinstance(block, Picture) else _same(block)
        case Entry():
            return _entry(block, words)
        case Working():
            lines = "".join(_part(name, texts) for name, texts in block.parts)
            tongue = marked(block.title, lang)
            return f"<details{tongue}><summary>{escape(block.title)}</summary>{lines}</details>"
        case Contents():
            return _contents(views, lang)
        case Break() | Screen() | OnPaper():
            return ""  # not of this view


def _part(name: str, lines: tuple[str, ...]) -> str:
    head = f"<div class='small strong'>{escape(name)}</div>" if name else ""
    return head + "".join(f"<div class='small'>{escape(line)}</div>" for line in lines)


def _bullets(block: Bullets, view: View, lang: str) -> str:
    if not block.tick:
        return "<ul>" + "".join(f"<li{marked(item, lang)}>{escape(item)}</li>" for item in block.items) + "</ul>"
    name = block.name or view.anchor
    return "".join(
        f'<label class="tick"><input type="checkbox" data-tick="{escape(name)}/{_short(item)}">'
        f"<span{marked(item, lang)}>{escape(item)}</span></label>"
        for item in block.items
    )


def _entry(block: Entry, words: Words) -> str:
    """A reading with a field to write it in."""
    expected = escape(words("day.expect", size=block.expected))
    return (
        f'<label class="entry"><span>{escape(block.place)}<b>{expected}</b></span>'
        f'<input type="text" inputmode="text" autocomplete="off" data-note="{escape(block.name)}"'
        f' placeholder="{escape(words("phone.found"))}"></label>'
    )


def _short(text: str) -> str:
    """A short stable name of a text: its tick survives a new issue as long as the words are the same."""
    return sha256(text.encode()).hexdigest()[:8]


def _table(block: Table, lang: str) -> str:
    aligns = block.aligns
    head = "".join(
        f'<th class="{a}"{marked(text, lang)}>{escape(text)}</th>' for a, text in zip(aligns, block.heads, strict=True)
    )
    rows = []
    for at, row in enumerate(block.rows):
        total = ' class="total"' if block.strong_last and at == len(block.rows) - 1 else ""
        cells = "".join(
            f'<td class="{a}" data-head="{escape(name, quote=True)}"{marked(text, lang)}>{escape(text)}</td>'
            for a, name, text in zip(aligns, block.heads, row, strict=True)
        )
        rows.append(f"<tr{total}>{cells}</tr>")
    top = f"<thead><tr>{head}</tr></thead>" if any(block.heads) else ""
    kind = ' class="cards"' if len(block.heads) > _COLUMNS else ""
    return f'<div class="wide"><table{kind}>{top}<tbody>{"".join(rows)}</tbody></table></div>'


def _picture(block: Picture, words: Words) -> str:
    # Ids inside the drawings are unique only within each; a phone reads the label of the button instead.
    svg = re.sub(r'\s(?:aria-labelledby|id)="[^"]*"', "", block.svg)
    svg = re.sub(r"<(title|desc)>.*?</\1>", "", svg, flags=re.S)
    svg = re.sub(r"^.*?<svg ", f'<svg id="pic-{block.name}" aria-hidden="true" ', svg, count=1, flags=re.S)
    said = words("phone.open", title=f"{block.title}. {block.alt}")
    label, tongue = escape(said, quote=True), marked(said, words.lang)
    tap = f'<span class="tap" aria-hidden="true">{escape(words("phone.open", title=block.title))}</span>'
    return f'<button type="button" class="sheet"{tongue} aria-label="{label}">{slim(svg)}{tap}</button>'


def _same(block: Same) -> str:
    """The picture once more, drawn from where it stands already."""
    label = escape(block.alt, quote=True)
    return f'<svg class="same" role="img" aria-label="{label}" data-same="pic-{block.name}"></svg>'


def _contents(views: tuple[View, ...], lang: str) -> str:
    """The parts, and under each the sheets or days that have views of their own."""
    found = []
    for part in (view for view in views if view.part == view.anchor and view.listed):
        lines = _lines(part, views, lang)
        found.append(f"<li>{_link(part, lang)}" + (f"<ol>{lines}</ol>" if lines else "") + "</li>")
    return f'<ol class="contents">{"".join(found)}</ol>'


def own_contents(part: View, views: tuple[View, ...], lang: str) -> str:
    """The sheets or days of one part, to jump to them from it; empty where it has none, or is no part."""
    lines = _lines(part, views, lang) if part.part == part.anchor else ""
    return f'<ol class="contents">{lines}</ol>' if lines else ""


def _lines(part: View, views: tuple[View, ...], lang: str) -> str:
    inner = (view for view in views if view.part == part.anchor and view is not part and view.listed)
    return "".join(f"<li>{_link(view, lang)}</li>" for view in inner)


def _link(view: View, lang: str) -> str:
    return f'<a href="#{view.anchor}"{marked(view.title, lang)}>{escape(view.title)}</a>'
