"""A small sketch of one floor with one thing on it: enough to walk to it, small enough to send."""

from dataclasses import dataclass

from builder.guide.pieces import Piece
from builder.model.home import Home
from builder.model.record import Point

SCALE = 10
"""Units of the sketch in a metre: whole decimetres keep its numbers short."""


@dataclass(frozen=True, slots=True)
class RoomSketch:
    """A room's outline, in units, and whether the thing is in it."""

    corners: tuple[tuple[int, int], ...]
    here: bool


@dataclass(frozen=True, slots=True)
class FloorSketch:
    """One floor seen from above, the front of the home at the bottom. ``spot`` is the thing."""

    says: str
    width: int
    height: int
    rooms: tuple[RoomSketch, ...]
    spot: tuple[int, int] | None


def floor_sketch(home: Home, piece: Piece) -> FloorSketch | None:
    """The sketch of the floor that a piece is on, or none where it stands in no drawn room."""
    room = home.rooms[piece.room_id]
    if room.outline is None:
        return None
    floor = {
        name: each for name, each in home.rooms.items() if each.floor == room.floor and each.outline
    }
    points = [point for each in floor.values() for point in each.outline or ()]
    left, back = min(x for x, _ in points), max(y for _, y in points)

    def unit(point: Point) -> tuple[int, int]:
        return round((point[0] - left) * SCALE), round((back - point[1]) * SCALE)

    width, height = unit((max(x for x, _ in points), min(y for _, y in points)))
    at = home.equipment[piece.id].at
    return FloorSketch(
        says=f"Floor sketch: {piece.where}. Seen from above; the front of the home is at the bottom.",
        width=width,
        height=height,
        rooms=tuple(
            RoomSketch(tuple(map(unit, each.outline or ())), here=name == piece.room_id)
            for name, each in floor.items()
        ),
        spot=unit(at) if at else None,
    )
