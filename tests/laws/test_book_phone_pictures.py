"""Pictures inside the drawings of the phone's book are carried once each."""

from __future__ import annotations

import re

from lynchet.book.phone_pictures import carried_once

LOGO, OTHER = "data:image/png;base64,AAAA", "data:image/png;base64,BBBB"


def _image(x: float, wide: float, uri: str) -> str:
    return f'<image x="{x}" y="5" width="{wide}" height="{wide / 2}" href="{uri}"/>'


def test_a_picture_that_comes_often_is_carried_once() -> None:
    """Three sheets with one logo carry it once, and each shows it where it stood, as large as it was."""
    body = "".join(f"<svg>{_image(x, wide, LOGO)}</svg>" for x, wide in ((1.0, 20.0), (2.0, 20.0), (3.0, 10.0)))
    slim = carried_once(body)
    assert slim.count(LOGO) == 1
    shown = re.findall(r'<use x="([^"]*)" y="([^"]*)" width="([^"]*)" height="([^"]*)" href="#([^"]*)"/>', slim)
    assert [tuple(map(float, one[:4])) for one in shown] == [(1, 5, 20, 10), (2, 5, 20, 10), (3, 5, 10, 5)]
    assert {one[4] for one in shown} == set(re.findall(r'<symbol id="([^"]*)"', slim))


def test_different_pictures_stay_different() -> None:
    """Two logos keep two names; what comes once stays where it is, and a body without pictures as it is."""
    twice = carried_once("".join(_image(1.0, 20.0, uri) for uri in (LOGO, OTHER, LOGO, OTHER)))
    names = re.findall(r'<use [^>]*href="#([^"]*)"', twice)
    assert names[0] == names[2] != names[1] == names[3]
    for body in (_image(1.0, 20.0, LOGO) + _image(1.0, 20.0, OTHER), "<p>no picture</p>"):
        assert carried_once(body) == body
