"""Frozen dataclasses made quickly: a command has seven hundred of them made before it does anything.

The standard library writes and compiles six functions for each, more than half of the time a command takes to start.
Here one is compiled, the way in; equality, hash, words and the guard against assignment are shared by all. What comes
out behaves like the library's own, which still makes whatever is not plain.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import FrozenInstanceError
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, NoReturn

__all__ = ["dataclass"]

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, eq=True, **more):
        """As ``dataclasses.dataclass``; frozen classes that stand alone, of plain fields, are made the quick way.

        Args:
            cls: the class, where it is called without arguments.
            frozen, eq, more: as there.
        """

        def made(one):
            plain = frozen and not more and _is_plain(one) and _made(one, eq)
            return one if plain else dataclasses.dataclass(one, frozen=frozen, eq=eq, **more)

        return made if cls is None else made(cls)


_OWN = ("__init__", "__repr__", "__eq__", "__hash__", "__setattr__", "__delattr__", "__post_init__", "__slots__")


def _is_plain(one: type) -> bool:
    """Whether a class stands alone, brings no such function of its own, and no field that is more than a default."""
    own = one.__dict__
    alone = not any(hasattr(base, "__dataclass_fields__") for base in one.__mro__[1:])
    plain = not any(isinstance(value, dataclasses.Field) for value in own.values())
    return alone and plain and not any(name in own for name in _OWN)


def _made(one: Any, eq: bool) -> bool:
    """Make it; False where a field turns out to be none, or by name alone: nothing is spoilt then."""
    dataclasses.dataclass(one, init=False, repr=False, eq=False)
    fields = dataclasses.fields(one)
    if len(fields) < len(one.__dataclass_fields__) or any(field.kw_only for field in fields):
        return False
    names = tuple(field.name for field in fields)
    one.__init__ = _way_in(one, names)
    one.__init__.__defaults__ = tuple(f.default for f in fields if f.default is not dataclasses.MISSING) or None
    one.__init__.__annotations__ = {field.name: field.type for field in fields} | {"return": None}
    one.__repr__ = _words
    one.__setattr__, one.__delattr__ = _guards(one, frozenset(names))
    if eq:
        one.__eq__, one.__hash__ = _by_value(names)
    how = one.__dataclass_params__
    how.init, how.repr, how.eq, how.frozen = True, True, eq, True
    return True


def _way_in(one: type, names: tuple[str, ...]) -> Callable[..., None]:
    """Lays down the arguments, field by field."""
    lines = "".join(f"\n    _set(self, {name!r}, {name})" for name in names)
    scope: dict[str, Any] = {"_set": object.__setattr__}
    exec(f"def __init__({', '.join(('self', *names))}):{lines or ' pass'}", scope)
    init: Callable[..., None] = scope["__init__"]
    init.__qualname__ = f"{one.__qualname__}.__init__"
    return init


@recursive_repr("...")
def _words(self: Any) -> str:
    inside = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__dataclass_fields__)
    return f"{type(self).__qualname__}({inside})"


def _by_value(names: tuple[str, ...]) -> tuple[Callable[[Any, object], bool], Callable[[Any], int]]:
    """Equality and hash of the values in their order."""
    held: Callable[[Any], tuple[Any, ...]]
    if len(names) > 1:
        held = attrgetter(*names)
    else:  # the getter of a single name gives no tuple

        def held(self: Any) -> tuple[Any, ...]:
            return tuple(getattr(self, name) for name in names)

    def same(self: Any, other: object) -> bool:
        return held(self) == held(other) if other.__class__ is self.__class__ else NotImplemented

    return same, lambda self: hash(held(self))


def _guards(one: Any, names: frozenset[str]) -> tuple[Callable[[Any, str, Any], None], Callable[[Any, str], None]]:
    """What refuses to assign and to delete."""

    def refuse(what: str, name: str) -> NoReturn:
        raise FrozenInstanceError(f"cannot {what} field {name!r}")

    def assign(self: Any, name: str, value: Any) -> None:
        if type(self) is one or name in names:
            refuse("assign to", name)
        super(one, self).__setattr__(name, value)

    def delete(self: Any, name: str) -> None:
        if type(self) is one or name in names:
            refuse("delete", name)
        super(one, self).__delattr__(name)

    return assign, delete
