"""Turns and moves a drawing into the frame of a house type: x to the right, y to the back.

A building stands anywhere in a model, at any angle. Its walls say which way is straight, and the
front door which side is the front.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from builder.importers.models.drawn import Ring, Vector

_DIGITS = 3
"""Of a metre: coordinates are written to the millimetre."""
SIDES = {"south": 0.0, "east": -90.0, "north": 180.0, "west": 90.0}
"""By how many degrees a drawing is turned so that this side of the model becomes the front."""


@dataclass(frozen=True, slots=True)
class Axes:
    """Turns by ``angle`` degrees, counter-clockwise, then moves."""

    angle: float = 0.0
    right: float = 0.0
    back: float = 0.0

    def point(self, point: Vector) -> Vector:
        """A point of the model in the frame of the house type, to the millimetre."""
        x, y = self.turned(point)
        return round(x + self.right, _DIGITS) + 0.0, round(y + self.back, _DIGITS) + 0.0

    def turned(self, vector: Vector) -> Vector:
        """A direction of the model, turned. Quarter turns leave no dust."""
        quarters, rest = divmod(self.angle, 90.0)
        x, y = vector
        for _ in range(int(quarters) % 4):
            x, y = -y, x
        if rest:
            cosine, sine = math.cos(math.radians(rest)), math.sin(math.radians(rest))
            x, y = x * cosine - y * sine, x * sine + y * cosine
        return x, y

    def ring(self, ring: Ring) -> Ring:
        """A ring of the model in the frame of the house type."""
        return tuple(self.point(point) for point in ring)


def straight_angle(rings: Iterable[Ring]) -> float:
    """The degrees, between -45 and 45, that most of the walls are off the model's axes."""
    sine = cosine = 0.0
    for ring in rings:
        for (x0, y0), (x1, y1) in pairwise((*ring, ring[0])):
            length, angle = math.hypot(x1 - x0, y1 - y0), math.atan2(y1 - y0, x1 - x0)
            sine += length * math.sin(4 * angle)
            cosine += length * math.cos(4 * angle)
    angle = math.degrees(math.atan2(sine, cosine)) / 4
    return 0.0 if abs(angle) < 1e-4 else angle


def quarter_to_front(outward: Vector) -> float:
    """The quarter turns, in degrees, after which a direction looks to the front."""
    angle = math.degrees(math.atan2(outward[1], outward[0]))
    return float(round((-90.0 - angle) / 90.0) * 90 % 360)


def moved_to_corner(frame: Axes, rings: Sequence[Ring]) -> Axes:
    """The same frame, moved so that the lowest x and y of these rings become 0."""
    points = [frame.turned(point) for ring in rings for point in ring]
    right = -min(x for x, _ in points)
    back = -min(y for _, y in points)
    return Axes(frame.angle, right, back)
