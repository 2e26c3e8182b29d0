"""The commented project file that a new yard begins with, metric or US. Its numbers are invented."""

from __future__ import annotations

from lynchet.project.keys_so_far import COUNTED
from lynchet.units.measures import System

_SIZES = {
    "metric": {
        "plain": "metres", "fall": "1.25 m in 7.4 m", "length": "6.2 m", "depth": "7.4 m", "rise": "0.31 m",
        "run": "1.9 m", "rod": "1.420 m", "step": "3 mm", "wall": "0.75 m", "section": "150 mm x 150 mm",
        "stick": "2.4 m", "stick2": "3.6 m", "rain": "100 mm/h", "gate": "0.95 m", "passage": "0.9 m",
        "stem": "250 mm", "floor": "2.1 m", "siding": "1.9 m", "footing": "0.6 m", "width": "0.9 m", "load": "12 kPa",
        "soil": "3 m3", "plain_unit": "m", "topsoil": "150 mm", "low": "0.15 m", "strip": "0.6 m",
        "rods": ("2.450 m", "2.500 m", "1.250 m", "1.200 m"), "wide": 6.2, "deep": 7.4, "behind": 15, "before": -1,
        "mid": 3, "side": 1, "outlet": 6, "lot": 7, "tree": "-4, 3", "drive": (8, 11), "lawn": (20, 30),
        "stop": "3, -12", "trim": "50 mm",
        "found": "3, 2", "inset": "0.35 m", "money": "EUR",
        "prices": 'stone = "42 per t", timber = "9.5 per m", drain_pipe = "3 per m"',
    },
    "us": {
        "plain": "feet", "fall": "4 ft 2 in in 24 ft", "length": "20 ft 6 in", "depth": "24 ft", "rise": "12 1/2 in",
        "run": "6 ft 3 in", "rod": "4 ft 8 in", "step": "1/8 in", "wall": "2 ft 6 in",
        "section": "5 1/2 in x 5 1/2 in", "stick": "8 ft", "stick2": "12 ft", "rain": "4 in/h", "gate": "38 in",
        "passage": "36 in", "stem": "10 in", "floor": "7 ft", "siding": "6 ft 3 in", "footing": "24 in",
        "width": "3 ft", "load": "250 psf", "soil": "4 yd3", "plain_unit": "ft",
        "topsoil": "6 in", "strip": "2 ft", "rods": ("8 ft 2 in", "8 ft 4 in", "4 ft 2 in", "4 ft"), "wide": 20.5,
        "deep": 24, "behind": 50, "before": -3, "mid": 10, "side": 3, "outlet": 20, "lot": 23, "tree": "-12, 10",
        "drive": (26, 36), "lawn": (60, 90), "stop": "10, -40", "found": "10, 7", "inset": "1 ft 3 in", "low": "6 in",
        "money": "USD", "trim": "2 in",
        "prices": 'stone = "45 per ton", timber = "4.5 per ft", drain_pipe = "1.2 per ft"',
    },
}  # fmt: skip

_TEXT = """\
# A yard for Lynchet. The numbers are invented: put your own in their place.
# Lines that begin with # are remarks; take the # away to use a key.
# Plain numbers are {plain}. Any value may carry its unit: "4.8 m", "6 ft 3 1/2 in", "18 %", "1 in 6".
# Places are [to the right, up the page]; the first corner of the area may be [0, 0].
# Before you dig: have buried lines located, ask the office about permits, and know where the lot ends.

lynchet = 1
units = "{units}"
name = "{name}"
# firm = "our_firm.toml"           # a firm's own file under this one (lynchet new --firm NAME): name, prices, terms

# THE GROUND: one source. Three rough readings are enough for a first look.
[ground]
slope = {{ fall = "{fall}" }}      # the drop, and the run it was measured over; the low edge is edge 0
held = "unknown"                   # how the tape was held up the slope: level, ground or unknown (asked before cutting)
# Better: board and level, step by step up from the low edge (then take `slope` away)
# steps = {{ error = "{step}", each = [
#     {{ rise = "{rise}", run = "{run}" }}, {{ rise = "{rise}", run = "{run}" }},
#     {{ rise = "{rise}", run = "{run}" }}, {{ rise = "{rise}", run = "{run}" }},
# ] }}
# Better still: a level and rod from one place; `zero` is the reading on a fixed mark (doorstep, siding bottom)
# laser = {{ zero = "{rod}", readings = [
#     {{ name = "A", at = [0, 0], rod = "{rods[0]}" }}, {{ name = "B", at = [{wide}, 0], rod = "{rods[1]}" }},
#     {{ name = "C", at = [{wide}, {deep}], rod = "{rods[2]}" }}, {{ name = "D", at = [0, {deep}], rod = "{rods[3]}" }},
# ] }}
# level_book = "book.csv"          # columns point, backsight, intermediate, foresight, known, x, y
# points = "points.csv"            # columns x, y, level
# misclosure = "{step}"            # by how much the readings missed on the way back to zero

# THE AREA: a rectangle, or corners in order round it
[area]
length = "{length}"                # side to side, along the low edge
depth = "{depth}"                  # from the low edge up the slope
# outline = [[0, 0], [{wide}, 0], [{wide}, {deep}], [0, {deep}]]   # in place of length and depth; edge 0 is the low one
# edges = [{{ from = 2, inset = "{inset}", dig_beyond = 0 }}]    # here a fence stands along the high edge
# `finish` of an edge is wall (timber wherever levels differ), bank (with its `width`), open, house (with its [[house]])

# WHAT STAYS
# [[house]]
# outline = [[0, {deep}], [{wide}, {deep}], [{wide}, {behind}], [0, {behind}]]
# floor = "{floor}"
# siding = {{ kind = "wood", lowest = "{siding}" }}
# footing_depth = "{footing}"
# [[path]]
# line = [[{mid}, {before}], [{mid}, {deep}]]
# width = "{width}"
# [[steps]]
# line = [[{side}, {before}], [{side}, {deep}]]     # from foot to head
# [[fixed]]
# kind = "tree"                    # tree, service, septic, wall, rock, well, pole, other
# at = [{tree}]
# stem = "{stem}"
# [[lot_line]]
# line = [[{lot}, {before}], [{lot}, {behind}]]
# trust = "fence"                  # survey, fence, guess
# [[load]]
# outline = [[0, {drive[0]}], [{wide}, {drive[0]}], [{wide}, {drive[1]}], [0, {drive[1]}]]
# pressure = "{load}"

# THE SOIL: dig one hole and squeeze a ball
[soil]
feel = "unknown"                   # gritty (sandy), silky (silty), sticky (clay), unknown (weak soil is taken)
# [[hole]]                         # the hole itself: drawn, and held against all that is dug
# at = [{mid}, {side}]
# depth = "{passage}"
# water = "{strip}"                # how far down it met water, where it did
# soak = "3 h"                     # until 150 mm (6 in) of water poured in has gone

# [earth]
# topsoil = "{topsoil}"            # stripped and kept for the beds; 0 where there is none
# spread = [{{ outline = [[0, {lawn[0]}], [{wide}, {lawn[0]}], [{wide}, {lawn[1]}], [0, {lawn[1]}]] }}]   # may rise

# WATER
# [rain]
# intensity = "{rain}"
# [drain]
# outlet = [[{outlet}, {before}]]              # where water may leave
# pipe_from = "{low}"              # a pipe behind lower walls too, where one finds a way out; else stone alone
# ways_out = 2                     # a second way out behind each wall: one shut leaves the other

# WHAT YOU WANT
[brief]
path_strip = "{strip}"             # ground never dug at the foot of each wall: it helps to hold the wall
# highest_wall = "{wall}"          # without it: as many terraces as keep the walls low
# terraces = 3
# weeps = true                     # weep holes where drain stone lies behind a wall: they count when a drain is shut

[[timber]]
section = "{section}"              # height of a course x width across the wall, as laid
stock = ["{stick}", "{stick2}"]    # lengths you can buy and carry
# material = {{ species = "pine", grade = "No. 2", treatment = "ground contact" }}
# stock = [{{ length = "{stick}", price = 40, on_hand = 2 }}]   # in place of that: with a price, and what you have
# (a length you have and nobody sells: {{ length = "{stick}", on_hand = 2, sold = false }})
# end_trim = "{trim}"               # sawn off every stick first, where ends are split; no spare stick is counted

# THE WAY IN, THE PLACE, THE BEDS
# [access]
# only_way = true                  # the area is the only way to the ground behind it
# gate = "{gate}"
# truck_stop = [{stop}]          # where a truck can stand; so too `gate_at`, the gate, and `heap`, where soil may lie
# passage = "{passage}"
# [place]
# name = "your town"
# [planting]
# food = true
# zone = "7"                       # hardiness zone; with `site` latitude, longitude, north plants are chosen
# wishes = ["English lavender", "chives"]          # your own plants, by common or botanical name

# [[view]]                         # the finished garden as one sees it from here; each place gets a sheet of its own
# name = "from the gate"
# at = [{mid}, {before}]
# towards = [{mid}, {deep}]

# MONEY AND TIME: all may be left out; what has no price is counted and said
# [prices]
# currency = "{money}"
# file = "prices.csv"              # CSV or XLSX with columns item, price, per
# items = {{ {prices}, load_away = 420, labour = 48 }}
# overhead = "18 %"                # of the direct cost
# profit = "10 %"                  # of the price
# [works]
# crew = 2
# hours_a_day = 7
# start = 2027-04-05
# weekends_only = true
# [[rates]]                        # hours of your own: one rate, or jobs you finished
# task = "courses"
# unit = "{plain_unit}"
# job = [{{ name = "last spring", quantity = 60, hours = 22 }}, {{ quantity = 45, hours = 14 }}]

# THE QUOTE: lynchet quote FILE. Terms, allowances and costs of a firm stand in its own file, or here
# [quote]
# client = "A. Client"
# [[option]]                       # or, where the file has [[steps]]: leave_out = "steps" (planned and priced without)
# name = "seat cap"
# quantity = {outlet}
# unit = "{plain_unit}"
# cost = 18

# Other wishes over the same yard, to compare: lynchet compare FILE (it also makes some of its own)
# [[scheme]]
# name = "one terrace fewer"
# terraces = 2
# option = "two beds instead of three"             # offered to the client under these words

# WHILE YOU BUILD. "lynchet plan FILE --built W2:3 --write" writes down what stands of wall W2;
# in what it writes, {counted}
# [[stands]]
# wall = "W2"                      # as the plan names it
# course = 1                       # the highest course laid, counted from the lowest
# low = "{step}"                   # or high, or readings = [levels of its top]
# [[found]]
# what = "rock"                    # rock, concrete, root, pipe, water, soft
# at = [{found}]
# depth = "{rise}"                 # of its top below the ground as it was
# answer = "step up"               # once decided: step up, bridge, drain, dig out
# [[moved]]
# way = "away"                     # soil that has gone, or come "in", already
# volume = "{soil}"
"""


def starter_text(name: str, system: System) -> str:
    """The starter file.

    Args:
        name: of the yard.
        system: "metric" or "us".
    """
    plain = name.replace("\\", "\\\\").replace('"', '\\"')
    return _TEXT.format(units=system, name=plain, counted=COUNTED, **_SIZES[system])
