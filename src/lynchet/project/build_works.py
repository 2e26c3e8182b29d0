"""From checked tables to what is built with: water, access, place, brief and schemes."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import inf
from pathlib import Path
from typing import Any

from lynchet.core.errors import InputError
from lynchet.project.check import Got, check_table
from lynchet.project.csv_rows import read_text
from lynchet.project.faults import Faults, as_written
from lynchet.project.keys_build import SCHEMES
from lynchet.project.model import (
    Access,
    Brief,
    DrainWish,
    HeightRule,
    Hole,
    Place,
    Rain,
    Scheme,
    Soakaway,
    Spring,
)
from lynchet.project.places import named, samples, strictest
from lynchet.project.polygons import refuse_twins
from lynchet.units.format import length, rain

RAIN_MM_H = {"metric": 100.0, "us": 101.6}
"""About 4 in/h for ten minutes: a hard shower in a temperate place (own choice, cautious)."""
PASSAGE_M = 0.9144
"""36 in: one person with a barrow (PRACTICE)."""
_YD3 = 0.764554857984
_TRUCKS = {
    "metric": ((2.4384, 1.0), (3.048, 3.0), (inf, 7.6)),
    "us": ((2.4384, _YD3), (3.048, 4.0 * _YD3), (inf, 10.0 * _YD3)),
}
"""Width under which the next larger one does not pass, and what it holds, loose: a trailer, a small tipper, a
three-axle tipper (PRACTICE)."""


def holes_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Hole, ...]:
    """Test holes."""
    refuse_twins(((row.path, row["name"]) for row in rows), "hole", faults)
    for row in rows:
        for key in ("water", "refusal"):
            if row.complete(key, "depth") and row[key] > row["depth"] + 1e-9:
                faults.add(row.at(key), "deeper than the hole", "a depth within `depth`")
    return tuple(
        Hole(
            row["name"] or f"hole {n + 1}",
            row["at"],
            row["depth"] or 0.0,
            row["feel"] or "",
            row["water"],
            row["refusal"],
            None if row["soak"] is None else row["soak"] / 60.0,
        )
        for n, row in enumerate(rows)
    )


def rain_of(got: Got, folder: Path, faults: Faults) -> Rain:
    """Rain to drain for: written, from a published table, or a cautious guess."""
    intensity = got["intensity"]
    if intensity is not None and "table" in got.written:
        faults.add(got.at("table"), "both an intensity and a table", "one of them")
    elif got["table"]:
        intensity = _from_table(got, folder, faults)
    if intensity is None:
        intensity = RAIN_MM_H[faults.system]
        text = rain(intensity, faults.system)
        faults.default(got.at("intensity"), text, "PRACTICE", "a cautious guess for ten minutes; give a rain table")
    return Rain(
        intensity,
        0.35 if got["runoff"] is None else got["runoff"],
        (got["storm"] or 0.025) * 1000.0,
        (got["storm_time"] or 3600.0) / 3600.0,
    )


def _from_table(got: Got, folder: Path, faults: Faults) -> float | None:
    from lynchet.water.rain_table import read_rain_table

    years, minutes = got["years"], got["minutes"]
    if years is None and "years" not in got.written:
        faults.default(got.at("years"), "10 years", "PRACTICE")
    if minutes is None and "minutes" not in got.written:
        faults.default(got.at("minutes"), "10 minutes", "PRACTICE")
    minutes = minutes or 10.0
    try:
        text = read_text(folder / got["table"], got["table"])
        table = read_rain_table(text=text, return_period_years=years or 10.0, duration_min=minutes)
    except InputError as error:
        faults.take(got.at("table"), error)
        return None
    return table.depth_mm / minutes * 60.0


def springs_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Spring, ...]:
    """Ground water."""
    refuse_twins(((row.path, row["name"]) for row in rows), "spring", faults)
    springs = []
    for n, row in enumerate(rows):
        if len({"at", "line"} & row.written) != 1:
            faults.add(row.path, "both a place and a line" if "at" in row.written else "no place", "one of at, line")
            continue
        line = (row["at"],) if row["at"] is not None else row["line"]
        if line is not None:
            springs.append(Spring(row["name"] or f"spring {n + 1}", line, row["flow"], bool(row["cut_off"])))
    return tuple(springs)


def drain_of(got: Got, pits: tuple[Got, ...], faults: Faults) -> DrainWish:
    """How the walls are drained; ``pits`` are the soakaways of the file."""
    plain = DrainWish()
    bore, outside = got["pipe"] or plain.bore_m, got["outside"] or plain.outside_m
    if outside <= bore:
        if "outside" in got.written:
            faults.add(got.at("outside"), "no wider than the pipe's inside", "more than `pipe`")
        outside = 1.1 * bore
    outlets = [row for row in got["outlet"] if row["at"] is not None]
    if got["named_only"] and not got["outlet"] and not pits:
        faults.add(got.at("named_only"), "true, and no place is named", "an `outlet` under [drain], or a [[soakaway]]")
    return DrainWish(
        bore,
        outside,
        got["fall"] or plain.least_fall,
        got["stone"] or plain.stone_width_m,
        tuple(row["at"] for row in outlets),
        tuple(row["level"] for row in outlets),
        got["dig_outside"] is not False,
        got["ways_out"] or plain.ways_out,
        got["pipe_from"],
        bool(got["named_only"]),
    )


def soakaways_of(rows: tuple[Got, ...], faults: Faults) -> tuple[Soakaway, ...]:
    """Pits that take water."""
    refuse_twins(((row.path, row["name"]) for row in rows), "soakaway", faults)
    return tuple(
        Soakaway(
            row["name"] or (f"soakaway {n + 1}" if len(rows) > 1 else "soakaway"),
            row["at"],
            row["inlet"],
            row["length"],
            row["width"],
            row["depth"],
            row["voids"] or 0.30,
            row["soak"],
        )
        for n, row in enumerate(rows)
        if row.complete("at", "length", "width", "depth")
    )


def _load_m3(street_m: float | None, system: str) -> float:
    """What the truck holds that passes the street; an unknown street takes the usual one."""
    width = inf if street_m is None else street_m
    return next((size for under, size in _TRUCKS[system] if width < under), _TRUCKS[system][-1][1])


def access_of(got: Got, faults: Faults) -> Access:
    """The way in; a passage is kept where the area is the only way to the back."""
    passage = got["passage"]
    if passage is None and got["only_way"]:
        passage = PASSAGE_M
        faults.default(got.at("passage"), length(passage, faults.system), "PRACTICE", "it is the only way to the back")
    plain = Access()
    load = got["load"]
    if load is None and "load" not in got.written:
        load = _load_m3(got["street"], faults.system)
    return Access(
        bool(got["only_way"]),
        passage,
        got["gate"],
        got["truck_stop"],
        got["heap"],
        got["barrow"] or plain.barrow_m3,
        load or plain.load_m3,
        got["gate_at"],
        got["street"],
        got["tip_at_heap"],
        got["payload"],
    )


def place_of(got: Got, faults: Faults) -> Place:
    """Rules of the place: written here, a built-in sample, or the strictest samples as questions."""
    name = got["name"] or ""
    rules = tuple(_rule(row) for row in got["heights"] if row.complete("name", "measure", "limit"))
    sample = named(name) if name else None
    if sample is None and not rules:
        note = "the place is unknown; known samples: " + ", ".join(place.name for place in samples().values())
        place = strictest(name)
        faults.default(got.at("heights"), "the strictest of the samples, as questions", "samples of seven places", note)
    else:
        place = Place(name or "as written", True, rules or (sample.heights if sample else ()))
        if sample:
            place = replace(place, building_clear_m=sample.building_clear_m, lot_clear_m=sample.lot_clear_m)
            faults.default(got.at("heights"), sample.name, "a built-in sample", "ask the office; samples grow old")
    if got["building_clear"] is not None:
        place = replace(place, building_clear_m=got["building_clear"])
    return replace(place, lot_clear_m=got["lot_clear"]) if got["lot_clear"] is not None else place


def _rule(row: Got) -> HeightRule:
    return HeightRule(
        row["name"],
        row["measure"],
        row["limit"],
        row["tiers_add"] or "never",
        2.0 if row["setback_ratio"] is None else row["setback_ratio"],
        bool(row["at_limit_counts"]),
        bool(row["surcharge_counts"]),
    )


BRIEF_FIELDS = {
    "terraces": "terraces", "highest_wall": "highest_wall_m", "levels": "levels", "lines": "lines", "lean": "lean",
    "embedment": "embedment_m", "freeboard": "freeboard_m", "joint_offset": "joint_offset_m",
    "shortest_piece": "shortest_piece_m", "longest_piece": "longest_piece_m", "least_bed": "least_bed_m",
    "bench_spacing": "bench_spacing_m", "path_strip": "path_strip_m", "reach": "reach_m", "dig_depth": "dig_depth_m",
    "one_stick": "one_stick", "weeps": "weeps",
    "ties": "ties", "pins": "pins", "helps_off": "helps_off", "earthquake": "earthquake",
}  # fmt: skip


def brief_of(got: Got, faults: Faults | None, under: Brief | None = None) -> Brief:
    """The brief, or (over another) only what this table changes of it; without faults nothing is held against it."""
    values = {field: got[key] for key, field in BRIEF_FIELDS.items() if got[key] is not None}
    brief: Brief = replace(under or Brief(), **values)
    if faults is not None:
        _contradictions(got, brief, faults)
    return brief


def _contradictions(got: Got, brief: Brief, faults: Faults) -> None:
    """Wishes that cannot both be kept, each told at the key that this table writes."""
    levels = brief.levels
    if isinstance(levels, tuple) and brief.terraces is not None and len(levels) != brief.terraces:
        key = "levels" if "levels" in got.written else "terraces"
        faults.add(got.at(key), f"{len(levels)} levels for {brief.terraces} terraces", "one level for a terrace")
    if isinstance(levels, tuple) and brief.highest_wall_m is not None and {"levels", "highest_wall"} & got.written:
        step = max((b - a for a, b in pairwise(levels)), default=0.0)
        if step > brief.highest_wall_m + 0.005:
            found = (
                f"levels {length(step, faults.system)} apart, walls of {length(brief.highest_wall_m, faults.system)}"
            )
            key = "levels" if "levels" in got.written else "highest_wall"
            faults.add(got.at(key), found, "levels no further apart than `highest_wall`, or `highest_wall` left out")
    longest = brief.longest_piece_m
    if longest is not None and longest < brief.shortest_piece_m and {"longest_piece", "shortest_piece"} & got.written:
        key = "longest_piece" if "longest_piece" in got.written else "shortest_piece"
        faults.add(
            got.at(key), "the longest piece is shorter than the shortest", "`shortest_piece` up to `longest_piece`"
        )


def schemes_of(raw: Any, brief: Brief, faults: Faults, *, other_brief: bool = False) -> tuple[Scheme, ...]:
    """Named briefs laid over the first; their defaults are the first one's, so none is listed again.

    Args:
        raw: the file's ``[[scheme]]`` tables.
        brief: lies under each of them.
        faults: keeps what is wrong.
        other_brief: whether a scheme or a cure has changed the brief: the schemes were written over the file's own,
            and none but the one asked for has to agree with the brief that came of it.
    """
    if raw is None:
        return ()
    if not isinstance(raw, list):
        faults.add(("scheme",), f"{as_written(raw)} found", "[[scheme]], a list of tables")
        return ()
    faults.quiet = True
    assert SCHEMES.table is not None
    rows = [check_table(part, SCHEMES.table, ("scheme", number), faults) for number, part in enumerate(raw)]
    faults.quiet = False
    refuse_twins(((row.path, row["name"]) for row in rows), "scheme", faults)
    return tuple(
        Scheme(row["name"] or "", brief_of(row, None if other_brief else faults, brief), row["option"] or "")
        for row in rows
    )
