"""Where pins stand on a plan: on their spots where there is room, else near, with a line to the spot."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from builder.guide.plan.boxes import Box, around, nearest_free
from builder.guide.plan.drawing import Base, Mark, Name, Pin, Spot
from builder.guide.plan.ground import Ground
from builder.guide.plan.names import swings

PIN = 32
"""Units that a pin and the clear ground about it take each way."""
WALL = 5
"""Units from the outline of a room to the face of its wall."""
_STEP = 8
_OTHER_ROOM, _WALL, _SWING, _SPOT, _CROSSED = 50, 16, 10, 30, 60
"""What it costs, in units of distance, to leave the room, to stand on a wall or in the swing of a
door, to hide another spot, or to lead a line through another pin or a name."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A piece that is to be marked: its mark, its exact spot and its room."""

    piece: str
    mark: Mark
    spot: Spot
    room: str


@dataclass(frozen=True)
class Grounds:
    """The rooms of a floor, as its pins ask for them: within their walls, and their walls with them."""

    base: Base

    @cached_property
    def within(self) -> Mapping[str, Ground]:
        return {area.room: Ground.of(area.corners, -WALL) for area in self.base.areas}

    @cached_property
    def walled(self) -> Mapping[str, Ground]:
        return {area.room: Ground.of(area.corners, PIN / 2) for area in self.base.areas}

    @cached_property
    def swings(self) -> tuple[Box, ...]:
        return tuple(swings(self.base))


def pins_of(grounds: Grounds, wanted: Sequence[Wanted], names: Iterable[Name]) -> tuple[Pin, ...]:
    """A pin for each piece, in the order given; none over another or over a name."""
    placing = _Placing(grounds, [each.spot for each in wanted], [each.box for each in names])
    return tuple(placing.pin(each) for each in wanted)


@dataclass
class _Placing:
    """One plan on its way to pins: every spot, and the boxes that are taken so far."""

    grounds: Grounds
    spots: Sequence[Spot]
    taken: list[Box]

    def pin(self, wanted: Wanted) -> Pin:
        """The pin of a piece, at the cheapest place that is free; from then on it is taken."""
        place = nearest_free(
            wanted.spot,
            (PIN, PIN),
            self.taken,
            lambda place, limit: self._cost(place, wanted, limit),
            _STEP,
        )
        self.taken.append(place)
        x, y = round((place.left + place.right) / 2), round((place.top + place.bottom) / 2)
        return Pin(wanted.piece, wanted.mark, x, y, wanted.spot, place)

    def _cost(self, place: Box, wanted: Wanted, limit: float) -> float:
        """What a place costs; counting ends where it costs more than another."""
        cost = self._ground(place, wanted.room)
        if cost < limit:
            cost += _SPOT * sum(place.holds(*each) for each in self.spots if each != wanted.spot)
        if cost < limit:
            cost += _SWING * sum(place.overlaps(each) for each in self.grounds.swings)
        middle = (place.left + place.right) / 2, (place.top + place.bottom) / 2
        if cost < limit and middle != wanted.spot:
            cost += _CROSSED * sum(each.crossed_by(middle, wanted.spot) for each in self.taken)
        return cost

    def _ground(self, place: Box, room: str) -> float:
        within = self.grounds.within.get(room)
        if within is None or within.holds(place):
            return 0
        return _WALL if self.grounds.walled[room].holds(place) else _OTHER_ROOM


def spread(base: Base, pins: Iterable[Pin], names: Iterable[Name]) -> Box:
    """The least box around a floor and all that stands on it or beside it."""
    found = base.box
    for each in (*(pin.box for pin in pins), *(name.box for name in names)):
        found = found.joined(each)
    for pin in pins:
        found = found.joined(around(*pin.spot, 6, 6))
    return found
