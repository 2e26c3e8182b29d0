"""Dataclasses made by the thousand in every plan: frozen to the type checker, made as quickly as plain ones."""

from __future__ import annotations

from dataclasses import fields
from typing import TypeVar

T = TypeVar("T")


def quick(frozen: type[T]) -> type[T]:
    """The same frozen dataclass, its fields laid down by plain assignment.

    A frozen dataclass keeps off assignment as it runs: its own fields too must then be laid down one by one through
    ``object.__setattr__``, some seven times the work, a fifteenth of a live re-plan for the few thousand things a plan
    is made of. Nothing in the package assigns to them (the type checker reads ``frozen=True`` and sees to that), so
    for classes of this kind it is not looked for again while a plan is made. Arguments, defaults, equality, hash,
    pickling and ``replace`` are those of the dataclass.

    Args:
        frozen: a dataclass, frozen, with plain fields and defaults.

    Raises:
        TypeError: the class has a field with a factory, some but not all keyword-only, or ``__post_init__``.
    """
    there = fields(frozen)  # type: ignore[arg-type]
    made = frozen.__init__
    code = made.__code__
    names = [field.name for field in there]
    plain = sorted(code.co_varnames[1 : code.co_argcount + code.co_kwonlyargcount]) == sorted(names)
    plain = plain and 0 in (code.co_argcount - 1, code.co_kwonlyargcount)
    if not plain or hasattr(frozen, "__post_init__") or any(callable(field.default_factory) for field in there):
        raise TypeError(f"{frozen.__qualname__}: plain fields and defaults only, and nothing done after")
    scope: dict[str, object] = {}
    lines = "".join(f"\n    self.{name} = {name}" for name in names)
    exec(f"def __init__(self, {'*, ' if code.co_kwonlyargcount else ''}{', '.join(names)}):{lines}", scope)
    init = scope["__init__"]
    for name in ("__defaults__", "__kwdefaults__", "__annotations__", "__qualname__", "__doc__"):
        setattr(init, name, getattr(made, name))
    frozen.__init__ = init  # type: ignore[method-assign, assignment]
    del frozen.__setattr__, frozen.__delattr__
    return frozen
