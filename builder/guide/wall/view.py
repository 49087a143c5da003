"""A wall as one stands before it: its openings, what stands against it, and where a piece is.

Metres. ``x`` grows to the right as seen, from the left end of the wall, and heights from the floor
that one stands on. Geometry is that of the plot's own hand, so left and right are true.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.guide.plan.drawing import INSIDE, OUTSIDE
from builder.guide.plan.fitted import stands
from builder.home.measured import straight
from builder.home.survey import NEAR, Survey
from builder.model.building import Door, Symbol, Window
from builder.model.equipment import Equipment

REACH = 0.65
"""Metres before a wall within which a piece is shown on it: the depth of a worktop or a cupboard."""
CEILING = 0.08
"""Metres below a ceiling within which a piece hangs on the ceiling, and not on a wall."""
DOOR_HEAD, WINDOW_HEAD, WINDOW_SILL = 2.0, 2.1, 0.9
"""Metres at which doors and windows are drawn where no height is said: common practice."""
EAVES = 2.6
"""Metres up to which an outside wall is drawn at least."""
STANDS: dict[Symbol, float] = {
    "appliance": 0.85,
    "basin": 0.85,
    "bath": 0.55,
    "bed": 0.5,
    "cylinder": 1.6,
    "hob": 0.9,
    "shower-tray": 0.1,
    "sink": 0.9,
    "toilet": 0.8,
    "wardrobe": 2.1,
    "worktop": 0.9,
}
"""Metres up to which things that stand against a wall are drawn: common practice."""

Vector = tuple[float, float]


@dataclass(frozen=True, slots=True)
class WallOpening:
    """A door or window in the wall: its edges, and what it is called. ``measured``: its width was said."""

    left: float
    right: float
    bottom: float
    top: float
    noun: str
    measured: bool


@dataclass(frozen=True, slots=True)
class Block:
    """Something that stands against the wall, such as a worktop."""

    left: float
    right: float
    top: float


@dataclass(frozen=True, slots=True)
class WallMark:
    """The edge that a piece is measured from: of a corner or of an opening, and its side as seen.

    ``side`` is where the piece lies from the edge; of a corner, which corner it is.
    """

    x: float
    noun: str
    side: str


@dataclass(frozen=True, slots=True)
class WallView:
    """What is drawn of a wall. ``x`` and ``height`` are those of the piece.

    ``beyond`` are the rooms behind the wall, none where that is outside; ``side`` is the side of the
    home that an outside wall is on, seen from the street. ``wall`` are the ends of the wall, from
    left to right as seen, which no other wall of the home has.
    """

    room: str
    beyond: tuple[str, ...]
    side: str
    outside: bool
    width: float
    top: float
    openings: tuple[WallOpening, ...]
    blocks: tuple[Block, ...]
    x: float
    height: float
    mark: WallMark | None
    wall: tuple[Vector, Vector] = ((0.0, 0.0), (0.0, 0.0))

    @property
    def off_mark(self) -> float:
        """Metres from the edge that it is measured from, to the middle of the piece."""
        return abs(self.x - self.mark.x) if self.mark else 0.0


@dataclass(frozen=True)
class _Wall:
    """A straight wall and the side that it is seen from, as a unit vector towards the viewer."""

    line: LineString
    towards: Vector

    @cached_property
    def right(self) -> Vector:
        """The way to the right hand of who faces the wall."""
        x, y = self.towards
        return -y, x

    @cached_property
    def ends(self) -> tuple[Vector, Vector]:
        """Both ends of the wall, the one at the left hand of who faces it first."""
        ends = [(x, y) for x, y in (self.line.coords[0], self.line.coords[-1])]
        left, right = sorted(ends, key=lambda end: end[0] * self.right[0] + end[1] * self.right[1])
        return left, right

    @property
    def start(self) -> Vector:
        """The end of the wall at the left hand of who faces it."""
        return self.ends[0]

    def across(self, point: Vector) -> float:
        """How far to the right of the left end a point lies."""
        (x, y), (left, low) = point, self.start
        return (x - left) * self.right[0] + (y - low) * self.right[1]

    def has(self, point: Vector | None) -> bool:
        return point is not None and self.line.distance(Point(point)) <= NEAR


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a piece is: its room, its place on the plan, and its height."""

    room: str
    at: Vector
    height: float


@dataclass(frozen=True)
class Walls:
    """The walls of one home. What several pieces share is worked out once, and so is each view."""

    survey: Survey

    def view(self, piece: Equipment) -> WallView | None:
        """The wall that a piece is on or stands against; none where no wall or height is known."""
        if piece.at is None or piece.height is None:
            return None
        spot = piece.room, piece.at, piece.height
        if spot not in self._seen:
            self._seen[spot] = self._view(_Spot(*spot))
        return self._seen[spot]

    @cached_property
    def _seen(self) -> dict[tuple[str, Vector, float], WallView | None]:
        """The views that were asked for so far."""
        return {}

    def _view(self, piece: _Spot) -> WallView | None:
        survey = self.survey
        outside = not survey.kind_of_room(piece.room).inside
        wall = _nearest(self._walls(piece.room, outside=outside), piece.at)
        top = _top(survey, piece, outside=outside)
        if wall is None or (not outside and piece.height > top - CEILING):
            return None
        openings = self._openings(wall, piece.room, outside=outside)
        x = min(max(wall.across(piece.at), 0.0), wall.line.length)
        face = -OUTSIDE if outside else INSIDE
        return WallView(
            room=survey.home.rooms[piece.room].name,
            beyond=_beyond(survey, wall, piece),
            side=_side(wall, outside=outside),
            outside=outside,
            width=wall.line.length,
            top=top,
            openings=openings,
            blocks=() if outside else tuple(_blocks(wall, self._fittings.get(piece.room, ()))),
            x=x,
            height=piece.height,
            mark=_mark(x, piece.height, openings, wall.line.length, face),
            wall=wall.ends,
        )

    def _openings(self, wall: _Wall, room: str, *, outside: bool) -> tuple[WallOpening, ...]:
        """The openings of a wall from left to right, seen from a room, or from anywhere outside."""
        seen = id(wall), "" if outside else room
        if seen not in self._opened:
            found = _openings(self.survey, wall, room, outside=outside)
            self._opened[seen] = tuple(sorted(found, key=lambda each: each.left))
        return self._opened[seen]

    @cached_property
    def _opened(self) -> dict[tuple[int, str], tuple[WallOpening, ...]]:
        """The openings of the walls that were looked at so far, by wall and room."""
        return {}

    def _walls(self, room: str, *, outside: bool) -> tuple[_Wall, ...]:
        return self._outside if outside else self._inside.get(room, ())

    @cached_property
    def _inside(self) -> Mapping[str, tuple[_Wall, ...]]:
        """The walls of each room, seen from the room."""
        return {
            name: _around(outline, outline.boundary, inwards=True)
            for name, outline in self.survey.outlines.items()
        }

    @cached_property
    def _outside(self) -> tuple[_Wall, ...]:
        """The outside walls of the floor of the entrance, seen from outside."""
        survey = self.survey
        floors = {name: abs(floor.level) for name, floor in survey.home.floors.items()}
        entrance = min(floors, key=lambda name: floors[name], default=None)
        rooms = [
            outline.buffer(0.01, join_style="mitre")
            for name, outline in survey.outlines.items()
            if survey.storey_of(name) == entrance and survey.kind_of_room(name).inside
        ]
        buildings = unary_union(rooms)
        return tuple(
            wall
            for each in getattr(buildings, "geoms", (buildings,))
            if isinstance(each, Polygon)
            for wall in _around(each, each.exterior, inwards=False)
        )

    @cached_property
    def _fittings(self) -> Mapping[str, tuple[tuple[Symbol, Polygon], ...]]:
        """What stands in each room, with the ground that it takes."""
        found: dict[str, list[tuple[Symbol, Polygon]]] = {}
        for room, stand in stands(self.survey):
            found.setdefault(room, []).append((stand.symbol, stand.ground))
        return {room: tuple(each) for room, each in found.items()}


def _around(room: Polygon, ring: BaseGeometry, *, inwards: bool) -> tuple[_Wall, ...]:
    return tuple(_Wall(side, _normal(side, room, inwards=inwards)) for side in straight(ring))


def _nearest(walls: tuple[_Wall, ...], at: Vector) -> _Wall | None:
    """The wall nearest to a point, if it is within reach."""
    point = Point(at)
    near = [wall for wall in walls if wall.line.distance(point) <= REACH]
    return min(
        near,
        key=lambda wall: (round(wall.line.distance(point), 2), -wall.line.length),
        default=None,
    )


def _top(survey: Survey, piece: _Spot, *, outside: bool) -> float:
    """The height of the ceiling, or as much of an outside wall as shows the piece."""
    floor = survey.storey_of(piece.room)
    if outside or floor is None:
        return max(EAVES, piece.height + 0.5)
    return survey.home.floors[floor].room_height


def _normal(side: LineString, room: Polygon, *, inwards: bool) -> Vector:
    (x0, y0), (x1, y1) = side.coords[0], side.coords[-1]
    across = (-(y1 - y0) / side.length, (x1 - x0) / side.length)
    middle = side.interpolate(0.5, normalized=True)
    inside = room.covers(Point(middle.x + across[0] * 0.02, middle.y + across[1] * 0.02))
    return across if inside == inwards else (-across[0], -across[1])


def _openings(survey: Survey, wall: _Wall, room: str, *, outside: bool) -> Iterator[WallOpening]:
    """The doors and windows of the wall; of an outside wall those of every floor."""
    for door in survey.home.doors.values():
        if wall.has(door.at) and _is_seen(survey, door.between, room, outside=outside):
            yield _door(door, wall, _rise(survey, door.between, outside=outside))
    for window in survey.home.windows.values():
        seen = outside or window.room == room
        if window.kind != "roof" and wall.has(window.at) and seen:
            yield _window(window, wall, _rise(survey, (window.room,), outside=outside))


def _is_seen(survey: Survey, between: tuple[str, str], room: str, *, outside: bool) -> bool:
    if not outside:
        return room in between and survey.on_one_floor(*between)
    return any(not survey.kind_of_room(each).inside for each in between)


def _rise(survey: Survey, rooms: tuple[str, ...], *, outside: bool) -> float:
    """How far above the ground outside an opening's own floor is."""
    if not outside:
        return 0.0
    return max((survey.height_above_ground(room) for room in rooms), default=0.0)


def _door(door: Door, wall: _Wall, rise: float) -> WallOpening:
    nouns = {"opening": "opening", "garage": "garage door", "double": "double doors"}
    return _opening(door, wall, (rise, rise + DOOR_HEAD), nouns.get(door.kind, "door"))


def _window(window: Window, wall: _Wall, rise: float) -> WallOpening:
    sill = WINDOW_SILL if window.sill is None else window.sill
    return _opening(window, wall, (rise + sill, rise + max(WINDOW_HEAD, sill + 0.5)), "window")


def _opening(
    opening: Door | Window, wall: _Wall, heights: tuple[float, float], noun: str
) -> WallOpening:
    middle, half = wall.across(opening.at or (0.0, 0.0)), opening.drawn_width / 2
    left, right = max(middle - half, 0.0), min(middle + half, wall.line.length)
    return WallOpening(left, right, *heights, noun, measured=opening.width is not None)


def _blocks(wall: _Wall, fittings: Iterable[tuple[Symbol, Polygon]]) -> Iterator[Block]:
    """What stands with its back or its side to the wall."""
    for symbol, ground in fittings:
        if ground.distance(wall.line) <= OUTSIDE + 0.03:
            across = [wall.across((x, y)) for x, y in ground.exterior.coords]
            left, right = max(min(across), 0.0), min(max(across), wall.line.length)
            if right - left > INSIDE:
                yield Block(left, right, STANDS[symbol])


def _beyond(survey: Survey, wall: _Wall, piece: _Spot) -> tuple[str, ...]:
    """What lies behind the wall at the piece: a room by its name, or nothing where that is outside."""
    on = wall.line.interpolate(wall.line.project(Point(piece.at)))
    behind = Point(on.x - wall.towards[0] * 0.1, on.y - wall.towards[1] * 0.1)
    for name, outline in survey.outlines.items():
        one_floor = survey.storey_of(name) == survey.storey_of(piece.room)
        if name != piece.room and one_floor and outline.covers(behind):
            return (survey.home.rooms[name].name,)
    return ()


def _side(wall: _Wall, *, outside: bool) -> str:
    """The side of the home that the wall faces, seen from the street."""
    x, y = wall.towards if outside else (-wall.towards[0], -wall.towards[1])
    if abs(y) >= abs(x):
        return "back" if y > 0 else "front"
    return "right" if x > 0 else "left"


def _mark(
    x: float, height: float, openings: tuple[WallOpening, ...], width: float, face: float
) -> WallMark | None:
    """The nearest edge that a piece is not itself within: of an opening whose width is known, or a corner."""
    marks = [WallMark(face, "corner", "left"), WallMark(width - face, "corner", "right")]
    for each in openings:
        if each.left < x < each.right or not each.measured:
            continue
        right = x >= each.right
        marks.append(
            WallMark(each.right if right else each.left, each.noun, "right" if right else "left")
        )
    within = [each for each in openings if each.left < x < each.right and each.bottom < height]
    if within and within[0].top > height:
        return None
    return min(marks, key=lambda mark: (round(abs(mark.x - x), 2), mark.noun == "corner"))
