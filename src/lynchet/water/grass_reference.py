"""Daily evapotranspiration of a grass reference as a calculator: which inputs are given, and the working."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import ByValue, Fraction, NotNegative, Positive
from lynchet.water import evapotranspiration as et
from lynchet.water.gradation import Percent

Temperature = Annotated[float, Ge(-50), Le(60)]
GAMMA_PER_KPA = 0.000665


@dataclass(frozen=True)
class ReferenceDay:
    """Evapotranspiration of a day; what only the longer method gives is None with the shorter."""

    eto_mm_day: float
    extraterrestrial_mj_m2_day: float
    daylight_h: float
    solar_mj_m2_day: float | None = None
    clear_sky_mj_m2_day: float | None = None
    net_longwave_mj_m2_day: float | None = None
    net_radiation_mj_m2_day: float | None = None
    saturation_kpa: float | None = None
    vapour_kpa: float | None = None
    pressure_kpa: float | None = None
    psychrometric_kpa_c: float | None = None
    slope_kpa_c: float | None = None
    wind_2m_m_s: float | None = None


@dataclass(frozen=True)
class Humidity:
    """What is known of the air's moisture: at most one form."""

    vapour_pressure_kpa: float | None = None
    rh_max_pct: float | None = None
    rh_min_pct: float | None = None
    dewpoint_c: float | None = None

    def check(self) -> None:
        """Refuse two forms at once, or one relative humidity without the other."""
        relative = (self.rh_max_pct is not None, self.rh_min_pct is not None)
        refuse_if(
            relative[0] != relative[1], "rh_max_pct and rh_min_pct", "one relative humidity without the other",
            "both or neither",
        )  # fmt: skip
        forms = (self.vapour_pressure_kpa is not None) + any(relative) + (self.dewpoint_c is not None)
        refuse_if(
            forms > 1, "vapour_pressure_kpa, rh_max_pct with rh_min_pct, dewpoint_c",
            f"{forms} forms of humidity", "at most one of the three",
        )  # fmt: skip

    def vapour_kpa(self, tmax_c: float, tmin_c: float) -> float:
        """Actual vapour pressure; saturated at the lowest temperature where nothing is known."""
        if self.vapour_pressure_kpa is not None:
            return self.vapour_pressure_kpa
        if self.rh_max_pct is not None and self.rh_min_pct is not None:
            hot, cold = (float(et.saturation_kpa(t)) for t in (tmax_c, tmin_c))
            return (cold * self.rh_max_pct + hot * self.rh_min_pct) / 200.0
        return float(et.saturation_kpa(tmin_c if self.dewpoint_c is None else self.dewpoint_c))


@dataclass(frozen=True)
class Sky:
    """What is known of the sun: hours of sunshine, measured radiation, or neither."""

    sunshine_h: float | None
    solar_mj_m2_day: float | None
    radiation_coefficient: float
    angstrom_a: float
    angstrom_b: float

    def check(self, daylight_h: float) -> None:
        """Refuse both at once, or more sunshine than daylight."""
        refuse_if(
            self.sunshine_h is not None and self.solar_mj_m2_day is not None, "sunshine_h and solar_mj_m2_day",
            "both sunshine and solar radiation", "at most one of the two",
        )  # fmt: skip
        refuse_if(
            self.sunshine_h is not None and self.sunshine_h > daylight_h + 1e-9, "sunshine_h",
            f"sunshine of {self.sunshine_h} h", f"up to the length of the day, {daylight_h:.2f} h",
        )  # fmt: skip

    def solar(self, extraterrestrial: float, clear_sky: float, daylight_h: float, range_c: float) -> float:
        """Radiation on the ground, MJ/m2 a day."""
        if self.solar_mj_m2_day is not None:
            return self.solar_mj_m2_day
        if self.sunshine_h is not None:
            return (self.angstrom_a + self.angstrom_b * self.sunshine_h / daylight_h) * extraterrestrial
        return min(self.radiation_coefficient * float(np.sqrt(range_c)) * extraterrestrial, clear_sky)


def _day_steps(given: Mapping[str, Any], result: ReferenceDay) -> list[Step]:
    tmax, tmin = given["tmax_c"], given["tmin_c"]
    steps = [
        Step("radiation above the air Ra", f"latitude {given['latitude_deg']:g}, day {given['day_of_year']}",
             result.extraterrestrial_mj_m2_day, "mj_m2_day"),
        Step("daylight N", "24/pi x sunset angle", result.daylight_h, "h"),
    ]  # fmt: skip
    more: list[tuple[str, str, float | None, str]] = [
        ("wind at 2 m", "given, or x 4.87/ln(67.8 z - 5.42)", result.wind_2m_m_s, "m_s"),
        ("saturation pressure es", f"mean of e0({tmax:g}) and e0({tmin:g})", result.saturation_kpa, "kpa"),
        ("vapour pressure ea", "from the humidity given", result.vapour_kpa, "kpa"),
        ("slope of the saturation curve", "4098 e0(T)/(T + 237.3)^2", result.slope_kpa_c, "kpa_c"),
        ("psychrometric constant", "0.000665 x air pressure", result.psychrometric_kpa_c, "kpa_c"),
        ("radiation on the ground Rs", "measured, from sunshine, or from temperature", result.solar_mj_m2_day,
         "mj_m2_day"),
        ("clear sky Rso", "(0.75 + 2e-5 z) Ra", result.clear_sky_mj_m2_day, "mj_m2_day"),
        ("net long-wave Rnl", "by temperature, vapour and Rs/Rso", result.net_longwave_mj_m2_day, "mj_m2_day"),
        ("net radiation Rn", "0.77 Rs - Rnl", result.net_radiation_mj_m2_day, "mj_m2_day"),
    ]  # fmt: skip
    steps += [Step(what, how, value, unit) for what, how, value, unit in more if value is not None]
    how = "Penman-Monteith" if more[0][2] is not None else "0.0023 (T + 17.8)(tmax - tmin)^0.5 x 0.408 Ra"
    return [*steps, Step("reference evapotranspiration", how, result.eto_mm_day, "mm_day")]


@calculator(
    source="Allen, Pereira, Raes & Smith, FAO Irrigation and Drainage Paper 56, 1998, chapters 2 to 4 (seen quoted)",
    known="SEEN",
    example={"latitude_deg": 50.8, "day_of_year": 187, "tmax_c": 21.5, "tmin_c": 12.3, "sunshine_h": 9.25},
    working=_day_steps,
)
def reference_evapotranspiration(
    *,
    latitude_deg: Annotated[float, Ge(-66), Le(66)],
    day_of_year: Annotated[int, ByValue(), Ge(1), Le(366)],
    tmax_c: Temperature,
    tmin_c: Temperature,
    method: Literal["penman_monteith", "hargreaves"] = "penman_monteith",
    elevation_m: Annotated[float, Ge(-500), Le(9000)] = 0.0,
    vapour_pressure_kpa: Positive | None = None,
    rh_max_pct: Percent | None = None,
    rh_min_pct: Percent | None = None,
    dewpoint_c: Temperature | None = None,
    wind_m_s: NotNegative = 2.0,
    wind_height_m: Annotated[float, Ge(0.5)] = 2.0,
    sunshine_h: NotNegative | None = None,
    solar_mj_m2_day: NotNegative | None = None,
    radiation_coefficient: Positive = 0.16,
    angstrom_a: Fraction = 0.25,
    angstrom_b: Fraction = 0.50,
    soil_heat_mj_m2_day: float = 0.0,
) -> ReferenceDay:
    """Water that a reference lawn gives off in a day.

    Equation: ETo = (0.408 D (Rn - G) + g 900/(T + 273) u2 (es - ea))/(D + g (1 + 0.34 u2)); Hargreaves ETo =
    0.0023 (T + 17.8)(tmax - tmin)^0.5 x 0.408 Ra.

    Symbols: D slope of the saturation curve, g psychrometric constant, Rn net radiation, G soil heat, u2 wind at 2 m,
    es and ea saturation and actual vapour pressure, Ra radiation above the air, T mean temperature.

    Limits: latitudes up to 66 degrees; at most one form of humidity (none: saturated at tmin) and one of sunshine and
    solar radiation (none: radiation_coefficient, 0.16 inland, 0.19 at the coast). Keys the method does not use are
    checked all the same.
    """
    if tmax_c < tmin_c:
        raise refuse("tmax_c", f"a highest temperature of {tmax_c:g} below the lowest, {tmin_c:g}", "tmin_c or more")
    air = Humidity(vapour_pressure_kpa, rh_max_pct, rh_min_pct, dewpoint_c)
    sky = Sky(sunshine_h, solar_mj_m2_day, radiation_coefficient, angstrom_a, angstrom_b)
    extraterrestrial, daylight = (float(value) for value in et.sun_by_day(latitude_deg, day_of_year))
    air.check()
    sky.check(daylight)
    if method == "hargreaves":
        eto = float(et.hargreaves_mm(tmax_c, tmin_c, extraterrestrial))
        return ReferenceDay(eto, extraterrestrial, daylight)
    clear = float(et.clear_sky_mj_m2_day(extraterrestrial, elevation_m))
    solar = sky.solar(extraterrestrial, clear, daylight, tmax_c - tmin_c)
    vapour = air.vapour_kpa(tmax_c, tmin_c)
    energy = et.radiation_balance(solar, clear, tmax_c, tmin_c, vapour)
    full = 0.5 * float(et.saturation_kpa(tmax_c) + et.saturation_kpa(tmin_c))
    mean, pressure = 0.5 * (tmax_c + tmin_c), float(et.pressure_kpa(elevation_m))
    wind, gamma = float(et.wind_at_2m_m_s(wind_m_s, wind_height_m)), GAMMA_PER_KPA * pressure
    eto = float(et.penman_monteith_mm(energy.net - soil_heat_mj_m2_day, mean, gamma, wind, full - vapour))
    return ReferenceDay(
        eto_mm_day=eto,
        extraterrestrial_mj_m2_day=extraterrestrial,
        daylight_h=daylight,
        solar_mj_m2_day=solar,
        clear_sky_mj_m2_day=clear,
        net_longwave_mj_m2_day=float(energy.net_longwave),
        net_radiation_mj_m2_day=float(energy.net),
        saturation_kpa=full,
        vapour_kpa=vapour,
        pressure_kpa=pressure,
        psychrometric_kpa_c=gamma,
        slope_kpa_c=float(et.saturation_slope_kpa_c(mean)),
        wind_2m_m_s=wind,
    )
