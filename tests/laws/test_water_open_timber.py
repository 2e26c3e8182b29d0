"""Laws of pipes through timber that stands: open as built is passed over, closed is told, what nobody said is asked."""

from __future__ import annotations

import pytest

from lynchet.core.findings import Verdict
from lynchet.core.standing import READ_M, LegStanding
from lynchet.plan.built import built_edits
from standing_yards import as_written, planned, walls_of

YARDS = ("garden", "steep")
CODES = ("standing.notch_sawn", "standing.notch_asked", "standing.notch_unused")


def stand_all(name, notches=None, without=()):
    """The plan of a file all whose walls stand to their tops as planned; notches of some walls written otherwise."""
    before = as_written(name)
    said = notches or {}
    entries = [{**entry, "notches": said.get(entry["wall"], entry["notches"])}
               for _, entry in built_edits(before, walls_of(before))]  # fmt: skip
    for entry in entries:
        if entry["wall"] in without:
            del entry["notches"]
    return planned(name, ("stands", entries))


def told(plan):
    """Walls by what is said of the notches in them."""
    return {code: [one.place for one in plan.findings if one.code == code] for code in CODES}


def places(plan):
    return [(one.leg, one.courses, one.station_m) for one in plan.water.notches]


def row(notch, plan, shift_m=0.0):
    """A notch as the file says it."""
    start, end = (at + shift_m for at in notch.stations_m)
    low = plan.walls.leg(notch.leg).lowest_course
    return [{"course": course - low + 1, "from": f"{start} m", "to": f"{end} m"} for course in notch.courses]


@pytest.mark.parametrize("name", YARDS)
def test_notches_written_down_as_built_are_passed_over(name):
    """All walls written down as built: the pipes pass where they were to pass, and no word is said of it."""
    before, after = as_written(name), stand_all(name)
    assert before.water.notches and [one[:2] for one in places(after)] == [one[:2] for one in places(before)]
    for now, was in zip(places(after), places(before), strict=True):
        assert now[2] == pytest.approx(was[2], abs=1e-4)
    assert not any(told(after).values())
    for notch in after.water.notches:
        known = after.standing.leg(notch.leg)
        assert set(notch.courses) <= set(known.notches_said)
        assert sorted(course for course, a, b in known.notches if a - 1e-4 <= notch.stations_m[0] and b > a) == sorted(
            course for other in after.water.notches if other.leg == notch.leg for course in other.courses
        )


@pytest.mark.parametrize("name", YARDS)
def test_timber_that_is_not_open_is_to_be_sawn(name):
    """No wall has an opening: a word for each notch through standing timber, with place, size and what to write down
    once it is sawn; written down so, nothing more is said."""
    before = as_written(name)
    after = stand_all(name, {leg: [] for leg in walls_of(before)})
    assert after.water.notches
    assert told(after) == {CODES[0]: [one.leg for one in after.water.notches], CODES[1]: [], CODES[2]: []}
    for one in (one for one in after.findings if one.code == CODES[0]):
        assert one.verdict is Verdict.WATCH and "pins" in one.text and "Saw a notch" in one.text
    assert after.verdict is Verdict.STOP or CODES[0] in [one.code for one, _ in after.top]
    written = {}
    for notch in after.water.notches:
        written[notch.leg] = [*written.get(notch.leg, []), *row(notch, after)]
        low = after.walls.leg(notch.leg).lowest_course
        text = next(one.text for one in after.findings if one.code == CODES[0] and one.place == notch.leg)
        assert f"course = {notch.courses[0] - low + 1}, from = " in text
    sawn = stand_all(name, {leg: written.get(leg, []) for leg in walls_of(before)})
    assert not any(told(sawn).values())
    assert [one[:2] for one in places(sawn)] == [one[:2] for one in places(after)]


@pytest.mark.parametrize("name", YARDS)
def test_where_nobody_said_it_is_asked_once_for_a_wall(name):
    """Old files say no notches: one question for every wall a pipe passes, none for others; the plan is the same."""
    before = as_written(name)
    after = stand_all(name, without=walls_of(before))
    legs = list(dict.fromkeys(one.leg for one in before.water.notches))
    assert told(after) == {CODES[0]: [], CODES[1]: legs, CODES[2]: []}
    asked = [one for one in after.findings if one.code == CODES[1]]
    assert all(one.verdict is Verdict.WATCH and "`notches`" in one.text and not one.withholds for one in asked)
    assert [one[:2] for one in places(after)] == [one[:2] for one in places(before)]
    assert after.verdict == stand_all(name).verdict


def test_an_opening_that_stands_is_used_rather_than_timber_sawn():
    """W2 of the garden was built open in its middle: the pipe goes out there, and nothing is to be sawn in it."""
    at = [{"course": 1, "from": "6 m", "to": "6.15 m"}]
    after = stand_all("garden", {"W2": at})
    assert (("W2", pytest.approx(6.075, abs=1e-6))) in [(one.leg, one.station_m) for one in after.water.notches]
    assert not any(told(after).values())


def test_a_narrow_opening_is_to_be_widened_and_one_left_over_closed():
    """An opening in part of the way: not open wide enough. One that no pipe passes any more: to be closed."""
    before = as_written("garden")
    (notch,) = [one for one in before.water.notches if one.leg == "W2"]
    after = stand_all("garden", {"W2": row(notch, before, -0.1)})  # too near to the corner for a pipe
    assert "not open wide enough there" in next(one.text for one in after.findings if one.code == CODES[0])
    assert not told(after)[CODES[2]]
    further = [*row(notch, before), {"course": 2, "from": "9 m", "to": "9.15 m"}]
    left = stand_all("garden", {"W2": further})
    (one,) = [one for one in left.findings if one.code == CODES[2]]
    assert one.place == "W2" and "course 2, 0.15 m wide" in one.text and "9.075 m" in one.text


def test_a_line_written_from_its_other_end_has_the_same_notches():
    """Line, joints, stretches and notches of W2 counted from its other end: the same openings, and what is to be
    written down is counted from there too."""
    before = as_written("garden")
    (_, entry), = built_edits(before, ["W2"])  # fmt: skip
    long_m = before.walls.leg("W2").length_m

    def turn(text):
        return f"{long_m - float(text.removesuffix(' m')):.6f} m"

    turned = {
        **entry,
        "line": entry["line"][::-1],
        "cuts": [{**one, "at": [turn(at) for at in one["at"]][::-1]} for one in entry["cuts"]],
        "notches": [{**one, "from": turn(one["to"]), "to": turn(one["from"])} for one in entry["notches"]],
        "stretch": [{**one, "from": turn(one["to"]), "to": turn(one["from"])} for one in entry["stretch"]][::-1],
    }
    assert entry["notches"]
    after = planned("garden", ("stands", [turned]))
    assert not told(after)[CODES[0]] and not told(after)[CODES[1]]
    del turned["notches"]
    unsaid = planned("garden", ("stands", [turned]))
    (text,) = [one.text for one in unsaid.findings if one.code == CODES[1]]
    at = float(turn(entry["notches"][0]["to"]).removesuffix(" m"))
    assert f'from = "{at:.3f} m"' in text and f'from = "{long_m - at:.3f} m"' not in text


def test_water_is_not_sent_through_other_walls_to_spare_a_saw_cut():
    """Walls of the garden built closed: the water goes where it went, so no wall holds less than it did, and the cuts
    are told. (Led through A5 to spare them, that wall gave way with one outlet shut.)"""
    before = as_written("garden")
    for legs in (["W2"], ["A0", "W2", "W3"]):
        entries = [{**entry, "notches": []} for _, entry in built_edits(before, legs)]
        after = planned("garden", ("stands", entries))
        assert [one[:2] for one in places(after)] == [one[:2] for one in places(before)]
        assert told(after)[CODES[0]] == [one.leg for one in after.water.notches if one.leg in legs]
        assert after.verdict == before.verdict


def test_a_pipe_passes_where_it_lies_within_an_opening():
    """By sweep: closed exactly where the pipe's side passes the opening's by more than a tape's reading."""
    known = LegStanding("W1", built=5, notches=((3, 1.0, 1.15),), notches_said=(3, 4, 5))
    half = 0.055
    for n in range(301):
        at = 0.9 + n * 0.001
        fits = at - half >= 1.0 - READ_M and at + half <= 1.15 + READ_M
        edge = min(abs(at - half - 1.0 + READ_M), abs(at + half - 1.15 - READ_M)) < 1e-9
        assert edge or (known.closed((3,), at, half) == []) == fits, at
    assert known.closed((3, 4), 1.075, half) == [4] and known.closed((6,), 1.075, half) == []


def test_an_entry_says_the_notches_of_its_own_courses():
    """W2:1 said long ago without notches, W2:2 with them: the notch in course 1 is asked about, and --built writes
    what is new alone."""
    before = as_written("garden")
    (_, first), = built_edits(before, ["W2:1"])  # fmt: skip
    old = {key: value for key, value in first.items() if key != "notches"}
    now = planned("garden", ("stands", [old]))
    assert told(now)[CODES[1]] == ["W2"]
    ((key, more),) = built_edits(now, ["W2:2"])
    assert key == "stands.2" and more["notches"] == []
    after = planned("garden", ("stands", [old, more]))
    low = after.walls.leg("W2").lowest_course
    assert after.standing.leg("W2").notches_said == (low + 1,) and told(after)[CODES[1]] == ["W2"]
