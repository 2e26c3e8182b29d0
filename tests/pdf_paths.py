"""What a page of a PDF paints: its paths by their corners, read from the page's own operators.

Source: ISO 32000-1:2008, 8.3 (matrices), 8.5 (paths: building and painting), 8.10 (forms drawn by Do). Curves are not
followed; a path is given by the points of its m, l and re.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from pypdf import PageObject
from pypdf.generic import DictionaryObject, StreamObject

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
_TOKEN = re.compile(
    rb"(?P<text>\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)|<[0-9A-Fa-f\s]*>)|(?P<name>/[^\s/<>\[\]()]*)"
    rb"|(?P<number>[-+]?(?:\d+\.?\d*|\.\d+))|(?P<word>[A-Za-z'\"][A-Za-z0-9*'\"]*)|<<|>>|[\[\]]",
    re.DOTALL,
)
_PAINTS = {b"f", b"F", b"f*", b"B", b"B*", b"S", b"s", b"b", b"b*", b"h"}
_ONE: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def painted(page: PageObject) -> Iterator[list[Point]]:
    """Paths in the order they are closed or painted, in points from the lower left of the page."""
    contents = page.get_contents()
    assert contents is not None
    yield from _painted(contents.get_data(), page["/Resources"], _ONE)  # type: ignore[arg-type]


def _painted(data: bytes, resources: DictionaryObject, matrix: Matrix) -> Iterator[list[Point]]:
    kept: list[Matrix] = []
    given: list[float] = []
    name, path = "", list[Point]()
    for token in _TOKEN.finditer(data):
        kind, text = token.lastgroup, token.group()
        if kind == "number":
            given.append(float(text))
        elif kind == "name":
            name = text.decode("latin-1")
        elif kind == "word":
            if text == b"q":
                kept.append(matrix)
            elif text == b"Q":
                matrix = kept.pop()
            elif text == b"cm":
                matrix = _times((*given[-6:],), matrix)  # type: ignore[arg-type]
            elif text == b"re":
                x, y, w, h = given[-4:]
                path = [_at(matrix, x, y), _at(matrix, x + w, y + h)]
            elif text in (b"m", b"l"):
                path = [*([] if text == b"m" else path), _at(matrix, *given[-2:])]
            elif text in _PAINTS:
                yield path
            elif text == b"Do":
                yield from _form(resources, name, matrix)
            given = []


def _form(resources: DictionaryObject, name: str, matrix: Matrix) -> Iterator[list[Point]]:
    """What a form paints where it is drawn; a picture paints no path."""
    form = resources["/XObject"][name]  # type: ignore[index]
    if isinstance(form, StreamObject) and form.get("/Subtype") == "/Form":
        own: Matrix = tuple(float(value) for value in form.get("/Matrix", _ONE))  # type: ignore[assignment]
        yield from _painted(form.get_data(), form.get("/Resources", resources), _times(own, matrix))


def _times(first: Matrix, then: Matrix) -> Matrix:
    """One matrix after the other, as row vectors (8.3.4)."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _at(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f
