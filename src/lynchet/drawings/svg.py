"""SVG of a display list: groups by layer, real text, title and description. Decides nothing but syntax.

Sizes are millimetres (the viewBox), so the file prints true to scale. Text carries its measured length, so that a
reader without the font keeps the widths; the font itself can be carried inside.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from functools import lru_cache
from html import escape
from io import BytesIO
from itertools import groupby
from typing import TypeGuard

from lynchet.drawings.display import Display, Letters, Mark, Raster, Stroke
from lynchet.drawings.letters import CAP_PER_EM, FAMILY, font, missing
from lynchet.drawings.model import Sheet
from lynchet.drawings.roles import Role, Theme, Weight, colour
from lynchet.drawings.svg_paths import outlines

LettersUsed = tuple[tuple[str, str], ...]
"""Weights of a font, and of each the letters used."""
_WEIGHTS = {"regular": 400, "semibold": 600, "bold": 700}
_ANCHORS = {"l": "start", "c": "middle", "r": "end"}
_FALLBACK = f"'{FAMILY}','Source Sans 3',Roboto,'Open Sans',Arial,sans-serif"
_HALO_MM = 0.9
_UNUSED = ("GPOS", "GSUB", "GDEF", "BASE", "DSIG", "gasp", "fpgm", "prep", "cvt ")
"""Kerning, ligatures and hints: switched off, so that widths are the sums of advances."""


def to_svg(sheet: Sheet, display: Display, *, embed_font: bool = True) -> str:
    """One sheet as an SVG document.

    Args:
        sheet: for its title, description and theme.
        display: what to write, as ``lower`` gives it.
        embed_font: carry the letters used inside the file.

    Raises:
        ValueError: a character that the font lacks; nothing would print there.
    """
    lacking = {letter for weight, letters in _letters_of(display.texts).items() for letter in missing(letters, weight)}
    if lacking:
        raise ValueError(f"the drawing font has no {' '.join(sorted(lacking))}")
    w, h = display.width_mm, display.height_mm
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(w)}mm" height="{_n(h)}mm" viewBox="0 0 {_n(w)} {_n(h)}" '
        f'role="img" aria-labelledby="t d" font-family="{_FALLBACK}" '
        'style="font-kerning:none;font-variant-ligatures:none" stroke-linejoin="round">',
        f'<title id="t">{_text(f"{sheet.fields.title}, {sheet.fields.job}")}</title>',
        f'<desc id="d">{_text(sheet.alt)}</desc>',
    ]
    lines.append(f'<rect width="{_n(w)}" height="{_n(h)}" fill="{colour("paper", sheet.theme)}"/>')
    drawn = iter(outlines([(mark.paths, mark.closed) for mark in display.marks if _is_path(mark)]))
    for layer, marks in groupby(display.marks, key=lambda mark: mark.layer):
        lines.append(f'<g data-layer="{escape(layer)}">')
        lines.extend(_mark(mark, sheet.theme, drawn) for mark in marks)
        lines.append("</g>")
    lines.append("</svg>\n")
    bare = "\n".join(lines)
    return with_font(bare, letters_used(display.texts)) if embed_font else bare


def with_font(bare: str, used: LettersUsed) -> str:
    """A document written without its letters, now with them."""
    head, end, rest = bare.partition("</desc>\n")
    return f"{head}{end}{_faces(used)}\n{rest}"


def _is_path(mark: Mark) -> TypeGuard[Stroke]:
    return isinstance(mark, Stroke) and not isinstance(mark, Raster)


def _mark(mark: Mark, theme: Theme, drawn: Iterator[str]) -> str:
    if isinstance(mark, Raster):
        (x, y), (right, bottom) = mark.paths[0][0], mark.paths[0][2]
        return f'<image x="{_n(x)}" y="{_n(y)}" width="{_n(right - x)}" height="{_n(bottom - y)}" href="{mark.uri}"/>'
    return _stroke(mark, theme, next(drawn)) if isinstance(mark, Stroke) else _letters(mark, theme)


def _stroke(mark: Stroke, theme: Theme, d: str) -> str:
    return f'<path d="{d}" {_look(mark.fill, mark.width_mm, mark.role, mark.dash_mm, theme)}/>'


@lru_cache(maxsize=1 << 10)
def _look(fill: Role, width_mm: float, role: Role, dash_mm: tuple[float, ...], theme: Theme) -> str:
    """How a path is filled and drawn: most are like another."""
    filled = f'fill="{colour(fill, theme)}" fill-rule="evenodd"' if fill else 'fill="none"'
    if not width_mm:
        return filled
    stroke = f' stroke="{colour(role, theme)}" stroke-width="{_n(width_mm)}"'
    if dash_mm:
        stroke += f' stroke-dasharray="{" ".join(_n(part) for part in dash_mm)}"'
        stroke += ' stroke-linecap="round"' if dash_mm[0] < 0.1 else ""
    return filled + stroke


def _letters(mark: Letters, theme: Theme) -> str:
    size = mark.h / CAP_PER_EM
    parts = [
        f'x="{_n(mark.x)}" y="{_n(mark.y)}" font-size="{_n(size)}" font-weight="{_WEIGHTS[mark.weight]}"',
        f'text-anchor="{_ANCHORS[mark.anchor]}" fill="{colour(mark.role, theme)}"',
        f'textLength="{_n(mark.width_mm)}" lengthAdjust="spacingAndGlyphs"',
    ]
    if mark.turn_deg % 360.0:
        parts.append(f'transform="rotate({_n(-mark.turn_deg)} {_n(mark.x)} {_n(mark.y)})"')
    if mark.halo:
        parts.append(f'paint-order="stroke" stroke="{colour(mark.halo, theme)}" stroke-width="{_n(_HALO_MM)}"')
    return f"<text {' '.join(parts)}>{_text(mark.text)}</text>"


def _text(words: str) -> str:
    return escape(words, quote=False)


def _n(value: float) -> str:
    """A number to a thousandth of a millimetre, without needless noughts."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


_COMMON = "".join(map(chr, range(0x20, 0x7F))) + "°²³·×−½¼¾⅛⅜⅝⅞′″±–—…’“”→≤Ø"
"""Letters nearly every sheet uses: embedded in all of them, so that the sheets of a plan share their fonts."""


def letters_used(texts: Iterable[Letters] = ()) -> LettersUsed:
    """The common letters and those of texts, in order, by weight."""
    used = sorted(_letters_of(texts).items())
    return tuple((weight, "".join(sorted({*_COMMON, *letters}))) for weight, letters in used)


def _letters_of(texts: Iterable[Letters]) -> dict[Weight, str]:
    """Every letter of texts once, by weight."""
    used: dict[Weight, set[str]] = {}
    for text in texts:
        used.setdefault(text.weight, set()).update(text.text)
    return {weight: "".join(letters) for weight, letters in used.items()}


def _faces(used: LettersUsed) -> str:
    """Style with the letters as embedded fonts."""
    rules = [
        f"@font-face{{font-family:'{FAMILY}';font-weight:{_WEIGHTS[weight]};"
        f"src:url(data:font/woff;base64,{subset(weight, letters)}) format('woff')}}"
        for weight, letters in used
    ]
    return f"<style>{''.join(rules)}</style>"


@lru_cache(maxsize=64)
def subset(weight: str, letters: str) -> str:
    """The font of a weight with these letters only, WOFF in base64. Kerning and ligatures are left out."""
    from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    # The same letters give the same bytes, so that a plan written twice gives equal files.
    opened = TTFont(font(weight).reader.file.name, recalcTimestamp=False)
    for table in _UNUSED:
        if table in opened:
            del opened[table]
    options = Options(layout_features=[], hinting=False, notdef_outline=True, glyph_names=False, legacy_kern=False)
    subsetter = Subsetter(options=options)
    subsetter.populate(text=letters)
    subsetter.subset(opened)
    opened.flavor = "woff"
    buffer = BytesIO()
    opened.save(buffer)
    return b64encode(buffer.getvalue()).decode("ascii")
