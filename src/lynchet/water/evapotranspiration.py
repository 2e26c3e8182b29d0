"""Water that a reference lawn gives off in a day, from the weather: the radiation, the air, and both together."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
SOLAR_CONSTANT = 0.0820
"""MJ/m2 a minute."""
STEFAN_BOLTZMANN = 4.903e-9
"""MJ/K4 m2 a day."""
REFLECTED = 0.23
ZERO_C_K = 273.16
PER_LATENT_HEAT = 0.408
"""mm of water that 1 MJ/m2 evaporates."""


@dataclass(frozen=True)
class Energy:
    """Radiation of a day in MJ/m2."""

    net_longwave: Array
    net: Array


def saturation_kpa(temperature_c: ArrayLike) -> Array:
    """Vapour pressure of saturated air, 0.6108 exp(17.27 T/(T + 237.3)) (any shape)."""
    t = np.asarray(temperature_c, dtype=float)
    return np.asarray(0.6108 * np.exp(17.27 * t / (t + 237.3)))


def saturation_slope_kpa_c(temperature_c: ArrayLike) -> Array:
    """Slope of the saturation curve, 4098 e0/(T + 237.3)^2 (any shape)."""
    t = np.asarray(temperature_c, dtype=float)
    return np.asarray(4098.0 * saturation_kpa(t) / (t + 237.3) ** 2)


def pressure_kpa(elevation_m: ArrayLike) -> Array:
    """Air pressure at a height above the sea (any shape)."""
    return np.asarray(101.3 * ((293.0 - 0.0065 * np.asarray(elevation_m, dtype=float)) / 293.0) ** 5.26)


def wind_at_2m_m_s(wind_m_s: ArrayLike, height_m: ArrayLike) -> Array:
    """Wind at 2 m from wind at another height, wind 4.87/ln(67.8 z - 5.42); as it is at 2 m (shapes together)."""
    wind, height = np.asarray(wind_m_s, dtype=float), np.asarray(height_m, dtype=float)
    return np.asarray(np.where(height == 2.0, wind, wind * 4.87 / np.log(67.8 * height - 5.42)))


def sun_by_day(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> tuple[Array, Array]:
    """Radiation above the air in MJ/m2 a day and hours of daylight (latitudes within 66 degrees; shapes together)."""
    latitude, year = np.radians(latitude_deg), 2.0 * pi * np.asarray(day_of_year, dtype=float) / 365.0
    nearness = 1.0 + 0.033 * np.cos(year)
    declination = 0.409 * np.sin(year - 1.39)
    sunset = np.arccos(-np.tan(latitude) * np.tan(declination))
    high = sunset * np.sin(latitude) * np.sin(declination)
    low = np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    radiation = 24.0 * 60.0 / pi * SOLAR_CONSTANT * nearness * (high + low)
    return np.asarray(radiation), np.asarray(24.0 * sunset / pi)


def clear_sky_mj_m2_day(extraterrestrial: ArrayLike, elevation_m: ArrayLike) -> Array:
    """Radiation under a clear sky, (0.75 + 2e-5 z) Ra (shapes that go together)."""
    return np.asarray((0.75 + 2e-5 * np.asarray(elevation_m, dtype=float)) * np.asarray(extraterrestrial, dtype=float))


def radiation_balance(
    solar: ArrayLike, clear_sky: ArrayLike, tmax_c: ArrayLike, tmin_c: ArrayLike, vapour_kpa: ArrayLike
) -> Energy:
    """Net long-wave and net radiation of a grass surface in MJ/m2 a day (shapes that go together)."""
    sun = np.asarray(solar, dtype=float)
    hot, cold = np.asarray(tmax_c, dtype=float) + ZERO_C_K, np.asarray(tmin_c, dtype=float) + ZERO_C_K
    clearness = np.minimum(sun / np.asarray(clear_sky, dtype=float), 1.0)
    warmth = STEFAN_BOLTZMANN * (hot**4 + cold**4) / 2.0
    longwave = warmth * (0.34 - 0.14 * np.sqrt(vapour_kpa)) * (1.35 * clearness - 0.35)
    return Energy(np.asarray(longwave), np.asarray((1.0 - REFLECTED) * sun - longwave))


def penman_monteith_mm(
    energy_mj: ArrayLike, temperature_c: ArrayLike, psychrometric_kpa_c: ArrayLike, wind_2m: ArrayLike,
    deficit_kpa: ArrayLike,
) -> Array:  # fmt: skip
    """Reference evapotranspiration in mm a day (shapes that go together).

    Args:
        energy_mj: net radiation less soil heat, MJ/m2 a day.
        temperature_c: mean of highest and lowest.
        psychrometric_kpa_c: 0.000665 times the air pressure.
        wind_2m: m/s.
        deficit_kpa: saturation less actual vapour pressure.
    """
    t, wind = np.asarray(temperature_c, dtype=float), np.asarray(wind_2m, dtype=float)
    gamma, slope = np.asarray(psychrometric_kpa_c, dtype=float), saturation_slope_kpa_c(t)
    by_sun = PER_LATENT_HEAT * slope * np.asarray(energy_mj, dtype=float)
    by_air = gamma * 900.0 / (t + 273.0) * wind * np.asarray(deficit_kpa, dtype=float)
    return np.asarray((by_sun + by_air) / (slope + gamma * (1.0 + 0.34 * wind)))


def hargreaves_mm(tmax_c: ArrayLike, tmin_c: ArrayLike, extraterrestrial: ArrayLike) -> Array:
    """Reference evapotranspiration from temperature and radiation above the air, mm a day (shapes that go together)."""
    hot, cold = np.asarray(tmax_c, dtype=float), np.asarray(tmin_c, dtype=float)
    mean = 0.5 * (hot + cold) + 17.8
    return np.asarray(0.0023 * mean * np.sqrt(hot - cold) * PER_LATENT_HEAT * np.asarray(extraterrestrial, dtype=float))
