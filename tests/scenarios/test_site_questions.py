"""Questions of the site through the command line: the old oak, the tape on the ground, timber that is no wall.

Expected figures by hand: 12 x 18 in = 18 ft; segment of that circle beyond 10 ft 168 of 1,018 sq ft; 24 ft on 30 % are
22.99 ft level and drop 6.90 ft; six board steps of 1/8 in give 0.31 in by chance, 0.75 in all one way. Invented yards.
"""

from __future__ import annotations

import pytest

from by_command import YARDS, changed, planned

FOOT_M = 0.3048


def test_old_oak_ends_the_terrace():
    """A terrace to 10 ft from an 18 in oak: 18 ft of roots, 16.5 % of their circle; no trench, no fill; an arborist."""
    plan = planned(YARDS / "old_oak.toml")
    (roots,) = plan.findings("terraces.roots")
    assert roots["verdict"] == "stop" and roots["ask"] == "arborist" and "17%" in roots["text"]
    assert roots["demand"] == pytest.approx(1.0 * FOOT_M, abs=0.03)
    (stays,) = plan.findings("stays.tree")
    assert stays["verdict"] == "stop" and "no trench" in stays["text"] and "root line" in stays["text"]
    assert "arborist" in stays["text"]


def test_a_terrace_that_ends_at_the_root_line_is_free_of_the_oak(tmp_path):
    """The same terrace ended 18 ft from the trunk (stone and timber too): nothing is said of roots."""
    short = "outline = [[0, 0], [10.9, 0], [10.9, 40], [0, 40]]"
    plan = planned(changed(tmp_path, "old_oak.toml", {"outline = [[0, 0], [20, 0], [20, 40], [0, 40]]": short}))
    assert not plan.findings("terraces.roots") and not plan.findings("stays.tree")


def test_tape_on_the_ground_is_asked_before_any_cut_sheet():
    """Nobody says how 24 ft were taped on 30 %: 22 ft 11 7/8 in level, 1 ft 0 1/8 in less; the cut sheet waits."""
    plan = planned(YARDS / "tape_on_ground.toml")
    (held,) = plan.findings("ground.held")
    assert held["verdict"] == "ask" and "cut-sheet" in plan.data["withheld"]
    assert held["capacity"] / FOOT_M == pytest.approx(22.99, abs=0.005)
    assert "22 ft 11 7/8 in" in held["text"] and "1 ft 0 1/8 in less" in held["text"]


def test_tape_told_on_the_ground_is_corrected(tmp_path):
    """Told "ground": the slope is 22.99 ft level and drops 6.90 ft, and nothing is asked."""
    plan = planned(changed(tmp_path, "tape_on_ground.toml", {'held = "unknown"': 'held = "ground"'}))
    assert not [f for f in plan.findings("ground.held") if f["verdict"] == "ask"]
    outline = plan.data["terraces"]["area_outlines_m"][0][0]
    depth = max(y for _, y in outline) - min(y for _, y in outline)
    assert depth / FOOT_M == pytest.approx(22.99, abs=0.01)
    rise = 0.30 * depth / FOOT_M
    assert rise == pytest.approx(6.90, abs=0.005)
    assert plan.data["ground"]["highest_m"] - plan.data["ground"]["lowest_m"] >= rise * FOOT_M - 0.01


def test_rough_loop_names_what_to_repeat():
    """The loop misses by 3/4 in: good for a first look, 5/16 in by chance, 3/4 in all one way, and what to repeat."""
    plan = planned(YARDS / "tape_on_ground.toml")
    (loop,) = plan.findings("ground.misclosure")
    assert loop["verdict"] == "watch" and "first look" in loop["text"]
    assert loop["capacity"] / 0.0254 == pytest.approx(0.31, abs=0.005)
    assert "3/4 in" in loop["text"] and "read again" in loop["text"]


def test_creosote_is_refused_round_food(tmp_path):
    """Creosote sleepers round a kitchen bed: a stop, and never counted for strength."""
    changes = {'treatment = "ground contact"': 'treatment = "creosote"'}
    plan = planned(changed(tmp_path, "plain.toml", changes, "\n[planting]\nfood = true\n"))
    (finding,) = plan.findings("stability.creosote")
    assert (
        finding["verdict"] == "stop" and "food" in finding["text"] and "never counted for strength" in finding["text"]
    )
    assert set(finding["withholds"]) == {"cut-sheet", "order-list"}


def test_fence_post_on_the_top_course_stops(tmp_path):
    """A fence screwed to the top course is a stop; behind the wall on posts of its own it is not."""
    fence = '\n[[on_wall]]\nkind = "fence"\nat = "A0"\nheight = "4 ft"\nfixed_to = "{}"\n'
    (tmp_path / "a").mkdir()
    plan = planned(changed(tmp_path, "plain.toml", {}, fence.format("top course")))
    (finding,) = plan.findings("stability.on-wall")
    assert finding["verdict"] == "stop" and "behind the wall, clear of the ties" in finding["text"]
    behind = planned(changed(tmp_path / "a", "plain.toml", {}, fence.format("behind")))
    assert not behind.findings("stability.on-wall")
    (posts,) = behind.findings("stability.posts")
    assert posts["verdict"] == "watch" and "clear of drain pipe" in posts["text"] and "order list" in posts["text"]


def test_what_no_check_counts_on_a_wall_is_said(tmp_path):
    """A tub's weight is asked for as a load; a push on the timber that no check takes up is a question, not silence."""
    on_it = '\n[[on_wall]]\nkind = "tub"\nat = "A0"\n[[on_wall]]\nkind = "seat"\nat = "A0"\npush = "0.5 kN/m"\n'
    plan = planned(changed(tmp_path, "plain.toml", {}, on_it + 'fixed_to = "top course"\n'))
    (tub,), (push,) = plan.findings("stability.tub"), plan.findings("stability.push")
    assert tub["verdict"] == "watch" and "as a load" in tub["text"]
    assert push["verdict"] == "ask" and push["ask"] == "engineer"


def test_rounded_landscape_timbers_are_edging_no_wall(tmp_path):
    """Round-edged timbers without a ground-contact stamp: a stop as a wall, fine as edging."""
    changes = {'material = { treatment = "ground contact" }': 'material = { treatment = "none" }\nprofile = "rounded"'}
    plan = planned(changed(tmp_path, "plain.toml", changes))
    (finding,) = plan.findings("stability.rounded")
    assert finding["verdict"] == "stop" and "good as edging, not as a wall" in finding["text"]
    (tmp_path / "flat").mkdir()
    low = {**changes, 'fall = "8 %"': 'fall = "1 in 150"', "terraces = 2": "terraces = 1"}
    edging = planned(changed(tmp_path / "flat", "plain.toml", low))
    assert "stop" not in edging.verdicts("stability.rounded")


def test_ground_kept_free_is_told_with_its_size(tmp_path):
    """A septic lid beside the beds: 6 + 4 of 20 ft kept free over the whole 14 ft depth, 140 of 280 sq ft (OWN)."""
    lid = (
        '\n[[fixed]]\nkind = "septic"\nname = "lid"\nclear = "4 ft"\noutline = [[-4, -4], [6, -4], [6, 18], [-4, 18]]\n'
    )
    (found,) = planned(changed(tmp_path, "plain.toml", {}, lid)).findings("terraces.left_free")
    assert found["verdict"] == "watch" and found["demand"] / FOOT_M**2 == pytest.approx(140.0, abs=0.5)
    assert "140 sq ft of the 280 sq ft of the area are left free for lid and 4 ft 0 in round it" in found["text"]
    small = lid.replace("[6, -4], [6, 18]", "[-2.5, -4], [-2.5, 18]")  # 1.5 of 20 ft
    assert not planned(changed(tmp_path, "plain.toml", {}, small)).findings("terraces.left_free")


def test_a_bench_between_banks_is_work_and_no_level_ground(tmp_path):
    """Banks on all sides of one bench on a slope: no wall, but soil to cut, hours, days; no word of level ground.

    By hand (OWN): 20 x 14 ft at 8 %; a cut of 20 x 0.08 (7 + x)^2 / 2 tamped to 0.9 of itself fills 20 x 0.08 (7 - x)^2
    / 2, so x = 0.184 ft and 41.3 cu ft are cut.
    """
    banks = ", ".join(f'{{ from = {edge}, finish = "bank", width = "4 ft" }}' for edge in range(4))
    change = {'depth = "14 ft"': f'depth = "14 ft"\nedges = [{banks}]', "terraces = 2": "terraces = 1"}
    plan = planned(changed(tmp_path, "plain.toml", change))
    (none,) = plan.findings("walls.none")
    assert "No wall is built: edges end as banks" in none["text"] and "needed" not in none["text"]
    (bed,) = plan.data["earth"]["beds"]
    assert bed["cut_m3"] / FOOT_M**3 == pytest.approx(41.3, abs=0.1)
    works = plan.data["works"]
    kinds = {task["kind"] for task in works["tasks"]}
    assert {"topsoil", "bench", "fill", "bed soil"} <= kinds and not {"set out", "courses", "base"} & kinds
    assert works["days"] and sum(task["hours"]["likely"] for task in works["tasks"]) > 5.0
    assert {"compost", "mulch"} <= {line["key"] for line in works["order"]}


def test_open_edges_over_a_slope_are_not_called_level(tmp_path):
    """Edges left open where the levels differ by half of 14 ft at 8 % (OWN: 6.7 in): told so, with the work of it."""
    edges = ", ".join(f'{{ from = {edge}, finish = "open" }}' for edge in range(4))
    change = {'depth = "14 ft"': f'depth = "14 ft"\nedges = [{edges}]', "terraces = 2": "terraces = 1"}
    plan = planned(changed(tmp_path, "plain.toml", change))
    (none,) = plan.findings("walls.none")
    assert "lie open as the file says" in none["text"] and "needed" not in none["text"]
    assert any(task["kind"] == "bench" for task in plan.data["works"]["tasks"])


def test_steps_that_meet_no_wall_are_told(tmp_path):
    """A flight drawn beside the yard, or where the ground is kept free, is not built: nobody waits for it in vain."""
    beside = '\n[[steps]]\nname = "side flight"\nline = [[30, -3], [30, 17]]\n'
    (found,) = planned(changed(tmp_path, "plain.toml", {}, beside)).findings("terraces.flight_no_wall")
    assert found["verdict"] == "watch" and 'Flight "side flight" is not built' in found["text"]
    lid = '\n[[fixed]]\nkind = "septic"\nclear = "4 ft"\noutline = [[-4, -4], [6, -4], [6, 18], [-4, 18]]\n'
    over = beside.replace("30,", "5,")
    assert planned(changed(tmp_path, "plain.toml", {}, lid + over)).findings("terraces.flight_no_wall")
    assert not planned(changed(tmp_path, "plain.toml", {}, over)).findings("terraces.flight_no_wall")
