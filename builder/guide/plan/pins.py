"""Where pins stand on a plan: on their spots where there is room, else near, with a line to the spot."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import starmap

from builder.guide.plan.boxes import NEAR, Box, around, nearest_free
from builder.guide.plan.drawing import COVERS, Base, Mark, Name, Pin, Spot
from builder.guide.plan.ground import FloorGround

PIN = 30
"""Units that a pin and the clear ground about it take each way."""
_STEP = 6
_OTHER_ROOM, _WALL, _SWING, _WINDOW, _SPOT, _CROSSED = 110, 48, 12, 24, 30, 60
"""What it costs, in units of distance, to leave the room, to stand on a wall, in the swing of a
door or on a window, to hide another spot, or to lead a line through another pin or a name."""


@dataclass(frozen=True, slots=True)
class WantedPin:
    """A piece that is to be marked: its mark, its exact spot and its room."""

    piece: str
    mark: Mark
    spot: Spot
    room: str


def pins_of(
    site: FloorGround, wanted: Sequence[WantedPin], names: Iterable[Name]
) -> tuple[Pin, ...]:
    """A pin for each piece, in the order given; none over another or over a name.

    Each is placed where it is cheapest among those before it; those that had to give way are
    placed once more among all.
    """
    placing = _Placing(site, [each.spot for each in wanted], [each.box for each in names])
    places: list[Box] = []
    for each in wanted:
        places.append(placing.place(each, places))
    for index, each in enumerate(wanted):
        if not places[index].holds(*each.spot):
            places[index] = placing.place(each, [*places[:index], *places[index + 1 :]])
    return tuple(starmap(_pin, zip(wanted, places, strict=True)))


def _pin(wanted: WantedPin, place: Box) -> Pin:
    x, y = round((place.left + place.right) / 2), round((place.top + place.bottom) / 2)
    return Pin(wanted.piece, wanted.mark, x, y, wanted.spot, place)


@dataclass(frozen=True, slots=True)
class _Scene:
    """What a pin may be in the way of."""

    taken: Sequence[Box]
    spots: Sequence[Spot]
    swings: Sequence[Box]
    windows: Sequence[Box]

    def about(self, place: Box) -> "_Scene":
        """What of it is near a place."""
        return _Scene(
            [each for each in self.taken if each.overlaps(place)],
            [each for each in self.spots if place.holds(*each)],
            [each for each in self.swings if each.overlaps(place)],
            [each for each in self.windows if each.overlaps(place)],
        )


@dataclass(frozen=True)
class _Placing:
    """One plan on its way to pins: its ground, every spot, and the boxes of names."""

    site: FloorGround
    spots: Sequence[Spot]
    names: Sequence[Box]

    def place(self, wanted: WantedPin, pins: Sequence[Box]) -> Box:
        """The cheapest place for a pin that neither a name nor another pin has taken."""
        whole = _Scene(
            [*self.names, *pins],
            [each for each in self.spots if each != wanted.spot],
            self.site.swings,
            self.site.windows,
        )
        around_spot = around(*wanted.spot, 2 * NEAR, 2 * NEAR)
        near = whole.about(around_spot)

        def cost(place: Box, limit: float) -> float:
            scene = near if around_spot.encloses(place) else whole
            return self._cost(place, wanted, scene, limit)

        return nearest_free(wanted.spot, (PIN, PIN), whole.taken, cost, _STEP)

    def _cost(self, place: Box, wanted: WantedPin, scene: _Scene, limit: float) -> float:
        """What a place costs; counting ends where it costs more than another."""
        cost: float = self._ground(place, wanted.room)
        if cost < limit:
            cost += _SPOT * _hidden_spots(place, scene.spots)
            cost += _SWING * _overlapped(place, scene.swings)
            cost += _WINDOW * _overlapped(place, scene.windows)
        if cost < limit:
            cost += _CROSSED * _crossed(place, wanted.spot, scene.taken)
        return cost

    def _ground(self, place: Box, room: str) -> float:
        within = self.site.rooms.get(room)
        if within is None:
            return _WALL * any(each.meets(place) for each in self.site.buildings)
        if within.holds(place):
            return 0
        return _WALL if self.site.surroundings[room].holds(place) else _OTHER_ROOM


def _hidden_spots(place: Box, spots: Sequence[Spot]) -> int:
    """How many spots a place hides."""
    left, top, right, bottom = place.left, place.top, place.right, place.bottom
    return sum(1 for x, y in spots if left <= x <= right and top <= y <= bottom)


def _overlapped(place: Box, boxes: Sequence[Box]) -> int:
    return sum(1 for each in boxes if place.overlaps(each)) if boxes else 0


def _crossed(place: Box, spot: Spot, taken: Sequence[Box]) -> int:
    """How many boxes the line from a place to its spot would run through."""
    middle = (place.left + place.right) / 2, (place.top + place.bottom) / 2
    if math.dist(middle, spot) <= COVERS:
        return 0
    return sum(1 for each in taken if each.crossed_by(middle, spot))


def spread(base: Base, pins: Iterable[Pin], names: Iterable[Name]) -> Box:
    """The least box around a floor and all that stands on it or beside it."""
    found = base.box
    for each in (*(pin.box for pin in pins), *(name.box for name in names)):
        found = found.joined(each)
    for pin in pins:
        found = found.joined(around(*pin.spot, 6, 6))
    return found
