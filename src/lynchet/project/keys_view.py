"""Keys of the standpoints for the eye-level picture."""

from __future__ import annotations

from lynchet.project.keys import Key, need, tables
from lynchet.project.keys_yard import NAME, POINT

VIEWS = tables(
    "a place from which the finished garden is drawn as one would see it; each on a sheet of its own",
    {
        "name": NAME,
        "at": need(POINT),
        "towards": Key("point", "a place one looks at; left out, the middle of the area"),
        "eye": Key("length", "height of the eyes over the ground", low=0.5, high=10.0, default="1.6 m",
                   origin="PRACTICE: a person who stands"),
    },
)  # fmt: skip
