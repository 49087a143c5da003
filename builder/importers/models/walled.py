"""Rooms of a model that draws no spaces: what its walls go round."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from builder.importers.models.drawn import ModelDrawing, Ring, Space, Storey, Wall

_CLOSES = 0.06
"""Metres that walls may miss each other by at a corner and still close."""
_LEAST_ROOM = 0.5
_LEAST_WIDTH = 0.35
"""Square metres and metres: what is smaller or narrower is a cavity or a duct."""


def with_rooms(drawing: ModelDrawing) -> ModelDrawing:
    """The drawing with a space for each place that walls close round, where it has no spaces itself."""
    if drawing.spaces or not drawing.walls:
        return drawing
    storeys = drawing.storeys or (
        Storey("", 0.0, drawing.walls[0].origin, min(each.low for each in drawing.walls)),
    )
    spaces = tuple(
        space
        for number, storey in enumerate(storeys)
        for space in _rooms(number, storey, storeys, drawing.walls)
    )
    said = f"The model draws no spaces: {len(spaces)} rooms were made where its {len(drawing.walls)} walls close."
    return replace(drawing, storeys=storeys, spaces=spaces, faults=(*drawing.faults, said))


def _rooms(
    number: int, storey: Storey, storeys: Sequence[Storey], walls: Sequence[Wall]
) -> Iterator[Space]:
    """The rooms of one storey, from the left front on."""
    next_up = min(
        (each.height for each in storeys if each.height > storey.height + 1.0), default=None
    )
    level = storey.height + 1.0
    here = [each for each in walls if each.low <= level <= each.high]
    if not here:
        return
    standing = unary_union(
        [Polygon(each.ring).buffer(_CLOSES / 2, join_style="mitre") for each in here]
    )
    high = min(max(each.high for each in here), next_up or float("inf"))
    rooms = sorted(
        _closed_in(standing), key=lambda each: (round(each.bounds[1], 1), round(each.bounds[0], 1))
    )
    for index, room in enumerate(rooms, start=1):
        yield Space(
            number=f"{number}.{index}", name="", storey=number, rings=(_ring(room),), low=storey.height, high=high,
            origin=replace(here[0].origin, entity="IfcWall", identifier="", name="between walls"),
        )  # fmt: skip


def _closed_in(standing: BaseGeometry) -> Iterator[Polygon]:
    """The holes that walls leave, as wide as they are between the faces of the walls."""
    for part in getattr(standing, "geoms", (standing,)):
        for hole in getattr(part, "interiors", ()):
            room = Polygon(hole).buffer(_CLOSES / 2, join_style="mitre")
            inner = room.buffer(-_LEAST_WIDTH / 2)
            if room.area >= _LEAST_ROOM and not inner.is_empty:
                yield room


def _ring(room: Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in list(room.exterior.simplify(0.005).coords)[:-1])
