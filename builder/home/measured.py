"""The rooms and doors of a home as shapes, measured once for all homes that are drawn alike.

Lengths are metres. Rooms without an outline are known and not measured.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from shapely import LineString, MultiLineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge, unary_union

from builder.home.ways import Ways, WayStop
from builder.model.building import Door, Room, RoomKind

_SKIN = 0.001
"""Metres: what arithmetic leaves between lines that meet."""
_ALIKE = 0.002
"""Metres that two outlines may differ by along one wall: what rounding to millimetres leaves."""


@dataclass(frozen=True)
class Measured:
    """What is drawn of a home, and its walls. Everything is worked out when it is first asked for."""

    rooms: Mapping[str, Room]
    room_kinds: Mapping[str, RoomKind]
    doors: Mapping[str, Door]

    @cached_property
    def outlines(self) -> Mapping[str, Polygon]:
        """The rooms that have an outline which encloses an area, by id."""
        drawn = {name: Polygon(room.outline) for name, room in self.rooms.items() if room.outline}
        return {name: outline for name, outline in drawn.items() if outline.is_valid}

    @cached_property
    def ways(self) -> Ways:
        """The ways through the doors of the home."""
        stops = {name: WayStop(door.between, door.at) for name, door in self.doors.items()}
        return Ways(self.outlines, stops)

    def wall_between(self, rooms: tuple[str, str]) -> BaseGeometry | None:
        """The wall that a door between two rooms stands in; None where it cannot be told."""
        return self._walls[rooms] if rooms in self._walls else self._wall_between(rooms)

    @cached_property
    def _walls(self) -> Mapping[tuple[str, str], BaseGeometry | None]:
        joined = dict.fromkeys(door.between for door in self.doors.values())
        return {rooms: self._wall_between(rooms) for rooms in joined}

    def _wall_between(self, rooms: tuple[str, str]) -> BaseGeometry | None:
        drawn = [room for room in rooms if room in self.outlines]
        if not drawn or len({self.rooms[room].floor for room in rooms} - {None}) > 1:
            return None
        if len(drawn) == len(rooms):
            return self.shared_wall(*drawn)
        beyond = rooms[rooms[0] == drawn[0]]
        if self._is_inside(beyond):
            return self.outlines[drawn[0]].boundary
        return self.outside_walls[drawn[0]]

    def shared_wall(self, one: str, other: str) -> BaseGeometry | None:
        """Where the outlines of two rooms of one floor run together; None where one has none."""
        if one not in self.outlines or other not in self.outlines:
            return None
        beside = self._bands[other]
        together = straight(self.outlines[one].boundary.intersection(beside))
        return MultiLineString([piece for piece in together if piece.length > 3 * _ALIKE])

    @cached_property
    def outside_walls(self) -> Mapping[str, BaseGeometry]:
        """Of each room the part of its outline that no other inside room of its floor shares."""
        return {room: self._outside_wall(room) for room in self.outlines}

    def _outside_wall(self, room: str) -> BaseGeometry:
        own, floor = self.outlines[room].boundary, self.rooms[room].floor
        others = [
            self._bands[name]
            for name, each in self.rooms.items()
            if self._is_inside(name)
            and floor in (None, each.floor)
            and name != room
            and name in self.outlines
        ]
        return own.difference(unary_union(others)) if others else own

    @cached_property
    def _bands(self) -> Mapping[str, BaseGeometry]:
        """The outline of each room, as wide as two outlines of one wall may differ by."""
        return {
            name: outline.boundary.buffer(_ALIKE, join_style="mitre")
            for name, outline in self.outlines.items()
        }

    def _is_inside(self, room: str) -> bool:
        return self.room_kinds[self.rooms[room].kind].inside


def straight(wall: BaseGeometry) -> Iterator[LineString]:
    """The straight pieces of a wall, those that run on in one line put together."""
    for line in _lines(linemerge(list(_lines(wall)))):
        corners = list(line.simplify(_SKIN).coords)
        if corners[0] == corners[-1] and _is_in_line(corners[-2], corners[0], corners[1]):
            corners = [*corners[1:-1], corners[1]]
        for start, end in pairwise(corners):
            yield LineString([start, end])


def _lines(shape: BaseGeometry) -> Iterator[LineString]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, LineString) and not part.is_empty:
            yield part


def _is_in_line(
    before: tuple[float, ...], here: tuple[float, ...], after: tuple[float, ...]
) -> bool:
    """Whether a ring begins in the middle of a wall and not at a corner."""
    return LineString([before, after]).distance(Point(here)) < _SKIN
