"""Schemes of a file side by side: the user's own, and those the tool makes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.schemes.model import BASE, Comparison, Edits, Outcome
from lynchet.schemes.named import NAMES, made, truthful
from lynchet.schemes.search import Bench, Note, Reread, bench_of

_NO_WISHES = ("name", "option")
"""Keys of a scheme that change nothing of the plan: what it is called, and the words it is offered under."""


def own_schemes(raw: dict[str, Any]) -> dict[str, Edits]:
    """The user's ``[[scheme]]``s as edits of ``[brief]``, in the order of the file.

    Args:
        raw: the file's tables, already checked.
    """
    rows: list[dict[str, Any]] = raw.get("scheme") or []
    return {
        str(row["name"]): tuple((f"brief.{key}", value) for key, value in row.items() if key not in _NO_WISHES)
        for row in rows
    }


def names_of(raw: dict[str, Any]) -> tuple[str, ...]:
    """Every scheme that can be asked for; the user's own first, and in place of the tool's of the same name."""
    own = own_schemes(raw)
    return (*own, *(name for name in NAMES if name not in own))


def compare(raw: dict[str, Any], reread: Reread, asked: Sequence[str], note: Note) -> Comparison:
    """Plan the file as written and the schemes asked for.

    Args:
        raw: the file's tables.
        reread: reads the project with edits laid over.
        asked: names; empty for all.
        note: told each brief before it is planned.

    Raises:
        UnknownNameError: a name that no scheme has.
        InputError: what is wrong with the file.
    """
    bench = bench_of(reread, note)
    base = bench.whole(bench.base)
    first = Outcome(BASE, "the file as it is", (), base.plan, base.row)
    names = _asked(raw, asked)
    own = own_schemes(raw)
    others, missing = [], []
    for name in names:
        found = _own_or_why(name, own[name], bench) if name in own else made(name, bench)
        if isinstance(found, Outcome):
            others.append(found)
        else:
            missing.append((name, found))
    return Comparison(first, tuple(truthful(one, first, others) for one in others), tuple(missing))


def scheme_edits(raw: dict[str, Any], reread: Reread, name: str, note: Note) -> Outcome:
    """One scheme by its name, with what it changes of the file.

    Raises:
        UnknownNameError: no scheme has this name, or this yard has none of that kind.
        InputError: what is wrong with the file.
    """
    name = name.strip()
    if not name:
        raise UnknownNameError(Fault("an empty name", ", ".join(names_of(raw)), "--scheme"))
    _asked(raw, [name], "--scheme")
    bench = bench_of(reread, note)
    own = own_schemes(raw)
    found = _own(name, own[name], bench) if name in own else made(name, bench)
    if isinstance(found, str):
        raise UnknownNameError(Fault(f"there is no {name} here: {found}", "another scheme", "--scheme"))
    return found


def _own(name: str, edits: Edits, bench: Bench) -> Outcome:
    tried = bench.whole(bench.sure(edits))
    note = "it cannot be laid out" if tried.plan.refused else "" if edits else "it changes nothing of the file"
    return Outcome(name, "your own scheme", edits, tried.plan, tried.row, note=note, own=True)


def _own_or_why(name: str, edits: Edits, bench: Bench) -> Outcome | str:
    """The user's own scheme; or what in the file contradicts it, so that the others are shown all the same."""
    try:
        return _own(name, edits, bench)
    except InputError as error:
        return "; ".join(f"{fault.found} (`{fault.key}`; accepted: {fault.accepted})" for fault in error.faults)


def _asked(raw: dict[str, Any], asked: Iterable[str], option: str = "--schemes") -> tuple[str, ...]:
    """The names asked for, each once, in their fixed order; all where none is given."""
    known = names_of(raw)
    wanted = list(dict.fromkeys(name.strip() for name in asked if name.strip()))
    unknown = [name for name in wanted if name not in known]
    if unknown:
        accepted = ", ".join(f'"{name}"' if " " in name else name for name in known)
        raise UnknownNameError(*(Fault(f'no scheme is called "{name}"', accepted, option) for name in unknown))
    return tuple(name for name in known if not wanted or name in wanted)
