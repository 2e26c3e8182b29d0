"""Keys of what is so already: courses that stand, things found, soil moved."""

from __future__ import annotations

from lynchet.project.keys import Key, need, tables, word
from lynchet.project.keys_yard import FAR, NAME, POINT, depth, level, size

FOUND_KINDS = ("rock", "concrete", "root", "pipe", "water", "soft")
COUNTED = (
    "distances along the wall count from the first point of its `line`; "
    "sheets count from the left end of its timber, seen from below"
)
"""Said wherever a person types such a distance, or reads one that was written down."""
STATION = depth(COUNTED, FAR)
COURSE = Key("whole", "course, counted from the wall's lowest, 1 first", low=1, high=100)

STANDS = tables(
    "courses that are laid; a wall may stand here several times, with different courses",
    {
        "wall": need(Key("text", "the wall, as the plan names it: W2, A0")),
        "course": need(Key("whole", "the highest course laid, or measured, from the lowest, 1 first", low=1, high=100)),
        "readings": tables(
            "levels of the top of that course, over the file's zero, at one or several places",
            {"level": need(level("level of the top"))},
            short="level",
        ),
        "low": depth("how much too low its top is", 1.0),
        "high": depth("how much too high its top is", 1.0),
        "answer": word("what is to be done: the courses above follow, or come back to level", "follow", "level"),
        "bottom": level("underside of the wall's lowest course as it was planned"),
        "line": Key(
            "points", f"start and end of the wall's line as it was planned, either way round: {COUNTED}", least=2
        ),
        "stretch": tables(
            f"stretches of the wall as they were planned; {COUNTED}",
            {
                "from": need(STATION),
                "to": need(STATION),
                "base": need(COURSE),
                "top": need(COURSE),
            },
        ),
        "cuts": tables(
            f"where the joints of a course lie; {COUNTED}",
            {"course": need(COURSE), "at": tables("distances along the wall", {"station": need(STATION)}, "station")},
        ),
        "notches": tables(
            "openings for pipes in the courses of this entry (those over the wall's entry below, up to its own); [] "
            f"says there are none, left out they are not known and are asked about; {COUNTED}",
            {"course": need(COURSE), "from": need(STATION), "to": need(STATION)},
        ),
    },
)

FOUND = tables(
    "things met in the ground while digging",
    {
        "name": NAME,
        "what": need(word("what it is", *FOUND_KINDS)),
        "at": POINT,
        "line": Key("points", "a line, where it is long", least=2),
        "depth": depth("depth of its top below the ground as it was; what is long follows the ground", 10.0,
                       default="0 m", default_us="0 ft", origin="not said", most_bare_ft=8.0),
        "size": size("how wide it is", 20.0, default="0.3 m", default_us="12 in", origin="PRACTICE: until it is bared",
                     most_bare_ft=10.0),
        "answer": word("what is to be done", "step up", "bridge", "drain", "dig out"),
    },
)  # fmt: skip

MOVED = tables(
    "soil that has left the site, or come to it, already",
    {
        "way": need(word("which way", "away", "in")),
        "volume": need(Key("volume", "how much", low=0.0, high=100_000.0, above=True)),
        "measure": word("as what it was counted", "loose", "bank", "compacted", default="loose",
                        origin="PRACTICE: as it lies in a barrow or on a truck"),
        "topsoil": Key("flag", "it is topsoil", default=False, origin="not said"),
    },
)  # fmt: skip

SO_FAR = {"stands": STANDS, "found": FOUND, "moved": MOVED}
"""Tables of the file."""
