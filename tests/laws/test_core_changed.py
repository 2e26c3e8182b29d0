"""Laws of frozen things changed quickly."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import pytest

from lynchet.core.changed import changed
from lynchet.core.quick import quick


@dataclass(frozen=True)
class Plain:
    """A frozen thing that keeps what it worked out."""

    width: float
    name: str = "one"

    @cached_property
    def twice(self) -> float:
        """Twice the width."""
        return 2.0 * self.width


@quick
@dataclass(frozen=True)
class Quick:
    """The same, made quickly."""

    width: float
    name: str = "one"

    @cached_property
    def twice(self) -> float:
        """Twice the width."""
        return 2.0 * self.width


@pytest.mark.parametrize("kind", [Plain, Quick])
def test_changed_gives_what_replace_gives_and_takes_over_nothing_worked_out(kind):
    """Equal to the copy ``dataclasses.replace`` makes, of the same class, with kept values worked out anew."""
    first = kind(1.5)
    assert first.twice == 3.0
    other = changed(first, width=4.0)
    assert other == replace(first, width=4.0) and type(other) is kind
    assert (other.twice, first.width, first.twice) == (8.0, 1.5, 3.0)


def test_a_field_that_is_not_there_is_refused():
    """A name misspelt is an error, as with ``dataclasses.replace``."""
    with pytest.raises(TypeError, match="widht"):
        changed(Plain(1.0), widht=2.0)
