"""Words of the book and the day sheets by name, kept apart from the code, so that a second language is another file.

A language need not have every text: what it lacks is taken whole from English, never mixed within one sentence.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

LANGUAGES = ("en", "es")
FIRST = "en"
"""The language that has every text."""
_UNWALLED = "_unwalled"


@dataclass(frozen=True)
class Words:
    """The words of one language."""

    lang: str = FIRST
    unwalled: bool = False
    """Of a yard in which no wall is built: texts that speak of walls have others there, named so."""

    def __call__(self, name: str, **values: object) -> str:
        """A text by its dotted name, with its blanks filled.

        Args:
            name: "first.ask_head" and the like.
            values: what stands in the blanks.

        Raises:
            KeyError: no such text, or a blank without a value.
        """
        return str(self._found(name)).format(**values)

    def raw(self, name: str) -> str:
        """A text with its blanks as they are.

        Raises:
            KeyError: no such text.
        """
        return str(self._found(name))

    def counted(self, name: str, count: int) -> str:
        """A number with its thing: the first text of the list for one, the second for any other."""
        return self.plural(name, count)

    def plural(self, name: str, count: int, **values: object) -> str:
        """The first text of the list for one, the second for any other, with its blanks filled."""
        return self.many(name)[0 if count == 1 else 1].format(count=count, **values)

    def many(self, name: str) -> tuple[str, ...]:
        """A list of texts.

        Raises:
            KeyError: no such list.
        """
        return tuple(str(one) for one in self._found(name))

    def has(self, name: str) -> bool:
        """Whether the text exists in this language or in English."""
        return name in _texts(self.lang) or name in _texts(FIRST)

    @property
    def unreviewed(self) -> str:
        """What every page says of a translation nobody has reviewed; empty for English."""
        return "" if self.lang == FIRST else self("language.unreviewed")

    def _found(self, name: str) -> Any:
        names = (f"{name}{_UNWALLED}", name) if self.unwalled else (name,)
        for lang in (self.lang, FIRST):
            for one in names:
                if one in _texts(lang):
                    return _texts(lang)[one]
        raise KeyError(name)


@lru_cache(maxsize=4)
def _texts(lang: str) -> dict[str, Any]:
    """Texts and lists of texts by dotted name.

    Raises:
        KeyError: no such language.
    """
    if lang not in LANGUAGES:
        raise KeyError(lang)
    source = files("lynchet.book").joinpath("data", f"texts_{lang}.toml")
    return dict(_flat(tomllib.loads(source.read_text(encoding="utf-8"))))


def texts(lang: str) -> dict[str, Any]:
    """Every text of a language's own file by dotted name.

    Raises:
        KeyError: no such language.
    """
    return dict(_texts(lang))


def _flat(table: dict[str, Any], before: str = "") -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for key, value in table.items():
        found += _flat(value, f"{before}{key}.") if isinstance(value, dict) else [(before + key, value)]
    return found
