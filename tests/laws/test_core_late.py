"""A working found late is the same value as one at hand, and is found once, when it is first read."""

import pickle
from functools import partial

from lynchet.core.findings import Finding, Verdict
from lynchet.core.late import LateWorking

WORKED = ("bearing_capacity", (("width_m", 0.2), ("depth_m", 0.15)))


def _worked():
    return WORKED


def test_found_once_and_only_when_read():
    """Nothing is worked out before it is read, and no more than once after."""
    made = []
    late = LateWorking(lambda: made.append(1) or WORKED)
    finding = Finding("stability.wall", Verdict.WATCH, "text", working=late)
    assert finding.working is late and not made
    name, given = late
    assert (name, given) == WORKED and tuple(late) == WORKED and made == [1]


def test_equal_by_value_and_stored_as_what_it_holds():
    """It equals the working it holds on either side, differs from another, and is pickled as a plain tuple."""
    late, other = LateWorking(partial(_worked)), LateWorking(lambda: ("permit_height", ()))
    assert late == WORKED and late == LateWorking(_worked)
    assert late != other and other != WORKED and hash(late) == hash(WORKED)
    stored = pickle.loads(pickle.dumps(late))
    assert type(stored) is tuple and stored == WORKED
