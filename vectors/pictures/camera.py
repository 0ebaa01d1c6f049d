"""This module looks at places in space: gentle central perspective, from the viewer to the page.

z points up and the table is z = 0.  The viewer's side is told in degrees as the
directions of the table are: 270 stands at -y and looks towards +y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Vector3 = tuple[float, float, float]

RAISED_DEG = 28.0
"""How high above the table the viewer looks from: treads are seen, and so are risers."""

# The viewer's distance from the middle of the card, as a multiple of the radius of
# the ball that holds it: near and far ends differ in scale by about a third at most.
_AWAY = 5.5


@dataclass(frozen=True, kw_only=True, slots=True)
class Camera:
    """An eye in space, the page's directions there, and how large things come out.

    `right` and `up` are the page's directions and `towards` that from the card to
    the eye, all of length 1 and at right angles.  What lies `depth` mm before the
    eye is drawn `scale / depth` times its size; a place straight ahead comes to
    `middle` of the page.
    """

    eye: Vector3
    right: Vector3
    up: Vector3
    towards: Vector3
    scale: float
    middle: tuple[float, float] = (0.0, 0.0)

    def page(self, places: Floats) -> tuple[Floats, Floats]:
        """Where places [n, 3] come to on the page [n, 2], and how near they are [n].

        Nearness is 1 / depth: along a straight line, and over a plane, it is an
        affine function of the place on the page.
        """
        dx, dy, dz = (places[:, axis] - self.eye[axis] for axis in range(3))
        near = -1.0 / _along(dx, dy, dz, self.towards)
        x = self.middle[0] + self.scale * near * _along(dx, dy, dz, self.right)
        y = self.middle[1] + self.scale * near * _along(dx, dy, dz, self.up)
        return np.stack((x, y), axis=1), near

    def rays(self, spots: Floats) -> Floats:
        """The directions [n, 3] from the eye through places [n, 2] of the page, of depth 1."""
        x = (spots[:, 0] - self.middle[0]) / self.scale
        y = (spots[:, 1] - self.middle[1]) / self.scale
        return np.stack(
            [x * self.right[i] + y * self.up[i] - self.towards[i] for i in range(3)], axis=1
        )


def _along(dx: Floats, dy: Floats, dz: Floats, way: Vector3) -> Floats:
    # Written out, so that every machine rounds it alike.
    found: Floats = dx * way[0] + dy * way[1] + dz * way[2]
    return found


def camera_for(places: Floats, view_deg: float, room: tuple[float, float]) -> Camera:
    """The camera on a side that sees all places [n, 3] and fits them into a room of the page.

    `room` is the most that the drawing may take, in mm; its lower left corner
    comes to the page's origin.
    """
    low, high = places.min(axis=0), places.max(axis=0)
    centre = (low + high) / 2.0
    radius = float(np.sqrt(((places - centre) ** 2).sum(axis=1)).max())
    away = _AWAY * (radius if radius > 0.0 else 1.0)
    turn, lift = math.radians(view_deg), math.radians(RAISED_DEG)
    cos, sin = _exact(math.cos(turn)), _exact(math.sin(turn))
    towards = (cos * math.cos(lift), sin * math.cos(lift), math.sin(lift))
    right = (-sin, cos, 0.0)
    up = (-cos * math.sin(lift), -sin * math.sin(lift), math.cos(lift))
    eye = (
        float(centre[0]) + away * towards[0],
        float(centre[1]) + away * towards[1],
        float(centre[2]) + away * towards[2],
    )
    bare = Camera(eye=eye, right=right, up=up, towards=towards, scale=1.0)
    spots, _ = bare.page(places)
    (left, bottom), (far_right, top) = spots.min(axis=0), spots.max(axis=0)
    wide, tall = float(far_right - left), float(top - bottom)
    scale = min(
        room[0] / wide if wide > 0.0 else math.inf, room[1] / tall if tall > 0.0 else math.inf
    )
    if scale == math.inf:
        scale = away
    return Camera(
        eye=eye,
        right=right,
        up=up,
        towards=towards,
        scale=scale,
        middle=(-scale * float(left), -scale * float(bottom)),
    )


def _exact(value: float) -> float:
    # Straight from a side, the other direction is nothing, not rounding.
    return 0.0 if abs(value) < 1e-15 else value
