"""How high a piece hangs, and how near to a wall."""

from collections.abc import Iterator

from shapely import Point

from builder.home.survey import Survey
from builder.model.equipment import Equipment


def hung(home: Survey, *kinds: str) -> Iterator[tuple[str, Equipment, float]]:
    """The pieces of some kinds whose height is known, with the metres that they hang below the ceiling."""
    for name, piece in home.pieces(*kinds):
        floor = home.storey_of(piece.room)
        if floor is not None and piece.height is not None:
            yield name, piece, round(home.home.floors[floor].ceiling - piece.height, 3)


def from_wall(home: Survey, piece: Equipment) -> float | None:
    """Metres from a piece to the nearest wall of its room, as drawn; none where it is not inside it."""
    outline = home.outlines.get(piece.room)
    if outline is None or piece.at is None or not outline.covers(Point(piece.at)):
        return None
    return outline.exterior.distance(Point(piece.at))
