"""What can be measured of a home as drawn: areas, walls, who adjoins whom, what lies between rooms,
and the ways through it.

Lengths are metres and areas square metres. Rooms without an outline are known and not measured.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.home.measured import Measured, straight
from builder.home.ways import Ways
from builder.layers.memo import Memo
from builder.model.building import Door, Room, RoomKind
from builder.model.equipment import Equipment, Kind
from builder.model.home import Home

NEAR = 0.15
"""Metres that a door or window may be drawn off its wall: half of a usual outside wall."""
WALL = 0.3
"""Metres that rooms stand apart at most where they were drawn to the faces of one wall."""
_LEAST = 0.01
"""Square metres: what is smaller is a slip of a millimetre along a wall."""
_SKIN = 0.001
"""Metres: what arithmetic leaves between two outlines that meet."""


@dataclass(frozen=True)
class Survey:
    """A home as drawn, measured. Everything is worked out once, when it is first asked for.

    With ``kept``, homes that are drawn alike are measured once for all of them.
    """

    home: Home
    kept: Memo = field(default_factory=Memo, compare=False, repr=False)

    @cached_property
    def _measured(self) -> Measured:
        return self.kept.once(Measured, self.home.rooms, self.home.room_kinds, self.home.doors)

    @property
    def outlines(self) -> Mapping[str, Polygon]:
        """The rooms that have an outline which encloses an area, by id."""
        return self._measured.outlines

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
        """Internal floor area of the rooms that count towards it: as measured between the faces of
        their walls where that is known, else from their outlines."""
        return sum(
            room.area or self.outlines[name].area
            for name, room in self.living()
            if name in self.outlines
        )

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
        if isinstance(piece, Kind):
            return frozenset(piece.counts_as)
        return self._work_by_kind[piece.kind if isinstance(piece, Equipment) else piece]

    @cached_property
    def _work_by_kind(self) -> Mapping[str, frozenset[str]]:
        return self.kept.once(_work_of, self.home.kinds)

    def pieces(self, *kinds: str, room: str | None = None) -> Iterator[tuple[str, Equipment]]:
        """The equipment that does the work of one of these kinds, in one room or in all."""
        work = self._work_by_kind
        for name, piece in self.home.equipment.items():
            if not work[piece.kind].isdisjoint(kinds) and room in (None, piece.room):
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
        return self._measured.shared_wall(one, other)

    def outside_wall(self, room: str) -> BaseGeometry:
        """The part of a room's outline that no other inside room of its floor shares."""
        return self._measured.outside_walls[room]

    def wall_of(self, door: Door) -> BaseGeometry | None:
        """The wall that a door stands in; None where it cannot be told from the outlines.

        Stairs join rooms of two floors and stand in no wall of the plan.
        """
        return self._measured.wall_between(door.between)

    @property
    def ways(self) -> Ways:
        """The ways through the doors of the home."""
        return self._measured.ways


def _work_of(kinds: Mapping[str, Kind]) -> Mapping[str, frozenset[str]]:
    """For each kind the kinds whose work it does, its own among them."""
    return {name: frozenset({name, *kind.counts_as}) for name, kind in kinds.items()}


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


@dataclass(frozen=True, slots=True)
class Gap:
    """A part of a storey that is in no room, and the rooms that it lies between."""

    area: float
    rooms: tuple[str, ...]


def gaps(outlines: Mapping[str, Polygon]) -> Iterator[Gap]:
    """The enclosed holes between these rooms, and what parts two that stand a wall apart."""
    whole = unary_union(list(outlines.values()))
    closed = unary_union([_without_holes(each) for each in _polygons(whole)])
    half = WALL / 2 + _SKIN
    drawn_together = closed.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
    for piece in _polygons(unary_union([closed, drawn_together]).difference(whole)):
        beside = tuple(name for name, room in outlines.items() if _along(piece, room))
        if piece.area >= _LEAST and len(beside) > 1:
            yield Gap(piece.area, beside)


def _along(piece: Polygon, room: Polygon) -> bool:
    """Whether a gap runs along a room, and does more than touch a corner of it."""
    return piece.boundary.intersection(room.buffer(_SKIN)).length > 10 * _SKIN


def _without_holes(polygon: Polygon) -> Polygon:
    return Polygon(polygon.exterior)


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part
