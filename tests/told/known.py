"""What a plan's own data say, by quantity and thing: read from the text of ``plan.json`` alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import dist
from string import ascii_lowercase
from typing import Any

from lynchet.core.findings import Verdict
from told.facts import About

Data = dict[str, Any]
Said = Iterator[tuple[About, float | str]]


def known_of(data: Data) -> dict[About, float | str]:
    """Everything the readers may meet."""
    parts = (_words, _walls, _levels, _pieces, _fastened, _sticks, _steps, _pipes, _beds, _soil, _works)
    return {about: value for part in parts for about, value in part(data)}


def built(data: Data) -> list[Data]:
    """Walls that stand."""
    return [leg for leg in data["walls"]["legs"] if leg["segments"]]


def runs_of(data: Data, leg: str) -> list[Data]:
    """Runs of one wall."""
    return [run for run in data["walls"]["runs"] if run["leg"] == leg]


def outer(run: Data) -> tuple[float, float]:
    """Stations of a run's first and last timber."""
    return min(run["start"]["line_m"], run["start"]["far_m"]), max(run["end"]["line_m"], run["end"]["far_m"])


def _covered(stretches: Iterable[tuple[float, float]]) -> float:
    """Metres along a wall on which timber stands, in whatever course: an opening is no wall."""
    total, reached = 0.0, float("-inf")
    for start, end in sorted(stretches):
        total += max(0.0, end - max(start, reached))
        reached = max(reached, end)
    return total


def marks_of(data: Data) -> dict[str, str]:
    """Wall, course from below and a letter from the left, by piece."""
    rows, found = {run["id"]: run["row"] for run in data["walls"]["runs"]}, {}
    for leg in built(data):
        pieces = sorted((p for p in data["pieces"] if p["leg"] == leg["id"]), key=lambda p: min(p["start_m"]))
        count: Counter[int] = Counter()
        for piece in pieces:
            row = rows[piece["run"]]
            found[piece["id"]] = f"{leg['id']} {row}{_letter(count[row])}"
            count[row] += 1
    return found


def _letter(number: int) -> str:
    first, second = divmod(number, 26)
    return (ascii_lowercase[first - 1] if first else "") + ascii_lowercase[second]


def _words(data: Data) -> Said:
    yield ("word on the plan", ""), Verdict[data["verdict"].upper()].words
    for n, text in enumerate(data["cautions"]):
        yield ("caution", str(n)), text
    for n, finding in enumerate(data["findings"]):
        yield ("finding", str(n)), finding["text"]


def _walls(data: Data) -> Said:
    yield ("number of walls", ""), float(len(built(data)))
    yield ("number of terraces", ""), float(len(data["terraces"]["levels_m"]))
    places, cut = data["stability"]["places"], _cut(data)
    yield ("greatest height held", ""), max((one["high_m"] - one["low_m"] for one in places), default=0.0)
    yield ("most courses", ""), float(max((place["courses"] for place in places), default=0))
    yield ("number of ties", ""), float(len(data["stability"]["ties"]))
    yield from _weeps(data, cut)
    for leg in built(data):
        runs, name = runs_of(data, leg["id"]), leg["id"]
        yield ("length of a wall", name), _covered(outer(run) for run in runs)
        yield ("courses of a wall", name), float(max(run["row"] for run in runs))
        seen, buried = heights(leg, runs)
        yield ("greatest height seen", name), seen
        yield ("greatest height with buried timber", name), buried
        yield ("pieces of a wall", name), float(sum(piece["leg"] == name for piece in data["pieces"]))
        yield ("pieces to cut of a wall", name), float(sum(p["leg"] == name for p in data["pieces"] if p["id"] in cut))
        yield ("ties of a wall", name), float(sum(tie["leg"] == name for tie in data["stability"]["ties"]))


def _weeps(data: Data, cut: set[str]) -> Said:
    """Weep holes; those to be bored go through timber that is still to be cut."""
    holes, mark = data["stability"]["weeps"], data["walls"]["setting_out"]["benchmark_m"]
    yield ("number of weep holes", ""), float(len(holes))
    for leg in dict.fromkeys(hole["leg"] for hole in holes):
        yield ("weep holes of a wall", leg), float(sum(hole["leg"] == leg for hole in holes))
    for hole in holes:
        yield ("level of a weep hole", hole["id"]), hole["level_m"]
        yield ("weep hole from the mark", hole["id"]), mark - hole["level_m"]
    pieces = [one for one in data["pieces"] if one["id"] in cut]
    new = sum(any(one["leg"] == hole["leg"] and one["course"] == hole["course"]
                  and max(one["start_m"]) < hole["station_m"] < min(one["end_m"]) for one in pieces)
              for hole in holes)  # fmt: skip
    if new:
        yield ("weep holes to bore", ""), float(new)


def heights(leg: Data, runs: list[Data]) -> tuple[float, float]:
    """Greatest along a wall: top of the timber over the lower ground, and over its own lowest underside there."""
    bottoms, tops = ({run["course"]: run[key] for run in runs} for key in ("bottom_m", "top_m"))
    seen = buried = 0.0
    for part in leg["segments"]:
        top, base = tops[part["top"]], bottoms[part["base"]]
        buried = max(buried, top - base)
        for span in leg["spans"]:
            left, right = max(part["start_m"], span["start_m"]), min(part["end_m"], span["end_m"])
            for station in (left, right) if right - left > 2e-4 else ():
                share = (station - span["start_m"]) / (span["end_m"] - span["start_m"])
                seen = max(seen, top - min(_between(span, side, share) for side in ("left", "right")))
    return seen, buried


def _levels(data: Data) -> Said:
    """Levels that timber lies at, as it stands or will be laid; at a peg, that of the lowest there."""
    card = data["walls"]["setting_out"]
    for leg in built(data):
        runs, name = runs_of(data, leg["id"]), leg["id"]
        top = max(run["top_m"] for run in runs)
        yield ("highest top", name), top
        yield ("highest top from the mark", name), abs(card["benchmark_m"] - top)
        yield ("lowest underside", name), min(run["bottom_m"] for run in runs)
        for peg in card["points"]:
            if peg["id"].rpartition(".")[0] == name:
                at = sum((p - q) * u for p, q, u in zip(peg["point_m"], leg["start_m"], leg["direction"], strict=True))
                part = next(one for one in leg["segments"] if one["start_m"] - 1e-6 <= at <= one["end_m"] + 1e-6)
                lowest = next(run for run in runs if run["course"] == part["base"])
                yield ("underside at a peg", peg["id"]), lowest["bottom_m"]
    for flight in data["terraces"]["flights"]:
        for where in ("foot", "head"):
            yield (f"level of the {where} of steps", flight["id"]), flight[f"{where}_level_m"]


def _between(span: Data, side: str, share: float) -> float:
    return float(span[f"{side}0_m"] + (span[f"{side}1_m"] - span[f"{side}0_m"]) * share)


def _pieces(data: Data) -> Said:
    marks = marks_of(data)
    ties = {tie["id"]: tie for tie in data["stability"]["ties"]}
    steps = {step["id"]: step for step in data["timber"]["steps"]}
    for number, stick in enumerate(data["timber"]["sticks"], start=1):
        yield ("length of a stick", str(number)), stick["stock_m"]
        for key, length in zip(stick["pieces"], stick["lengths_m"], strict=True):
            yield ("length of a piece", key), length
            yield ("stick of a piece", key), float(number)
            if key in marks:
                yield ("name of a piece", key), marks[key]
                yield ("mark of a piece", key), marks[key].split(" ")[1]
    yield ("number of pieces", ""), float(sum(len(stick["pieces"]) for stick in data["timber"]["sticks"]))
    cut = _cut(data)
    for piece in data["pieces"]:
        if piece["id"] not in cut:  # it stands
            area = _area(piece["outline_m"])
            yield ("area of a piece", piece["id"]), area
            yield ("volume of a piece", piece["id"]), area * (piece["top_m"] - piece["bottom_m"])
            yield ("underside of timber that stands", piece["id"]), piece["bottom_m"]
            yield ("length of timber that stands", piece["id"]), max(piece["end_m"]) - min(piece["start_m"])
    weights = {one["piece"]: one for one in data["timber"]["weights"]}
    for key in cut:
        piece = next((one for one in data["pieces"] if one["id"] == key), None)
        if piece is not None:
            yield ("wall of a piece", key), piece["leg"]
            yield ("course of a piece", key), float(piece["course"])
            yield ("underside of a piece", key), piece["bottom_m"]
            yield ("area of a piece", key), _area(piece["outline_m"])
            yield ("volume of a piece", key), _area(piece["outline_m"]) * (piece["top_m"] - piece["bottom_m"])
        elif key.removesuffix("/cross") in ties:
            tie = ties[key.removesuffix("/cross")]
            yield ("wall of a piece", key), tie["leg"]
            yield ("course of a piece", key), float(tie["course"])
            yield ("underside of a piece", key), tie["bottom_m"]
            ring = tie["cross_outline_m" if key.endswith("/cross") else "outline_m"]
            yield ("volume of a piece", key), _area(ring) * (tie["top_m"] - tie["bottom_m"])
        elif key in steps:
            step = steps[key]
            yield ("wall of a piece", key), step["flight"]
            yield ("underside of a piece", key), step["bottom_m"]
            yield ("volume of a piece", key), _area(step["outline_m"]) * (step["top_m"] - step["bottom_m"])
        if key in weights:
            yield ("weight of a piece", key), weights[key]["mass_kg"]
            yield ("people for a piece", key), float(weights[key]["people"])


def _cut(data: Data) -> set[str]:
    """Pieces still to be cut: all but those that stand."""
    return {key for stick in data["timber"]["sticks"] for key in stick["pieces"]}


def _area(ring: list[Any]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*ring, ring[0]]))) / 2


def _fastened(data: Data) -> Said:
    for line in data["timber"]["fastener_lines"]:
        yield ("number of fasteners", f"{line['what']} {line['length_m']}"), float(line["count"])
    yield ("pins into the ground", ""), float(len(data["stability"]["pins"]))
    for kind, count in Counter(one["kind"] for one in data["timber"]["fasteners"]).items():
        yield ("fasteners placed", kind), float(count)


def _sticks(data: Data) -> Said:
    yield ("number of sticks", ""), float(len(data["timber"]["sticks"]))
    for stock in data["timber"]["stock"]:
        bought = [one for one in data["timber"]["sticks"] if one["stock_m"] == stock["length_m"]]
        name = f"{stock['length_m']:.3f}"
        yield ("sticks to buy", name), float(sum(one["source"] == "bought" for one in bought))
        yield ("sticks on hand", name), float(sum(one["source"] == "on hand" for one in bought))
        yield ("length on sale", name), stock["length_m"]


def _steps(data: Data) -> Said:
    yield ("number of flights", ""), float(len(data["terraces"]["flights"]))
    for flight in data["terraces"]["flights"]:
        yield ("number of risers", flight["id"]), float(flight["risers"])
        yield ("number of risers at", flight["line"]), float(flight["risers"])
        for what, key in (("height of a riser", "riser_m"), ("depth of a tread", "going_m"),
                          ("width of a flight", "width_m")):  # fmt: skip
            yield (what, flight["line"]), flight[key]
        count = sum(step["flight"] == flight["id"] for step in data["timber"]["steps"])
        yield ("timbers of a flight", flight["id"]), float(count)


def _pipes(data: Data) -> Said:
    water = data["water"]
    several = len(water["outlets"]) > 1
    for n, outlet in enumerate(water["outlets"], start=1):
        yield ("level of an outlet", f"OUT{n}" if several else "OUT"), outlet["invert_m"]
        yield ("flow of an outlet", f"OUT{n}" if several else "OUT"), outlet["flow_l_s"]
    for letter, pipes in (("D", water["drains"]), ("P", water["solids"]), ("R", water["roof_pipes"])):
        for n, pipe in enumerate(pipes, start=1):
            points, inverts = pipe["points_m"], pipe["inverts_m"]
            sink = pipe.get("sink", len(points) - 1)
            arms = [part for part in (range(sink + 1), range(len(points) - 1, sink - 1, -1)) if len(part) > 1]
            profiles = [_profile([points[i] for i in arm], [inverts[i] for i in arm]) for arm in arms]
            cuts = [cut for profile in profiles if profile[-1][0] > 1e-6 for cut in pairwise(_whole(profile))]
            for k, (start, end) in enumerate(cuts, start=1):
                yield ("length of a pipe", f"{letter}{n}.{k}"), end - start
    yield ("length of all pipe with holes", ""), sum(_along(pipe["points_m"]) for pipe in water["drains"])


def _profile(points: list[Any], levels: list[float]) -> list[tuple[float, float]]:
    """How far along and how high."""
    return [(_along(points[: n + 1]), level) for n, level in enumerate(levels)]


def _whole(profile: list[tuple[float, float]]) -> list[float]:
    """Ends of stretches; a scrap under 3 cm at an end of the pipe is none where the level stays."""
    found, level = _breaks(profile), dict(profile)
    for first, second, inner in ((-2, -1, -2), (0, 1, 1)):
        short = found[second] - found[first] < 0.03 and abs(level[found[first]] - level[found[second]]) < 0.0025
        if len(found) > 2 and short:
            del found[inner]
    return found


def _breaks(profile: list[tuple[float, float]]) -> list[float]:
    """How far along a pipe is no longer straight to 2.5 mm."""
    (a, high), (b, low) = profile[0], profile[-1]
    off = [abs(level - high - (low - high) * (at - a) / (b - a)) if b > a else 0.0 for at, level in profile]
    worst = max(range(len(off)), key=lambda n: off[n])
    if off[worst] <= 0.0025:
        return [a, b]
    return [*_breaks(profile[: worst + 1])[:-1], *_breaks(profile[worst:])]


def _along(points: list[Any]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))


def _beds(data: Data) -> Said:
    planted = data["planted"]
    for face in data["terraces"]["faces"]:
        if face["kind"] == "bed":
            yield ("level of a bed", face["id"]), face["finish"]["level_m"]
            yield ("area of a bench", face["id"]), face["area_m2"]
    for bed in planted["beds"]:
        yield ("open soil of a bed", bed["bed"]), bed["soil_m2"]
        mine = [one for one in planted["plantings"] if one["bed"] == bed["bed"]]
        yield ("plants of a bed", bed["bed"]), float(sum(len(one["points_m"]) for one in mine))
    yield ("open soil of all beds", ""), sum(bed["soil_m2"] for bed in planted["beds"])
    for one in planted["sun"]:
        yield ("sun of a bed", one["bed"]), one["season_h"]
    kinds: Counter[str] = Counter()
    for one in planted["plantings"]:
        yield ("plants of a kind in a bed", one["id"]), float(len(one["points_m"]))
        yield ("botanical name", one["id"]), one["species"]["botanical_name"]
        yield ("common name", one["species"]["botanical_name"]), one["species"]["common_name"]
        kinds[one["species"]["botanical_name"]] += len(one["points_m"])
    for name, count in kinds.items():
        yield ("plants of a kind", name), float(count)
    yield ("number of plants", ""), float(sum(kinds.values()))


def _soil(data: Data) -> Said:
    account = data["earth"]["account"]
    for what, key in (("cut above the finished levels", "bench_cut_m3"), ("dug below them", "trench_m3"),
                      ("topsoil dug", "topsoil_m3"), ("topsoil laid back", "topsoil_used_m3"),
                      ("spread", "spread_m3")):  # fmt: skip
        yield (what, ""), account[key]
    yield ("filled", ""), account["fill_m3"] / account["compacted_per_bank"]  # as it lay before
    yield ("left over as it lies", ""), abs(account["away_bank_m3"])
    yield ("left over loose", ""), abs(account["away_loose_m3"])
    yield ("loads of soil", ""), float(account["loads"])
    yield ("barrows of soil", ""), float(account["barrows"])
    yield ("a load of the truck", ""), account["load_m3"]
    for row in account["pushed"]:
        yield ("soil pushed out by", row["what"]), row["bank_m3"]
    for row in account["brought"]:
        for what, key in (("placed", "placed_m3"), ("loose", "loose_m3"), ("barrows of", "barrows")):
            yield (what, row["what"]), float(row[key])
    for step in data["earth"]["steps"]:
        name = str(step["terrace"])
        yield ("walls of a stage", name), ", ".join(step["walls"])
        yield ("dug at a stage", name), step["topsoil_m3"] + step["dug_m3"]
        for what, key in (("dug under the topsoil at a stage", "dug_m3"), ("topsoil of a stage", "topsoil_m3"),
                          ("fill of a stage", "needed_m3"),
                          ("away from a stage", "away_m3"), ("heap of a stage", "peak_loose_m3"),
                          ("barrows of a stage", "barrows")):  # fmt: skip
            yield (what, name), float(step[key])


def _works(data: Data) -> Said:
    works, programme = data["works"], data["works"]["programme"]
    yield ("days of work", ""), float(programme["days"])
    yield ("fewest days", ""), float(programme["days_low"])
    yield ("most days", ""), float(programme["days_high"])
    yield ("people at work", ""), float(programme["crew"])
    for key in ("low", "likely", "high"):
        yield (f"hours, {key}", ""), sum(task["hours"][key] for task in works["tasks"])
    yield ("hours, mean", ""), sum(sum(task["hours"].values()) / 3.0 for task in works["tasks"])
    price = works["price"]
    yield ("lines that need a price", ""), float(price["lines"])
    yield ("lines without a price", ""), float(len(price["missing"]))
    if price["total"] is not None:
        for key in ("low", "likely", "high"):
            yield (f"money, {key}", ""), price["total"][key]
    for line in works["order"]:
        yield ("amount to buy", line["key"]), line["buy_units"]
        yield ("name of a line", line["key"]), line["name"]
        yield ("sold by", line["key"]), line["unit"]
        if line["money"] is not None:
            yield ("money of a line", line["key"]), line["money"]
    for one in works["deliveries"]:
        yield ("loads delivered", one["name"]), float(one["loads"])
    for task in works["tasks"]:
        for key in ("low", "likely", "high"):
            yield (f"hours of a task, {key}", task["id"]), task["hours"][key]
    for day in works["days"]:
        yield ("hours of a day", str(day["number"])), day["used_h"]
        if day["date"]:
            yield ("date of a day", str(day["number"])), day["date"]
