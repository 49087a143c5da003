"""The walls and openings of one floor: thick where they stand, open where a door or window is."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.guide.plan.boxes import Box
from builder.guide.plan.drawing import INSIDE, OUTSIDE, Area, Base, Leaf, Spot, Stroke, spot_of
from builder.guide.plan.fitted import fitting_strokes, stair_strokes
from builder.home.survey import Survey
from builder.model.building import Door, Window

_STEP = 0.03
"""Metres before and behind a wall at which is asked which room lies there."""

Vector = tuple[float, float]


@dataclass(frozen=True, slots=True)
class WallGap:
    """A gap in a wall: its middle, the way along the wall, half of its width; metres as in the home."""

    middle: Vector
    along: Vector
    half: float

    def point(self, along: float, across: float = 0.0) -> Vector:
        """A point of the opening: so far along the wall from its middle, so far to its left."""
        (x, y), (u, v) = self.middle, self.along
        return x + along * u - across * v, y + along * v + across * u

    @property
    def gap(self) -> Polygon:
        depth = OUTSIDE + 0.05
        ends = ((-self.half, -depth), (self.half, -depth), (self.half, depth), (-self.half, depth))
        return Polygon([self.point(*end) for end in ends])


@dataclass(frozen=True)
class FloorDrawing:
    """One floor on its way to a drawing: metres become units, and up becomes down."""

    survey: Survey
    name: str

    def base(self) -> Base | None:
        """The floor without marks, or none where no room of it has an outline."""
        if not self.rooms:
            return None
        doors, windows = list(self._doors()), list(self._windows())
        walls = self._walls([each for _, each in doors] + [each for _, each in windows])
        leaves, strokes = self._leaves(doors), self._strokes(doors, windows)
        return Base(
            floor=self.name,
            title=self.survey.home.floors[self.name].name,
            walls=tuple(self._ring(ring) for ring in _rings(walls)),
            areas=tuple(self._areas()),
            leaves=tuple(leaves),
            strokes=tuple(strokes),
            box=self._box(walls, leaves),
        )

    @cached_property
    def rooms(self) -> dict[str, Polygon]:
        """The outlines of the rooms of this floor."""
        return {
            name: outline
            for name, outline in self.survey.outlines.items()
            if self.survey.storey_of(name) == self.name
        }

    @cached_property
    def walled(self) -> dict[str, Polygon]:
        return {
            name: each for name, each in self.rooms.items() if self.survey.kind_of_room(name).inside
        }

    def spot(self, point: Vector) -> Spot:
        return spot_of(point)

    def _ring(self, ring: BaseGeometry) -> tuple[Spot, ...]:
        return tuple(self.spot((x, y)) for x, y in list(ring.coords)[:-1])

    def _areas(self) -> Iterator[Area]:
        for name, outline in self.rooms.items():
            light = not self.survey.kind_of_room(name).inside
            yield Area(name, self._ring(outline.exterior), light=light)

    def _walls(self, openings: list[WallGap]) -> BaseGeometry:
        inside = list(self.walled.values())
        thin = [each.boundary.buffer(INSIDE, join_style="mitre") for each in inside]
        thick = unary_union(inside).boundary.buffer(OUTSIDE, join_style="mitre")
        # A door at the end of a wall must not notch the outside wall that it runs into.
        outside = [each for each in openings if thick.covers(Point(each.middle))]
        gaps, through = (unary_union([each.gap for each in some]) for some in (openings, outside))
        walls = [thick.difference(through), unary_union(thin).difference(gaps)]
        return unary_union(walls).simplify(0.004)

    def _doors(self) -> Iterator[tuple[Door, WallGap]]:
        for door in self.survey.home.doors.values():
            here = any(room in self.rooms for room in door.between)
            if door.at is None or not here or not self.survey.on_one_floor(*door.between):
                continue
            walls = [self.rooms[each] for each in door.between if each in self.rooms]
            yield door, _opening(walls, door.at, door.drawn_width)

    def _windows(self) -> Iterator[tuple[Window, WallGap]]:
        for window in self.survey.home.windows.values():
            if window.at is not None and window.room in self.rooms and window.kind != "roof":
                yield window, _opening([self.rooms[window.room]], window.at, window.drawn_width)

    def _leaves(self, doors: list[tuple[Door, WallGap]]) -> list[Leaf]:
        return [
            leaf
            for door, opening in doors
            if door.opens_into is not None
            for leaf in self._leaves_of(door, opening)
        ]

    def _leaves_of(self, door: Door, opening: WallGap) -> Iterator[Leaf]:
        into = self._into(door, opening)
        if door.kind == "double":
            yield self._leaf(opening, -opening.half, 0.0, into)
            yield self._leaf(opening, opening.half, 0.0, into)
        elif door.kind == "hinged" and door.hinge is not None:
            # Who stands in the room and looks at the door has the far end of "along" on the left
            # where the room lies to the left of "along", and on the right where it does not.
            far = (door.hinge == "left") == (into > 0)
            hinge = opening.half if far else -opening.half
            yield self._leaf(opening, hinge, -hinge, into)

    def _leaf(self, opening: WallGap, hinge: float, jamb: float, into: float) -> Leaf:
        length = abs(hinge - jamb)
        start, tip = self.spot(opening.point(hinge)), self.spot(opening.point(hinge, into * length))
        end = self.spot(opening.point(jamb))
        turn = (tip[0] - start[0]) * (end[1] - start[1]) - (tip[1] - start[1]) * (end[0] - start[0])
        return Leaf(start, tip, end, clockwise=turn > 0)

    def _into(self, door: Door, opening: WallGap) -> float:
        """1 where the room that a door opens into lies to the left of the wall's way, else -1."""
        into = door.opens_into in self.rooms
        beside = (
            door.opens_into if into else next(each for each in door.between if each in self.rooms)
        )
        room = self.rooms[beside or ""]
        left, right = (room.distance(Point(opening.point(0.0, side))) for side in (_STEP, -_STEP))
        lies_left = left <= right
        return 1.0 if lies_left == into else -1.0

    def _strokes(
        self, doors: list[tuple[Door, WallGap]], windows: list[tuple[Window, WallGap]]
    ) -> list[Stroke]:
        strokes = [each for door, opening in doors for each in self._panels(door, opening)]
        strokes += [each for _, opening in windows for each in self._sill(opening)]
        strokes += self._roof_windows()
        strokes += stair_strokes(self.survey, self.rooms)
        return strokes + list(fitting_strokes(self.survey, self.rooms))

    def _panels(self, door: Door, opening: WallGap) -> Iterator[Stroke]:
        half = opening.half
        if door.kind == "garage":
            yield self._line(opening, ((-half, 0.0), (half, 0.0)), "overhead")
        elif door.kind == "sliding":
            yield self._line(opening, ((-half, 0.04), (0.1, 0.04)), "panel")
            yield self._line(opening, ((-0.1, -0.04), (half, -0.04)), "panel")
        elif door.kind == "folding":
            points = tuple((-half + half * step / 2, 0.12 * (step % 2)) for step in range(5))
            yield self._line(opening, points, "panel")
        elif door.kind == "hinged" and (door.hinge is None or door.opens_into is None):
            yield self._line(opening, ((-half, 0.0), (half, 0.0)), "panel")

    def _sill(self, opening: WallGap) -> Iterator[Stroke]:
        half, depth = opening.half, OUTSIDE * 0.8
        corners = ((-half, -depth), (half, -depth), (half, depth), (-half, depth))
        yield self._line(opening, corners, "sill", closed=True)
        yield self._line(opening, ((-half, 0.0), (half, 0.0)), "sill")

    def _roof_windows(self) -> Iterator[Stroke]:
        for window in self.survey.home.windows.values():
            if window.at is not None and window.room in self.rooms and window.kind == "roof":
                (x, y), half = window.at, window.drawn_width / 2
                corners = [
                    (x - half, y - 0.5),
                    (x + half, y - 0.5),
                    (x + half, y + 0.5),
                    (x - half, y + 0.5),
                ]
                yield Stroke(tuple(map(self.spot, corners)), "roof", closed=True)

    def _line(
        self, opening: WallGap, points: tuple[Vector, ...], kind: str, *, closed: bool = False
    ) -> Stroke:
        return Stroke(tuple(self.spot(opening.point(*each)) for each in points), kind, closed)  # type: ignore[arg-type]

    def _box(self, walls: BaseGeometry, leaves: list[Leaf]) -> Box:
        shapes = unary_union([walls, *self.rooms.values()])
        left, low, right, high = shapes.bounds
        box = Box(*self.spot((left, high)), *self.spot((right, low)))
        for leaf in leaves:
            box = box.joined(Box(*leaf.tip, *leaf.tip))
        return box


def _opening(rooms: list[Polygon], at: Vector, width: float) -> WallGap:
    """The opening of a width in the straight wall of these rooms that a point is nearest to."""
    sides = [
        side for room in rooms for side in pairwise(room.exterior.coords) if side[0] != side[1]
    ]
    (x0, y0), (x1, y1) = min(sides, key=lambda side: (round(_off(side, at), 3), -math.dist(*side)))
    length = math.dist((x0, y0), (x1, y1))
    u, v = (x1 - x0) / length, (y1 - y0) / length
    on = min(max((at[0] - x0) * u + (at[1] - y0) * v, 0.0), length)
    return WallGap((x0 + on * u, y0 + on * v), (u, v), width / 2)


def _off(side: tuple[Any, Any], at: Vector) -> float:
    """How far a point is from a straight wall."""
    (x0, y0), (x1, y1) = side
    share = ((at[0] - x0) * (x1 - x0) + (at[1] - y0) * (y1 - y0)) / math.dist(*side) ** 2
    share = min(max(share, 0.0), 1.0)
    return math.dist(at, (x0 + share * (x1 - x0), y0 + share * (y1 - y0)))


def _rings(walls: BaseGeometry) -> Iterator[BaseGeometry]:
    for part in getattr(walls, "geoms", (walls,)):
        if isinstance(part, Polygon):
            yield part.exterior
            yield from part.interiors
