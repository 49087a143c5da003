"""Where fittings and stairs stand on a floor, as strokes of its drawing."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from builder.guide.plan.drawing import INSIDE, OUTSIDE, Stroke, Strokes, spot_of
from builder.guide.plan.symbols import SIZES, Vector, outlines
from builder.home.measured import straight
from builder.home.survey import Survey
from builder.model.building import Fitting, Stairs, Symbol
from builder.model.home import Home

CUT = 1.4
"""Metres above a floor at which its plan cuts through stairs, so that they end there in a break line."""
_ARROW = 0.16
"""Metres along each side of the head of the arrow that points up the stairs."""


@dataclass(frozen=True, slots=True)
class RoomGround:
    """The outline of a room, and the part of it between the faces of its walls."""

    outline: Polygon
    faces: BaseGeometry

    @classmethod
    def of(cls, survey: Survey, room: str) -> "RoomGround":
        outline = survey.outlines[room]
        outer = survey.outside_wall(room).buffer(OUTSIDE, join_style="mitre")
        return cls(outline, outline.buffer(-INSIDE, join_style="mitre").difference(outer))


@dataclass(frozen=True, slots=True)
class Stand:
    """A symbol at its place: its middle, and how far its back is turned from the back of the home."""

    symbol: Symbol
    middle: Vector
    size: tuple[float, float]
    turn: float

    def strokes(self, room: str) -> Iterator[Stroke]:
        for outline in outlines(self.symbol, self.size):
            points = tuple(spot_of(self._turned_point(point)) for point in outline.points)
            yield Stroke(points, "fitting", outline.closed, room)

    @property
    def ground(self) -> Polygon:
        """The rectangle that it takes, in metres."""
        width, depth = self.size[0] / 2, self.size[1] / 2
        corners = ((-width, -depth), (width, -depth), (width, depth), (-width, depth))
        return Polygon([self._turned_point(corner) for corner in corners])

    def _turned_point(self, point: Vector) -> Vector:
        cosine, sine = math.cos(self.turn), math.sin(self.turn)
        (x, y), (across, along) = self.middle, point
        return x + across * cosine - along * sine, y + across * sine + along * cosine


def fitting_strokes(survey: Survey, rooms: dict[str, Polygon]) -> Iterator[Stroke]:
    """What is built into the rooms of a floor, and the equipment whose kind is drawn."""
    for room, stand in stands(survey):
        if room in rooms:
            yield from stand.strokes(room)


def stands(survey: Survey) -> Iterator[tuple[str, Stand]]:
    """All that is drawn in the rooms of a home, each with its room."""
    home = survey.home
    for fitting in home.fittings.values():
        if fitting.room in survey.outlines:
            yield fitting.room, _stand_of(fitting, RoomGround.of(survey, fitting.room))
    for room, symbol, at in drawn_pieces(home):
        if room in survey.outlines:
            yield room, _against_wall(symbol, at, SIZES[symbol], RoomGround.of(survey, room))


def drawn_pieces(home: Home) -> Iterator[tuple[str, Symbol, Vector]]:
    """The equipment that a plan shows from above: its room, its symbol and where it stands."""
    for piece in home.equipment.values():
        symbol = home.kinds[piece.kind].drawn
        if symbol is not None and piece.at is not None:
            yield piece.room, symbol, piece.at


def _stand_of(fitting: Fitting, room: RoomGround) -> Stand:
    size = fitting.size or SIZES[fitting.drawn]
    if fitting.turn is None:
        return _against_wall(fitting.drawn, fitting.at, size, room)
    return Stand(fitting.drawn, fitting.at, size, math.radians(fitting.turn))


def _against_wall(symbol: Symbol, at: Vector, size: tuple[float, float], room: RoomGround) -> Stand:
    """A thing with its back to the nearest wall of its room, moved clear of the faces of walls."""
    walls, point = straight(room.outline.boundary), Point(at)
    wall = min(walls, key=lambda each: (round(each.distance(point), 2), -each.length))
    front = _inwards(wall, room.outline)
    beside = (-front[1], front[0])
    back, other = _against(front), _against(beside)
    half_width, half_depth = size[0] / 2, size[1] / 2
    for way, half in ((back, half_depth), (beside, half_width), (other, half_width)):
        at = _cleared(at, way, half, room.faces)
    return Stand(symbol, at, size, -math.atan2(*back))


def _cleared(at: Vector, way: Vector, half: float, faces: BaseGeometry) -> Vector:
    """A place so far from the face of a wall on one side that half of a thing stands before it."""
    reach = LineString([at, (at[0] + way[0] * half, at[1] + way[1] * half)])
    free = _longest(reach.intersection(faces))
    lacking = half - free.length if free is not None else 0.0
    return at[0] - way[0] * lacking, at[1] - way[1] * lacking


def _against(way: Vector) -> Vector:
    return -way[0], -way[1]


def _inwards(wall: LineString, room: Polygon) -> Vector:
    """The way from a wall into its room, one metre long."""
    (x0, y0), (x1, y1) = wall.coords[0], wall.coords[-1]
    across = (-(y1 - y0) / wall.length, (x1 - x0) / wall.length)
    middle = wall.interpolate(0.5, normalized=True)
    inside = room.covers(Point(middle.x + across[0] * 0.02, middle.y + across[1] * 0.02))
    return across if inside else (-across[0], -across[1])


def stair_strokes(survey: Survey, rooms: dict[str, Polygon]) -> Iterator[Stroke]:
    """The stairs of a floor: up from it as far as the cut, and all that comes up to it."""
    hidden: BaseGeometry = Polygon()
    for stairs in survey.home.stairs.values():
        if stairs.foot in rooms:
            yield from _going_up(stairs, survey)
            hidden = hidden.union(
                _below_the_cut(stairs, survey).buffer(stairs.width / 2, cap_style="flat")
            )
    for stairs in survey.home.stairs.values():
        if stairs.head in rooms:
            yield from _coming_up(stairs, rooms[stairs.head].difference(hidden))


def _going_up(stairs: Stairs, survey: Survey) -> Iterator[Stroke]:
    line, seen = LineString(stairs.line), _below_the_cut(stairs, survey)
    yield from _flight(stairs, line, seen)
    yield from _arrow(seen)
    yield _stroke(_break(seen, stairs.width), "fitting")


def _below_the_cut(stairs: Stairs, survey: Survey) -> LineString:
    """The part of the way up that lies below the cut of the plan."""
    line = LineString(stairs.line)
    return _part(line, 0, line.length * min(1.0, CUT / _rise(stairs, survey)))


def _coming_up(stairs: Stairs, room: BaseGeometry) -> Iterator[Stroke]:
    """As much of the stairs as the room at their head leaves open to be seen from above."""
    line = LineString(stairs.line)
    seen = _longest(line.intersection(room.buffer(0.02)))
    if seen is not None and seen.length > stairs.width / 2:
        yield from _flight(stairs, line, seen)
        yield from _arrow(seen)


def _rise(stairs: Stairs, survey: Survey) -> float:
    """Metres from the floor at the foot to the floor at the head."""
    rise = survey.height_above_ground(stairs.head) - survey.height_above_ground(stairs.foot)
    return rise if rise > 1 else stairs.risers * 0.2


def _flight(stairs: Stairs, line: LineString, seen: LineString) -> Iterator[Stroke]:
    """The outline of the stairs, and the edge of each step that is seen."""
    half = stairs.width / 2
    around = seen.buffer(half, cap_style="flat", join_style="mitre").exterior
    yield _stroke(tuple((x, y) for x, y in around.coords[:-1]), "fitting", closed=True)
    start = line.project(Point(seen.coords[0]))
    going = line.length / (stairs.risers - 1)
    for step in range(stairs.risers):
        at = step * going
        if start - 0.01 <= at <= start + seen.length + 0.01:
            yield _stroke(_across(line, at, half), "fitting")


def _across(line: LineString, at: float, half: float) -> tuple[Vector, ...]:
    """The edge of a step: straight across the way up."""
    middle, (u, v) = line.interpolate(at), _direction_at(line, at)
    return (middle.x - v * half, middle.y + u * half), (middle.x + v * half, middle.y - u * half)


def _direction_at(line: LineString, at: float) -> Vector:
    before, after = (
        line.interpolate(max(at - 0.02, 0)),
        line.interpolate(min(at + 0.02, line.length)),
    )
    length = before.distance(after) or 1.0
    return (after.x - before.x) / length, (after.y - before.y) / length


def _arrow(seen: LineString) -> Iterator[Stroke]:
    """The way up, with its head where what is seen ends."""
    shaft = _part(seen, 0.1, max(seen.length - 0.12, 0.2))
    tip, (u, v) = shaft.coords[-1], _direction_at(shaft, shaft.length)
    barbs = [
        (tip[0] - _ARROW * (u + side * v * 0.6), tip[1] - _ARROW * (v - side * u * 0.6))
        for side in (1, -1)
    ]
    yield _stroke(_coords(shaft), "way-up")
    yield _stroke((barbs[0], (tip[0], tip[1]), barbs[1]), "way-up")


def _break(seen: LineString, width: float) -> tuple[Vector, ...]:
    """A line with a zigzag, aslant across the way up where the plan cuts it."""
    half, (u, v) = width / 2, _direction_at(seen, seen.length)
    end = seen.coords[-1]
    slant = (
        (-half, -0.12),
        (-0.08, -0.02),
        (-0.04, 0.08),
        (0.04, -0.08),
        (0.08, 0.02),
        (half, 0.12),
    )
    return tuple(
        (end[0] + across * -v + along * u, end[1] + across * u + along * v)
        for across, along in slant
    )


def _part(line: LineString, start: float, end: float) -> LineString:
    """The line from one distance along it to a greater one."""
    return LineString(substring(line, start, end).coords)


def _longest(shape: BaseGeometry) -> LineString | None:
    lines = [each for each in getattr(shape, "geoms", (shape,)) if isinstance(each, LineString)]
    return max(lines, key=lambda line: line.length, default=None)


def _coords(line: BaseGeometry) -> tuple[Vector, ...]:
    longest = _longest(line)
    return tuple((x, y) for x, y, *_ in longest.coords) if longest is not None else ()


def _stroke(points: tuple[Vector, ...], kind: Strokes, *, closed: bool = False) -> Stroke:
    return Stroke(tuple(map(spot_of, points)), kind, closed)
