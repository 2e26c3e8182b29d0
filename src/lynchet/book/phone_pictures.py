"""Pictures that many sheets carry, a firm's logo above all: once in the file, and shown wherever it stood."""

from __future__ import annotations

import re
from collections import Counter

_IMAGE = re.compile(r'<image x="([^"]*)" y="([^"]*)" width="([^"]*)" height="([^"]*)" href="(data:[^"]*)"/>')


def carried_once(body: str) -> str:
    """A body of HTML in which every picture inside its drawings that comes more than once is carried once.

    The first place gives the measure; a place of another size shows the same picture larger or smaller, as before.
    """
    found = list(_IMAGE.finditer(body))
    often = [uri for uri, count in Counter(one[5] for one in found).items() if count > 1]
    if not often:
        return body
    names = {uri: f"carried-{n}" for n, uri in enumerate(often, start=1)}
    first = {one[5]: (one[3], one[4]) for one in reversed(found)}

    def shown(one: re.Match[str]) -> str:
        name = names.get(one[5])
        size = f'x="{one[1]}" y="{one[2]}" width="{one[3]}" height="{one[4]}"'
        return one[0] if name is None else f'<use {size} href="#{name}"/>'

    kept = "".join(_symbol(names[uri], first[uri], uri) for uri in often)
    # Not "display: none": what is not laid out may not be shown elsewhere either.
    store = f'<svg width="0" height="0" style="position:absolute" aria-hidden="true">{kept}</svg>\n'
    return store + _IMAGE.sub(shown, body)


def _symbol(name: str, size: tuple[str, str], uri: str) -> str:
    wide, high = size
    return (
        f'<symbol id="{name}" viewBox="0 0 {wide} {high}"><image width="{wide}" height="{high}" href="{uri}"/></symbol>'
    )
