"""What is drawn of a floor, as plain values. Whole units: 80 of them are a metre; y grows downwards."""

import math
from dataclasses import dataclass
from typing import Literal

from builder.guide.plan.boxes import Box
from builder.model.equipment import PinShape

UNITS = 80
"""Units of a drawing in a metre: 1.25 cm each, so that outlines drawn to 5 cm stay whole."""

OUTSIDE, INSIDE = 0.12, 0.05
"""Half of the thickness, in metres, that an outside wall and a wall between rooms are drawn with."""

EDGE = 14
"""Units of clear ground round a drawing."""

COVERS = 12
"""Units about its middle that every shape of a pin covers."""

Spot = tuple[int, int]
Strokes = Literal["panel", "overhead", "roof", "sill", "fitting", "way-up"]

BUILT_IN: frozenset[Strokes] = frozenset({"fitting", "way-up"})
"""What stands in rooms and lies under the walls of a drawing."""


def spot_of(point: tuple[float, float]) -> Spot:
    """A point of the home, in metres, as a spot of its drawing."""
    return round(point[0] * UNITS), round(-point[1] * UNITS)


@dataclass(frozen=True, slots=True)
class Area:
    """A room's outline. ``light``: a balcony or corridor, outside the walls of the home."""

    room: str
    corners: tuple[Spot, ...]
    light: bool


@dataclass(frozen=True, slots=True)
class Leaf:
    """A door leaf that stands open, and the quarter circle that its edge draws to the other jamb."""

    hinge: Spot
    tip: Spot
    jamb: Spot
    clockwise: bool


@dataclass(frozen=True, slots=True)
class Stroke:
    """A thin line: a sliding panel, a garage door overhead, a window's edges, a bath, a step.

    ``room``: the room in which the thing stands, of what stands in one alone.
    """

    points: tuple[Spot, ...]
    kind: Strokes
    closed: bool = False
    room: str = ""

    @property
    def box(self) -> Box:
        """The least box around it."""
        across, down = [x for x, _ in self.points], [y for _, y in self.points]
        return Box(min(across), min(down), max(across), max(down))


@dataclass(frozen=True, slots=True)
class Name:
    """A room's name on one or more lines, the middle of each line at ``x``; ``led`` from ``spot``."""

    room: str
    lines: tuple[str, ...]
    x: int
    tops: tuple[int, ...]
    size: int
    box: Box
    spot: Spot
    led: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """What one piece is called on every plan, such as W1, and the look of its system."""

    text: str
    system: str
    shape: PinShape
    tone: int


@dataclass(frozen=True, slots=True)
class Pin:
    """A mark on a plan: its middle, the exact spot that it is about, and the box it fills."""

    piece: str
    mark: Mark
    x: int
    y: int
    spot: Spot
    box: Box

    @property
    def led(self) -> bool:
        """Whether the pin does not cover its spot, so that a line leads there."""
        return math.dist((self.x, self.y), self.spot) > COVERS


@dataclass(frozen=True, slots=True)
class Base:
    """One floor without any mark: what all of its plans share."""

    floor: str
    title: str
    walls: tuple[tuple[Spot, ...], ...]
    areas: tuple[Area, ...]
    leaves: tuple[Leaf, ...]
    strokes: tuple[Stroke, ...]
    box: Box


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """One floor with its names and marks. ``north``: degrees clockwise from the top, if known."""

    base: Base
    names: tuple[Name, ...]
    pins: tuple[Pin, ...]
    box: Box
    title: str
    describes: str
    north: str | None
    front: str = "Front of the home"


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A piece with its mark, its room and its exact spot on a plan."""

    piece: str
    mark: Mark
    spot: Spot
    room: str


@dataclass(frozen=True, slots=True)
class Gathered:
    """One mark for one piece or for several: its middle, and what it stands for, in order."""

    x: int
    y: int
    members: tuple[PlacedPiece, ...]

    @property
    def room(self) -> str:
        """The room that most of its pieces are in."""
        rooms = [each.room for each in self.members]
        return max(dict.fromkeys(rooms), key=rooms.count)


@dataclass(frozen=True, slots=True)
class TouchPlan:
    """One floor with marks as large as a finger needs, ``size`` units each.

    ``sets``: the marks of all systems, by an empty name, and those of each system alone.
    """

    base: Base
    names: tuple[Name, ...]
    sets: tuple[tuple[str, tuple[Gathered, ...]], ...]
    size: int
    box: Box
    title: str
    describes: str
    north: str | None
    front: str = "Front of the home"


@dataclass(frozen=True, slots=True)
class Highlight:
    """One floor with one thing on it: rooms shaded, spots ringed, names where they can be read."""

    base: Base
    names: tuple[Name, ...]
    rooms: tuple[str, ...]
    spots: tuple[Spot, ...]
    box: Box
    says: str
