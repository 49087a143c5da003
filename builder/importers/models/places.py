"""Says in words where a piece of equipment is, from its spot in the plan."""

from itertools import pairwise

from shapely import LineString, Point

from builder.importers.models.draft import HouseTypeDraft
from builder.importers.models.drawn import Vector
from builder.importers.models.rooms import PlacedRoom, RoomLayout

_CEILING = 0.3
_BESIDE = 1.0
_AT_WALL = 0.6
_STANDS = ("fridge-freezer", "dishwasher", "washing-machine", "washer-dryer", "tumble-dryer", "oven", "toilet",
           "hot-water-cylinder", "home-battery")  # fmt: skip


def place_of(
    kind: str,
    room: PlacedRoom | None,
    at: Vector,
    height: float | None,
    layout: RoomLayout,
    draft: HouseTypeDraft,
) -> str:
    """A place as it is written for the plan as drawn, with ``{left}`` and ``{right}``."""
    if room is None:
        return "outside, where the plan shows it"
    if height is not None and height >= layout.ceilings[room.floor] - _CEILING:
        middle = Point(at).distance(room.outline.centroid) < 0.12 * room.outline.area**0.5
        return (
            "in the middle of the ceiling"
            if middle
            else f"on the ceiling{_near_door(room, at, draft)}"
        )
    side, off = _wall(room, at, layout)
    standing = height is None or kind in _STANDS
    if off > _AT_WALL:
        return "away from the walls"
    return f"{'against' if standing else 'on'} the {side}{_near_door(room, at, draft)}"


def _wall(room: PlacedRoom, at: Vector, layout: RoomLayout) -> tuple[str, float]:
    """What the nearest wall is called: by the room behind it, else by its side of the home."""
    ring = list(room.outline.exterior.coords)
    walls = [LineString(pair) for pair in pairwise(ring)]
    wall = min(walls, key=lambda each: (round(each.distance(Point(at)), 2), -each.length))
    on = wall.interpolate(wall.project(Point(at)))
    for other in layout.on(room.floor).values():
        if other.id != room.id and other.outline.distance(on) < 0.02:
            return _wall_to(other), wall.distance(Point(at))
    return f"{_side(wall, room)} wall", wall.distance(Point(at))


def _wall_to(room: PlacedRoom) -> str:
    """The wall to a room. A name that says a side of its own would turn with the hand of a plot."""
    name = room.name.lower()
    return f"wall to the {name}" if not _says_a_side(name) else f"wall to the {room.kind}"


def _says_a_side(name: str) -> bool:
    return bool({"left", "right"} & set(name.lower().split()))


def _side(wall: LineString, room: PlacedRoom) -> str:
    (x0, y0), (x1, y1) = wall.coords[0], wall.coords[-1]
    middle = room.outline.centroid
    if abs(x1 - x0) >= abs(y1 - y0):
        return "front" if (y0 + y1) / 2 < middle.y else "back"
    return "{left}" if (x0 + x1) / 2 < middle.x else "{right}"


def _near_door(room: PlacedRoom, at: Vector, draft: HouseTypeDraft) -> str:
    """The nearest door of the room, where it is within an arm's reach."""
    doors = [
        (Point(entry["at"].value).distance(Point(at)), entry["name"].value)
        for entry in draft.entries("doors").values()
        if "at" in entry and room.id in entry["between"].value and _is_a_door(entry["name"].value)
    ]
    off, name = min(doors, default=(9.0, ""))
    return f", beside the {name.lower()}" if off <= _BESIDE else ""


def _is_a_door(name: str) -> bool:
    return "opening" not in name.lower() and not _says_a_side(name)
