"""Words of the book by name, kept apart from the code, so that a second language is another file."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

LANGUAGES = ("en",)


@dataclass(frozen=True)
class Words:
    """The words of one language."""

    lang: str

    def __call__(self, name: str, **values: object) -> str:
        """A text by its dotted name, with its blanks filled.

        Args:
            name: "first.ask_head" and the like.
            values: what stands in the blanks.

        Raises:
            KeyError: no such text, or a blank without a value.
        """
        found: Any = _table(self.lang)
        for part in name.split("."):
            found = found[part]
        return str(found).format(**values)

    def counted(self, name: str, count: int) -> str:
        """A number with its thing: the first text of the list for one, the second for any other."""
        return self.many(name)[0 if count == 1 else 1].format(count=count)

    def many(self, name: str) -> tuple[str, ...]:
        """A list of texts.

        Raises:
            KeyError: no such list.
        """
        found: Any = _table(self.lang)
        for part in name.split("."):
            found = found[part]
        return tuple(str(one) for one in found)


@lru_cache(maxsize=4)
def _table(lang: str) -> dict[str, Any]:
    source = files("lynchet.book").joinpath("data", f"texts_{lang}.toml")
    return tomllib.loads(source.read_text(encoding="utf-8"))
