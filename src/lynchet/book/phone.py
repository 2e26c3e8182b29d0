"""The book for a phone with no signal: one file, nothing fetched; one view at a time; ticks and readings stay on it."""

from __future__ import annotations

from hashlib import sha256
from importlib.resources import files

from lynchet.book.blocks import Book
from lynchet.book.phone_blocks import own_contents, written
from lynchet.book.phone_pictures import carried_once
from lynchet.book.phone_views import View, views_of
from lynchet.book.signs import escape
from lynchet.book.spoken import marked
from lynchet.book.texts import Words
from lynchet.drawings.letters import FAMILY
from lynchet.drawings.svg import subset

_TICKED = "✓"
"""What a ticked box shows."""
_TEXT_WEIGHTS = {"regular": 400, "semibold": 600, "bold": 700}


def to_phone(book: Book) -> str:
    """The book as one HTML file."""
    words = Words(book.lang)
    views = views_of(book, words)
    body = carried_once("\n".join(_section(view, views, book, words) for view in views))
    buttons = "".join(_button(name, words(f"phone.{name}")) for name in ("back", "top", "sun", "next"))
    zoom = "".join(_button(name, words(f"phone.{name}")) for name in ("smaller", "bigger", "close"))
    job = sha256(book.title.encode()).hexdigest()[:12]
    return (
        f'<!doctype html>\n<html lang="{escape(book.lang)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{escape(book.title)}</title>\n"
        f"<style>{_faces(book, body + buttons + zoom)}{_data('phone.css')}</style>\n"
        f'</head>\n<body data-job="{job}">\n<main>\n{body}\n</main>\n'
        f'<nav aria-label="{escape(words("phone.nav"))}">{buttons}</nav>\n'
        f'<div id="zoom" role="dialog" aria-modal="true" aria-label="{escape(words("phone.zoomed"))}">'
        f'<div class="bar">{zoom}</div><div class="room" tabindex="0"></div></div>\n'
        f"<script>{_data('phone.js')}</script>\n</body>\n</html>\n"
    )


def _section(view: View, views: tuple[View, ...], book: Book, words: Words) -> str:
    """One view; the last carries the foot of the book."""
    level = 1 if view is views[0] else 2
    inner = "".join(written(block, view, views, words) for block in view.blocks)
    inner += own_contents(view, views, book.lang)
    foot = f'<p class="note"{marked(book.foot, book.lang)}>{escape(book.foot)}</p>' if view is views[0] else ""
    return (
        f'<section class="view" id="{view.anchor}">'
        f'<h{level} tabindex="-1"{marked(view.title, book.lang)}>{escape(view.title)}</h{level}>{inner}{foot}</section>'
    )


def _button(name: str, text: str) -> str:
    return f'<button type="button" id="{name}">{escape(text)}</button>'


def _faces(book: Book, body: str) -> str:
    """The letters used anywhere, once for the file."""
    letters = "".join(sorted({letter for letter in set(body) if letter.isprintable()} | set(book.foot + _TICKED)))
    return "".join(
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};font-display:block;"
        f"src:url(data:font/woff;base64,{subset(name, letters)}) format('woff')}}"
        for name, weight in _TEXT_WEIGHTS.items()
    )


def _data(name: str) -> str:
    return files("lynchet.book").joinpath("data", name).read_text(encoding="utf-8")
