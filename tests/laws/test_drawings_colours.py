"""Sheets in grey and before colour-blind eyes: what is read stays readable, and what is told apart by colour stays so.

Colour blindness is simulated by the matrices for complete loss of one kind of cone of Machado, Oliveira and Fernandes,
"A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and
Computer Graphics 15 (2009), table of matrices, severity 1.0 (MEMORY), in linear light; contrast after WCAG 2.2, success
criterion 1.4.3; difference of colours after CIE 1976 L*a*b* (MEMORY).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest

from demo_plans import demo
from lynchet.drawings.display import Letters
from lynchet.drawings.lower import lower, with_grounds
from lynchet.drawings.model import Sheet
from lynchet.drawings.planting_sheet import planting_sheet
from lynchet.drawings.roles import COLOURS, DASH_MM, PEN_MM, colour
from lynchet.drawings.section_sheets import section_sheets
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.drawings.water_sheet import water_sheet
from lynchet.plan.model import Plan

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
EYES = {
    "all cones": np.eye(3),
    "no long waves": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no middle waves": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no short waves": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
    "grey": np.tile(LUMINANCE, (3, 1)),
}
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
LEAST_CONTRAST = 4.5
LEAST_APART = 15.0
"""In L*a*b*; a difference of 2 to 3 is just seen side by side."""
TOLD_APART = ("ink", "water", "earth", "warn")
"""Roles of lines and texts that carry meaning; those left, ``mid`` and ``plant``, are told by dash and shape."""


def _linear(role: str, theme: str) -> np.ndarray:
    text = colour(role, theme)  # type: ignore[arg-type]
    parts = np.array([int(text[n : n + 2], 16) for n in (1, 3, 5)]) / 255.0
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def _seen(role: str, theme: str, eye: str) -> np.ndarray:
    return np.clip(EYES[eye] @ _linear(role, theme), 0.0, 1.0)


def _contrast(one: str, two: str, theme: str, eye: str) -> float:
    a, b = sorted(float(LUMINANCE @ _seen(role, theme, eye)) for role in (one, two))
    return (b + 0.05) / (a + 0.05)


def _lab(linear: np.ndarray) -> np.ndarray:
    x = TO_XYZ @ linear / (TO_XYZ @ np.ones(3))
    f = np.where(x > (6.0 / 29.0) ** 3, np.cbrt(x), x / (3.0 * (6.0 / 29.0) ** 2) + 4.0 / 29.0)
    return np.array([116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])])


@pytest.mark.parametrize("eye", EYES)
def test_every_eye_leaves_white_white_and_black_black(eye: str) -> None:
    """The matrices are written down rightly as far as one can tell: greys stay what they are, before every eye."""
    for grey in (0.0, 0.3, 1.0):
        assert EYES[eye] @ np.full(3, grey) == pytest.approx(np.full(3, grey), abs=2e-6)


@pytest.mark.parametrize("theme", sorted(COLOURS))
@pytest.mark.parametrize("eye", EYES)
def test_roles_with_meaning_stand_out_from_paper(theme: str, eye: str) -> None:
    """Every role of lines and texts can be read on paper, whoever looks."""
    for role in (*TOLD_APART, "mid", "plant"):
        assert _contrast(role, "paper", theme, eye) >= LEAST_CONTRAST, role


@pytest.mark.parametrize("theme", sorted(COLOURS))
@pytest.mark.parametrize("eye", [eye for eye in EYES if eye != "grey"])
def test_roles_with_meaning_are_told_apart(theme: str, eye: str) -> None:
    """Ink, water, earth and warnings are four colours, before colour-blind eyes too."""
    for one, two in combinations(TOLD_APART, 2):
        apart = float(np.linalg.norm(_lab(_seen(one, theme, eye)) - _lab(_seen(two, theme, eye))))
        assert apart >= LEAST_APART, (one, two)


def test_grey_pens_and_dashes_are_told_apart() -> None:
    """Where colour is lost, pens differ by at least a third and no two dashes are alike."""
    pens = sorted(PEN_MM.values())
    assert all(thick / thin > 1.3 for thin, thick in pairwise(pens))
    assert len(set(DASH_MM.values())) == len(DASH_MM)


def _sheets(plan: Plan) -> Iterator[Sheet]:
    stamp = Stamp(date="12 May 2026")
    for draw in (site_sheet, terraces_plan, water_sheet, planting_sheet):
        sheet = draw(plan, stamp)
        if sheet is not None:
            yield sheet
    yield from section_sheets(plan, stamp)
    yield from wall_sheets(plan, stamp)


@cache
def _texts(name: str) -> frozenset[tuple[str, str]]:
    """Role of a text, and the ground it stands on, for all texts of a demo."""
    found = set()
    for sheet in _sheets(demo(name)):
        bare = [replace(mark, halo="ground") if isinstance(mark, Letters) else mark for mark in lower(sheet).marks]
        found |= {(mark.role, mark.halo) for mark in with_grounds(bare) if isinstance(mark, Letters)}
    return frozenset(found)


@pytest.mark.parametrize("name", ["l_garden", "side_yard", "spot_levels"])
def test_every_text_is_read_on_its_ground(name: str) -> None:
    """Whatever tone a text lies on, it stands out from it, in colour, in grey and before colour-blind eyes."""
    texts = _texts(name)
    assert len(texts) > 8
    poor = {(role, ground, eye): round(_contrast(role, ground, "print", eye), 2)
            for role, ground in texts for eye in EYES
            if _contrast(role, ground, "print", eye) < LEAST_CONTRAST}  # fmt: skip
    assert poor == {}
