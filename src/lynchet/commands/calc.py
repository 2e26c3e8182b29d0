"""``lynchet calc``: list, explain and run the published formulas."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path

from lynchet.calculators.registry import Entry, entries, find
from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.units.measures import System

HELP = """\
lynchet calc                          list every calculator by room
lynchet calc --find WORD [--room R]   those with this word
lynchet calc NAME --help              keys, kinds, ranges, defaults, an example
lynchet calc NAME --help --json       the keys as a JSON schema
lynchet calc NAME key=value ...       run one and show its working

Values may carry their own unit, metric or tape: span_m="6 ft 3 1/2 in", depth_m=140mm, slope="1 in 6".
Lists and tables: key='[1, 2, 3]', key='[{length_m = "8 ft", price_money = 20.5}]', key=@rows.csv.

  --from FILE         take keys from a TOML, JSON or CSV file; keys on the line win
  --units metric|us   us adds feet, inches and pounds to the result
  --json              the run as data
  --find WORD, --room ROOM   look in the list"""


@dataclass(frozen=True)
class Asked:
    """What the command line asked for."""

    words: list[str]
    find: str = ""
    room: str = ""
    from_file: Path | None = None
    as_json: bool = False
    units: System = "metric"


_WITH_VALUE = ("--find", "--room", "--from", "--units")
_OPTIONS = (*_WITH_VALUE, "--json", "--help", "-h")


def asked(words: Sequence[str]) -> Asked:
    """The words behind `lynchet calc`, options among them in any place.

    Raises:
        UnknownNameError: an option that is none.
        InputError: an option without its value, or a unit system that is none.
    """
    plain: list[str] = []
    options: dict[str, str] = {}
    left = iter(words)
    for word in left:
        name, sign, value = word.partition("=")
        if not word.startswith("-"):
            plain.append(word)
        elif name in _WITH_VALUE:
            options[name] = value if sign else next(left, "")
            if not options[name]:
                raise InputError(Fault("missing", "a value behind it", name))
        elif word in _OPTIONS:
            options[word] = "yes"
        else:
            near = get_close_matches(name, _OPTIONS, n=1)
            raise UnknownNameError(
                Fault(f"unknown option {word}", f"did you mean {near[0]}?" if near else "see `lynchet calc --help`")
            )
    units = options.get("--units", "metric")
    if units not in ("metric", "us"):
        raise InputError(Fault(f"{units!r} found", "metric or us", "--units"))
    file = Path(options["--from"]) if "--from" in options else None
    plain += [word for word in ("--help", "-h") if word in options]
    return Asked(plain, options.get("--find", ""), options.get("--room", ""), file, "--json" in options,
                 "us" if units == "us" else "metric")  # fmt: skip


def lines(asked: Asked) -> list[str]:
    """What is printed.

    Raises:
        InputError, UnknownNameError: an unknown name, key or file, or a value that is refused.
    """
    help_wanted = any(word in ("--help", "-h") for word in asked.words)
    words = [word for word in asked.words if not word.startswith("-")]
    if not words:
        return HELP.splitlines() if help_wanted else _listed(asked)
    if help_wanted and asked.as_json:
        from lynchet.calculators.checked import argument_schema

        return json.dumps(argument_schema(find(words[0]).function), ensure_ascii=False, indent=2).splitlines()
    if help_wanted:
        from lynchet.calculators.text import page_lines

        return page_lines(find(words[0]))
    return _run(asked, words[0], words[1:])


def _run(asked: Asked, name: str, words: list[str]) -> list[str]:
    declared = find(name)
    from lynchet.calculators.given import arguments, from_file, pairs
    from lynchet.calculators.text import run, run_data, run_lines

    typed: dict[str, object] = {}
    if asked.from_file is not None:
        typed.update(from_file(declared.function, asked.from_file))
    typed.update(pairs(words))
    try:
        done = run(name, arguments(declared.function, typed, asked.units))
    except InputError as error:
        hint = Fault(f"`lynchet calc {name} --help` shows the keys and an example", "", name)
        raise InputError(*(_as_typed(fault, typed) for fault in error.faults), hint) from None
    if asked.as_json:
        return json.dumps(run_data(done), ensure_ascii=False, indent=2).splitlines()
    return run_lines(done, asked.units, typed)


def _as_typed(fault: Fault, typed: Mapping[str, object]) -> Fault:
    """A refused number with what was typed before it, where that had a unit of its own."""
    text = typed.get(fault.key.partition(" ")[0])
    if not isinstance(text, str) or not fault.found.endswith(" found"):
        return fault
    try:
        float(text)
    except ValueError:
        return fault if text in fault.found else replace(fault, found=f'"{text}" is {fault.found[:-6]}')
    return fault


def _listed(asked: Asked) -> list[str]:
    held = list(entries())
    if asked.room:
        rooms = list(dict.fromkeys(entry.room for entry in held))
        if asked.room not in rooms:
            near = get_close_matches(asked.room, rooms, n=1)
            accepted = f"did you mean {near[0]}?" if near else "one of: " + ", ".join(rooms)
            raise UnknownNameError(Fault(f"no room is called {asked.room!r}", accepted, "room"))
        held = [entry for entry in held if entry.room == asked.room]
    if asked.find:
        held = _with_word(held, asked.find)
    if asked.as_json:
        data = [{"name": e.name, "room": e.room, "line": e.line} for e in held]
        return json.dumps(data, ensure_ascii=False, indent=2).splitlines()
    from lynchet.calculators.text import list_lines

    return [*list_lines(held), "", f"{len(held)} calculators. `lynchet calc NAME --help` shows the keys of one."]


def _with_word(held: list[Entry], word: str) -> list[Entry]:
    wanted = word.lower().split()
    found = [e for e in held if all(part in f"{e.name} {e.room} {e.line}".lower() for part in wanted)]
    if not found:
        known = sorted({part for e in held for part in (e.name, *e.name.split("_"), *e.line.lower().split())})
        near = get_close_matches(word.lower(), known, n=3)
        accepted = "did you mean " + " or ".join(near) + "?" if near else "see `lynchet calc` for the list"
        raise UnknownNameError(Fault(f"no calculator speaks of {word!r}", accepted, "find"))
    return found
