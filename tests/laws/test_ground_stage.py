"""The ground stage: honest about readings that do not close, do not fit, leave gaps, or say flat ground."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.calculators.registry import find
from lynchet.calculators.text import run
from lynchet.core.errors import InputError
from lynchet.core.findings import Finding, Verdict
from lynchet.ground.far_readings import far_readings, misfits
from lynchet.ground.lie import lie_of
from lynchet.ground.stage import ground
from lynchet.ground.surface import build_surface, level_at
from lynchet.ground.thinning import thin
from lynchet.project.model import Project
from lynchet.project.read import read_project_text
from random_yards import realistic

Level = Callable[[np.ndarray, np.ndarray], np.ndarray]


def yard(
    level: Level, noise_m: float = 0.01, odd: dict[int, float] | None = None, more: str = "", seed: int = 1
) -> Project:
    """A 10 x 8 m area with readings every 1.5 m or so."""
    chance = np.random.default_rng(seed)
    x, y = np.meshgrid(np.arange(-1.0, 11.6, 1.5), np.arange(-1.0, 10.1, 1.5))
    x, y = x.ravel() + chance.normal(0, 0.1, x.size), y.ravel() + chance.normal(0, 0.1, x.size)
    z = level(x, y) + chance.normal(0, noise_m, x.size)
    for index, off in (odd or {}).items():
        z[index] += off
    rows = ", ".join(
        f'{{ name = "r{i}", at = [{a:.3f}, {b:.3f}], level = {c:.3f} }}'
        for i, (a, b, c) in enumerate(zip(x, y, z, strict=True))
    )
    text = (
        f'lynchet = 1\nunits = "metric"\n[area]\nlength = 10\ndepth = 8\n[ground]\npoints.readings = [{rows}]\n{more}\n'
    )
    return read_project_text(text)


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.code for finding in findings]


def slope(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.2 * y + 0.02 * x


def test_plain_ground_says_nothing_and_is_exact() -> None:
    """A plain slope read without error has no findings, the right range over the area and the right levels."""
    found = ground(yard(slope, 0.0))
    assert found.findings == ()
    assert (found.lowest_m, found.highest_m) == pytest.approx((0.0, 1.8), abs=0.002)
    assert level_at(found.surface, [[5.0, 4.0]])[0] == pytest.approx(0.9, abs=0.002)
    assert found.band_m == pytest.approx(0.02)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("off_m", [0.4, -0.6])
def test_one_reading_far_out_is_named(seed: int, off_m: float) -> None:
    """A slip of pen of 0.4 m or more is found anywhere, named alone, with how far it is out."""
    wrong = int(np.random.default_rng(seed).integers(0, 72))
    found = ground(yard(slope, 0.012, {wrong: off_m}, seed=seed))
    far = [finding for finding in found.findings if finding.code == "ground.far-reading"]
    assert [finding.place for finding in far] == [f"r{wrong}"]
    assert far[0].verdict is Verdict.ASK
    assert far[0].demand == pytest.approx(abs(off_m), abs=0.12)
    assert "cut-sheet" in far[0].withholds


@pytest.mark.parametrize("seed", range(30))
def test_bent_and_rough_ground_accuses_no_reading(seed: int) -> None:
    """Curved, humped, noisy yards without a slip have no far readings."""
    chance = np.random.default_rng(seed)
    bend, hump, noise = chance.normal(0, 0.01), chance.normal(0, 0.15), chance.choice([0.005, 0.012, 0.025])

    def bent(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 0.3 * y + bend * (y - 4) ** 2 + hump * np.exp(-((x - 4) ** 2 + (y - 5) ** 2) / 4)

    assert "ground.far-reading" not in codes(ground(yard(bent, float(noise), seed=seed)).findings)


def test_a_reading_looked_at_twice_is_believed() -> None:
    """What the file says is sure is not accused again; the cure of the finding says just that."""
    odd = yard(slope, 0.01, {30: 0.7})
    ((key, value),) = ground(odd).findings[0].cures[0].edits
    assert (key, value) == ("ground.sure", ["r30"])
    assert ground(yard(slope, 0.01, {30: 0.7}, 'sure = ["r30"]')).findings == ()


def test_misfits_do_not_depend_on_where_the_yard_lies() -> None:
    """Shifted, turned and lifted readings misfit alike; a plane has none."""
    chance = np.random.default_rng(8)
    points = chance.uniform(0, 20, (40, 3)) * [1, 1, 0.05]
    turn = np.array([[0.6, -0.8], [0.8, 0.6]])
    other = np.column_stack([points[:, :2] @ turn.T + [300, -70], points[:, 2] + 100])
    assert misfits(points) == pytest.approx(misfits(other), abs=1e-6)
    plane = np.column_stack([points[:, :2], points[:, :2] @ [0.3, -0.1] + 5])
    assert np.abs(misfits(plane)).max() < 1e-4
    assert far_readings(plane, np.full(40, 0.01)) == []


@pytest.mark.parametrize(
    ("level", "code", "word"),
    [
        (lambda x, y: 0.002 * x, "ground.flat", "flat"),
        (lambda x, y: 0.02 * ((x - 5) ** 2 - (y - 4) ** 2), "ground.shape", "saddle"),
        (lambda x, y: 0.03 * ((x - 5) ** 2 + (y - 4) ** 2), "ground.shape", "hollow"),
        (lambda x, y: -0.03 * ((x - 5) ** 2 + (y - 4) ** 2), "ground.shape", "mound"),
    ],
)
def test_odd_ground_is_planned_with_its_finding(level: Level, code: str, word: str) -> None:
    """Flat ground, a saddle, a hollow and a mound are no errors: one finding each says what they are."""
    found = ground(yard(level))
    assert codes(found.findings) == [code]
    assert word in found.findings[0].text
    assert found.findings[0].verdict is Verdict.WATCH


def test_a_gap_without_readings_is_shown() -> None:
    """A hole of 5 m in the readings is told with its place; one of the usual spacing is not."""
    full = yard(slope)
    rows = [r for r in full.ground.readings if np.hypot(r.point_m[0] - 6, r.point_m[1] - 4) > 3.4]
    text = ", ".join(
        f'{{ name = "{r.name}", at = [{r.point_m[0]}, {r.point_m[1]}], level = {r.level_m} }}' for r in rows
    )
    holed = read_project_text(
        f'lynchet = 1\nunits = "metric"\n[area]\nlength = 10\ndepth = 8\n[ground]\npoints.readings = [{text}]\n'
    )
    assert codes(ground(full).findings) == []
    found = ground(holed).findings
    assert codes(found) == ["ground.gap"]
    assert found[0].demand == pytest.approx(3.5, abs=0.8)


def test_readings_that_do_not_close_widen_the_band() -> None:
    """A rough closure is accepted with care, names what to read again, widens the levels; a close one is silent."""
    text = (
        'lynchet = 1\nunits = "us"\narea = { length = 30, depth = 24 }\n[ground]\nheld = "level"\nslope.fall = "30 %"\n'
    )
    close = ground(read_project_text(text + 'misclosure = "1/4 in"\n'))
    rough = ground(read_project_text(text + 'misclosure = "3/4 in"\n'))
    worse = ground(read_project_text(text + 'misclosure = "4 in"\n'))
    assert codes(close.findings) == ["ground.rough"]
    miss = rough.findings[0]
    assert (miss.code, miss.verdict) == ("ground.misclosure", Verdict.WATCH)
    assert "the drop" in miss.text
    assert "before you order" in miss.text.lower()
    # six board steps of an eighth of an inch: 0.31 in by chance, 0.75 in all one way
    assert rough.allowed_misclosure_m == pytest.approx(0.31 * 0.0254, abs=0.005 * 0.0254)
    assert "5/16 in" in miss.text
    assert "3/4 in" in miss.text
    name, given = miss.working
    again = run(name, dict(given)).result
    assert again["allowed_misclosure_m"] == pytest.approx(miss.capacity) and again["verdict"] == "reject"
    assert rough.band_m > close.band_m
    assert worse.findings[0].verdict is Verdict.ASK


def test_a_misclosure_like_the_fall_stops_the_plan() -> None:
    """Levels that miss by more than a quarter of the whole fall say nothing of the yard: all is kept back."""
    text = (
        'lynchet = 1\nunits = "metric"\narea = { length = 9, depth = 6.5 }\n[ground]\nheld = "level"\n'
        'slope.fall = "10 %"\nmisclosure = "{} mm"\n'
    )
    lost = ground(read_project_text(text.replace("{}", "300"))).findings[0]
    rough = ground(read_project_text(text.replace("{}", "150"))).findings[0]
    assert (lost.code, lost.verdict, lost.withholds) == ("ground.misclosure", Verdict.STOP, ("all",))
    assert "Level it again" in lost.text
    assert (rough.code, rough.verdict) == ("ground.misclosure", Verdict.ASK)


def test_how_the_tape_was_held_is_asked() -> None:
    """24 ft 0 in up a 30 % slope: 12.1 in less if the tape lay on the ground; no cut sheet until answered."""
    text = 'lynchet = 1\nunits = "us"\narea = { length = 30, depth = 24 }\n[ground]\nslope.fall = "30 %"\n'
    asked = ground(read_project_text(text)).findings[0]
    assert (asked.code, asked.verdict, asked.withholds) == ("ground.held", Verdict.ASK, ("cut-sheet",))
    assert asked.demand is not None
    assert asked.capacity is not None
    assert asked.capacity / 0.3048 == pytest.approx(22.99, abs=0.005)
    assert (asked.demand - asked.capacity) / 0.0254 == pytest.approx(12.1, abs=0.06)
    assert asked.working is not None
    name, given = asked.working
    opened = call(find(name).function, dict(given))
    assert (opened.horizontal_m, opened.slope_pct) == pytest.approx((asked.capacity, 30.0))
    for held in ("level", "ground"):
        assert "ground.held" not in codes(ground(read_project_text(text + f'held = "{held}"\n')).findings)
    level = 'lynchet = 1\nunits = "us"\narea = { length = 30, depth = 24 }\n[ground]\nslope.fall = "2 %"\n'
    assert "ground.held" not in codes(ground(read_project_text(level)).findings)


def test_the_range_over_the_area_is_exact() -> None:
    """Least and greatest level over the area are those of a fine net of points on it, never inside of them."""
    chance = np.random.default_rng(4)
    points = np.column_stack([chance.uniform(-2, 12, (60, 2)), chance.normal(0, 1, 60)])
    corners = np.array([[-2.5, -2.5], [12.5, -2.5], [12.5, 12.5], [-2.5, 12.5]])
    surface = build_surface(np.concatenate([points, np.column_stack([corners, np.zeros(4)])]))
    outline = np.array([[0.0, 0.0], [9.0, 1.0], [5.0, 4.0], [8.0, 9.0], [1.0, 8.0]])
    lie = lie_of(surface, outline)
    import shapely

    x, y = np.meshgrid(np.linspace(0, 9, 200), np.linspace(0, 9, 200))
    inside = shapely.contains_xy(shapely.Polygon(outline), x.ravel(), y.ravel())
    net = level_at(surface, np.column_stack([x.ravel(), y.ravel()])[inside])
    assert lie.lowest_m <= net.min() + 1e-9
    assert lie.highest_m >= net.max() - 1e-9
    assert lie.lowest_m > net.min() - 0.1
    assert lie.highest_m < net.max() + 0.1


def test_thinning_keeps_what_it_promises() -> None:
    """Of 6,000 points 2,000 stay; the points left out lie as near to the thinned ground as is stated."""
    chance = np.random.default_rng(2)
    at = chance.uniform(0, 30, (6000, 2))
    points = np.column_stack([at, 0.2 * at[:, 1] + 0.3 * np.sin(at[:, 0] / 3) + chance.normal(0, 0.005, 6000)])
    thinned = thin(points)
    assert len(thinned.kept) <= 2050
    left = np.setdiff1d(np.arange(6000), thinned.kept)
    off = np.abs(level_at(build_surface(points[thinned.kept]), points[left, :2]) - points[left, 2])
    assert off.max() == pytest.approx(thinned.most_m, abs=1e-9)
    assert np.quantile(off, 0.95) == pytest.approx(thinned.usual_m, abs=1e-9)
    assert thinned.usual_m < 0.02
    assert len(thin(points[:500]).kept) == 500


def test_an_area_off_the_ground_is_refused_with_its_place() -> None:
    """A corner off the readings is an input error that names corner, place and distance, also without a file."""
    from dataclasses import replace

    project = yard(slope)
    wide = replace(project, area=replace(project.area, outline_m=((0.0, 0.0), (14.0, 0.0), (10.0, 8.0), (0.0, 8.0))))
    with pytest.raises(InputError, match=r"corner 1 \(14.00 m, 0.00 m\)"):
        ground(wide)


def test_a_known_surface_changes_nothing():
    """The ground over the same readings is the same with a surface made before, and another's is not taken."""
    project, other = realistic(1)[0], realistic(2)[0]
    fresh = ground(project)
    again, guarded = ground(project, fresh.surface), ground(project, ground(other).surface)
    assert again.surface is fresh.surface
    for one in (again, guarded):
        assert np.array_equal(one.surface.triangles, fresh.surface.triangles)
        assert (one.trust_m, one.lowest_m, one.highest_m, one.findings) == (
            fresh.trust_m, fresh.lowest_m, fresh.highest_m, fresh.findings
        )  # fmt: skip
