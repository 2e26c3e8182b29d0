"""The project as read: units, frames, tapes, defaults, edits, schemes, the files the package writes itself."""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace
from math import cos, hypot, radians, sin, sqrt
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lynchet.core.errors import InputError, NoRoomError
from lynchet.core.frame import Frame
from lynchet.project.build_works import BRIEF_FIELDS
from lynchet.project.edit import edit_file, edited_text, replace_file
from lynchet.project.in_frame import moved, places_of
from lynchet.project.keys_build import BRIEF_KEYS
from lynchet.project.model import Brief, Project
from lynchet.project.overlay import apply_edits, lay_over
from lynchet.project.places import named, samples, strictest
from lynchet.project.read import read_project, read_project_text
from lynchet.project.rough import FEELS, HELD, TOPS, RoughYard, rough_project_text
from lynchet.project.schema import project_schema
from lynchet.project.starter import starter_text

FULL = """\
lynchet = 1          # version
units = "us"         # feet
name = "Invented yard"
site = { latitude = 41.3, longitude = -81.9, north = 12, frost_depth = "36 in" }
soil = { jar = { sand = "58 %", silt = "30 %", clay = "12 %" }, friction_angle = { value = "31 deg", spread = 3 } }
drain = { pipe = "4 in", stone = "12 in", outlet = [[46, -3]] }
planting = { zone = "6b", wishes = ["herbs"], avoid = ["toxic"], children = true }
ground = { slope = { fall = "18 %", cross_fall = "2 %" }, held = "level" }
[area]
outline = [[0, 0], [46, 0], [46, 19.5], [27, 21], [26.5, 38], [0, 36]]
edges = [{ from = 0, dig_beyond = "0 ft" }, { from = 4, finish = "house" }]   # the house holds edge 4
[[house]]
name = "main house"
outline = [[0, 36], [26.5, 38], [26.5, 62], [0, 62]]
siding = { kind = "wood", lowest = 106.9 }
roof = { area = "640 sq ft", downspouts = [[26.5, 44]] }
[[path]]
line = [[34, 19], [35, -2]]
width = "3 ft"
[[steps]]
line = [[14, -1], [13.6, 33]]
[[fixed]]
kind = "tree"
at = [41, 24]
stem = "18 in"
[[fixed]]
kind = "service"
name = "gas"
line = [[46, 8], [26.5, 40]]
[[wall_line]]
terrace = 2
points = [[0, 10.2], [24, 9.4], [46, 9.9]]
[[lot_line]]
line = [[48, -5], [48, 60]]
trust = "survey"
[[load]]
outline = [[0, 62], [20, 62], [20, 70], [0, 70]]
pressure = "250 psf"
[[hole]]
at = [10, 10]
depth = "18 in"
soak = "40 min"
[[soakaway]]
at = [44, -6]
length = "6 ft"
width = "18 in"
depth = "3 ft"
[access]
truck_stop = [60, 0]
heap = [50, 30]
[brief]
terraces = 4
lean = "1 in 12"
[[scheme]]           # to compare
name = "three, deeper"
terraces = 3
[[timber]]
material = { species = "pine", treatment = "ground contact" }
stock = [{ length = "8 ft", price = 31.5 }, { length = "12 ft", on_hand = 6 }]
"""


def test_us_and_metric_say_the_same_yard() -> None:
    """The same sizes in feet, in inches and in metres give the same project."""
    feet = read_project_text(
        'lynchet = 1\nunits = "us"\nground.slope.fall = "2 ft in 10 ft"\narea = { length = 20, depth = 10 }\n'
    )
    metres = read_project_text(
        'lynchet = 1\nunits = "metric"\nground.slope.fall = "24 in in 120 in"\n'
        'area = { length = "6.096 m", depth = 3.048 }\n'
    )
    for corner, other in zip(feet.area.outline_m, metres.area.outline_m, strict=True):
        assert corner == pytest.approx(other)
    for one, other in zip(feet.ground.readings, metres.ground.readings, strict=True):
        assert one.level_m == pytest.approx(other.level_m)


def _turned(project: Project, degrees: float, shift: tuple[float, float], mirror: bool) -> str:
    """FULL with every place turned, mirrored, shifted; lengths in feet."""
    raw = tomllib.loads(FULL)

    def place(point: list[float]) -> list[float]:
        x, y = point[0], -point[1] if mirror else point[1]
        c, s = cos(radians(degrees)), sin(radians(degrees))
        return [x * c - y * s + shift[0], x * s + y * c + shift[1]]

    def walk(key: str, value: object) -> object:
        if key in ("at", "truck_stop", "heap"):
            return place(value)  # type: ignore[arg-type]
        if key in ("outline", "line", "points", "downspouts", "outlet"):
            return [place(point) for point in value]  # type: ignore[attr-defined]
        if isinstance(value, dict):
            return {name: walk(name, part) for name, part in value.items()}
        if isinstance(value, list):
            return [walk("", part) for part in value]
        return value

    import tomlkit

    return tomlkit.dumps({key: walk(key, value) for key, value in raw.items()})  # type: ignore[arg-type]


@settings(max_examples=15, deadline=None)
@given(st.floats(-180, 180), st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)), st.booleans())
def test_turned_mirrored_shifted_yards_read_as_one(degrees: float, shift: tuple[float, float], mirror: bool) -> None:
    """In the own frame a yard has the same numbers however it lies in the file."""
    plain = read_project_text(FULL)
    other = read_project_text(_turned(plain, degrees, shift, mirror))
    pairs = zip(places_of(plain), places_of(other), strict=True)
    assert max(hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairs) < 2.1e-5
    for one, two in zip(plain.ground.readings, other.ground.readings, strict=True):
        assert one.level_m == pytest.approx(two.level_m, abs=1e-6)

    def alike(project: Project) -> Project:
        bare = moved(project, lambda _: (0.0, 0.0))
        return replace(bare, frame=Frame(), ground=replace(bare.ground, readings=(), stretch_if_ground=1.0))

    assert alike(plain) == alike(other)


def test_places_go_back_to_the_file() -> None:
    """The frame undoes itself: every place comes back to the file's coordinates within its rounding."""
    project = read_project_text(FULL)
    tree = project.frame.outward(project.fixed[0].line_m[0])
    assert tree == pytest.approx((41 * 0.3048, 24 * 0.3048), abs=1e-5)


def test_root_radius_is_a_foot_for_each_inch_of_stem() -> None:
    """An 18 in stem keeps 18 ft clear, by 12 stems and by a foot for each inch; it is listed as a default."""
    project = read_project_text(FULL)
    assert project.fixed[0].clear_m == pytest.approx(18 * 0.3048)
    used = {default.key: default for default in project.defaults}
    assert used["fixed.1.clear"].value == "18 ft 0 in"
    assert used["fixed.1.clear"].origin == "MEMORY"


@pytest.mark.parametrize(
    ("fall", "level_ft", "drop_ft"),
    [("30 %", 24 / sqrt(1.09), 24 * 0.3 / sqrt(1.09)), ("6.9 ft in 24 ft", sqrt(24**2 - 6.9**2), 6.9)],
)
def test_a_tape_on_the_ground_is_corrected(fall: str, level_ft: float, drop_ft: float) -> None:
    """24 ft 0 in taped on a 30 % slope are 22.99 ft level with a drop of 6.90 ft, whichever way the slope was said."""
    text = 'lynchet = 1\nunits = "us"\narea = { length = 30, depth = 24 }\n[ground]\nheld = "ground"\n'
    text += f'slope.fall = "{fall}"\n'
    project = read_project_text(text)
    assert max(y for _, y in project.area.outline_m) / 0.3048 == pytest.approx(level_ft, abs=1e-4)
    assert max(x for x, _ in project.area.outline_m) / 0.3048 == pytest.approx(30.0, abs=1e-4)
    assert level_ft == pytest.approx(22.99, abs=0.005)
    low, high = project.ground.readings[0], project.ground.readings[2]
    slope = (high.level_m - low.level_m) / (high.point_m[1] - low.point_m[1])
    assert slope * level_ft == pytest.approx(drop_ft, rel=1e-4)
    unasked = read_project_text(text.replace('"ground"', '"unknown"'))
    assert unasked.ground.stretch == 1.0
    assert unasked.ground.stretch_if_ground == pytest.approx(level_ft / 24.0, rel=1e-6)


def test_steps_with_a_board_are_level_by_themselves() -> None:
    """Runs of board and level are not shortened; a tape on the ground shortens the area alone."""
    text = (
        'lynchet = 1\nunits = "us"\narea = { length = 20, depth = 24 }\n[ground]\nheld = "ground"\n'
        'steps = { each = [{ rise = "7.2 in", run = 2 }, { rise = "7.2 in", run = 2 }, { rise = 3.6, run = 12 },'
        " { rise = 1.8, run = 6 }] }\n"
    )
    project = read_project_text(text)
    assert max(y for _, y in project.area.outline_m) / 0.3048 == pytest.approx(24 / sqrt(1.09), abs=1e-3)
    named = {reading.name: reading for reading in project.ground.readings}
    assert named["step 4 left"].point_m[1] / 0.3048 == pytest.approx(22.0, abs=1e-4)
    assert named["step 4 left"].level_m / 0.3048 == pytest.approx(6.6, abs=1e-9)
    assert named["step 2 right"].level_m / 0.3048 == pytest.approx(1.2, abs=1e-9)


def test_rules_behind_defaults_lead_with_the_units_of_the_file() -> None:
    """In a file in feet what a truck holds is told in yards first, in one in metres in cubic metres."""
    for units, begins in (("us", "10 yd3 (7.6 m3)"), ("metric", "7.6 m3 (10 yd3)")):
        text = f'lynchet = 1\nunits = "{units}"\narea = {{ length = "6 m", depth = "7 m" }}\n'
        text += 'ground = { slope = "1 m in 5 m", held = "level" }\nsoil = { class = "SM" }\n'
        read = read_project_text(text)
        told = {one.key: one.value for one in read.defaults}
        assert told["access.load"].startswith(begins)
        assert told["brief.embedment"].endswith("6 in (0.15 m)" if units == "us" else "0.15 m (6 in)")


def test_every_default_has_an_origin_and_a_value() -> None:
    """What nobody wrote is listed with its value and where it comes from, and nothing that was written is listed."""
    project = read_project_text(FULL)
    keys = [default.key for default in project.defaults]
    assert len(keys) == len(set(keys))
    assert all(default.origin for default in project.defaults)
    assert "brief.lean" not in keys
    assert "brief.terraces" not in keys
    assert {"rain.intensity", "brief.embedment", "timber.1.section", "place.heights", "soil.cohesion"} <= set(keys)
    assert not any(key.startswith("scheme") for key in keys)


def test_unknown_soil_is_weak_soil() -> None:
    """Friction 26 degrees, 17 on the back, no cohesion, 120 lb/ft3: the cautious values; any feel is no weaker."""
    plain = 'lynchet = 1\nunits = "us"\nground.slope.fall = "10 %"\narea = { length = 20, depth = 10 }\n'
    soil = read_project_text(plain).soil
    assert (soil.friction_deg, soil.wall_friction_deg, soil.cohesion_kpa, soil.known) == (26.0, 17.0, 0.0, False)
    assert soil.unit_weight_kn_m3 == pytest.approx(120 * 0.157087, rel=0.01)
    for feel, clay in [("gritty", False), ("silky", False), ("sticky", True)]:
        felt = read_project_text(plain + f'soil.feel = "{feel}"\n').soil
        assert felt.friction_deg >= 26.0
        assert felt.clay is clay
        assert felt.known
    compacted = read_project_text(plain + 'soil.class = "SW"\n').soil
    assert compacted.friction_deg == 38.0 - 4.0


def test_a_scheme_lies_over_the_brief() -> None:
    """A scheme changes what it names and keeps the rest of the brief."""
    project = read_project_text(FULL)
    other = next(scheme for scheme in project.schemes if scheme.name == "three, deeper").brief
    assert (project.brief.terraces, other.terraces) == (4, 3)
    assert other.lean == project.brief.lean == pytest.approx(1 / 12)


def test_a_scheme_is_not_held_to_account_for_another() -> None:
    """With one scheme's levels in the brief, a scheme of low walls beside it refuses nothing; each still has to agree
    with the file's own brief."""
    plain = 'lynchet = 1\nunits = "metric"\nground.slope.fall = "20 %"\narea = { length = 9, depth = 6 }\n'
    low = plain + '[[scheme]]\nname = "low"\nhighest_wall = 0.4\n'
    levels = ("brief.levels", (1.0, 1.6, 2.2))
    assert read_project_text(low, edits=[levels]).brief.levels == (1.0, 1.6, 2.2)
    with pytest.raises(InputError, match="no further apart"):
        read_project_text(low, edits=[levels, ("brief.highest_wall", 0.4)])
    with pytest.raises(InputError, match="no further apart"):
        read_project_text(plain + "brief.levels = [1.0, 1.6, 2.2]\n" + low[len(plain) :])


@pytest.mark.parametrize(
    ("stamp", "means"),
    [("UC4B", "ground contact"), ("uc4a", "ground contact"), ("UC4", "ground contact"), ("UC3B", "above ground"),
     ("Ground contact", "ground contact"), ("none", "none")],
)  # fmt: skip
def test_a_stamp_is_read_as_it_stands_on_the_timber(stamp: str, means: str) -> None:
    """Ground contact begins at use category 4 (AWPA U1; EN 335: MEMORY)."""
    text = f'[[timber]]\nmaterial = {{ treatment = "{stamp}" }}\n'
    assert read_project_text(FULL.split("[[timber]]", maxsplit=1)[0] + text).timber.treatment == means


def test_every_wish_has_a_key() -> None:
    """Each field of a brief can be written in the file, so that no cure names a key the file does not know."""
    assert set(BRIEF_FIELDS.values()) == {field.name for field in fields(Brief)}
    assert set(BRIEF_FIELDS) | {"timber"} == set(BRIEF_KEYS)


EDITS = st.lists(
    st.sampled_from(
        [
            ("brief.terraces", 3), ("brief.levels", "equal"), ("brief.lean", None), ("access.only_way", True),
            ("fixed.2.name", "main"), ("area.edges.1.dig_beyond", None), ("soil.friction_angle.value", "28 deg"),
            ("fixed.3", {"kind": "rock", "at": [1, 2]}), ("wall_line.1.terrace", 1), ("rain.intensity", "3 in/h"),
            ("place.name", "Danville"), ("scheme.1.name", "x"), ("brief.helps_off", ["pins"]),
            ("brief.levels", ("1 m", "2 m")),
        ]
    ),
    max_size=6,
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(EDITS)
def test_edits_in_memory_are_edits_of_the_file(edits: list[tuple[str, object]]) -> None:
    """A cure tried in memory is the cure written to the file; comments of lines that stay are kept."""
    text = edited_text(FULL, edits)
    assert tomllib.loads(text) == apply_edits(tomllib.loads(FULL), edits)
    for remark in ("# version", "# feet", "# the house holds edge 4", "# to compare"):
        assert remark in text


def test_edits_are_read_like_the_file(tmp_path: Path) -> None:
    """Reading with edits equals reading the edited file; a wrong edit is refused and changes nothing."""
    path = tmp_path / "yard.toml"
    path.write_text(FULL, encoding="utf-8")
    edits = [("brief.terraces", 2), ("ground.held", "ground")]
    tried = read_project(path, edits)
    edit_file(path, edits)
    assert read_project(path) == tried
    before = path.read_text(encoding="utf-8")
    for wrong in [("fixed.9.stem", 1), ("name.x", 1), ("fixed.x", 1)]:
        with pytest.raises(InputError):
            edit_file(path, [wrong])
        with pytest.raises(InputError):
            read_project(path, [wrong])
    with pytest.raises(InputError, match="terraces"):
        read_project(path, [("brief.terraces", 0)])
    assert path.read_text(encoding="utf-8") == before
    assert [entry.name for entry in tmp_path.iterdir()] == ["yard.toml"]


def test_a_file_that_cannot_be_written_stays(tmp_path: Path) -> None:
    """No folder, no file: the error says so and nothing is left behind."""
    with pytest.raises(NoRoomError):
        replace_file(tmp_path / "none" / "yard.toml", "x")
    assert list(tmp_path.iterdir()) == []


def test_the_firm_lies_under_the_job(tmp_path: Path) -> None:
    """The firm's stock and prices serve the job; what the job says itself goes before."""
    (tmp_path / "firm.toml").write_text(
        'lynchet = 1\nunits = "us"\n[access]\nbarrow = "3 ft3"\nload = "12 yd3"\n'
        '[prices]\ncurrency = "USD"\nitems = { stone = 42 }\n',
        encoding="utf-8",
    )
    project = read_project_text(
        'firm = "firm.toml"\n' + FULL.replace("[access]", '[access]\nload = "8 yd3"'), folder=tmp_path
    )
    assert project.access.barrow_m3 == pytest.approx(3 * 0.3048**3)
    assert project.access.load_m3 == pytest.approx(8 * 0.9144**3)
    assert [(price.item, price.money) for price in project.prices.items] == [("stone", 42.0)]
    assert lay_over({"a": {"b": 1, "c": [1]}}, {"a": {"c": [2]}}) == {"a": {"b": 1, "c": [2]}}


def test_the_schema_accepts_what_reads_and_is_one() -> None:
    """The published schema is a valid one, takes the files the package writes, and refuses unknown keys and words."""
    schema = project_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    for text in (FULL, starter_text("a", "us"), starter_text("b", "metric")):
        check.validate(tomllib.loads(text))
    for old, new in [("units", "unit"), ('"us"', '"imperial"'), ("terraces = 4", "terraces = 0"), ("kind =", "kin =")]:
        assert not check.is_valid(tomllib.loads(FULL.replace(old, new)))


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_starter_reads(system: str) -> None:
    """A new file reads as it is, in both systems, under any name."""
    project = read_project_text(starter_text('Mum\'s "slope"\\', system))  # type: ignore[arg-type]
    assert project.units == system
    assert project.name == 'Mum\'s "slope"\\'
    assert project.timber.stock


@pytest.mark.parametrize("top", TOPS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_rough_numbers_make_a_file_that_says_the_same(top: str, system: str) -> None:
    """Width, depth and drop of a first look come back out of the file it writes, whatever stands at the top.

    Below a fence 0.35 m or 1 ft 3 in of the depth, as taped, is kept for the stone behind the top wall.
    """
    foot = 0.3048 if system == "us" else 1.0
    kept = 0.0 if top != "fence" else 1.25 if system == "us" else 0.35
    for held in HELD:
        for soil in FEELS:
            rough = RoughYard("20", "24", "4", held, top, soil)
            project = read_project_text(rough_project_text(rough, system))  # type: ignore[arg-type]
            xs, ys = zip(*project.area.outline_m, strict=True)
            level = sqrt(24**2 - 4**2) if held == "ground" else 24.0
            assert (max(xs), max(ys)) == pytest.approx((20 * foot, level * foot * (1.0 - kept / 24.0)), abs=1e-4)
            low, high = project.ground.readings[0], project.ground.readings[2]
            slope = (high.level_m - low.level_m) / (high.point_m[1] - low.point_m[1])
            assert slope * level == pytest.approx(4.0, rel=1e-4)
            assert bool(project.houses) is (top == "house")
            assert bool(project.lot_lines) is (top == "fence")
            assert bool(project.loads) is (top in ("path", "drive"))


def test_rough_numbers_that_cannot_be_are_told_together() -> None:
    """Every wrong answer of a first look is named at once."""
    with pytest.raises(InputError) as raised:
        rough_project_text(RoughYard("x", "-3", "7 kg", "lvl", "moat", "mud"), "us")
    assert [fault.key for fault in raised.value.faults] == [
        "side to side",
        "up the slope",
        "drop",
        "held",
        "top",
        "soil",
    ]
    with pytest.raises(InputError, match="drop"):
        rough_project_text(RoughYard("20", "24", "60"), "us")


def test_an_unknown_place_takes_the_strictest_sample_as_a_question() -> None:
    """No sample is stricter than what an unknown town gets, and that is marked as not known."""
    unknown = strictest()
    assert not unknown.known
    for place in samples().values():
        assert place.known
        for rule in place.heights:
            assert any(
                mine.measure == rule.measure and mine.limit_m <= rule.limit_m and mine.tiers_add == rule.tiers_add
                for mine in unknown.heights
            )
    assert named("danville") is named("Danville, California")
    assert read_project_text(FULL + '[place]\nname = "Danville"\n').place.known
    assert not read_project_text(FULL + '[place]\nname = "Nowhere"\n').place.known


@pytest.mark.parametrize("said", ["US", "Us", "us (feet)"])
def test_units_in_capitals_are_those_units(said: str) -> None:
    """A word that is taken in any case means the same in any: plain numbers of a file of "US" are feet (0.3048 m)."""
    text = FULL.replace('units = "us"', f'units = "{said}"')
    assert text != FULL
    assert read_project_text(text) == read_project_text(FULL)
    metric = starter_text("b", "metric")
    assert read_project_text(metric.replace('"metric"', '"METRIC"')) == read_project_text(metric)
