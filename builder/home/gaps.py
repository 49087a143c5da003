"""What lies between the rooms of one storey and belongs to none of them. Areas in square metres."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.home.survey import WALL

_LEAST = 0.01
"""Square metres: what is smaller is a slip of a millimetre along a wall."""
_SKIN = 0.001
"""Metres: what arithmetic leaves between two outlines that meet."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A part of a storey that is in no room, and the rooms that it lies between."""

    area: float
    rooms: tuple[str, ...]


def gaps(outlines: Mapping[str, Polygon]) -> Iterator[Gap]:
    """The enclosed holes between these rooms, and what parts two that stand a wall apart."""
    whole = unary_union(list(outlines.values()))
    closed = unary_union([_filled(each) for each in _polygons(whole)])
    half = WALL / 2 + _SKIN
    drawn_together = closed.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
    for piece in _polygons(unary_union([closed, drawn_together]).difference(whole)):
        beside = tuple(name for name, room in outlines.items() if _along(piece, room))
        if piece.area >= _LEAST and len(beside) > 1:
            yield Gap(piece.area, beside)


def _along(piece: Polygon, room: Polygon) -> bool:
    """Whether a gap runs along a room, and does more than touch a corner of it."""
    return piece.boundary.intersection(room.buffer(_SKIN)).length > 10 * _SKIN


def _filled(polygon: Polygon) -> Polygon:
    return Polygon(polygon.exterior)


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    for part in getattr(shape, "geoms", (shape,)):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part
