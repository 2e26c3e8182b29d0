"""In which line of a TOML text each key stands (tomllib gives values without their places)."""

from __future__ import annotations

import re
from bisect import bisect_right

KeyPath = tuple[str | int, ...]
"""Keys and list places from 0: ("fixed", 1, "stem")."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}\n#]*")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_ESCAPED = re.compile(r'"(?:\\.|[^"\\\n])*"')
_LITERAL = re.compile(r"'[^'\n]*'")


class Lines:
    """Lines of the keys of one text that tomllib has accepted."""

    def __init__(self, text: str) -> None:
        self._found: dict[KeyPath, int] = {}
        _Scan(text, self._found).run()

    def has(self, path: KeyPath) -> bool:
        """Whether this very key stands in the text."""
        return path in self._found

    def line(self, path: KeyPath) -> int:
        """Line of a key from 1; of the nearest thing around it where it stands nowhere; 0 for none."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._found:
                return self._found[path[:length]]
        return 0


class _Scan:
    def __init__(self, text: str, found: dict[KeyPath, int]) -> None:
        self.text, self.found, self.at = text, found, 0
        self.starts = [0, *(hit.end() for hit in re.finditer("\n", text))]
        self.counts: dict[KeyPath, int] = {}

    def run(self) -> None:
        """Walk headers and keys to the end of the text."""
        table: KeyPath = ()
        while self._skip() < len(self.text):
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)

    def _skip(self) -> int:
        hit = _BLANK.match(self.text, self.at)
        self.at = hit.end() if hit else self.at
        return self.at

    def _mark(self, path: KeyPath) -> None:
        self.found.setdefault(path, bisect_right(self.starts, self.at))

    def _header(self) -> KeyPath:
        many = self.text.startswith("[[", self.at)
        start = self.at
        self.at += 2 if many else 1
        names = self._dotted()
        self.at, end = start, self.at
        path: KeyPath = ()
        for name in names[:-1]:
            path = self._into((*path, name))
        path = (*path, names[-1])
        self._mark(path)
        if many:
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
            self._mark(path)
        else:
            path = self._into(path)
        self.at = end
        self.at = self.text.index("]", self.at) + (2 if many else 1)
        return path

    def _into(self, path: KeyPath) -> KeyPath:
        return (*path, self.counts[path]) if path in self.counts else path

    def _dotted(self) -> list[str]:
        names = []
        while True:
            self._skip()
            names.append(self._name())
            self._skip()
            if not self.text.startswith(".", self.at):
                return names
            self.at += 1

    def _name(self) -> str:
        for pattern in (_ESCAPED, _LITERAL, _BARE):
            hit = pattern.match(self.text, self.at)
            if hit:
                self.at = hit.end()
                return hit[0] if pattern is _BARE else hit[0][1:-1]
        raise ValueError(f"no key at {self.at}")

    def _pair(self, table: KeyPath) -> None:
        start = self.at
        names = self._dotted()
        self.at, end = start, self.at
        for length in range(1, len(names) + 1):
            self._mark((*table, *names[:length]))
        self.at = self.text.index("=", end) + 1
        self._value((*table, *names))

    def _value(self, path: KeyPath) -> None:
        self._skip()
        text = self.text
        for quote in ('"""', "'''"):
            if text.startswith(quote, self.at):
                self.at = text.index(quote, self.at + 3) + 3
                while text.startswith(quote[0], self.at):
                    self.at += 1
                return
        if text.startswith("[", self.at):
            self._list(path)
        elif text.startswith("{", self.at):
            self._inline(path)
        else:
            hit = _ESCAPED.match(text, self.at) or _LITERAL.match(text, self.at) or _SCALAR.match(text, self.at)
            self.at = hit.end() if hit else self.at

    def _list(self, path: KeyPath) -> None:
        self.at += 1
        place = 0
        while not self.text.startswith("]", self._skip()):
            self._mark((*path, place))
            self._value((*path, place))
            place += 1
            if self.text.startswith(",", self._skip()):
                self.at += 1
        self.at += 1

    def _inline(self, path: KeyPath) -> None:
        self.at += 1
        while not self.text.startswith("}", self._skip()):
            self._pair(path)
            if self.text.startswith(",", self._skip()):
                self.at += 1
        self.at += 1
