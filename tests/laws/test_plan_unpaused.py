"""The collector of cycles may wait while a plan is worked out: there is nothing for it to find."""

from __future__ import annotations

import gc
import weakref

import pytest

from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.plan.unpaused import unpaused
from random_yards import crooked


def test_a_plan_leaves_no_cycles():
    """Plans made and dropped with the collector off leave next to nothing that only it could free."""
    projects = [crooked(0)[0]]
    for project in projects:
        plan_project(project, effort=LIVE)
    gc.collect()
    with unpaused():
        for project in projects:
            plan_project(project, effort=LIVE)
        assert gc.collect() < 200


def test_it_ends_as_it_began():
    """Switched on before, it is on again after a failure; switched off before, it stays off."""
    with pytest.raises(ValueError, match="stop"), unpaused():
        assert not gc.isenabled()
        raise ValueError("stop")
    assert gc.isenabled()
    gc.disable()
    try:
        with unpaused():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()


def test_what_was_made_meanwhile_is_not_searched_at_once():
    """Things made within count as old afterwards, and a cycle among them is still found by a full search."""

    class Thing:
        pass

    gc.collect()
    with unpaused():
        kept = [[number] for number in range(5000)]
        thing = Thing()
        thing.itself = thing
        gone = weakref.ref(thing)
        del thing
    assert gc.get_count()[0] < 500
    assert len(kept) == 5000
    assert gone() is not None
    gc.collect()
    assert gone() is None
