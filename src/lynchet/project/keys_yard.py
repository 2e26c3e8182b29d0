"""Keys of the yard as it is: site, ground, area, what stays, what loads."""

from __future__ import annotations

from lynchet.project.keys import Key, need, table, tables, word

FAR = 10_000.0
"""Plan sizes up to 10 km from the first corner."""


def size(about: str, most: float = FAR, **more: object) -> Key:
    """A length above zero."""
    return Key("length", about, low=0.0, high=most, above=True, **more)  # type: ignore[arg-type]


def depth(about: str, most: float = 30.0, **more: object) -> Key:
    """A length from zero up."""
    return Key("length", about, low=0.0, high=most, **more)  # type: ignore[arg-type]


def level(about: str, **more: object) -> Key:
    """A height over the file's zero, either sign."""
    return Key("length", about, low=-500.0, high=9000.0, **more)  # type: ignore[arg-type]


NAME = Key("text", "name, to tell it from others")
POINT = Key("point", "place [x, y]")

SITE = table(
    "where the yard is",
    {
        "latitude": Key("angle", "degrees north", low=-90.0, high=90.0),
        "longitude": Key("angle", "degrees east (west is negative)", low=-180.0, high=180.0),
        "north": Key("angle", "bearing of true north, clockwise from the +y axis", low=0.0, high=360.0),
        "frost_depth": depth("how deep the ground freezes", 4.0, most_bare_ft=8.0),
    },
)

SLOPE = table(
    "a plane from three rough readings: edge 0 of the outline is the low one",
    {
        "low_level": level("level of the low edge", default="0 m", default_us="0 ft", origin="PRACTICE: zero is there"),
        "fall": need(Key("fall", "drop in the run it was measured over, or a slope", low=0.0, high=2.0)),
        "cross_fall": Key(
            "slope", "fall along edge 0 from its first corner to its second", low=-1.0, high=1.0,
            default=0, origin="PRACTICE: level along the low edge until measured",
        ),
    },
    short="fall",
)  # fmt: skip

STEPS = tables(
    "board and level: steps up the slope, one line or several",
    {
        "name": NAME,
        "from": Key("point", "where the line of steps starts; the middle of edge 0 if left out"),
        "toward": Key("point", "a place the line runs to; square to edge 0 if left out"),
        "level": level("level of the start", default="0 m", default_us="0 ft", origin="PRACTICE: zero is there"),
        "each": need(
            tables(
                "rise and run of every step",
                {
                    "rise": need(Key("length", "rise of this step (down is negative)", low=-5.0, high=5.0,
                                     most_bare_ft=6.0)),
                    "run": need(size("level length of this step", 30.0, most_bare_ft=30.0)),
                },
                least=1,
            )
        ),
        "error": depth(
            "each rise is good to plus or minus this", 0.2, default="3 mm", default_us="1/8 in",
            origin="PRACTICE: level on a straight board",
        ),
        "cross_fall": Key(
            "slope", "fall along edge 0 where one line of steps stands for the whole width", low=-1.0, high=1.0,
            default=0, origin="PRACTICE: level across until measured",
        ),
    },
    least=1,
)  # fmt: skip

LASER = table(
    "rod readings from one set-up of a level",
    {
        "zero": need(Key("length", "rod reading at the zero mark (doorstep, siding bottom)", low=-10.0, high=10.0)),
        "zero_name": Key("text", "what that mark is; levels on site are counted from it", default="the zero mark",
                         origin="PRACTICE: levels are counted from where the rod was read first"),
        "zero_level": level("level of that mark", default="0 m", default_us="0 ft", origin="PRACTICE: zero is there"),
        "check": Key("length", "rod reading at the zero mark again at the end", low=-10.0, high=10.0),
        "readings": need(
            tables(
                "points read",
                {
                    "name": need(NAME),
                    "at": need(POINT),
                    "rod": need(Key("length", "rod reading", low=-10.0, high=10.0)),
                },
                least=3,
            )
        ),
    },
)  # fmt: skip

LEVEL_BOOK = table(
    "a level book as a CSV file",
    {
        "file": need(Key("file", "columns point, backsight, intermediate, foresight, known, leg, x, y")),
        "places": Key("places", "where the points of the book are, by name: { peg = [3, 4] }"),
        "unit": word("unit of the readings in the file", "m", "ft", "us_ft"),
        "spread": word("how a misclosure is shared out", "setups", "distance", "none", default="setups",
                       origin="PRACTICE: every set-up has its share"),
        "coefficient": size(
            "allowed misclosure of one set-up (grows with the root of their number)", 0.1, default="5 mm",
            origin="PRACTICE: 5 mm per root set-up",
        ),
    },
    short="file",
)  # fmt: skip

POINTS = table(
    "points with a level: a CSV file, or written here",
    {
        "file": Key("file", "CSV with columns x, y, level (and name), or as `columns` says"),
        "columns": word("order of the columns where the file has no header", "xyz", "pnez"),
        "unit": word("unit of the file of points", "m", "ft", "us_ft"),
        "readings": tables(
            "points written here",
            {"name": NAME, "at": need(POINT), "level": need(level("level of the ground there"))},
            least=3,
        ),
    },
    short="file",
)

GROUND = table(
    "readings of the ground: exactly one of slope, steps, laser, level_book, points",
    {
        "slope": SLOPE,
        "steps": STEPS,
        "laser": LASER,
        "level_book": LEVEL_BOOK,
        "points": POINTS,
        "held": word("how the tape was held", "level", "ground", "unknown"),
        "trust": size("one standard deviation of a level", 1.0),
        "misclosure": Key("length", "by how much the readings missed on the way back to zero", low=-5.0, high=5.0),
        "sure": Key("texts", "names of readings taken twice and found right", least=0),
        "setups": Key("whole", "set-ups, or board steps, of the way out and back", low=1, high=1000),
    },
)

EDGES = tables(
    "what is said of single edges (edge i runs from corner i to the next, from 0)",
    {
        "from": need(Key("whole", "number of the corner the edge starts from, from 0", low=0, high=10_000)),
        "finish": word("how the edge ends", "wall", "bank", "open", "house", default="wall",
                       origin="PRACTICE: a wall wherever levels differ",
                       said="wall (of timber wherever levels differ), bank (a slope outside, with its `width`), open "
                       "(no wall: the ground runs on), house (a house stands there); for a fence or hedge: a "
                       "[[lot_line]], and here `inset` and `dig_beyond = 0`"),
        "width": size("width of a bank outside this edge", 50.0),
        "dig_beyond": depth("how far one may dig outside this edge", 50.0),
        "inset": depth("how far the terraces keep inside this edge, so that what is dug stays on your ground", 50.0),
    },
)  # fmt: skip

AREA = table(
    "the ground to be terraced: an outline, or length and depth of a rectangle",
    {
        "outline": Key("points", "corners in order; edge 0 is the low one on a plain slope", least=3),
        "length": Key("length", "side to side, along the low edge", low=0.01, high=FAR),
        "depth": Key("length", "from the low edge up the slope", low=0.01, high=FAR),
        "edges": EDGES,
    },
)

HOUSES = tables(
    "buildings that stay",
    {
        "name": NAME,
        "outline": need(Key("points", "corners in order", least=3)),
        "floor": level("level of the floor"),
        "eaves": size(
            "height of the eaves over the floor, or over the ground where no floor is given; for its shade", 60.0
        ),
        "ridge": size("height of the ridge likewise; left out for a flat roof", 60.0),
        "far_side": word(
            "how its side away from the yard is known; an assumed one is marked so on every plan",
            "measured",
            "assumed",
            default="measured",
            origin="not said",
        ),
        "siding": table(
            "outer cladding",
            {
                "kind": Key("text", "wood, brick, render, ...", default="unknown", origin="not said"),
                "lowest": level("level of its lowest edge"),
            },
            short="kind",
        ),
        "footing_depth": depth("depth of the footing's underside below the ground", 10.0, most_bare_ft=12.0),
        "roof": table(
            "what the roof sheds",
            {
                "area": Key("area", "plan area of the roof", low=0.0, high=1e5),
                "downspouts": Key("points", "feet of the downspouts", least=0),
            },
            short="area",
        ),
        "built": Key("whole", "year it was built (lead paint before 1980)", low=1000, high=2200),
    },
)

_PATH_WIDTH = {"default": "0.9 m", "default_us": "3 ft", "origin": "PRACTICE: one person with a barrow"}

PATHS = tables(
    "paths that stay at the level of the ground",
    {
        "name": NAME,
        "line": need(Key("points", "middle of the path", least=2)),
        "width": size("width", 20.0, most_bare_ft=24.0, **_PATH_WIDTH),
    },
)

FLIGHTS = tables(
    "flights of steps wished for",
    {
        "name": NAME,
        "line": need(Key("points", "from foot to head", least=2)),
        "width": size("width", 10.0, most_bare_ft=12.0, **_PATH_WIDTH),
        "landing": size(
            "depth of the landings at foot and head, the way one walks; 0.9 m (36 in) at least, ask the local code",
            10.0,
            most_bare_ft=12.0,
            default="0.9 m",
            default_us="36 in",
            origin="International Residential Code R311.7.6: 36 in (MEMORY); PRACTICE where it is measured in metres",
        ),
    },
)

FIXED = tables(
    "things that stay, with the ground they need",
    {
        "kind": need(word("what it is", "tree", "service", "septic", "wall", "rock", "well", "pole", "other")),
        "name": NAME,
        "at": POINT,
        "line": Key("points", "a line", least=2),
        "outline": Key("points", "an outline", least=3),
        "clear": depth("side clearance to keep from it", 60.0),
        "depth": depth("depth of its top below the ground", most_bare_ft=12.0),
        "stem": size("stem diameter at breast height", 4.0, most_bare_ft=6.0),
        "height": size("height", 120.0),
        "crown": size("crown diameter", 80.0),
    },
)

LOT_LINES = tables(
    "lot lines: nothing of ours crosses them",
    {
        "name": NAME,
        "line": need(Key("points", "the line", least=2)),
        "trust": word("how it is known", "survey", "fence", "guess", default="guess",
                      origin="PRACTICE: a guess until somebody says how it is known"),
        "height": depth("height of a fence or hedge on it, over the ground; 0 for none", 20.0),
    },
)  # fmt: skip

WALL_LINES = tables(
    "own wall lines in place of those laid out",
    {
        "terrace": need(Key("whole", "terrace whose front this is, from 1 at the bottom", low=1, high=50)),
        "points": need(Key("points", "the line", least=2)),
    },
)

LOADS = tables(
    "loads on the ground near the walls",
    {
        "name": NAME,
        "outline": need(Key("points", "corners in order", least=3)),
        "pressure": need(Key("pressure", "weight per area", low=0.0, high=200.0, above=True)),
    },
)

ON_WALL = tables(
    "what stands on or just behind a wall",
    {
        "kind": need(word("what it is", "fence", "seat", "cap", "rail", "tub")),
        "at": Key("text", "edge or wall id (A0, W2); every wall but those beside steps where left out", default="",
                  origin="every wall"),
        "fixed_to": word("how it stands", "top course", "behind", "own posts", default="behind",
                         origin="PRACTICE: posts stand behind the wall"),
        "height": depth("height over the wall's top", 6.0, default=0, origin="not said"),
        "push": Key("line_load", "sideways push at its top", low=0.0, high=10.0, default=0, origin="not said"),
    },
)  # fmt: skip
