"""Dataclasses laid down quickly are the same dataclasses."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace
from functools import cached_property

import pytest

from lynchet.core.quick import quick


@dataclass(frozen=True)
class Slow:
    """One as the library makes it."""

    a: int
    b: str = "b"
    c: tuple[float, ...] = ()

    @cached_property
    def more(self) -> int:
        """One more."""
        return self.a + 1


@quick
@dataclass(frozen=True)
class Quick:
    """The same, laid down quickly."""

    a: int
    b: str = "b"
    c: tuple[float, ...] = ()

    @cached_property
    def more(self) -> int:
        """One more."""
        return self.a + 1


@quick
@dataclass(frozen=True, slots=True)
class Slotted:
    """One with slots."""

    a: int
    b: str = "b"


@pytest.mark.parametrize("given", [{"a": 1}, {"a": 2, "c": (1.0,)}, {"a": 3, "b": "x", "c": (2.0, 3.0)}])
def test_all_but_the_laying_down_is_the_same(given):
    """Fields, defaults, equality, hash, replacing, pickling and late values are those of the plain frozen dataclass."""
    slow, fast = Slow(**given), Quick(**given)
    assert vars(slow) == vars(fast)
    assert [f.name for f in fields(Slow)] == [f.name for f in fields(Quick)]
    assert repr(slow).removeprefix("Slow") == repr(fast).removeprefix("Quick")
    assert fast == Quick(*vars(fast).values())
    assert fast != replace(fast, a=9)
    assert hash(slow) == hash(fast)
    assert pickle.loads(pickle.dumps(fast)) == fast
    assert fast.more == slow.more == given["a"] + 1


def test_slots_stay():
    """A class with slots is laid down in them, equal by value, and takes nothing else."""
    thing = Slotted(1)
    assert (thing.a, thing.b) == (1, "b")
    assert thing == pickle.loads(pickle.dumps(thing)) == Slotted(a=1, b="b")
    assert not hasattr(thing, "__dict__")


@pytest.mark.parametrize("given", [{}, {"a": 1, "d": 2}])
def test_wrong_arguments_are_refused(given):
    """A missing or an unknown argument is refused as ever."""
    with pytest.raises(TypeError):
        Quick(**given)


def test_a_class_it_would_change_is_refused():
    """Factories, some fields by name only and work done after laying down are refused where the class is made."""

    @dataclass(frozen=True)
    class Made:
        a: list[int] = field(default_factory=list)

    @dataclass(frozen=True)
    class PartlyByName:
        a: int
        b: int = field(kw_only=True)

    @dataclass(frozen=True)
    class After:
        a: int

        def __post_init__(self) -> None:
            assert self.a

    for kind in (Made, PartlyByName, After):
        with pytest.raises(TypeError, match="plain fields"):
            quick(kind)
    with pytest.raises(FrozenInstanceError):
        Made().a = []  # a class refused stays as it was


def test_fields_by_name_only_are_laid_down_too():
    """A class whose fields go by name only, and one that takes more of them over: the same as the plain ones."""

    @quick
    @dataclass(frozen=True, kw_only=True)
    class Base:
        a: int
        b: str = "b"

    @quick
    @dataclass(frozen=True, kw_only=True)
    class More(Base):
        c: tuple[int, ...]
        d: float = 0.5

    made = More(c=(1,), a=2)
    assert vars(made) == {"a": 2, "b": "b", "c": (1,), "d": 0.5}
    assert made == replace(made) != replace(made, d=1.0)
    assert hash(made) == hash(More(a=2, c=(1,), b="b", d=0.5))
    for wrong in ({"a": 1}, {"a": 1, "c": (), "e": 1}):
        with pytest.raises(TypeError):
            More(**wrong)
    with pytest.raises(TypeError):
        Base(1)
