"""Whoever saws reads every length: in the piece, beside its stick, or on the tape at its end."""

from __future__ import annotations

from dataclasses import replace

import pytest

from demo_plans import DEMOS, demo
from lynchet.drawings.cut_sheets import cut_sheets
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Text
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_facts import wall_piece_names
from lynchet.units.measures import System


@pytest.mark.parametrize("units", ["metric", "us"])
def test_what_is_sawn_along_stands_on_every_cut_sheet(units: System) -> None:
    """A timber of steps narrower than the stick is named with its width, for no saw cut across makes it."""
    plan = demo("l_garden")
    plan = replace(plan, project=replace(plan.project, units=units))
    narrow = {
        round(piece.width_m, 6) for piece in plan.timber.steps if piece.width_m < plan.project.timber.thickness_m - 1e-3
    }
    assert len(narrow) == 1
    wide = Figures(units).small_words(narrow.pop())
    for sheet in cut_sheets(plan, plan.timber, Stamp()):
        said = next(item.text for item in sheet.marks if isinstance(item, Text) and item.id == "measure")
        assert f"Saw S0.1/1 back, S0.2/1 back along, to {wide} wide." in said


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", DEMOS)
def test_every_piece_of_a_wall_is_named_and_measured(name: str, units: System) -> None:
    """Of every stick: each piece of a wall has its mark, and its length or what the tape shows at its end."""
    plan = demo(name)
    plan = replace(plan, project=replace(plan.project, units=units))
    figures, names = Figures(units), wall_piece_names(plan)
    rows: dict[str, list[str]] = {}
    for sheet in cut_sheets(plan, plan.timber, Stamp()):
        for item in sheet.marks:
            if isinstance(item, Text) and item.id.startswith("s") and item.id[1:4].isdigit():
                rows.setdefault(item.id[:4], []).append(item.text)
    for n, stick in enumerate(plan.timber.sticks, start=1):
        said = rows[f"s{n:03d}"]
        assert not any("…" in text for text in said)
        words = " ".join(said).replace(",", " ").split()
        run = stick.trim_m
        for piece, long_m in zip(stick.pieces, stick.lengths_m, strict=True):
            run += long_m
            if piece in names:
                assert names[piece].split()[-1] in words, (n, names[piece])
                whole = stick.stock_m + stick.over_m - run < 0.01  # it ends with the stick
                assert whole or figures.piece(long_m) in words or figures.piece(run) in words, (n, names[piece])
            run += stick.kerf_m


@pytest.mark.parametrize("count", [1, 3, 4, 9])
def test_many_timbers_sawn_along_leave_the_width_readable(count: int) -> None:
    """However many there are, the line says how wide they become, and counts those it does not name."""
    plan = demo("l_garden")
    thin = next(piece for piece in plan.timber.steps if piece.width_m < plan.project.timber.thickness_m - 1e-3)
    more = tuple(replace(thin, id=f"S0.{n}/1/back", flight=f"S0.{n}", tread=f"S0.{n}/1") for n in range(11, 11 + count))
    timber = replace(plan.timber, steps=more)
    wide = Figures("metric").small_words(thin.width_m)
    marks = [item for sheet in cut_sheets(plan, timber, Stamp()) for item in sheet.marks if isinstance(item, Text)]
    for said in (item.text for item in marks if item.id == "measure"):
        assert said.endswith(f"along, to {wide} wide.") and "…" not in said
        named = said.split("Saw ")[1].split(" along")[0]
        rest = int(named.split(" and ")[1].split()[0]) if " and " in named else 0
        assert named.count("S0.") + rest == count
