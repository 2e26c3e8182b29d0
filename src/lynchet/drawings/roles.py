"""What lines, fills and texts mean: pens, dashes, colour roles by theme, and the layers in the order they are drawn.

Pens follow the steps of root 2 of ISO 128; dash and weight carry the meaning, colour only helps, so that a sheet still
reads in grey and for colour-blind eyes (PRACTICE; role colours checked by simulated colour blindness).
"""

from __future__ import annotations

from typing import Literal

Role = str
Theme = Literal["print", "light", "dark"]
Pen = Literal["cut", "outline", "visible", "thin", "fine", "hair"]
Dash = Literal["solid", "hidden", "short", "chain", "lot", "holes", "dot", "soil"]
Weight = Literal["regular", "semibold", "bold"]

PEN_MM: dict[str, float] = {
    "cut": 0.70, "outline": 0.50, "visible": 0.35, "thin": 0.25, "fine": 0.18, "hair": 0.13,
}  # fmt: skip
DASH_MM: dict[str, tuple[float, ...]] = {
    "solid": (),
    "hidden": (2.0, 1.0),
    "short": (1.0, 0.7),
    "chain": (6.0, 1.2, 0.4, 1.2),
    "lot": (8.0, 1.5, 1.2, 1.5, 1.2, 1.5),
    "holes": (4.0, 1.2),
    "dot": (0.01, 1.1),
    "soil": (1.6, 1.2),
}
"""Dash and gap in paper mm, alike at every scale."""

_LIGHT: dict[str, str] = {
    "paper": "#ffffff", "ink": "#1a1a1a", "mid": "#505050", "water": "#12558f", "earth": "#8a4d00",
    "warn": "#7d1a10", "plant": "#465f4a",
    "timber": "#f0dcb4", "stone": "#e3e3e3", "fill": "#f1e3d0", "bed": "#d8c3a5", "mulch": "#a98a63",
    "planted": "#e7efe0", "warn tone": "#fbe3d6", "soil": "#f7f2ea", "path": "#f4f1ea", "barrow": "#efefef",
    "water tone": "#bcdcf5",
}  # fmt: skip
_DARK: dict[str, str] = {
    "paper": "#12161a", "ink": "#f2f2f0", "mid": "#b8bcc0", "water": "#7acffc", "earth": "#f0c23b",
    "warn": "#ee7a3a", "plant": "#8fae95",
    "timber": "#6b5328", "stone": "#3a3f45", "fill": "#3b3022", "bed": "#4d3b24", "mulch": "#6a5033",
    "planted": "#1c3326", "warn tone": "#45210f", "soil": "#1c2126", "path": "#22262a", "barrow": "#262a2e",
    "water tone": "#1d4563",
}  # fmt: skip
COLOURS: dict[str, dict[str, str]] = {"print": _LIGHT, "light": _LIGHT, "dark": _DARK}

LAYERS: tuple[str, ...] = (
    "paper", "tones", "barrow run", "hatches", "ground before", "bank", "house", "walls", "ties", "pins", "steps",
    "path edges", "heaps", "plants", "water", "weep holes", "test holes", "things that stay", "lot lines",
    "ground after", "levels", "dimensions", "labels", "section marks", "key", "title",
)  # fmt: skip
"""In the order they are drawn; the names are the user's words and name the groups of a drawing file."""


def colour(role: Role, theme: Theme = "print") -> str:
    """The colour of a role as #rrggbb.

    Raises:
        KeyError: a role or theme that does not exist.
    """
    return COLOURS[theme][role]
