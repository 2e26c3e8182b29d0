"""Law: a dataclass made quickly does what the standard library's own does.

Source: Python Software Foundation, The Python Standard Library, ``dataclasses``; the library
itself is the rival method.
"""

from __future__ import annotations

import dataclasses
import inspect
import pickle
import re
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import pytest

import lynchet
from lynchet.core import findings
from lynchet.core.changed import changed
from lynchet.core.classes import dataclass
from lynchet.core.late import LateWorking


@dataclass(frozen=True)
class Empty:
    pass


@dataclass(frozen=True)
class One:
    a: object


@dataclass(frozen=True)
class Three:
    """Words of its own."""

    a: object
    b: tuple[object, ...] = ()
    c: object = None

    def twice(self) -> tuple[object, object]:
        """Something it can do."""
        return self.a, self.a


@dataclass(frozen=True, eq=False)
class Alone:
    a: object = 1


def _rival(kind: type) -> type:
    """The same class made by the library."""
    body = {"__annotations__": dict(kind.__annotations__), "__module__": kind.__module__}
    body |= {name: kind.__dict__[name] for name in kind.__annotations__ if name in kind.__dict__}
    made = type(kind.__name__, (), body | {"__doc__": kind.__doc__})
    return dataclasses.dataclass(frozen=True, eq=kind is not Alone)(made)


KINDS = (Empty, One, Three, Alone)
ARGUMENTS: list[tuple[object, ...]] = [
    (), (1,), ("x",), (1, (2, 4)), (1, (2, 3), None), (True, (2, 3), 0), ([],), (-0.0,), (0.0,),
]  # fmt: skip


def _outcome(what: Any) -> object:
    try:
        return what()
    except Exception as error:
        return type(error)


@pytest.mark.parametrize("kind", KINDS)
def test_it_behaves_as_the_librarys_own(kind: type):
    """Arguments taken, fields, equality, hash, words, matching, signature, copies: the same for either."""
    rival = _rival(kind)
    pairs = []
    for given in ARGUMENTS:
        mine, other = _outcome(lambda: kind(*given)), _outcome(lambda: rival(*given))  # noqa: B023
        if isinstance(mine, type):
            assert mine == other
            continue
        pairs.append((mine, other))
        assert vars(mine) == vars(other)
        assert repr(mine) == repr(other).replace("type.<locals>.", "")
        if kind is not Alone:
            assert _outcome(lambda: hash(mine)) == _outcome(lambda: hash(other))  # noqa: B023
        assert _outcome(lambda: dataclasses.asdict(mine).keys()) == dataclasses.asdict(other).keys()  # noqa: B023
    assert len(pairs) > (kind is not Empty)
    for mine, other in pairs:
        assert [mine == one for one, _ in pairs] == [other == one for _, one in pairs]
        assert mine != other and mine != "x"
    mine, other = ([(f.name, f.type, f.default, f.init) for f in dataclasses.fields(one)] for one in (kind, rival))
    assert mine == other
    assert str(inspect.signature(kind)) == str(inspect.signature(rival))
    assert kind.__match_args__ == rival.__match_args__
    assert repr(kind.__dataclass_params__) == repr(rival.__dataclass_params__)


def test_nothing_is_assigned_or_deleted():
    """A field, a new name and a deletion are refused with the words of the library; those beneath it keep their own."""
    for made in (Three(1), _rival(Three)(1)):
        for act, words in (
            (lambda: setattr(made, "a", 2), "cannot assign to field 'a'"),  # noqa: B023
            (lambda: setattr(made, "z", 2), "cannot assign to field 'z'"),  # noqa: B023
            (lambda: delattr(made, "a"), "cannot delete field 'a'"),  # noqa: B023
        ):
            with pytest.raises(dataclasses.FrozenInstanceError, match=words):
                act()

    class Beneath(Three):
        pass

    made = Beneath(1)
    made.z = 5
    assert made.z == 5
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.a = 2


def test_it_is_copied_stored_and_read_back():
    """``replace``, ``changed``, pickling, and a thing that holds itself."""
    made = Three([1], (One(2),))
    assert pickle.loads(pickle.dumps(made)) == made == dataclasses.replace(made) == changed(made)
    assert dataclasses.replace(made, c=4) == changed(made, c=4) == Three([1], (One(2),), 4)
    assert made != Three([1], (One(3),))
    held: list[object] = []
    held.append(One(held))
    assert repr(held[0]) == "One(a=[...])"
    round_: list[object] = []
    mine = One(round_)
    round_.append(mine)
    assert repr(mine) == "One(a=[...])"


def test_an_array_is_compared_by_identity_first():
    """Values are compared as tuples are: the same array is equal to itself, and not asked for its elements."""
    array = np.arange(3)
    assert One(array) == One(array)
    assert Three(1, (), array) == Three(1, (), array)
    with pytest.raises(ValueError, match="ambiguous"):
        assert One(array) == One(array.copy())


def test_what_is_not_plain_is_the_librarys():
    """Factories, work done after, names only, further functions and classes beneath are made by the library."""

    @dataclass(frozen=True)
    class Made:
        a: list[int] = dataclasses.field(default_factory=list)

    @dataclass(frozen=True)
    class After:
        a: int

        def __post_init__(self) -> None:
            if self.a < 0:
                raise ValueError("below")

    @dataclass(frozen=True, kw_only=True)
    class ByName:
        a: int

    @dataclass(frozen=True)
    class Shared:
        a: int
        known: ClassVar[int] = 3

    @dataclass(frozen=True)
    class More(Three):
        d: int = 4

    @dataclass(frozen=True)
    class Said:
        a: int

        def __repr__(self) -> str:
            return "said"

    @dataclass
    class Loose:
        a: int

    assert Made().a == [] and Made().a is not Made().a
    with pytest.raises(ValueError, match="below"):
        After(-1)
    with pytest.raises(TypeError):
        ByName(1)
    assert Shared(1).known == 3 and Shared(1) == Shared(1) and len(dataclasses.fields(Shared)) == 1
    assert More(1, d=5) == More(1, (), None, 5) != More(1) and hash(More(1)) == hash(More(1))
    assert repr(Said(1)) == "said" and Said(1) == Said(1) != Said(2)
    loose = Loose(1)
    loose.a = 2
    assert loose == Loose(2)


def test_a_working_found_late_is_equal_as_ever():
    """What is compared field by field still finds a late working equal to the plain one."""
    assert One(LateWorking(lambda: ("active", ()))) == One(("active", ()))


def test_every_module_makes_its_classes_here():
    """No module takes ``dataclass`` from the library itself: hundreds made its slow way were half of every start."""
    package = Path(lynchet.__file__).parent
    taken = [
        source.name for source in sorted(package.rglob("*.py"))
        if re.search(r"^from dataclasses import .*\bdataclass\b", source.read_text(encoding="utf-8"), re.MULTILINE)
    ]  # fmt: skip
    assert taken == []
    assert sum(dataclasses.is_dataclass(one) for one in vars(findings).values()) > 1
