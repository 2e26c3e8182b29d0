"""Keys of what is built and how: soil, water, timber, access, place, planting, prices, brief, schemes."""

from __future__ import annotations

from typing import Literal

from lynchet.project.keys import Key, Table, need, table, tables, word
from lynchet.project.keys_earth import EARTH
from lynchet.project.keys_firm import FIRM, OFFER_KEYS
from lynchet.project.keys_planting import PLANTING
from lynchet.project.keys_sheet import SHEET
from lynchet.project.keys_so_far import SO_FAR
from lynchet.project.keys_view import VIEWS
from lynchet.project.keys_works import PRICES, RATES, WORKS
from lynchet.project.keys_yard import (
    AREA,
    FIXED,
    FLIGHTS,
    GROUND,
    HOUSES,
    LOADS,
    LOT_LINES,
    NAME,
    ON_WALL,
    PATHS,
    POINT,
    SITE,
    WALL_LINES,
    depth,
    level,
    size,
)

CLASSES = ("GW", "GP", "GM", "GC", "SW", "SP", "SM", "SM-SC", "SC", "ML", "ML-CL", "CL", "MH", "CH")
FEELS = ("unknown", "gritty", "silky", "sticky", "sandy", "silty", "clay")

SOIL = table(
    "the soil, by class, by feel, by a jar test or by its friction angle",
    {
        "class": Key("word", "class of the soil by its symbol (SM: silty sand)", words=CLASSES),
        "feel": Key("word", "a squeezed ball: gritty (sandy), silky (silty), sticky (clay), unknown", words=FEELS,
                    said="gritty (sandy), silky (silty), sticky (clay), unknown"),
        "jar": table(
            "shares after a day in a jar of water",
            {
                "sand": need(Key("fraction", "share of sand", low=0.0, high=1.0)),
                "silt": need(Key("fraction", "share of silt", low=0.0, high=1.0)),
                "clay": need(Key("fraction", "share of clay", low=0.0, high=1.0)),
            },
        ),
        "friction_angle": table(
            "angle of friction of the drained soil",
            {
                "value": need(Key("angle", "angle", low=10.0, high=45.0)),
                "spread": Key("angle", "one standard deviation", low=0.0, high=10.0, default=3,
                              origin="PRACTICE: about a tenth of the angle"),
            },
            short="value",
        ),
        "wall_friction": Key("angle", "friction on the back of the wall", low=0.0, high=45.0),
        "cohesion": Key("pressure", "what holds soil together besides friction; 0 unless tested", low=0.0, high=50.0),
        "unit_weight": Key("unit_weight", "weight of the soil as it lies, moist", low=10.0, high=25.0),
        "saturated": Key("unit_weight", "weight of the soil when full of water", low=12.0, high=26.0),
        "base": word("what the lowest course lies on", "stone pad", "bare soil", default="stone pad",
                     origin="PRACTICE: crushed stone keyed into the ground"),
    },
)  # fmt: skip

HOLES = tables(
    "test holes",
    {
        "name": NAME,
        "at": POINT,
        "depth": need(size("depth dug", 10.0, most_bare_ft=8.0)),
        "feel": Key("text", "what came out, by feel", default="", origin="not said"),
        "water": depth("depth to water", 10.0, most_bare_ft=8.0),
        "refusal": depth("depth where the spade stopped", 10.0, most_bare_ft=8.0),
        "soak": Key("time", "time for 150 mm (6 in) of water to go", low=0.0, high=1e7, above=True),
    },
)

RAIN = table(
    "rain to drain for",
    {
        "intensity": Key("rate", "rain of the worst ten minutes", low=1.0, high=1000.0),
        "table": Key("file", "a published table of rain depths, as its web page gives it as text"),
        "years": Key("number", "return period to take from the table", low=1.0, high=1000.0),
        "minutes": Key("number", "duration to take from the table", low=1.0, high=1440.0),
        "runoff": Key("fraction", "share of the rain that runs off", low=0.0, high=1.0, default="35 %",
                      origin="PRACTICE: lawn and beds on a slope"),
        "storm": Key("rain_depth", "depth of the storm a soakaway must hold", low=0.0, high=1.0, above=True,
                     default="25 mm", default_us="1 in", origin="PRACTICE"),
        "storm_time": Key("time", "how long that storm lasts", low=60.0, high=1e6, default="1 h", origin="PRACTICE"),
    },
)  # fmt: skip

SPRINGS = tables(
    "ground water that does not come from rain on the spot",
    {
        "name": NAME,
        "at": POINT,
        "line": Key("points", "a wet line", least=2),
        "flow": Key("flow", "how much comes", low=0.0, high=100.0),
        "cut_off": Key("flag", "a cut-off drain with its own outlet is wished above it", default=False,
                       origin="not said"),
    },
)  # fmt: skip

MOST_STONE_M = 0.6096
"""The widest drain stone a file may ask for: 24 in, so that none lies under the wall behind its bed."""

DRAIN = table(
    "how the walls are drained",
    {
        "pipe": Key("length", "inside width of the pipe", low=0.01, high=0.5, default="100 mm", default_us="4 in",
                    origin="PRACTICE"),
        "outside": Key("length", "outside width of the pipe", low=0.01, high=0.6, default="110 mm",
                       default_us="4 3/8 in", origin="PRACTICE"),
        "fall": Key("slope", "least fall of the pipe", low=0.002, high=0.2, default="1 %", origin="PRACTICE"),
        "stone": size("width of drain stone behind the wall", MOST_STONE_M, default="0.3 m", default_us="12 in",
                      origin="PRACTICE", most_bare_ft=1.5),
        "outlet": tables(
            "places where water may leave",
            {"at": need(POINT), "level": level("level of the pipe there; the ground where left out")},
            short="at",
        ),
        "dig_outside": Key("flag", "pipes may be laid outside the outline", default=True,
                           origin="PRACTICE: unless a lot line or `dig_beyond` says no"),
        "pipe_from": depth("height held from which a pipe is laid behind a wall wherever it finds a way out; stone "
                           "alone drains lower ones, up to 0.30 m (12 in) where left out; against ground water a "
                           "pipe helps only where its outlet lies lower, and it is sized for the rain: water that "
                           "comes in dry weather too needs a drain of its own (`cut_off` under [[spring]])", 0.3048),
        "named_only": Key("flag", "water of the walls leaves by the outlets and soakaways of this file alone; else a "
                          "pipe comes to daylight elsewhere where that is much shorter", default=False,
                          origin="not said"),
        "ways_out": Key("whole", "ways out for the water behind each wall; with 2, one shut leaves the other",
                        low=1, high=2, default=1, origin="PRACTICE"),
    },
)  # fmt: skip

SOAKAWAYS = tables(
    "pits of stone that take water",
    {
        "name": NAME,
        "at": need(POINT),
        "inlet": level("level of the pipe at the pit"),
        "length": need(size("length", 50.0)),
        "width": need(size("width", 50.0, most_bare_ft=24.0)),
        "depth": need(size("depth of the stone", 6.0, most_bare_ft=8.0)),
        "voids": Key("fraction", "share of voids in the stone", low=0.05, high=0.95, default="30 %",
                     origin="PRACTICE: washed stone"),
        "soak": Key("rate", "soaking rate of the ground, from a test", low=0.0, high=5000.0),
    },
)  # fmt: skip

STAMPS: dict[str, Literal["ground contact", "above ground"]] = {
    **dict.fromkeys(("UC1", "UC2", "UC3", "UC3A", "UC3B"), "above ground"),
    **dict.fromkeys(("UC4", "UC4A", "UC4B", "UC4C", "UC5"), "ground contact"),
}
"""Use categories as stamped, in the words of this file. AWPA U1, use category system; EN 335, use classes (MEMORY)."""


TIMBER = tables(
    "timber of the walls; the first is used unless the brief names another",
    {
        "name": NAME,
        "section": Key("section", "height of a course x width across the wall, as laid", low=0.03, high=0.5,
                       default="150 mm x 150 mm", default_us="5 1/2 in x 5 1/2 in", origin="PRACTICE"),
        "unit_weight": Key("unit_weight", "weight of the wet-treated timber", low=3.0, high=14.0, default="7.85 kN/m3",
                           default_us="50 lb/ft3", origin="PRACTICE: treated softwood, neither fresh nor dry"),
        "material": table(
            "what it is",
            {
                "species": Key("text", "species"),
                "grade": Key("text", "stamped grade"),
                "treatment": Key("word", "as the stamp says, in words or by its use category", words=(
                    "ground contact", "above ground", "none", "creosote", "unknown", *STAMPS)),
            },
        ),
        "profile": word("shape of the timber", "square", "rounded", default="square", origin="PRACTICE: sawn square"),
        "reused": Key("flag", "whether the timber was used before", default=False, origin="PRACTICE: new timber"),
        "kerf": depth("what a saw cut takes", 0.02, default="3 mm", default_us="1/8 in", origin="PRACTICE: chain or "
                      "circular saw"),
        "end_trim": depth("cut off every stick first, where its end is split or out of square", 0.5, default=0,
                          origin="PRACTICE: ends as delivered"),
        "over_length": depth("how much longer than its name a stick is", 0.3, default=0,
                             origin="PRACTICE: nominal; ask the yard for the real length"),
        "stock": tables(
            "lengths of timber that are sold, or that you have",
            {
                "length": need(size("length", 30.0, most_bare_ft=24.0)),
                "price": Key("number", "price of one", low=0.0, high=1e7),
                "on_hand": Key("whole", "how many you have", low=0, high=100_000, default=0),
                "sold": Key("flag", "more of them can be bought; false for sticks you have and nobody sells",
                            default=True),
            },
            short="length",
        ),
    },
)  # fmt: skip

ACCESS = table(
    "the way in",
    {
        "only_way": Key("flag", "the area is the only way to the ground behind it", default=False, origin="not said"),
        "passage": size("width of passage to keep", 10.0, most_bare_ft=12.0),
        "gate": size("narrowest gate or gap on the way", 20.0, most_bare_ft=12.0),
        "gate_at": Key("point", "where that gate is"),
        "street": size("narrowest gap a truck has to pass on its way to where it stands", 20.0),
        "truck_stop": Key("point", "where a truck can stand"),
        "tip_at_heap": Key("flag", "the truck can get to the heap and tip there"),
        "heap": Key("point", "where soil may lie: the middle of the heap, a point"),
        "barrow": Key("volume", "one barrow, loose", low=0.01, high=1.0, default="0.08 m3", default_us="2.8 ft3",
                      origin="PRACTICE: a builder's barrow, not heaped"),
        "load": Key("volume", "one truck load, loose", low=0.1, high=50.0,
                    rule="7.6 m3 (10 yd3); 3 m3 (4 yd3) where the street is under 3.05 m (10 ft), 1 m3 (1 yd3) under "
                    "2.44 m (8 ft)",
                    rule_us="10 yd3 (7.6 m3); 4 yd3 (3 m3) where the street is under 10 ft (3.05 m), 1 yd3 (1 m3) "
                    "under 8 ft (2.44 m)",
                    origin="PRACTICE: three-axle tipper, small tipper, trailer"),
        "payload": Key("mass", "what the truck may carry", low=50.0, high=50_000.0),
    },
)  # fmt: skip

PLACE = table(
    "rules of the place",
    {
        "name": Key("text", "a place of the built-in samples, or your own word for it"),
        "heights": tables(
            "when a paper or an engineer is needed",
            {
                "name": need(NAME),
                "measure": need(word("how height is counted", "retained", "exposed", "base_to_top")),
                "limit": need(depth("limit", 20.0, most_bare_ft=12.0)),
                "tiers_add": word("which tiers are counted together", "never", "always", "setback", default="never",
                                  origin="not said"),
                "setback_ratio": Key("number", "set-back over height that parts two tiers", low=0.0, high=10.0,
                                     default=2.0, origin="PRACTICE"),
                "at_limit_counts": Key("flag", "a wall just at the limit counts", default=False, origin="not said"),
                "surcharge_counts": Key("flag", "any load behind counts", default=False, origin="not said"),
            },
        ),
        "building_clear": depth("clear distance from buildings", 30.0),
        "lot_clear": depth("clear distance from lot lines", 30.0),
    },
    short="name",
)  # fmt: skip

HELPS = ("back friction", "buried course", "pins", "screws", "returns", "ties")

BRIEF_KEYS: dict[str, Key] = {
    "terraces": Key("whole", "number of level beds, lowest first", low=1, high=50, rule="chosen from the drop",
                    origin="PRACTICE"),
    "highest_wall": size("highest retained height wished", 10.0, most_bare_ft=12.0),
    "levels": Key("levels", "levels of beds: balance (cut makes fill), equal, or a list from the lowest up",
                  default="balance", origin="PRACTICE: cut makes fill"),
    "lines": word("how the lines of the walls are laid", "edge", "fall", default="edge",
                  origin="PRACTICE: along the longest edge near the contour"),
    "lean": Key("slope", "how far the walls lean: set-back over height; 0 = plumb", low=0.0, high=0.25,
                rule="1 in 12 where the geometry allows, else plumb", origin="PRACTICE"),
    "embedment": Key("length", "how deep the wall's foot is buried", low=0.0, high=3.0,
                     rule="half a course up to two courses, else one, not under 0.15 m (6 in)", origin="PRACTICE",
                     rule_us="half a course up to two courses, else one, not under 6 in (0.15 m)",
                     most_bare_ft=3.0),
    "freeboard": depth("timber over the bed behind it", 0.5, default="50 mm", default_us="2 in", origin="PRACTICE"),
    "joint_offset": depth("how far joints of neighbouring courses keep apart", 3.0, default="0.6 m",
                          default_us="2 ft", origin="PRACTICE"),
    "shortest_piece": depth("shortest piece", 3.0, default="0.6 m", default_us="2 ft", origin="PRACTICE"),
    "longest_piece": size("longest piece one can carry", 20.0, rule="the longest length in stock", origin="PRACTICE",
                          most_bare_ft=24.0),
    "least_bed": depth("narrowest bed worth building: its soil, from timber to timber", 20.0, default="0.6 m",
                       default_us="2 ft", origin="PRACTICE", most_bare_ft=12.0),
    "bench_spacing": depth("least distance from the front of one wall to the front of the next", 50.0,
                           default="1.0 m", default_us="3 ft 3 in", origin="PRACTICE", most_bare_ft=30.0),
    "path_strip": size("width of a path strip kept at the foot of each wall", 5.0, most_bare_ft=8.0),
    "reach": depth("how far one can reach into a bed from one side", 2.0, default="0.6 m", default_us="2 ft",
                   origin="PRACTICE"),
    "dig_depth": depth(
        "how deep the beds may be dug later; what lies above holds no wall", 1.0, default="0.2 m", default_us="8 in",
        origin="PRACTICE: one spit",
    ),
    "one_stick": Key("flag", "courses up to the longest stick are laid of one, without a joint; longer ones are told",
                     default=False, origin="not said"),
    "ties": word("tie-backs into the bank", "auto", "never", "always", default="auto", origin="PRACTICE"),
    "pins": Key("flag", "steel pins through the courses", default=True, origin="PRACTICE"),
    "weeps": Key("flag", "weep holes of 25 mm (1 in), bored in the lowest seen course every 1.2 m (4 ft) at most "
                 "where drain stone lies behind it, let blocked water out", default=False,
                 origin="PRACTICE: joints silt up and are not counted"),
    "helps_off": Key("texts", "helps you do not want counted", words=HELPS, least=0),
    "earthquake": Key("fraction", "horizontal coefficient; 0 = not asked", low=0.0, high=0.5, default=0,
                      origin="not asked"),
    "timber": Key("text", "name of the timber to build with"),
}  # fmt: skip
BRIEF = Key("table", "what is wanted of the terraces", table=Table(BRIEF_KEYS))
SCHEMES = tables(
    "other briefs over the same yard, laid over `brief`",
    {"name": need(NAME), "option": Key("text", "words under which the client is offered this scheme as an option")}
    | {name: key for name, key in BRIEF_KEYS.items() if name != "timber"},
)

FILE = Table(
    {
        "lynchet": need(Key("whole", "lynchet = 1, the version of this file's form", low=1, high=1)),
        "units": need(
            word(
                "what plain numbers mean: metric (metres) or us (feet)",
                "metric",
                "us",
                said="metric, us: plain numbers are metres, or feet",
            )
        ),
        "name": Key("text", "name of the yard"),
        "firm": FIRM,
        "sheet": SHEET,
        "site": SITE,
        "ground": need(GROUND),
        "area": need(AREA),
        "house": HOUSES,
        "path": PATHS,
        "steps": FLIGHTS,
        "fixed": FIXED,
        "lot_line": LOT_LINES,
        "wall_line": WALL_LINES,
        "load": LOADS,
        "on_wall": ON_WALL,
        "view": VIEWS,
        "soil": SOIL,
        "hole": HOLES,
        "rain": RAIN,
        "spring": SPRINGS,
        "earth": EARTH,
        "drain": DRAIN,
        "soakaway": SOAKAWAYS,
        "timber": TIMBER,
        "access": ACCESS,
        "place": PLACE,
        "planting": PLANTING,
        "prices": PRICES,
        "works": WORKS,
        "rates": RATES,
        "brief": BRIEF,
        "scheme": SCHEMES,
    }
    | OFFER_KEYS
    | SO_FAR
)
