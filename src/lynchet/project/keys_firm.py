"""Keys of the firm, its terms, allowances, options, costs of its own, and the head of a quote."""

from __future__ import annotations

from lynchet.project.keys import Key, Table, need, table, tables, word

_MONEY = 1e9
_SILENT = "not said"


def money(about: str, above: bool = False) -> Key:
    """A sum of money in the file's currency."""
    return Key("number", about, low=0.0, high=_MONEY, above=above)


FIRM = table(
    "who makes the drawings and the offer; as a plain text: the firm's own file, which lies under this one",
    {
        "file": Key("file", "a firm's own file under this one: its name, rates, stock, terms"),
        "name": Key("text", "name of the firm"),
        "address": Key("texts", "address, line by line", least=0),
        "phone": Key("text", "telephone"),
        "mail": Key("text", "mail address"),
        "licence": Key("text", "number of the licence, in your own words"),
        "logo": Key("file", "a picture beside this file: PNG, JPEG or SVG, up to 2 MB"),
    },
    short="file",
)

_STAGE = Table(
    {
        "name": need(Key("text", "when it is due")),
        "share": need(Key("fraction", "of the total", low=0.0, high=1.0, above=True)),
    }
)

TERMS = table(
    "terms of your offers",
    {
        "valid_days": Key("whole", "how many days the offer holds", low=1, high=730),
        "stages": Key("tables", "payments; their shares make 100 %", table=_STAGE, least=0),
        "exclusions": Key("texts", "what is not in the price", least=0),
        "duties": Key("texts", "what the client does, beside what every such wall asks for", least=0),
        "warranty": Key("text", "your warranty, in your own words"),
        "minimum": money("smallest job, before tax"),
        "minimum_days": Key("number", "fewest crew days that are charged", low=0.0, high=100.0),
        "bill_days": Key("number", "crew days are charged in whole steps of this many", low=0.0, high=5.0, above=True),
        "travel_a_day": money("way there and back, for each day of work"),
        "travel_once": money("bringing and fetching tools, once a job"),
        "round_to": money("the price goes to whole steps of this much", above=True),
        "rounding": word("how it goes there", "nearest", "up", default="nearest", origin=_SILENT),
        "run_over": Key("fraction", "your own copy asks: what if the job costs this much more", low=0.0, high=2.0,
                        above=True, default="20 %", origin=_SILENT),
    },
)  # fmt: skip

QUOTE = table(
    "the head of the quote; its date, issue and place are those of `sheet`",
    {"number": Key("text", "your number for it"), "client": Key("text", "for whom")},
)

ALLOWANCES = tables(
    "what may be met, at a price agreed before; paid only where it is met",
    {
        "name": need(Key("text", "what may be met: rock, ground water, an old wall")),
        "unit": need(Key("text", "what one is: m3, yd3, day, each")),
        "cost": money("what one costs you; overhead and profit are laid on it"),
        "price": money("what the client pays for one"),
    },
)

COSTS = tables(
    "costs of yours that the plan does not know: a machine, papers, a skip",
    {
        "name": need(Key("text", "what it is")),
        "quantity": Key("number", "how many", low=0.0, high=1e6, above=True, default=1, origin=_SILENT),
        "unit": Key("text", "what one is: day, each"),
        "price": money("what one costs you; left out: the line is told as missing its price"),
    },
)

OPTIONS = tables(
    "what the client may add or leave out",
    {
        "name": need(Key("text", "what it is called")),
        "words": Key("text", "what the client gets, in a sentence"),
        "quantity": Key("number", "how many", low=0.0, high=1e6, above=True, default=1, origin=_SILENT),
        "unit": Key("text", "what one is: m, ft, each"),
        "cost": money("what one costs you; overhead and profit are laid on it"),
        "price": money("what the client pays for one"),
        "leave_out": Key("text", 'steps or things on a wall that are left out: "steps", "on_wall", "steps.2"'),
    },
)

OFFER_KEYS: dict[str, Key] = {
    "terms": TERMS, "quote": QUOTE, "allowance": ALLOWANCES, "cost": COSTS, "option": OPTIONS,
}  # fmt: skip
