"""What stands, was found and moved, through the command line: kept, told, refused where it is nonsense."""

from __future__ import annotations

import json
import re
import tomllib

import pytest

from by_command import YARDS, changed, command, planned
from lynchet.project.schema import project_schema
from lynchet.project.starter import starter_text
from lynchet.units.format import volume
from lynchet.units.parse import parse

MANY = "balanced.toml"


def with_text(tmp_path, more, name="plain.toml"):
    """The plan of a yard with lines added at the end of its file."""
    return planned(changed(tmp_path, name, {}, more), "--effort", "live")


def inside(name, leg, share):
    """A place of the file under the timber of a wall, and the plan it was taken from."""
    plan = planned(YARDS / name, "--effort", "live")
    wall = next(one for one in plan.data["walls"]["legs"] if one["id"] == leg)
    (x, y), (ux, uy), (nx, ny) = wall["start_m"], wall["direction"], wall["normal"]
    along = share * wall["length_m"]
    return [f"{x + along * ux + 0.05 * nx} m", f"{y + along * uy + 0.05 * ny} m"], plan


def found(at, **more):
    """A [[found]] as text."""
    lines = [f"{key} = {json.dumps(value)}" for key, value in more.items()]
    return "\n[[found]]\nat = " + json.dumps(at) + "\n" + "\n".join(lines) + "\n"


def bottoms(plan, leg):
    """(bottom, plan outline) of the runs of a wall."""
    return {run["id"]: (run["bottom_m"], run["outline_m"]) for run in plan.data["walls"]["runs"] if run["leg"] == leg}


def test_a_low_course_is_told_and_followed(tmp_path):
    """Half an inch low: go with care, what follows, what is left of the timber over the bed, how to bring it back."""
    plan = with_text(tmp_path, '\n[[stands]]\nwall = "W2"\ncourse = 1\nlow = "1/2 in"\n')
    text = plan.text("standing.off")
    assert "1/2 in low at course 1" in text and "courses above follow" in text and "1 1/2 in over the bed" in text
    assert "treated packing" in text and plan.verdicts("standing.off") == {"watch"}
    before = bottoms(planned(YARDS / "plain.toml", "--effort", "live"), "W2")
    after = bottoms(plan, "W2")
    assert all(after[run][0] == pytest.approx(before[run][0] - parse("1/2 in", "length")) for run in before)


def test_readings_are_levels_of_the_top(tmp_path):
    """Levels read on a course say how far it is off; a course out of level is told."""
    plain = planned(YARDS / "plain.toml", "--effort", "live")
    run = min((r for r in plain.data["walls"]["runs"] if r["leg"] == "W2"), key=lambda r: r["course"])
    high, low = (f"{run['top_m'] + 0.010 + off} m" for off in (0.004, -0.004))
    plan = with_text(tmp_path, f'\n[[stands]]\nwall = "W2"\ncourse = 1\nreadings = ["{high}", "{low}"]\n')
    assert plan.findings("standing.off")[0]["demand"] == pytest.approx(0.010, abs=1e-6)
    assert plan.findings("standing.level")[0]["demand"] == pytest.approx(0.008, abs=1e-6)


def test_a_cure_answers_a_course_far_off(tmp_path):
    """More than 15 mm stops and keeps the cut sheet back; the cure writes the answer, and then it may go on."""
    entry = '\n[[stands]]\nwall = "W2"\ncourse = 1\nhigh = "1 1/4 in"\n'
    file = changed(tmp_path, "plain.toml", {}, entry)
    before = planned(file, "--effort", "live")
    off = before.findings("standing.off")[0]
    assert off["verdict"] == "stop" and off["withholds"] == ["cut-sheet"]
    assert [cure["name"] for cure in off["cures"]] == ["bed-again", "level-W2", "follow-W2"]
    assert "thin course" in off["text"]
    ran = command("plan", str(file), "--with", "level-W2", "--write", "--effort", "live")
    assert ran.status == 0, ran.err
    assert 'answer = "level"' in file.read_text(encoding="utf-8")
    assert planned(file, "--effort", "live").verdicts("standing") <= {"watch", "ok"}


def test_built_writes_down_what_stands(tmp_path):
    """--built with --write adds the wall with its joints; the plan is the same, and later wishes leave it alone."""
    file = changed(tmp_path, MANY, {})
    before = planned(file, "--effort", "live")
    ran = command("plan", str(file), "--built", "W2:2", "--write", "--effort", "live")
    assert ran.status == 0, ran.err
    text = file.read_text(encoding="utf-8")
    assert "# INVENTED" in text and '[[stands]]\nwall = "W2"\ncourse = 2' in text
    after = planned(file, "--effort", "live")
    was, now = bottoms(before, "W2"), bottoms(after, "W2")
    assert was.keys() == now.keys() and all(now[run][0] == pytest.approx(was[run][0], abs=1e-5) for run in was)
    later = file.read_text(encoding="utf-8").replace("terraces = 4", "terraces = 6")
    file.write_text(later, encoding="utf-8")
    lost = planned(file, "--effort", "live")
    assert lost.findings("standing.cannot_keep") and lost.verdict == "stop"
    again = command("plan", str(file), "--built", "W2:2", "--effort", "live")
    assert again.status == 2 and "stands in the file already" in again.err


def test_what_distances_count_from_is_said_where_they_are_typed(tmp_path):
    """One sentence in the starter, beside what --built writes, in the schema and in errors: the first point of `line`,
    not the left end as on sheets."""
    said = "count from the first point of its `line`; sheets count from the left end of its timber, seen from below"
    file = changed(tmp_path, MANY, {})
    command("plan", str(file), "--built", "W2:2", "--write", "--effort", "live")
    (line,) = [row for row in file.read_text(encoding="utf-8").splitlines() if row.startswith("line = ")]
    assert line.partition("]] #")[2].endswith(said)
    assert all(said in starter_text("yard", system) for system in ("metric", "us"))
    stands = project_schema()["properties"]["stands"]["anyOf"][0]["items"]["properties"]
    stretch = stands["stretch"]["anyOf"][0]["items"]["properties"]
    assert all(said in part["description"] for part in (stands["line"], stretch["from"], stretch["to"], stands["cuts"]))
    text = file.read_text(encoding="utf-8")
    for old, new, key in (('to = "432 in"', 'to = "600 in"', "stands.1.stretch.1"),
                          ('at = ["62.7765 in", ', 'at = ["62.7765 in", "500 in", ', "stands.1.cuts.1"),
                          ('from = "0 in"', 'from = "440 in"', "stands.1.stretch.1")):  # fmt: skip
        assert old in text
        file.write_text(text.replace(old, new), encoding="utf-8")
        ran = command("plan", str(file), "--effort", "live")
        assert ran.status == 2 and f": {key}: " in ran.err and said in " ".join(ran.err.split()), ran.err


def test_a_line_given_from_its_other_end_is_the_same_wall(tmp_path):
    """The line of a wall that stands written right to left, with its distances counted from there: the same plan, and
    it is told which way the line is read."""
    file = changed(tmp_path, MANY, {})
    command("plan", str(file), "--built", "W2:2", "--write", "--effort", "live")
    text = file.read_text(encoding="utf-8")
    before = planned(file, "--effort", "live")
    raw = tomllib.loads(text)["stands"][0]
    long_in = 432.0
    turned = text.replace(json.dumps(raw["line"]), json.dumps(raw["line"][::-1]))
    for joints in raw["cuts"]:
        mirrored = [f"{long_in - float(at.removesuffix(' in')):.4f} in" for at in joints["at"]][::-1]
        turned = turned.replace(json.dumps(joints["at"]), json.dumps(mirrored))
    (stretch,) = raw["stretch"]
    assert (stretch["from"], stretch["to"]) == ("0 in", "432 in") and turned.count('["432 in') == 1
    file.write_text(turned, encoding="utf-8")
    after = planned(file, "--effort", "live")
    assert not after.findings("standing.cannot_keep")
    assert after.text("standing.kept").endswith(" The line of W2 is read from the end where the file begins it.")
    assert after.verdict == before.verdict and bottoms(after, "W2") == bottoms(before, "W2")
    joints = dict(before.data["walls"]["standing"]["legs"][0]["cuts"])
    for course, at in after.data["walls"]["standing"]["legs"][0]["cuts"]:
        assert at == pytest.approx(joints[course], abs=1e-6)


def test_shallow_rock_is_in_the_way_and_deep_rock_is_not(tmp_path):
    """By depth: what reaches into the timber stops with its cures, what lies under everything does not."""
    at, plain = inside("plain.toml", "W2", 0.4)
    shallow = with_text(tmp_path, found(at, what="rock", depth="2 in", size="1 ft"))
    hit = shallow.findings("found.in_the_way")[0]
    assert hit["verdict"] == "stop" and hit["place"] == "W2" and "cut-sheet" in hit["withholds"]
    assert [cure["name"] for cure in hit["cures"]] == ["step-up-1", "move", "take-out"]
    deep = with_text(tmp_path, found(at, what="rock", depth="5 ft", size="1 ft"))
    assert not deep.findings("found.in_the_way") and deep.findings("found.clear")
    assert deep.data["walls"] == plain.data["walls"] and deep.data["terraces"] == plain.data["terraces"]


def test_the_base_steps_up_over_rock(tmp_path):
    """Answered "step up" the base over the rock lies above it by whole courses, all else of the wall as before, and
    nothing of it meets the rock any more."""
    leg = "A0"
    at, plain = inside(MANY, leg, 0.5)
    done = with_text(tmp_path, found(at, what="rock", depth="4 in", size="6 in", answer="step up"), MANY)
    assert done.verdicts("found.over") == {"watch"} and "higher" in done.text("found.over")
    old = next(one for one in plain.data["walls"]["legs"] if one["id"] == leg)["segments"]
    new = next(one for one in done.data["walls"]["legs"] if one["id"] == leg)["segments"]
    assert len(new) == len(old) + 2 and max(s["base"] for s in new) > max(s["base"] for s in old)
    assert {s["top"] for s in new} == {s["top"] for s in old}
    assert not [f for f in done.findings("found.in_the_way") if "timber" in f["text"]] and not done.findings("clash")


@pytest.mark.parametrize("share", [0.0, 0.02])
def test_no_step_beside_a_corner(share, tmp_path):
    """Where courses lap the base cannot step up: refused plainly."""
    at, _ = inside(MANY, "A0", share)
    plan = with_text(tmp_path, found(at, what="rock", depth="4 in", size="6 in", answer="step up"), MANY)
    text = plan.text("found.over")
    assert "cannot step up" in text and plan.verdicts("found.over") == {"stop"}


def test_found_pipe_calls_the_locator_and_root_the_arborist(tmp_path):
    """Whom to ask stands with what is in the way."""
    at, _ = inside("plain.toml", "W2", 0.4)
    for kind, ask in (("pipe", "locator"), ("root", "arborist")):
        plan = with_text(tmp_path, found(at, what=kind, depth="2 in", size="4 in"))
        assert {f["ask"] for f in plan.findings("found.in_the_way")} == {ask}


def test_found_water_is_ground_water(tmp_path):
    """Water in the trench counts as a spring: without a drain of its own it stops; soft ground is dug out or asked."""
    at, _ = inside("plain.toml", "W2", 0.4)
    wet = with_text(tmp_path, found(at, what="water"))
    assert wet.verdicts("water.spring") == {"stop"} and "drain-1" in {
        cure["name"] for cure in wet.findings("found.water")[0]["cures"]
    }
    soft = with_text(tmp_path, found(at, what="soft"))
    assert soft.verdicts("found.soft") == {"ask"}
    dug = with_text(tmp_path, found(at, what="soft", answer="dig out"))
    assert dug.verdicts("found.soft") == {"watch"}


BAD = {
    "no such wall": ('[[stands]]\nwall = "W9"\ncourse = 1\n', "stands.1.wall", "a wall of the plan: A0"),
    "above the top": ('[[stands]]\nwall = "W2"\ncourse = 9\n', "stands.1.course", "courses high"),
    "readings apart": ('[[stands]]\nwall = "W2"\ncourse = 1\nreadings = [1, 2]\n', "stands.1.readings", "read them"),
    "far off": ('[[stands]]\nwall = "W2"\ncourse = 1\nreadings = [40]\n', "stands.1.readings", "count the courses"),
    "low and high": ('[[stands]]\nwall = "W2"\ncourse = 1\nlow = "1 in"\nhigh = "1 in"\n', "stands.1", "one of"),
    "twice": ('[[stands]]\nwall = "W2"\ncourse = 1\n[[stands]]\nwall = "W2"\ncourse = 1\n', "stands.2", "stands twice"),
    "no course": ('[[stands]]\nwall = "W2"\n', "stands.1.course", "missing"),
    "stretch alone": ('[[stands]]\nwall = "W2"\ncourse = 1\nstretch = [{ from = 0, to = 2, base = 1, top = 2 }]\n',
                      "stands.1.stretch", "bottom"),
    "bottom alone": ('[[stands]]\nwall = "W2"\ncourse = 1\nbottom = 5\n', "stands.1.bottom", "without its `stretch`"),
    "line alone": ('[[stands]]\nwall = "W2"\ncourse = 1\nline = [[50, 0], [60, 0]]\n', "stands.1.line", "together"),
    "found nowhere": ('[[found]]\nwhat = "rock"\n', "found.1", "one of at, line"),
    "found what": ('[[found]]\nwhat = "gold"\nat = [1, 1]\n', "found.1.what", "rock"),
    "wrong answer": ('[[found]]\nwhat = "pipe"\nat = [1, 1]\nanswer = "step up"\n', "found.1.answer", "bridge"),
    "no soil": ('[[moved]]\nway = "away"\nvolume = 0\n', "moved.1.volume", "over"),
    "no way": ('[[moved]]\nvolume = "1 yd3"\n', "moved.1.way", "missing"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_nonsense_is_refused(case, tmp_path):
    """Each slip is named with file, line and key; the status is 2 and nothing is written."""
    text, key, words = BAD[case]
    file, out = changed(tmp_path, "plain.toml", {}, "\n" + text), tmp_path / "out"
    before = file.read_bytes()
    ran = command("plan", str(file), "--out", str(out), "--effort", "live")
    assert ran.status == 2 and words in ran.err and f": {key}" in ran.err and "plain.toml:" in ran.err, ran.err
    assert not out.exists() and file.read_bytes() == before and "Traceback" not in ran.err


@pytest.mark.parametrize("words", [("--built", "W9"), ("--built", "W2:0"), ("--built", "W2:x"), ("--built", "W2:99")])
def test_built_of_nothing_is_refused(words):
    """A wall or course that the plan does not have is refused with those it has."""
    ran = command("plan", str(YARDS / "plain.toml"), "--effort", "live", *words)
    assert ran.status == 2 and "--built" in ran.err and "accepted" in ran.err


def test_moved_soil_is_counted_once(tmp_path):
    """What has gone is told against what is to go, in loads; the account of the whole job does not change with it."""
    plain = planned(YARDS / "plain.toml", "--effort", "live")
    away = plain.data["earth"]["account"]["away_loose_m3"]
    assert away > 0
    one = f'\n[[moved]]\nway = "away"\nvolume = "{0.25 * away:.6f} m3"\n'
    plan = with_text(tmp_path, one + one)
    assert volume(0.5 * away, "us") + " is still to go away" in plan.text("standing.soil")
    assert plan.data["earth"]["account"] == plain.data["earth"]["account"]
    back = '\n[[moved]]\nway = "in"\nvolume = "%.6f m3"\n' % (0.5 * away)
    assert "is still to go away" in with_text(tmp_path, back).text("standing.soil")
    much = with_text(tmp_path, f'\n[[moved]]\nway = "away"\nvolume = "{3 * away:.6f} m3"\n')
    assert "fetch " + volume(2 * away, "us") in much.text("standing.soil")
    assert much.verdicts("standing.soil") == {"watch"}


@pytest.mark.parametrize(("way", "went"), [("away", "gone already"), ("in", "come in already")])
def test_more_soil_moved_than_the_job_has_is_a_question(tmp_path, way, went):
    """A thousand times the soil of the job, gone or come, is a slip: asked about, and nothing is ordered by it."""
    plan = with_text(tmp_path, f'\n[[moved]]\nway = "{way}"\nvolume = "9000 yd3"\n')
    assert plan.verdicts("standing.soil") == {"ask"}
    assert went in plan.text("standing.soil") and "9000 yd³" in plan.text("standing.soil")
    assert "order-list" in plan.data["withheld"]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_starter_shows_keys_that_are_accepted(system, tmp_path):
    """The remarks of the starter file on what stands, was found and moved are true keys: uncommented they plan."""
    text = starter_text("yard", system)
    head, tail = text.split("# WHILE YOU BUILD", 1)
    lines = [line[2:] for line in tail.splitlines() if re.match(r"# (?:\[\[|[a-z_]+ = )", line)]
    assert {line for line in lines if line.startswith("[[")} == {"[[stands]]", "[[found]]", "[[moved]]"}
    file = tmp_path / "yard.toml"
    file.write_text(head + "\n".join(lines) + "\n", encoding="utf-8")
    plan = planned(file, "--effort", "live")
    assert plan.findings("standing.soil") and plan.findings("found")
