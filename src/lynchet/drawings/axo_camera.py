"""Looking at bodies: where a point in space comes to lie in the picture, and which of two is nearer.

A camera gives picture coordinates (u right, v up) and a *nearness* that over every plane of space is a straight-line
function a u + b v + c of the picture. For parallel rays that is the distance toward the viewer; for rays through an eye
it is one over the distance, which is straight in the picture where the distance itself is not (projective geometry).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_EDGE_ON = 1e-6


class Camera(Protocol):
    """What the finder of visible parts asks of a camera."""

    def project(self, points: Array) -> Array:
        """(n, 3) points in space as (n, 3): u, v, nearness."""
        ...

    def planes(self, normals: Array, points: Array) -> Array:
        """(n, 3): a, b, c of the nearness of planes over the picture; NaN where turned away or edge on.

        Args:
            normals: (n, 3), out of the body.
            points: (n, 3), one of each plane.
        """
        ...


@dataclass(frozen=True, eq=False)
class Parallel:
    """Parallel rays: an axonometric picture; lengths along its own axes are true."""

    right: Array
    up: Array
    toward: Array
    """Unit vectors in space; ``toward`` points at the viewer."""

    @staticmethod
    def from_side(bearing: tuple[float, float], tilt_deg: float, mirrored: bool = False) -> Parallel:
        """Seen from a plan direction.

        Args:
            bearing: plan direction from the thing to the viewer.
            tilt_deg: how far above the horizon the viewer is, 0 to 90.
            mirrored: the frame is of the other hand than the yard, so left and right change places.
        """
        x, y = bearing
        size = (x * x + y * y) ** 0.5
        x, y, hand = x / size, y / size, -1.0 if mirrored else 1.0
        c, s = cos(radians(tilt_deg)), sin(radians(tilt_deg))
        return Parallel(
            np.array([-y * hand, x * hand, 0.0]), np.array([-x * s, -y * s, c]), np.array([x * c, y * c, s])
        )

    def project(self, points: Array) -> Array:
        """u, v and distance toward the viewer."""
        return np.column_stack([points @ self.right, points @ self.up, points @ self.toward])

    def planes(self, normals: Array, points: Array) -> Array:
        """Nearness of planes over the picture."""
        toward = normals @ self.toward
        toward[toward < _EDGE_ON] = np.nan
        level = np.einsum("ij,ij->i", normals, points)
        return np.column_stack([-normals @ self.right, -normals @ self.up, level]) / toward[:, None]


@dataclass(frozen=True, eq=False)
class FromEye:
    """Rays through an eye: a picture in perspective, true to size for what is ``size`` ahead of the eye."""

    eye: Array
    right: Array
    up: Array
    ahead: Array
    size: float = 10.0
    """Metres ahead at which a metre is a metre of the picture."""

    @staticmethod
    def looking(eye: tuple[float, float, float], way: tuple[float, float], mirrored: bool = False) -> FromEye:
        """From an eye along a level plan direction: uprights stay upright.

        Args:
            eye: x, y, level.
            way: plan direction one looks.
            mirrored: the frame is of the other hand than the yard.
        """
        x, y = way
        size = (x * x + y * y) ** 0.5
        x, y, hand = x / size, y / size, -1.0 if mirrored else 1.0
        up, ahead = np.array([0.0, 0.0, 1.0]), np.array([x, y, 0.0])
        return FromEye(np.array(eye), np.array([y * hand, -x * hand, 0.0]), up, ahead)

    def project(self, points: Array) -> Array:
        """u, v and one over the distance ahead; points must lie ahead of the eye."""
        about = points - self.eye
        far = about @ self.ahead
        k = self.size / far
        return np.column_stack([about @ self.right * k, about @ self.up * k, 1.0 / far])

    def planes(self, normals: Array, points: Array) -> Array:
        """One over the distance of planes, over the picture."""
        behind = np.einsum("ij,ij->i", normals, points - self.eye)
        behind[behind > -_EDGE_ON] = np.nan
        over = normals @ self.right / self.size, normals @ self.up / self.size, normals @ self.ahead
        found: Array = np.column_stack(over) / behind[:, None]
        return found
