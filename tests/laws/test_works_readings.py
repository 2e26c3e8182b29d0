"""Laws of dates, inspections and readings of built work, against general libraries."""

from datetime import date, timedelta

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.works.as_built import as_built_level, built_errors_mm
from lynchet.works.dates import add_months
from lynchet.works.inspections import inspection_due
from lynchet.works.line_deviation import line_deviation
from lynchet.works.reading_uncertainty import reading_uncertainty
from lynchet.works.tolerance_verdict import tolerance_verdict
from lynchet.works.wall_lean import wall_lean
from lynchet.works.working_days import working_calendar

RNG = np.random.default_rng(43)
DAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


def test_working_days_are_those_of_numpy():
    """Shifts, finishes and counts agree with NumPy's business days, holidays and made-up weeks included."""
    for _ in range(60):
        start = date(2025, 1, 1) + timedelta(days=int(RNG.integers(0, 700)))
        mask = RNG.random(7) < 0.7
        mask[int(RNG.integers(0, 7))] = True
        off = [start + timedelta(days=int(n)) for n in RNG.integers(-40, 40, 6)]
        keys = {"start": start.isoformat(), "work_days": [d for d, m in zip(DAYS, mask, strict=True) if m],
                "holidays": [day.isoformat() for day in off]}  # fmt: skip
        calendar = np.busdaycalendar(weekmask=mask, holidays=np.array(off, dtype="datetime64[D]"))
        first = np.busday_offset(np.datetime64(start), 0, roll="forward", busdaycal=calendar)
        for count in (1, 5, 17):
            end = np.busday_offset(first, count - 1, busdaycal=calendar)
            done = call(working_calendar, {**keys, "duration_day": count})
            assert (done.first_day, done.finish) == (str(first), str(end))
            assert done.calendar_days == (end - first).astype(int) + 1
            assert done.weekday == DAYS[end.astype(object).weekday()]
            later = np.busday_offset(np.datetime64(start), count, roll="backward", busdaycal=calendar)
            assert call(working_calendar, {**keys, "shift_day": count}).date == str(later)
            before = np.busday_offset(np.datetime64(start), -count, roll="forward", busdaycal=calendar)
            assert call(working_calendar, {**keys, "shift_day": -count}).date == str(before)
        finish = start + timedelta(days=int(RNG.integers(0, 60)))
        done = call(working_calendar, {**keys, "finish": finish.isoformat()})
        counted = np.busday_count(start, finish + timedelta(days=1), busdaycal=calendar)
        assert done.working_days == counted and done.calendar_days == (finish - start).days + 1


def test_extra_days_are_worked():
    """A Sunday made a working day is counted; milestones and shifts of nothing stay on the first day."""
    keys = {"start": "2026-06-05", "extra_days": ["2026-06-07"]}
    assert call(working_calendar, {**keys, "duration_day": 2}).finish == "2026-06-07"
    assert call(working_calendar, {**keys, "shift_day": 1}).date == "2026-06-07"
    milestone = call(working_calendar, {"start": "2026-06-06", "duration_day": 0})
    assert (milestone.finish, milestone.calendar_days) == ("2026-06-08", 1)
    assert call(working_calendar, {"start": "2026-06-06", "shift_day": 0.0}).date == "2026-06-08"


@pytest.mark.parametrize(
    ("keys", "word"),
    [
        ({"start": "2026-02-30", "shift_day": 1}, "date"),
        ({"start": "2026-2-3", "shift_day": 1}, "date"),
        ({"start": date(2026, 2, 3), "shift_day": 1}, "start"),
        ({"start": "2026-02-03", "shift_day": 1, "work_days": []}, "work_days"),
        ({"start": "2026-02-03", "finish": "2026-02-02"}, "finish"),
        ({"start": "2026-02-03"}, "give"),
        ({"start": "9999-12-31", "shift_day": 5}, "date"),
        ({"start": "2026-02-03", "duration_day": True}, "duration"),
    ],
)
def test_calendars_that_cannot_be_are_refused(keys, word):
    """Days that do not exist, other forms, empty weeks, finishes before the start."""
    with pytest.raises(InputError, match=word):
        call(working_calendar, keys)


@given(st.dates(date(1990, 1, 1), date(2080, 1, 1)), st.integers(1, 400))
def test_months_are_added_as_dateutil_does(start, months):
    """Some months later is the day dateutil's relativedelta gives, month ends included."""
    assert add_months(start, months) == start + relativedelta(months=months)


def test_inspections_by_interval_and_storm():
    """A storm after the last look brings the next day forward, never back, and only if it is heavy and in time."""
    item = {"name": "outlets", "every_months": 6, "after_storm": True, "last_done": "2026-01-31"}
    keys = {"built": "2025-01-01", "as_of": "2026-03-15", "items": [item]}
    assert call(inspection_due, keys).due == ["2026-07-31"]
    storms = [{"date": "2026-03-10", "rain_mm": 70}, {"date": "2026-02-20", "rain_mm": 50},
              {"date": "2026-02-10", "rain_mm": 49.9}, {"date": "2026-01-31", "rain_mm": 90},
              {"date": "2026-03-16", "rain_mm": 90}]  # fmt: skip
    done = call(inspection_due, {**keys, "storms": storms})
    assert (done.due, done.reason, done.days_left) == (["2026-02-21"], ["storm"], [-22])
    assert done.overdue == ["outlets"] and done.next == "outlets"
    plain = call(inspection_due, {**keys, "items": [{**item, "after_storm": False}], "storms": storms})
    assert plain.reason == ["interval"]
    soon = {"name": "a", "every_days": 21, "after_storm": True, "last_done": "2026-01-31"}
    tie = call(inspection_due, {**keys, "items": [soon], "storms": [{"date": "2026-02-20", "rain_mm": 60}]})
    assert (tie.due, tie.reason) == (["2026-02-21"], ["interval"])


def test_days_of_the_year_come_round():
    """The next of the days of the year is after the anchor, over the turn of the year and over leap days too."""

    def due(on, last, as_of="2028-12-31"):
        item = {"name": "x", "on": on, "last_done": last}
        return call(inspection_due, {"built": "2020-01-01", "as_of": as_of, "items": [item]}).due[0]

    assert due(["04-01", "10-01"], "2026-10-01") == "2027-04-01"
    assert due(["02-29"], "2027-03-01") == "2028-02-29"
    assert due(["02-29"], "2026-02-01") == "2026-02-28"
    for bad in (["13-01"], ["02-30"], ["2-3"], ["Feb 3"], []):
        with pytest.raises(InputError, match=r"(?i)mm-dd"):
            due(bad, "2026-01-01")


def test_levels_are_free_of_the_instrument():
    """Setting the level higher by any amount changes no error; the best shift halves the spread."""
    planned, built = RNG.uniform(99, 101, 7), RNG.uniform(-0.02, 0.02, 7)
    for height in (0.4, 1.9):
        readings = [
            {"point": str(n), "planned_level_m": float(p), "reading_m": float(100 + height - p - e)}
            for n, (p, e) in enumerate(zip(planned, built, strict=True))
        ]
        keys = {"benchmark_level_m": 100.0, "benchmark_reading_m": height, "readings": readings, "tolerance_mm": 8}
        done = call(as_built_level, keys)
        assert done.errors_mm == pytest.approx(1000 * built, abs=1e-6)
        assert np.abs(np.array(done.errors_mm) - done.best_shift_mm).max() == pytest.approx(done.spread_mm / 2)
        assert np.add(done.corrections_mm, done.errors_mm) == pytest.approx(0)
        assert (done.verdict == "ok") == bool((np.abs(built) <= 0.008).all())
        kernel = built_errors_mm(done.collimation_m, [r["reading_m"] for r in readings], planned)
        assert kernel.tolist() == done.errors_mm
    again = call(as_built_level, {**keys, "check_reading_m": height + 0.0031})
    assert again.steady is False and again.verdict == "read again"


def test_lines_are_those_of_numpy_and_no_line_is_tighter():
    """Least squares agree with NumPy; the minimum zone is never beaten by any other line tried."""
    x, y = np.sort(RNG.uniform(0, 12, 9)), RNG.normal(0, 6, 9)
    keys = {"stations_m": x.tolist(), "offsets_mm": y.tolist(), "tolerance_mm": 5}
    fit = call(line_deviation, {**keys, "reference": "least_squares"})
    slope, level = np.polyfit(x, y, 1)
    assert (fit.slope_mm_per_m, fit.intercept_mm) == pytest.approx((slope, level))
    assert fit.sd_mm == pytest.approx(np.sqrt(((y - level - slope * x) ** 2).sum() / 7))
    zone = call(line_deviation, {**keys, "reference": "minimum_zone"})
    largest = abs(zone.worst_mm)
    assert np.sum(np.abs(np.abs(zone.deviations_mm) - largest) < 1e-6) >= 3  # a tightest line touches three points
    for a, b in zip(RNG.normal(zone.slope_mm_per_m, 0.5, 400), RNG.normal(zone.intercept_mm, 2, 400), strict=True):
        assert np.abs(y - b - a * x).max() >= largest - 1e-9
    ends = call(line_deviation, {**keys, "reference": "ends"})
    assert (ends.deviations_mm[0], ends.deviations_mm[-1]) == pytest.approx((0, 0), abs=1e-9)


def test_straightedge_does_not_care_how_the_line_lies():
    """Tilting and shifting all offsets leaves the largest gap; a longer straightedge never shows less."""
    x, y = np.arange(0, 6, 0.5), RNG.normal(0, 4, 12)
    keys = {"stations_m": x.tolist(), "tolerance_mm": 5}
    gaps = [
        call(line_deviation, {**keys, "offsets_mm": y.tolist(), "straightedge_m": s}).straightedge_mm
        for s in (0.4, 1.0, 2.0, 6.0)
    ]
    assert gaps[0] == 0 and gaps == sorted(gaps)
    tilted = (y + 3 + 7 * x).tolist()
    again = call(line_deviation, {**keys, "offsets_mm": tilted, "straightedge_m": 2.0})
    assert again.straightedge_mm == pytest.approx(gaps[2])
    middle = call(line_deviation, {**keys, "stations_m": [0, 1, 2], "offsets_mm": [0, 5, 0], "straightedge_m": 2})
    assert middle.straightedge_mm == pytest.approx(5)


def test_lean_is_the_slope_whatever_the_plumb_line():
    """Hanging the line further out changes nothing; movement is told from two leans and dated by its rate."""
    heights, lean = np.array([0.1, 0.5, 0.9, 1.3]), 83.0
    for out in (40.0, 200.0):
        rows = [{"height_m": float(h), "distance_mm": float(out + lean * h)} for h in heights]
        done = call(wall_lean, {"readings": rows, "wall_height_m": 1.4, "planned_lean_mm_per_m": 80.0})
        assert done.lean_mm_per_m == pytest.approx(lean) and done.one_in == pytest.approx(1000 / lean)
        assert done.lean_deg == pytest.approx(np.degrees(np.arctan(lean / 1000)))
        assert done.error_mm_per_m == pytest.approx(3.0)
    less = [{**row, "distance_mm": 200 + 75.0 * row["height_m"]} for row in rows]
    keys = {"readings": less, "wall_height_m": 1.4, "earlier_readings": rows, "earlier_date": "2026-01-01",
            "date": "2026-04-11", "movement_limit_mm": 30}  # fmt: skip
    moved = call(wall_lean, keys)
    assert moved.outward_mm == pytest.approx(11.2) and moved.movement == "outward" and moved.reached is False
    days = (date.fromisoformat(moved.limit_date) - date(2026, 4, 11)).days
    assert 11.2 / 100 * (days - 1) < 18.8 <= 11.2 / 100 * days
    back = call(wall_lean, {**keys, "readings": rows, "earlier_readings": less})
    assert back.movement == "inward" and back.limit_date is None
    assert call(wall_lean, {**keys, "movement_limit_mm": 11.2}).reached is True


def test_uncertainty_of_repeats_is_the_interval_of_scipy():
    """Mean and expanded uncertainty of repeats alone are Student's interval; a known component only widens it."""
    values = RNG.normal(812, 2, 6)
    done = call(reading_uncertainty, {"readings_mm": values.tolist(), "coverage_pct": 90.0})
    low, high = stats.t.interval(0.90, 5, loc=values.mean(), scale=stats.sem(values))
    assert (done.mean_mm - done.expanded_mm, done.mean_mm + done.expanded_mm) == pytest.approx((low, high))
    more = call(
        reading_uncertainty,
        {"readings_mm": values.tolist(), "components": [{"name": "tape", "half_width": 1.0, "sensitivity": -2.0}]},
    )
    assert more.combined_mm == pytest.approx(np.hypot(done.combined_mm, 2 / np.sqrt(3)))
    assert sum(more.share_pct) == pytest.approx(100) and more.effective_degrees > 5
    normal = call(reading_uncertainty, {"components": [{"name": "a", "expanded": 3.0, "k": 1.5}]})
    assert normal.k == pytest.approx(stats.norm.ppf(0.975)) and normal.combined_mm == pytest.approx(2.0)
    assert normal.effective_degrees is None
    assert call(reading_uncertainty, {"components": [{"name": "a", "standard": 1.0}], "rule": "k2"}).k == 2.0


def test_shapes_have_the_spread_of_their_distribution():
    """Divisors of the half width are the standard deviations of SciPy's distributions on that width."""
    shapes = {
        "rectangular": stats.uniform(-1, 2), "triangular": stats.triang(0.5, -1, 2), "arcsine": stats.arcsine(-1, 2)
    }  # fmt: skip
    for shape, own in shapes.items():
        done = call(reading_uncertainty, {"components": [{"name": "a", "half_width": 1.0, "shape": shape}]})
        assert done.combined_mm == pytest.approx(own.std())
    with pytest.raises(InputError, match="component"):
        call(reading_uncertainty, {"components": [{"name": "a", "standard": 1, "expanded": 1}]})
    with pytest.raises(InputError, match="expanded k"):
        call(reading_uncertainty, {"components": [{"name": "a", "expanded": 1, "k": 0}]})


def test_chance_of_conforming_is_that_of_scipy():
    """The chance equals the normal distribution's; without uncertainty the limit itself conforms."""
    for y, u in zip(RNG.normal(10, 4, 20), RNG.uniform(0.3, 1.2, 20), strict=True):
        done = tolerance_verdict(measured_mm=y, lower_mm=6.0, upper_mm=14.0, uncertainty_mm=u)
        assert done.probability == pytest.approx(stats.norm(y, u).cdf(14) - stats.norm(y, u).cdf(6), abs=1e-12)
        assert (done.decision == "accept") == (6 + 2 * u <= y <= 14 - 2 * u)
        assert (done.decision == "reject") == (y < 6 - 2 * u or y > 14 + 2 * u)
        assert done.margin_mm == pytest.approx(min(y - 6, 14 - y))
    given = {"lower_mm": 6.0, "upper_mm": 14.0, "uncertainty_mm": 1.0}
    read = (3.9, 4.1, 5.9, 7.9, 8.1, 11.9, 12.1, 15.9, 16.1)
    told = [tolerance_verdict(measured_mm=y, **given).decision for y in read]
    undecided = ["undecided"] * 3
    assert told == ["reject", *undecided, "accept", "accept", "undecided", "undecided", "reject"]
    edge = tolerance_verdict(measured_mm=14.0, upper_mm=14.0, uncertainty_mm=0.0)
    assert (edge.probability, edge.decision, edge.margin_mm) == (1.0, "accept", 0.0)
    assert tolerance_verdict(measured_mm=14.1, upper_mm=14.0, uncertainty_mm=3.0, guard_k=0.0).decision == "reject"
    exact = tolerance_verdict(measured_mm=10.0, lower_mm=6.0, upper_mm=14.0, uncertainty_mm=2.0)
    assert exact.decision == "accept" and exact.accept_from_mm == exact.accept_to_mm == 10.0
