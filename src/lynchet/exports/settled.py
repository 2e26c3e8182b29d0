"""What becomes of every file of a folder when new ones are written: ours are replaced, a person's are kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain
from pathlib import PurePath

from lynchet.exports.into import Into
from lynchet.exports.written_list import LIST, checksum, listed

Gone = Callable[[str], bool]
"""Whether an old file of this name is taken away where it is not written again."""
_NEW = re.compile(r" \(new(?: \d+)?\)(?=\.[^.]*$|$)")


@dataclass
class Settled:
    """Filled in file by file."""

    names: dict[str, str] = field(default_factory=dict)
    """Name under which each file is written."""
    aside: list[str] = field(default_factory=list)
    """Old files of ours, replaced or taken away."""
    yours: dict[str, str] = field(default_factory=dict)
    """Files that a person changed, and the name under which they stay."""
    told: list[str] = field(default_factory=list)
    sums: dict[str, str] = field(default_factory=dict)
    """The list of what was written, as it is after this run."""


def settled(files: Mapping[str, bytes], into: Into, gone: Gone) -> Settled:
    """Settle every file.

    Args:
        files: content by name.
        into: the folder, which is there.
        gone: as above.
    """
    known = listed(into.folder)
    older = not any(name in known for name in files)  # written by a run that kept no list: taken for ours
    found = Settled(sums=dict(known))

    def ours(name: str, new: bytes = b"") -> bool:
        mark = checksum((into.folder / name).read_bytes())
        return older or known.get(name) == mark or checksum(new) == mark

    for name, content in files.items():
        place = found.names[name] = _place(name, into)
        if place != name:
            found.told.append(f'{name} is read by this plan and stays as it is; the new one is "{place}"')
        if (into.folder / place).is_file():
            if ours(place, content):
                found.aside.append(place)
            else:
                _keep(found, place, into)
        found.sums[place] = checksum(content)
    for name in _old(into, gone, {*files, *found.names.values()}, None if older else known):
        if into.is_input(name):
            found.told.append(f"{name} is read by this plan and stays, though none is written now: it is an older one")
        elif ours(name):
            found.aside.append(name)
            found.sums.pop(name, None)
        else:
            _keep(found, name, into)
            found.sums.pop(name, None)
    return found


def _place(name: str, into: Into) -> str:
    """The name a file is written under: its own, or another where an input has that name."""
    return next(one for one in chain((name,), _counted(name, "new")) if not into.is_input(one))


def _counted(name: str, word: str) -> Iterable[str]:
    """ "order-list (yours).csv", "order-list (yours 2).csv" and so on."""
    path = PurePath(name)
    return (f"{path.stem} ({word}{f' {n}' if n > 1 else ''}){path.suffix}" for n in range(1, 10_000))


def _keep(found: Settled, name: str, into: Into) -> None:
    free = next(
        one for one in _counted(name, "yours") if not (into.folder / one).exists() and one not in found.yours.values()
    )
    found.yours[name] = free
    found.told.append(f'{name} was changed since it was written: it is kept as "{free}"')


def _old(into: Into, gone: Gone, written: set[str], known: Mapping[str, str] | None) -> Iterator[str]:
    """Files of earlier runs that are taken away; where there is a list, no other than those upon it."""
    for path in sorted(into.folder.iterdir()):
        ours = known is None or path.name in known
        if path.name not in written and path.name != LIST and ours and gone(_NEW.sub("", path.name)) and path.is_file():
            yield path.name
