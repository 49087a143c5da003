"""What can be measured of a home as drawn: areas, walls, who adjoins whom, and the ways through it.

Lengths are metres and areas square metres. Rooms without an outline are known and not measured.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from shapely import LineString, MultiLineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge, unary_union

from builder.home.ways import Stop, Ways
from builder.model.building import Door, Room, RoomKind
from builder.model.equipment import Equipment, Kind
from builder.model.home import Home

NEAR = 0.15
"""Metres that a door or window may be drawn off its wall: half of a usual outside wall."""
WALL = 0.3
"""Metres that rooms stand apart at most where they were drawn to the faces of one wall."""
_SKIN = 0.001
"""Metres: what arithmetic leaves between lines that meet."""
_ALIKE = 0.002
"""Metres that two outlines may differ by along one wall: what rounding to millimetres leaves."""


@dataclass(frozen=True)
class Survey:
    """A home as drawn, measured. Everything is worked out once, when it is first asked for."""

    home: Home

    @cached_property
    def outlines(self) -> Mapping[str, Polygon]:
        """The rooms that have an outline which encloses an area, by id."""
        drawn = {
            name: Polygon(room.outline) for name, room in self.home.rooms.items() if room.outline
        }
        return {name: outline for name, outline in drawn.items() if outline.is_valid}

    @cached_property
    def levels(self) -> tuple[str, ...]:
        """The floors from the lowest up."""
        return tuple(sorted(self.home.floors, key=lambda name: self.home.floors[name].level))

    def kind_of_room(self, room: str) -> RoomKind:
        return self.home.room_kinds[self.home.rooms[room].kind]

    def inside(self, floor: str | None = None) -> Iterator[tuple[str, Room]]:
        """The rooms inside the home, of one floor or of all."""
        for name, room in self.home.rooms.items():
            if self.kind_of_room(name).inside and floor in (None, room.floor):
                yield name, room

    def living(self, floor: str | None = None) -> Iterator[tuple[str, Room]]:
        """The rooms inside that count towards the floor area: no garage and no loft."""
        for name, room in self.inside(floor):
            if self.kind_of_room(name).floor_area and name != self.garage:
                yield name, room

    @cached_property
    def garage(self) -> str | None:
        """The garage's room, where the home has one."""
        return self.home.garage.room if self.home.garage else None

    def is_garage(self, room: str) -> bool:
        return room == self.garage or self.home.rooms[room].kind == "garage"

    def is_loft(self, room: str) -> bool:
        """Whether it is inside, counts towards no floor area and is no garage, as a loft is."""
        kind = self.kind_of_room(room)
        return kind.inside and not kind.floor_area and not self.is_garage(room)

    @cached_property
    def arrivals(self) -> tuple[str, ...]:
        """Where people come to the home from: outside and shared places, but no balcony."""
        kinds = {name: self.kind_of_room(name) for name in self.home.rooms}
        return tuple(name for name, kind in kinds.items() if not kind.inside and not kind.from_home)

    def heated(self, room: str) -> bool:
        said = self.home.rooms[room].heated
        return self.kind_of_room(room).heated if said is None else said

    @cached_property
    def floor_area(self) -> float:
        """Internal floor area, from the outlines of the rooms that count towards it."""
        return sum(self.outlines[name].area for name, _ in self.living() if name in self.outlines)

    @cached_property
    def bedrooms(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.inside() if self.kind_of_room(name).sleeping)

    @cached_property
    def habitable(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.inside() if self.kind_of_room(name).habitable)

    def wet_rooms(self) -> Iterator[tuple[str, str]]:
        """Each room that needs extract, with its row of the extract tables."""
        for name, _ in self.inside():
            if row := self.kind_of_room(name).extract:
                yield name, row

    def does(self, piece: Equipment | Kind | str) -> frozenset[str]:
        """The kinds that a piece of equipment, a kind or a kind's id counts as, its own among them."""
        if isinstance(piece, Equipment):
            return self.does(piece.kind)
        if isinstance(piece, Kind):
            return frozenset(piece.counts_as)
        return frozenset({piece, *self.home.kinds[piece].counts_as})

    def pieces(self, *kinds: str, room: str | None = None) -> Iterator[tuple[str, Equipment]]:
        """The equipment that does the work of one of these kinds, in one room or in all."""
        for name, piece in self.home.equipment.items():
            if self.does(piece) & set(kinds) and room in (None, piece.room):
                yield name, piece

    def storey_of(self, room: str) -> str | None:
        return self.home.rooms[room].floor

    def on_one_floor(self, *rooms: str) -> bool:
        """Whether rooms stand on one floor; a room on none, as outside, is on every floor."""
        return len({self.storey_of(room) for room in rooms} - {None}) <= 1

    def height_above_ground(self, room: str) -> float:
        """Of the floor that a room stands on; 0 for a room on none."""
        floor = self.storey_of(room)
        return self.home.floors[floor].above_ground if floor else 0.0

    def doors_of(self, room: str) -> Iterator[tuple[str, Door]]:
        for name, door in self.home.doors.items():
            if room in door.between:
                yield name, door

    def shared_wall(self, one: str, other: str) -> BaseGeometry | None:
        """Where the outlines of two rooms of one floor run together; None where one has none."""
        if one not in self.outlines or other not in self.outlines:
            return None
        beside = self._bands[other]
        together = straight(self.outlines[one].boundary.intersection(beside))
        return MultiLineString([piece for piece in together if piece.length > 3 * _ALIKE])

    def outside_wall(self, room: str) -> BaseGeometry:
        """The part of a room's outline that no other inside room of its floor shares."""
        return self._outside_walls[room]

    @cached_property
    def _outside_walls(self) -> Mapping[str, BaseGeometry]:
        return {room: self._outside_wall(room) for room in self.outlines}

    def _outside_wall(self, room: str) -> BaseGeometry:
        own = self.outlines[room].boundary
        others = [
            self._bands[name]
            for name, _ in self.inside(self.storey_of(room))
            if name != room and name in self.outlines
        ]
        return own.difference(unary_union(others)) if others else own

    @cached_property
    def _bands(self) -> Mapping[str, BaseGeometry]:
        """The outline of each room, as wide as two outlines of one wall may differ by."""
        return {
            name: outline.boundary.buffer(_ALIKE, join_style="mitre")
            for name, outline in self.outlines.items()
        }

    def wall_of(self, door: Door) -> BaseGeometry | None:
        """The wall that a door stands in; None where it cannot be told from the outlines.

        Stairs join rooms of two floors and stand in no wall of the plan.
        """
        drawn = [room for room in door.between if room in self.outlines]
        if not drawn or not self.on_one_floor(*door.between):
            return None
        if len(drawn) == len(door.between):
            return self.shared_wall(*drawn)
        beyond = door.between[door.between[0] == drawn[0]]
        if self.kind_of_room(beyond).inside:
            return self.outlines[drawn[0]].boundary
        return self.outside_wall(drawn[0])

    @cached_property
    def ways(self) -> Ways:
        """The ways through the doors of the home."""
        stops = {name: Stop(door.between, door.at) for name, door in self.home.doors.items()}
        return Ways(self.outlines, stops)


def along(wall: BaseGeometry, at: tuple[float, float], *, near: float = NEAR) -> float:
    """The length of the straight piece of a wall that a point stands on; 0 where it is on none."""
    piece = stretch(wall, at, near=near)
    return piece.length if piece is not None else 0.0


def stretch(
    wall: BaseGeometry, at: tuple[float, float], *, near: float = NEAR
) -> LineString | None:
    """The straight piece of a wall that a point stands on: the nearest, of equals the longest."""
    point = Point(at)
    close = [piece for piece in straight(wall) if round(piece.distance(point), 3) <= near]
    return min(
        close, key=lambda piece: (round(piece.distance(point), 2), -piece.length), default=None
    )


def straight(wall: BaseGeometry) -> Iterator[LineString]:
    """The straight pieces of a wall, those that run on in one line put together."""
    for line in _lines(linemerge(list(_lines(wall)))):
        corners = list(line.simplify(_SKIN).coords)
        if corners[0] == corners[-1] and _in_line(corners[-2], corners[0], corners[1]):
            corners = [*corners[1:-1], corners[1]]
        for start, end in pairwise(corners):
            yield LineString([start, end])


def _lines(shape: BaseGeometry) -> Iterator[LineString]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, LineString) and not part.is_empty:
            yield part


def _in_line(before: tuple[float, ...], here: tuple[float, ...], after: tuple[float, ...]) -> bool:
    """Whether a ring begins in the middle of a wall and not at a corner."""
    return LineString([before, after]).distance(Point(here)) < _SKIN
