"""Laws of networks, schedules, crashing, PERT and day plans, against independent solvers."""

from itertools import permutations, product

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import LinearConstraint, linprog, milp

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.works.crashing import CrashActivity, crash_schedule
from lynchet.works.critical_path import critical_path
from lynchet.works.day_plan import day_ends, day_plan
from lynchet.works.likely_duration import expected_and_variance, pert_duration
from lynchet.works.redundant_resources import redundant_resources
from lynchet.works.resource_problem import ResourceProblem
from lynchet.works.resource_schedule import resource_schedule

RNG = np.random.default_rng(41)
TYPES = ["fs", "ss", "ff", "sf"]


def some_network(count, types=("fs",), lags=(0,), whole=False):
    """A random network with links forward in the list."""
    rows = []
    for place in range(count):
        duration = int(RNG.integers(0, 9)) if whole else float(RNG.uniform(0, 9))
        links = [
            {"name": f"a{before}", "type": str(RNG.choice(types)), "lag_day": float(RNG.choice(lags))}
            for before in range(place)
            if RNG.random() < 0.35
        ]
        rows.append({"name": f"a{place}", "duration_day": duration, "predecessors": links})
    return rows


def gap(link, first, second):
    """Least time between two starts, by the definition of the link."""
    base = {"fs": first, "ss": 0.0, "ff": first - second, "sf": -second}[link["type"]]
    return base + link["lag_day"]


def test_plain_network_is_a_longest_path():
    """Without lags the duration is the longest path that a graph library finds, and critical activities lie on one."""
    for _ in range(12):
        rows = some_network(9)
        graph = nx.DiGraph()
        for row in rows:
            graph.add_edge("start", row["name"], weight=0.0)
            graph.add_edge(row["name"], "end", weight=row["duration_day"])
            for link in row["predecessors"]:
                before = next(other for other in rows if other["name"] == link["name"])
                graph.add_edge(link["name"], row["name"], weight=before["duration_day"])
        done = call(critical_path, {"activities": rows})
        assert done.duration_day == pytest.approx(nx.dag_longest_path_length(graph), rel=1e-12)
        path = set(nx.dag_longest_path(graph)) - {"start", "end"}
        assert path <= set(done.critical)


def test_all_links_are_kept_and_the_starts_are_least():
    """With all four types and leads the early starts are the least feasible ones, as a linear programme finds them."""
    for _ in range(10):
        rows = some_network(8, TYPES, (-2.0, 0.0, 1.5))
        place = {row["name"]: number for number, row in enumerate(rows)}
        a, b = [], []
        for number, row in enumerate(rows):
            for link in row["predecessors"]:
                line = np.zeros(len(rows))
                line[place[link["name"]]], line[number] = 1.0, -1.0
                a.append(line)
                b.append(-gap(link, rows[place[link["name"]]]["duration_day"], row["duration_day"]))
        done = call(critical_path, {"activities": rows})
        least = linprog(np.ones(len(rows)), A_ub=np.array(a) if a else None, b_ub=b or None)
        assert done.early_start_day == pytest.approx(least.x, abs=1e-7)
        finish = np.add(done.early_start_day, [row["duration_day"] for row in rows])
        assert done.duration_day == pytest.approx(finish.max())


def test_floats_are_what_an_activity_may_slip():
    """Slipping by the total float keeps the end, by a little more moves it; by the free float nobody else moves."""
    rows = some_network(8, TYPES, (0.0, 1.0))
    base = call(critical_path, {"activities": rows})
    for place, row in enumerate(rows):
        for slip, kept in ((base.total_float_day[place], True), (base.total_float_day[place] + 0.01, False)):
            later = [
                *rows[:place],
                {**row, "not_before_day": max(0.0, base.early_start_day[place] + slip)},
                *rows[place + 1 :],
            ]
            moved = call(critical_path, {"activities": later})
            assert (moved.duration_day <= base.duration_day + 1e-9) is kept
        free = {**row, "not_before_day": max(0.0, base.early_start_day[place] + base.free_float_day[place])}
        after = call(critical_path, {"activities": [*rows[:place], free, *rows[place + 1 :]]})
        others = [number for number in range(len(rows)) if number != place]
        assert [after.early_start_day[n] for n in others] == pytest.approx([base.early_start_day[n] for n in others])


@pytest.mark.parametrize(
    ("rows", "word"),
    [
        ([{"name": "a", "duration_day": 1, "predecessors": ["a"]}], "cycle"),
        ([{"name": "a", "duration_day": 1, "predecessors": [{"name": "b", "type": "ss"}]},
          {"name": "b", "duration_day": 1, "predecessors": [{"name": "a", "type": "ff"}]}], "cycle"),
        ([{"name": "a", "duration_day": -1}], "duration"),
        ([{"name": "a", "duration_day": 1, "predecessors": [{"type": "fs"}]}], "name"),
        ([{"name": "a", "duration_day": 1, "predecessors": [{"name": "b", "lag": 1}]}], "lag"),
    ],
)  # fmt: skip
def test_networks_that_are_none_are_refused(rows, word):
    """Rings of any type of link, wrong lengths, missing and unknown keys of a link."""
    with pytest.raises(InputError, match=word):
        call(critical_path, {"activities": rows})


def test_a_ring_is_told_without_what_comes_before_it():
    """Of three activities the two that wait for each other are named, the first that waits for nothing is not."""
    rows = [{"name": "dig", "duration_day": 1}, {"name": "lay", "duration_day": 1, "predecessors": ["dig", "pin"]},
            {"name": "pin", "duration_day": 1, "predecessors": ["lay"]}]  # fmt: skip
    with pytest.raises(InputError, match="cycle among lay, pin"):
        call(critical_path, {"activities": rows})


def crash_rows():
    """A small network whose lengths may be bought down."""
    rows = []
    for place in range(5):
        duration = int(RNG.integers(2, 6))
        rows.append({
            "name": f"a{place}", "duration_day": duration, "shortest_day": int(RNG.integers(1, duration + 1)),
            "cost_money": 100.0, "crash_cost_money": 100.0 + float(RNG.integers(0, 90)),
            "predecessors": [f"a{before}" for before in range(place) if RNG.random() < 0.5],
        })  # fmt: skip
    return rows


def test_crashing_is_the_cheapest_of_all_choices():
    """Of all whole lengths tried one by one none is cheaper, with and without a running cost."""
    for overhead in (0.0, 17.0, 60.0):
        rows = crash_rows()
        choices = []
        for days in product(*(range(row["shortest_day"], row["duration_day"] + 1) for row in rows)):
            plain = [
                {"name": r["name"], "duration_day": d, "predecessors": r["predecessors"]}
                for r, d in zip(rows, days, strict=True)
            ]
            length = call(critical_path, {"activities": plain}).duration_day
            slopes = [
                (r["crash_cost_money"] - 100.0) / max(r["duration_day"] - r["shortest_day"], 1)
                * (r["duration_day"] - d) for r, d in zip(rows, days, strict=True)
            ]  # fmt: skip
            choices.append((length, 500.0 + sum(slopes) + overhead * length))
        normal, shortest = max(length for length, _ in choices), min(length for length, _ in choices)
        for finish in np.arange(shortest, normal + 1):
            done = call(
                crash_schedule, {"activities": rows, "finish_by_day": finish + 0.4, "overhead_money_per_day": overhead}
            )
            assert done.cost_money == pytest.approx(min(cost for length, cost in choices if length <= finish))
            assert done.duration_day <= finish and done.cost_money == done.direct_money + done.overhead_money


def test_crashing_costs_more_the_sooner():
    """Direct cost never falls as the finish comes nearer, and broken days never cost more than whole ones."""
    rows = crash_rows()
    there = call(crash_schedule, {"activities": rows})
    days = np.linspace(there.shortest_duration_day, there.normal_duration_day, 7)
    costs = [call(crash_schedule, {"activities": rows, "finish_by_day": d, "whole_days": False}) for d in days]
    assert np.all(np.diff([cost.direct_money for cost in costs]) <= 1e-6)
    for day, cost in zip(days, costs, strict=True):
        if day == int(day):
            assert cost.cost_money <= call(crash_schedule, {"activities": rows, "finish_by_day": day}).cost_money + 1e-6


def test_a_day_less_costs_its_share_and_nothing_where_there_is_none():
    """Two days less for 60 are 30 each, half a day for 60 is 120; what cannot be shortened has no price of a day."""
    assert CrashActivity("a", 4.0, 100.0, 2.0, 160.0).slope_money_per_day() == pytest.approx(30.0)
    assert CrashActivity("a", 4.0, 100.0, 3.5, 160.0).slope_money_per_day() == pytest.approx(120.0)
    for fixed in (CrashActivity("a", 4.0, 100.0), CrashActivity("a", 4.0, 100.0, 4.0, 160.0)):
        assert fixed.slope_money_per_day() == 0.0


def test_pert_of_certain_times_is_the_critical_path():
    """With three equal times the duration is that of the network, without spread; the target itself counts as met."""
    rows = some_network(7)
    three = [
        {"name": r["name"], "predecessors": [link["name"] for link in r["predecessors"]],
         **dict.fromkeys(("optimistic_day", "likely_day", "pessimistic_day"), r["duration_day"])}
        for r in rows
    ]  # fmt: skip
    length = call(critical_path, {"activities": rows}).duration_day
    done = call(pert_duration, {"activities": three, "target_day": length, "confidence": 0.9})
    assert done.duration_day == pytest.approx(length) and done.path_sd_day == 0
    assert done.probability == 1.0 and done.date_day == pytest.approx(length)
    assert call(pert_duration, {"activities": three, "target_day": length - 0.1}).probability == 0.0


def test_pert_chance_and_date_are_inverse():
    """The date of a chance has that chance; of two paths equally long the more spread one counts."""
    rows = [
        {"name": "a", "optimistic_day": 1, "likely_day": 4, "pessimistic_day": 7},
        {"name": "b", "optimistic_day": 3, "likely_day": 4, "pessimistic_day": 5},
    ]
    done = call(pert_duration, {"activities": rows, "confidence": 0.8})
    assert done.path == ["a"] and done.path_variance_day2 == pytest.approx(1.0)
    assert call(pert_duration, {"activities": rows, "target_day": done.date_day}).probability == pytest.approx(0.8)
    assert expected_and_variance(1, 4, 7) == (4.0, 1.0)
    with pytest.raises(InputError, match="type"):
        call(pert_duration, {"activities": [rows[0], {**rows[1], "predecessors": [{"name": "a", "type": "ss"}]}]})


def test_day_plan_needs_the_fewest_days():
    """No way of cutting the steps into days that end safe needs fewer."""
    for _ in range(30):
        count = int(RNG.integers(2, 9))
        hours, safe = RNG.choice([0.5, 2.0, 3.5, 5.0], count), RNG.random(count) < 0.6
        safe[-1] = True
        fewest = None
        for cuts in product((False, True), repeat=count - 1):
            ends = [place for place in range(count) if place == count - 1 or cuts[place]]
            firsts = [0, *(end + 1 for end in ends[:-1])]
            if all(safe[e] and hours[f : e + 1].sum() <= 8 + 1e-9 for f, e in zip(firsts, ends, strict=True)):
                fewest = len(ends) if fewest is None else min(fewest, len(ends))
        ends = day_ends(hours.tolist(), safe.tolist(), 8.0)
        assert (None if ends is None else len(ends)) == fewest
        steps = [{"name": str(n), "crew_h": float(h), "safe_end": bool(s)} for n, (h, s) in
                 enumerate(zip(hours, safe, strict=True))]  # fmt: skip
        if fewest is None:
            with pytest.raises(InputError, match="safe"):
                call(day_plan, {"steps": steps, "day_h": 8})
        else:
            done = call(day_plan, {"steps": steps, "day_h": 8})
            assert sum(done.used_h) == pytest.approx(hours.sum()) and len(done.last_of_day) == fewest


def scarce(count, types, lags, resources=2):
    """A random job with scarce crews."""
    capacities = [int(RNG.integers(2, 5)) for _ in range(resources)]
    rows = some_network(count, types, lags, whole=True)
    for row in rows:
        row["demand"] = [int(RNG.integers(0, room + 1)) for room in capacities]
        row["duration_day"] = min(row["duration_day"], 5)
    return {"resources": [{"name": f"r{k}", "capacity": c} for k, c in enumerate(capacities)], "activities": rows}


def shortest_by_days(job, horizon):
    """Least makespan by an own integer programme over days (a second model, handed to the solver as it stands)."""
    rows = job["activities"]
    count = len(rows)
    column = {(p, t): p * horizon + t for p in range(count) for t in range(horizon)}
    size = count * horizon + 1
    lines, low = [], []
    for p, row in enumerate(rows):
        line = np.zeros(size)
        line[p * horizon : (p + 1) * horizon] = 1
        lines += [line, -line]
        low += [1, -1]
        line = np.zeros(size)
        line[-1] = 1
        line[p * horizon : (p + 1) * horizon] = -np.arange(horizon)
        lines.append(line)
        low.append(row["duration_day"])
        for link in row["predecessors"]:
            q = next(n for n, other in enumerate(rows) if other["name"] == link["name"])
            line = np.zeros(size)
            line[p * horizon : (p + 1) * horizon] = np.arange(horizon)
            line[q * horizon : (q + 1) * horizon] -= np.arange(horizon)
            lines.append(line)
            low.append(gap(link, rows[q]["duration_day"], row["duration_day"]))
    for k, resource in enumerate(job["resources"]):
        for day in range(horizon):
            line = np.zeros(size)
            for p, row in enumerate(rows):
                for t in range(max(0, day - row["duration_day"] + 1), day + 1):
                    line[column[p, t]] -= row["demand"][k]
            lines.append(line)
            low.append(-resource["capacity"])
    cost = np.zeros(size)
    cost[-1] = 1
    upper = np.ones(size)
    upper[-1] = 10 * horizon
    found = milp(cost, integrality=np.ones(size), constraints=LinearConstraint(np.array(lines), np.array(low)),
                 bounds=(0, upper))  # fmt: skip
    return round(found.fun)


def check_plan(job, done):
    """Every link is kept, no resource is over its capacity, the peak is told right."""
    rows, starts = job["activities"], done.start_day
    place = {row["name"]: number for number, row in enumerate(rows)}
    ends = [start + row["duration_day"] for start, row in zip(starts, rows, strict=True)]
    assert min(starts) >= 0 and max(ends) == done.makespan_day
    for number, row in enumerate(rows):
        for link in row["predecessors"]:
            before = place[link["name"]]
            assert (
                starts[number] >= starts[before] + gap(link, rows[before]["duration_day"], row["duration_day"]) - 1e-9
            )
    for k, resource in enumerate(job["resources"]):
        use = [
            sum(row["demand"][k] for row, s, e in zip(rows, starts, ends, strict=True) if s <= day < e)
            for day in range(done.makespan_day + 1)
        ]
        assert max(use) == done.peak[k] <= resource["capacity"]


@pytest.mark.parametrize(
    ("types", "lags"),
    [(("fs",), (0.0,)), (("fs", "ss"), (0.0, 1.0, 2.0)), (("ff",), (0.0, 1.0)), (TYPES, (-1.0, 0.0, 2.0))],
)
def test_shortest_plan_is_that_of_another_solver(types, lags):
    """The search, the mirrored search and the programme for links that hang backward agree with a model by days."""
    for _ in range(6):
        job = scarce(6, types, lags)
        done = call(resource_schedule, job)
        assert done.proven and done.bound_day == done.makespan_day
        check_plan(job, done)
        assert done.makespan_day == shortest_by_days(job, 34)


def test_more_crew_is_never_later():
    """One more of a resource never makes the shortest plan longer, and enough of everything gives the critical path."""
    for _ in range(4):
        job = scarce(9, ("fs",), (0.0, 1.0))
        first = call(resource_schedule, job).makespan_day
        job["resources"][0]["capacity"] += 1
        second = call(resource_schedule, job).makespan_day
        for resource in job["resources"]:
            resource["capacity"] = 100
        whole = call(resource_schedule, job).makespan_day
        rows = [{k: v for k, v in row.items() if k != "demand"} for row in job["activities"]]
        assert first >= second >= whole == call(critical_path, {"activities": rows}).duration_day


def test_a_machine_for_one_is_a_single_file():
    """Activities that all need the one machine take the sum of their times, in the best order of tails."""
    rows = [
        {"name": f"a{n}", "duration_day": d, "demand": [1], "predecessors": []} for n, d in enumerate((3, 4, 2))
    ] + [
        {"name": f"dry{n}", "duration_day": t, "demand": [0], "predecessors": [{"name": f"a{n}"}]}
        for n, t in enumerate((6, 0, 9))
    ]
    job = {"resources": [{"name": "mixer", "capacity": 1}], "activities": rows}
    best = min(
        max(sum((3, 4, 2)[m] for m in order[: i + 1]) + (6, 0, 9)[n] for i, n in enumerate(order))
        for order in permutations(range(3))
    )
    assert call(resource_schedule, job).makespan_day == best


def test_further_resources_never_forbid_what_the_given_ones_allow():
    """Every set of activities that fits the given resources fits all those made from them."""
    for _ in range(20):
        count, capacities = 7, (6, 9)
        demands = tuple(tuple(int(RNG.integers(0, room + 1)) for room in capacities) for _ in range(count))
        problem = ResourceProblem((1,) * count, demands, capacities, ((0, 1, 1), (2, 3, 1)), (0,) * count, (1,) * count)
        for chosen in product((0, 1), repeat=count):
            if (chosen[0] and chosen[1]) or (chosen[2] and chosen[3]):
                continue
            if all(sum(d[k] for d, c in zip(demands, chosen, strict=True) if c) <= capacities[k] for k in (0, 1)):
                for more in redundant_resources(problem):
                    assert sum(d for d, c in zip(more.demands, chosen, strict=True) if c) <= more.capacity


@pytest.mark.parametrize(
    ("change", "word"),
    [({"lag_day": 0.5}, "whole"), ({"type": "xx"}, "type"), ({"name": "none"}, "predecessor")],
)
def test_links_of_a_resource_plan_are_checked(change, word):
    """Lags are whole, types known, predecessors in the list."""
    job = {
        "resources": [{"name": "crew", "capacity": 1}],
        "activities": [
            {"name": "a", "duration_day": 1.0, "demand": [1]},
            {"name": "b", "duration_day": 1, "demand": [1], "predecessors": [{"name": "a", **change}]},
        ],
    }
    with pytest.raises(InputError, match=word):
        call(resource_schedule, job)
