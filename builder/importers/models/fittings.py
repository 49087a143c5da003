"""What is built in and is no equipment: baths, basins, sinks and worktops, as they lie in the plan."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from shapely import LineString, Point, Polygon

from builder.importers.models.draft import DraftedValue, HouseTypeDraft, identifier, plain
from builder.importers.models.drawn import ModelOrigin, ModelThing, Vector
from builder.importers.models.frame import Axes
from builder.importers.models.words import BUILT_IN

_LEAST, _MOST = 0.15, 8.0
"""Metres: a box that is shorter or longer is no size of a fitting."""


def fitted_in(
    thing: ModelThing,
    kind: str,
    room: str,
    outline: Polygon,
    at: Vector,
    frame: Axes,
    draft: HouseTypeDraft,
) -> None:
    """One fitting, written into the draft; a worktop also as a finish of its room."""
    origin = thing.origin
    entry = {
        "drawn": DraftedValue(BUILT_IN[kind], origin, "Name"),
        "room": DraftedValue(room, origin, "ObjectPlacement"),
        "at": DraftedValue(at, origin, "ObjectPlacement"),
    }
    size = _size(thing, outline, at, frame)
    if size is not None:
        entry["size"] = DraftedValue(size, origin, "Representation")
    draft.add("fittings", identifier(f"{room}-{kind}", "fitting"), entry)


def _size(thing: ModelThing, outline: Polygon, at: Vector, frame: Axes) -> Vector | None:
    """Length along the wall behind it, and depth."""
    if thing.size is None or not all(_LEAST <= each <= _MOST for each in thing.size):
        return None
    first, second = round(thing.size[0], 3), round(thing.size[1], 3)
    walls = [LineString(pair) for pair in pairwise(outline.exterior.coords)]
    wall = min(walls, key=lambda each: (round(each.distance(Point(at)), 2), -each.length))
    (ax, ay), (bx, by) = wall.coords[0], wall.coords[-1]
    u, v = frame.turned(thing.along)
    lies_along = abs(u * (bx - ax) + v * (by - ay)) >= abs(u * (by - ay) - v * (bx - ax))
    return (first, second) if lies_along else (second, first)


def worktop_finishes(worktops: Sequence[tuple[str, ModelThing]], draft: HouseTypeDraft) -> None:
    """One finish for the worktops of each room."""
    rooms: dict[str, list[ModelThing]] = defaultdict(list)
    for room, thing in worktops:
        rooms[room].append(thing)
    for room, things in rooms.items():
        origin: ModelOrigin = things[0].origin
        material = plain(things[0].material)
        why = "" if material else "the model names no material"
        draft.add("finishes", f"{room}-worktop" if len(rooms) > 1 else "worktop", {
            "room": DraftedValue(room, origin, "ObjectPlacement"),
            "surface": DraftedValue("worktop", origin, "Name"),
            "material": DraftedValue(material or "To be written", origin, "HasAssociations", why),
        })  # fmt: skip
