"""Keys of money, of the crew and of one's own hours."""

from __future__ import annotations

from lynchet.project.keys import Key, need, table, tables

PRICES = table(
    "money; may be left out, whole or in part",
    {
        "currency": Key("text", "currency, three letters", default="", origin="no prices: quantities without money"),
        "file": Key("file", "CSV or XLSX with columns item, price, and per (the unit) where you like"),
        "items": Key("prices", 'price by item: { stone = "42 per t", drain_pipe = 1.9 }', low=0.0, high=1e9),
        "overhead": Key("fraction", "your overhead, a share of the direct cost", low=0.0, high=5.0),
        "profit": Key("fraction", "your profit, a share of the price", low=0.0, high=0.9),
        "tax": Key("fraction", "tax on the price", low=0.0, high=1.0),
    },
)  # fmt: skip

WORKS = table(
    "who works, how long a day, and from when",
    {
        "start": Key("date", "first day on which work may begin, YYYY-MM-DD"),
        "crew": Key("whole", "people who work", low=1, high=50, default=2, origin="PRACTICE: timber is lifted by two"),
        "hours_a_day": Key("number", "hours of work in a day", low=1.0, high=16.0, default=7,
                           origin="PRACTICE: a day's work without breaks and clearing away"),
        "weekends_only": Key("flag", "only Saturdays and Sundays are worked", default=False, origin="not said"),
        "holidays": Key("dates", "days on which nobody works", least=0),
    },
)  # fmt: skip

RATES = tables(
    "hours of your own, in place of those of the books",
    {
        "task": need(Key("word", "kind of work", words=(
            "set up", "set out", "topsoil", "bench", "trench", "base", "first course", "pipe trench", "drain",
            "courses", "stone", "fill", "steps", "bed soil", "plants", "mulch", "haul away", "clear up",
        ))),
        "unit": need(Key("text", "unit of the quantities: m, ft, m3, yd3, each; job of setting up and clearing up")),
        "hours": Key("number", "person hours for one unit", low=0.0, high=1e4, above=True),
        "job": tables(
            "finished jobs of yours",
            {
                "name": Key("text", "your name for it", default="", origin="not said"),
                "quantity": need(Key("number", "how much was done", low=0.0, high=1e7, above=True)),
                "hours": need(Key("number", "person hours it took", low=0.0, high=1e7, above=True)),
                "difficulty": Key("number", "over 1 for hard ground", low=0.1, high=10.0, default=1,
                                  origin="not said"),
            },
        ),
    },
)  # fmt: skip
