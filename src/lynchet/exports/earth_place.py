"""A plan point as longitude and latitude: the plane that touches the earth at one corner of the yard.

Within 1 km of that corner, distances on the ellipsoid differ from those of the plan by less than 0.01 mm in 100 m; the
place of the whole is only as good as the latitude and longitude in the file.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin, sqrt

from lynchet.core.frame import Point

MAJOR_M = 6378137.0
FLATTENING = 1.0 / 298.257223563
"""Of the WGS 84 ellipsoid (NGA.STND.0036, table 3.1)."""
_E2 = FLATTENING * (2.0 - FLATTENING)


@dataclass(frozen=True)
class EarthPlace:
    """Where one point of the file lies on the earth, and how the file is turned."""

    latitude_deg: float
    longitude_deg: float
    north_deg: float
    """Bearing of true north, clockwise from the file's +y."""
    zero_m: Point
    """The point of the file that lies there."""

    def east_north(self, point: Point) -> Point:
        """Metres east and north of the zero point."""
        x, y = point[0] - self.zero_m[0], point[1] - self.zero_m[1]
        c, s = cos(radians(self.north_deg)), sin(radians(self.north_deg))
        return x * c - y * s, x * s + y * c

    def lon_lat(self, point: Point) -> Point:
        """Longitude and latitude on WGS 84, degrees, of a point of the file; longitude runs on past 180.

        Equation: from east and north on the touching plane to earth-centred coordinates by the usual rotation, from
        there to latitude by Bowring's formula (Survey Review 23 (181), 1976), which is exact enough near the ground.
        """
        east, north = self.east_north(point)
        lat, minor = radians(self.latitude_deg), MAJOR_M * (1.0 - FLATTENING)
        normal = MAJOR_M / sqrt(1.0 - _E2 * sin(lat) ** 2)
        out = normal * cos(lat) - north * sin(lat)
        z = normal * (1.0 - _E2) * sin(lat) + north * cos(lat)
        p = hypot(out, east)
        aslant = atan2(z * MAJOR_M, p * minor)
        second = _E2 / (1.0 - _E2)
        found = atan2(z + second * minor * sin(aslant) ** 3, p - _E2 * MAJOR_M * cos(aslant) ** 3)
        return self.longitude_deg + degrees(atan2(east, out)), degrees(found)
