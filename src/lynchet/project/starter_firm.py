"""The commented file of a firm that lies under its jobs, metric or US. Its numbers are invented, and all remarks."""

from __future__ import annotations

from lynchet.units.measures import System

_SIZES = {
    "metric": {"section": "150 mm x 150 mm", "stick": "2.4 m", "stick2": "3.6 m", "per": "m", "unit": "m",
               "loose": "m3", "barrow": "0.08 m3", "load": "7.6 m3", "money": "EUR"},
    "us": {"section": "5 1/2 in x 5 1/2 in", "stick": "8 ft", "stick2": "12 ft", "per": "ft", "unit": "ft",
           "loose": "yd3", "barrow": "2.8 ft3", "load": "10 yd3", "money": "USD"},
}  # fmt: skip

_TEXT = """\
# A firm's own file for Lynchet. It lies under the file of every job that names it: firm = "{file}"
# What a job's file says itself goes before, key by key; a list there takes the place of the list here.
# Lines that begin with # are remarks; take the # away to use a key. The numbers are invented: put your own there.
# Nothing of one yard belongs here (ground, area, steps, quote): it is refused.

lynchet = 1
units = "{units}"                  # the same as in the jobs

[firm]
name = "{name}"
# address = ["1 Example Road", "Sampletown"]
# phone = "000 000 000"
# mail = "office@example.org"
# licence = "licence 0000 of the board that gave it"
# logo = "logo.svg"                # PNG, JPEG or SVG beside this file

# WHAT THINGS COST YOU. What has no price is counted and said on every quote; no total hides it
[prices]
# currency = "{money}"
# file = "prices.csv"              # CSV or XLSX with columns item, price, per
# items = {{ labour = 45, load_away = 300, delivery = 80, timber = "3.5 per {per}", stone = "40 per t" }}
# overhead = "18 %"                # of the direct cost: office, van, tools, insurance
# profit = "10 %"                  # of the price
# tax = "0 %"                      # on the price

# WHO WORKS, AND HOW FAST
[works]
# crew = 3
# hours_a_day = 8
# [[rates]]                        # hours of your own: one rate, or jobs you finished
# task = "courses"
# unit = "{unit}"
# job = [{{ name = "last spring", quantity = 60, hours = 22 }}, {{ name = "by the mill", quantity = 45, hours = 14 }}]

# WHAT YOU BUILD WITH, AND CARRY IT IN
# [[timber]]
# section = "{section}"
# stock = ["{stick}", "{stick2}"]
# [access]
# barrow = "{barrow}"
# load = "{load}"

# YOUR TERMS
[terms]
# valid_days = 14
# stages = [
#     {{ name = "at signing", share = "30 %" }}, {{ name = "timber on site", share = "30 %" }},
#     {{ name = "walls up", share = "30 %" }}, {{ name = "hand-over", share = "10 %" }},
# ]
# exclusions = ["survey of the lot lines", "engineer's and permit fees", "repair of sprinklers not shown to us"]
# duties = ["a tap and a socket we may use"]
# warranty = "two years on our work, as long as the outlets are kept open and nothing is put near the walls unasked"
# minimum = 900                    # smallest job, before tax
# minimum_days = 1                 # fewest crew days that are charged
# bill_days = 0.5                  # crew days are charged in whole steps of this many
# travel_a_day = 35                # way there and back, for each day of work
# travel_once = 120                # bringing and fetching tools, once a job
# round_to = 10                    # the price goes to whole steps of this much
# run_over = "20 %"                # your own copy asks: what if the job costs this much more

# WHAT MAY BE MET: a price agreed before, paid only where it is met. `cost` is yours (overhead and profit are laid on
# it), `price` is what the client pays; without both the client's copy says that it is agreed before work goes on
# [[allowance]]
# name = "rock that a bar does not move"
# unit = "{loose}"
# cost = 160
# [[allowance]]
# name = "soft ground dug out and stone put in its place"
# unit = "{loose}"
# [[allowance]]
# name = "one more load of soil taken away"
# unit = "load"

# COSTS THE PLAN DOES NOT KNOW
# [[cost]]
# name = "small digger with driver"
# quantity = 2
# unit = "day"
# price = 420

# WHAT THE CLIENT MAY ADD OR LEAVE OUT
# [[option]]
# name = "seat cap"
# words = "a planed board on the top course of the front wall"
# quantity = 12
# unit = "{unit}"
# cost = 18
"""


def firm_text(name: str, file: str, system: System) -> str:
    """The starter of a firm's file.

    Args:
        name: of the firm.
        file: what jobs will call it.
        system: "metric" or "us".
    """
    plain = name.replace("\\", "\\\\").replace('"', '\\"')
    return _TEXT.format(units=system, name=plain, file=file, **_SIZES[system])
