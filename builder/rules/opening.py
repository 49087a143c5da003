"""Doors and windows as stretches of the walls that they stand in. Lengths in metres."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from builder.home.survey import NEAR, Survey, stretch
from builder.model.building import Door, Window

_HEADROOM = 1.9
"""Metres from the floor; a window with its sill above this may stand over a door. Common practice."""
_OVER_ANOTHER = 1.0
"""Metres between the sills of two windows of which one stands over the other."""
_SLIP = 0.01
"""Metres: more than arithmetic leaves."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A door or window: the straight piece of wall that it stands in, how far along, and where."""

    address: tuple[str, str]
    name: str
    width: float
    sill: float | None
    storey: str | None
    wall: LineString
    middle: float
    centre: tuple[float, float]

    @property
    def span(self) -> LineString:
        """From end to end of the opening, on the line of its wall, which it may reach past."""
        (x, y), (end_x, end_y) = self.wall.coords
        along_x, along_y = (end_x - x) / self.wall.length, (end_y - y) / self.wall.length
        ends = (self.middle - self.width / 2, self.middle + self.width / 2)
        return LineString([(x + end * along_x, y + end * along_y) for end in ends])


def openings(home: Survey, section: Literal["doors", "windows"]) -> tuple[Opening, ...]:
    """The doors or windows that stand in a wall of the plan; roof windows stand in none."""
    drawn = home.home
    parts = (openings, section, drawn.rooms, drawn.room_kinds, drawn.doors, drawn.windows)
    return home.kept.made_from(parts, lambda: tuple(_openings(home, section)))


def _openings(home: Survey, section: Literal["doors", "windows"]) -> Iterator[Opening]:
    entries = home.home.doors if section == "doors" else home.home.windows
    for name, each in entries.items():
        wall = home.wall_of(each) if isinstance(each, Door) else _window_wall(home, each)
        piece = stretch(wall, each.at) if wall is not None and each.at is not None else None
        if piece is not None and each.at is not None:
            middle = piece.project(Point(each.at))
            centre = piece.interpolate(middle)
            yield Opening(
                (section, name),
                each.name,
                each.drawn_width,
                None if isinstance(each, Door) else each.sill,
                _storey(home, each),
                piece,
                middle,
                (centre.x, centre.y),
            )


def _window_wall(home: Survey, window: Window) -> BaseGeometry | None:
    if window.room not in home.outlines or window.kind == "roof":
        return None
    return home.outside_wall(window.room)


def _storey(home: Survey, each: Door | Window) -> str | None:
    rooms = each.between if isinstance(each, Door) else (each.room,)
    return next((floor for room in rooms if (floor := home.storey_of(room))), None)


def is_too_wide(width: float, wall: LineString) -> bool:
    """Whether a width is more than the length of a straight piece of wall, to the centimetre."""
    return round(width - wall.length, 2) > 0


def past_the_corner(opening: Opening) -> float:
    """How far an opening that would fit its wall reaches past the end of it."""
    length = opening.wall.length
    if is_too_wide(opening.width, opening.wall):
        return 0.0
    half = opening.width / 2
    return round(max(half - opening.middle, opening.middle + half - length, 0.0), 2)


def overlap(one: Opening, other: Opening) -> float:
    """How far two openings of one wall overlap along it; 0 where one may stand over the other."""
    if one.storey != other.storey or _one_over_the_other(one, other):
        return 0.0
    if _far_apart(one, other) or not _parallel(one.wall, other.wall):
        return 0.0
    beside = one.span.buffer(NEAR, cap_style="flat")
    return round(beside.intersection(other.span).length, 2)


def _far_apart(one: Opening, other: Opening) -> bool:
    """Whether two openings are too far from each other to meet, whichever way they stand."""
    return math.dist(one.centre, other.centre) > (one.width + other.width) / 2 + NEAR + _SLIP


def _one_over_the_other(one: Opening, other: Opening) -> bool:
    """Whether a window stands over a door, or over another window."""
    if one.sill is None or other.sill is None:
        return (one.sill or other.sill or 0.0) >= _HEADROOM
    return round(abs(one.sill - other.sill), 3) >= _OVER_ANOTHER


def _parallel(one: LineString, other: LineString) -> bool:
    (x, y), (end_x, end_y) = one.coords
    (other_x, other_y), (other_end_x, other_end_y) = other.coords
    across = (end_x - x) * (other_end_y - other_y) - (end_y - y) * (other_end_x - other_x)
    return abs(across) < 0.1 * one.length * other.length
