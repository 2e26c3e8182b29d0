"""What changed between two versions of a job, in words: what went, what it saves, what gets worse."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.book.parts.order_pages import raised, to_buy
from lynchet.core.enumerated import enumerated
from lynchet.quotes.cents import cents
from lynchet.quotes.making import counted_as
from lynchet.quotes.model import Quote
from lynchet.quotes.words import money
from lynchet.schemes.changes import Changes, FindingChanged, LineChanged, WallChanged
from lynchet.schemes.words import dug, gains_and_losses, hours, soil, wall
from lynchet.units.format import area, length
from lynchet.units.measures import System

FIGURES = ("What", "Before", "Now")
_MOST = 12
"""Lines of one kind that are shown on a page; more are counted."""


def figure_rows(found: Changes, system: System) -> Iterator[tuple[str, str, str]]:
    """The figures people choose by, before and now."""
    old, new = found.before, found.after
    yield "the word", old.verdict.words, new.verdict.words
    yield "price before tax", price_text(found.before_quote), price_text(found.after_quote)
    yield "hours", hours(old.hours), hours(new.hours)
    yield "days", str(found.days[0]), str(found.days[1])
    yield "soil dug", dug(old, system), dug(new, system)
    yield "soil away, in", soil(old, system), soil(new, system)
    yield "truck loads", str(old.loads), str(new.loads)
    yield "level bed", area(old.bed_m2, system), area(new.bed_m2, system)
    yield "highest wall", wall(old, system), wall(new, system)
    yield "walls", str(old.walls), str(new.walls)
    yield "sticks to buy", str(old.sticks), str(new.sticks)
    yield "pieces in the walls", str(found.pieces[0]), str(found.pieces[1])
    yield "ties", str(found.ties[0]), str(found.ties[1])
    yield "plants", str(found.plants[0]), str(found.plants[1])


def price_text(quote: Quote) -> str:
    """The price, or what is missing of it: a sum that lacks prices never passes for one."""
    if not quote.sums.direct:
        return quote.missing.words or "nothing to pay"
    said = money(quote.sums.price, quote.currency)
    return said if quote.complete else f"{said} so far, {quote.missing.words}"


def headline(found: Changes) -> str:
    """The answer to "can you take off 3,000?" in one sentence."""
    if found.none:
        return "Nothing that is built, bought or paid has changed."
    change = found.price_change
    if change is None:
        return _of_what_is_priced(found) or "The prices cannot be set side by side: " + (_why_not(found)) + "."
    currency = found.after_quote.currency
    if change == 0:
        return "The price stays the same."
    said = money(abs(change), currency)
    return f"It costs {said} more before tax." if change > 0 else f"It saves {said} before tax."


_NAMED = 3
"""Lines without a price told by name."""


def _of_what_is_priced(found: Changes) -> str:
    """The change where both lack a price for the same lines: of the rest, with what is not counted; else nothing."""
    old, new = found.before_quote, found.after_quote
    lacking = set(new.missing.names)
    if old.currency != new.currency or set(old.missing.names) != lacking or not (old.sums.direct and new.sums.direct):
        return ""
    change = new.sums.price - old.sums.price
    more = f"costs {money(abs(change), new.currency)} {'more' if change > 0 else 'less'} before tax"
    names = _named(new.missing.names)
    wanted = [_unpriced(quote) for quote in (old, new)]
    moved = [name for name in new.missing.names if wanted[0][name] != wanted[1][name]]
    text = f"What has a price {more if change else 'costs the same'}. Without a price in both: {enumerated(names)}"
    if not moved:
        return f"{text}, in the same amounts."
    return f"{text}; of these other amounts are wanted of {enumerated(moved)}, which is not counted."


def _named(names: Sequence[str]) -> list[str]:
    """The first few, and how many more there are."""
    return [*names[:_NAMED], *([f"{len(names) - _NAMED} more"] if len(names) > _NAMED else [])]


def _unpriced(quote: Quote) -> dict[str, list[tuple[str, float]]]:
    """What is wanted of every line without a price, by the name it is counted under."""
    found: dict[str, list[tuple[str, float]]] = {name: [] for name in quote.missing.names}
    for line in quote.lines:
        if line.cents is None and counted_as(line) in found:
            found[counted_as(line)].append((line.name, round(line.quantity, 6)))
    return found


def _why_not(found: Changes) -> str:
    old, new = found.before_quote, found.after_quote
    if old.currency != new.currency:
        return f"one is in {old.currency or 'no currency'}, the other in {new.currency or 'no currency'}"
    both = (("before:", old), ("now:", new))
    return "; ".join(f"{when} {_lacks(quote)}" for when, quote in both if not quote.complete or not quote.sums.direct)


def _lacks(quote: Quote) -> str:
    names = enumerated(_named(quote.missing.names))
    return (quote.missing.words or "nothing to pay") + (f" ({names})" if names else "")


_WRITTEN = {"stands": ("wall", "course", "low", "high", "readings", "answer"), "found": (), "moved": ()}
"""Entries a program writes, told in one line when they come or go: the keys people know; none for all."""


def file_lines(found: Changes) -> Iterator[str]:
    """What was changed in the file; what stands, was found or moved since in one line each."""
    entries: dict[str, list[tuple[str, str, str]]] = {}
    for row in found.file:
        table, _, rest = row[0].partition(".")
        place = rest.partition(".")[0]
        if table in _WRITTEN and place.isdigit():
            entries.setdefault(f"{table}.{place}", []).append(row)
    whole = {name: rows for name, rows in entries.items() if _came(name, rows) or _went(name, rows)}
    told: set[str] = set()
    for key, before, after in found.file:
        name = ".".join(key.split(".")[:2])
        if name in whole:
            if name not in told:
                yield _entry_line(name, whole[name])
            told.add(name)
        elif not after:
            yield f"{key} taken away (was {before})"
        elif not before:
            yield f"{key} = {after} (new)"
        else:
            yield f"{key} = {after} (was {before})"


def _head(name: str) -> str:
    """The key without which such an entry cannot be."""
    return name + {"stands": ".wall", "found": ".what", "moved": ".way"}[name.partition(".")[0]]


def _came(name: str, rows: list[tuple[str, str, str]]) -> bool:
    return any(key == _head(name) and not before for key, before, _ in rows)


def _went(name: str, rows: list[tuple[str, str, str]]) -> bool:
    return any(key == _head(name) and not after for key, _, after in rows)


def _entry_line(name: str, rows: list[tuple[str, str, str]]) -> str:
    wanted = _WRITTEN[name.partition(".")[0]]
    parts = [(key.removeprefix(f"{name}."), before or after) for key, before, after in rows]
    said = ", ".join(f"{key} = {value}" for key, value in parts if not wanted or key in wanted)
    return f"{name}: {said} ({'new' if _came(name, rows) else 'taken away'})"


def gained_and_lost(found: Changes, system: System) -> tuple[list[str], list[str]]:
    """What is better and what is worse in figures; the price has its own line."""
    gains, losses = (
        [text for text in texts if not text.startswith("cost ")]
        for texts in gains_and_losses(found.before, found.after, system)
    )
    return gains, losses


def went(found: Changes, system: System) -> Iterator[str]:
    """Walls and lines of the list that are no more, are new, are more or less."""
    yield from (text for one in found.walls if (text := _wall_words(one, system)))
    shown = sorted(found.lines, key=lambda one: -abs(one.money or 0.0))
    yield from (line_words(one, found.after_quote.currency) for one in shown[:_MOST])
    rest = len(shown) - _MOST
    if rest > 0:
        yield f"{rest} smaller change{'' if rest == 1 else 's'} of the order list"


def _wall_words(one: WallChanged, system: System) -> str:
    """Empty where the change is too small to be read."""
    before, after = (None if high is None else length(high, system) for high in (one.before_m, one.after_m))
    was, now = length(one.before_length_m, system), length(one.after_length_m, system)
    if before is None:
        return f"wall {one.wall} is new: {now} long, holds {after}"
    if after is None:
        return f"wall {one.wall} goes: {was} long, held {before}"
    parts = [f"holds {after} instead of {before}"] if before != after else []
    parts += [f"is {now} long instead of {was}"] if was != now else []
    return f"wall {one.wall} {' and '.join(parts)}" if parts else ""


def line_words(one: LineChanged, currency: str) -> str:
    """One line of the order list, with what it costs more or less before overhead and profit."""
    before, after = (_amount(value, one.unit) for value in (one.before, one.after))
    amount = {
        "gone": f"{before} no more",
        "new": f"{after}, new",
        "price": f"{after}, at another price",
        "same": f"{after}, as before",
    }.get(one.change, f"{after} instead of {_number(one.before)}")
    if one.money is None:
        return f"{one.name}: {amount}, without a price"
    change = cents(one.money)
    sign = "+" if change > 0 else ""
    return f"{one.name}: {amount}, {sign}{money(change, currency)}"


def _amount(value: float, unit: str) -> str:
    """An amount in its unit, the plain word for pieces left out."""
    many = "s" if unit in ("day", "load", "job") and value != 1 else ""
    return _number(value) if unit == "each" else f"{_number(value)} {raised(unit)}{many}"


def _number(value: float) -> str:
    return f"{to_buy(value):,.2f}".rstrip("0").rstrip(".")


def worse(found: Changes) -> Iterator[str]:
    """Findings that are new or worse than they were."""
    yield from (finding_words(one) for one in found.findings if one.turn in ("new", "worse"))


def better(found: Changes) -> Iterator[str]:
    """Findings that are gone or better than they were."""
    yield from (finding_words(one) for one in found.findings if one.turn in ("gone", "better"))


def finding_words(one: FindingChanged) -> str:
    """A finding with the turn of its word."""
    if one.turn == "gone":
        return f"No more ({one.before.words}): {one.text}"
    turned = f"{one.before.words} becomes {one.after.words}" if one.turn in ("worse", "better") else one.after.words
    return f"{turned[0].upper()}{turned[1:]}: {one.text}"
