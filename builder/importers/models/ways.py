"""Doors, openings and stairs of a house type: which rooms they join, and how they open."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import networkx
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge, nearest_points, unary_union

from builder.importers.models.draft import (
    DraftedValue,
    Entry,
    HouseTypeDraft,
    LeftOut,
    identifier,
    plain,
)
from builder.importers.models.drawn import ModelDrawing, ModelOpening, ModelOrigin, Vector
from builder.importers.models.frontage import ModelEntrance
from builder.importers.models.homes import Known, Rooms, beside
from builder.importers.models.rooms import HomeOfModel, PlacedRoom, RoomLayout
from builder.importers.models.stairs import CIRCULATION, climbed
from builder.importers.models.words import OPEN_AIR, Vocabulary

OUTSIDE = "outside"
_PRIVATE = (
    "bedroom",
    "bathroom",
    "shower-room",
    "utility",
    "toilet",
    "plant",
    "cupboard",
    "garage",
    *OPEN_AIR,
)
"""Rooms that a door is called after, the last of these first."""
_LEAST_WAY = 0.6
"""Metres: what is narrower is no way between two rooms."""
_TWO_LEAVES = 1.4
"""Metres from which a door that says nothing of itself is taken for one of two leaves."""
_ON_WALL = 0.005


def joined(home: HomeOfModel, front: ModelEntrance | None) -> None:
    """All doors, openings and stairs of the home, written into the draft."""
    rooms, layout, draft = home.rooms, home.layout, home.draft
    entrance = front.door if front else None
    for door in sorted(home.drawing.doors, key=lambda each: each is not entrance):
        sides = [_room_of(each, layout) for each in beside(door, rooms)]
        own = [each for each in sides if each is not None]
        if not own or _is_elsewhere(door, rooms, layout):
            continue
        if len(own) == 2 and own[0].id == own[1].id:
            draft.left_out.append(
                LeftOut(_opening_in_words(door), "the same room lies on both sides of it")
            )
            continue
        _door(door, sides, home, is_front=door is entrance)
    if front is not None and front.is_shared and front.beyond is None:
        _shared_way(front, draft)
    if front is None:
        _entrance(layout, draft)
    _open_ways(home.drawing, layout, draft)
    climbed(home.drawing.stairs, layout, draft)
    _missing_ways(layout, draft)


def _shared_way(front: ModelEntrance, draft: HouseTypeDraft) -> None:
    """A place that homes share, behind a front door that is up in a building."""
    why = f"the front door is {front.above:.2f} m above the ground"
    corridor = draft.add("rooms", "corridor", {
        "name": DraftedValue("Corridor", None, "", why), "kind": DraftedValue("communal", None, "", why),
    })  # fmt: skip
    door = draft.sections["doors"]["front-door"]
    inner = next(each for each in door["between"].value if each != OUTSIDE)
    door["between"] = DraftedValue((inner, corridor), front.door.origin, "ObjectPlacement", why)
    if "opens_into" in door and door["opens_into"].value == OUTSIDE:
        door["opens_into"] = DraftedValue(corridor, front.door.origin, "ObjectPlacement", why)


def _entrance(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """A front door where the model shows none: without one no guide can be made."""
    ground = [each for each in layout.rooms.values() if layout.levels[each.floor] == 0]
    room = min(
        ground,
        key=lambda each: (each.kind != "hall", each.kind not in CIRCULATION, -each.outline.area),
    )
    others = unary_union([each.outline.buffer(0.05) for each in ground if each.id != room.id])
    wall = max(_lines(room.outline.boundary.difference(others)), key=lambda each: (-round(each.centroid.y, 1), each.length), default=None)  # fmt: skip
    origin, why = room.known.space.origin, "the model shows no door to the outside"
    entry: Entry = {
        "name": DraftedValue("Front door", origin, "", why),
        "between": DraftedValue((room.id, OUTSIDE), origin, "", why),
    }
    if wall is not None:
        middle = wall.interpolate(0.5, normalized=True)
        entry["at"] = DraftedValue(
            (round(middle.x, 3) + 0.0, round(middle.y, 3) + 0.0), origin, "", why
        )
    draft.add("doors", "front-door", entry)


def _room_of(known: Known | None, layout: RoomLayout) -> PlacedRoom | None:
    return layout.of(known)


def _is_elsewhere(door: ModelOpening, rooms: Rooms, layout: RoomLayout) -> bool:
    """Whether a door joins only rooms of other homes."""
    return not any(layout.of(each) for each in beside(door, rooms))


def _opening_in_words(opening: ModelOpening) -> str:
    return f"{opening.origin.entity} '{plain(opening.name)}' ({opening.origin.identifier})"


def _door(
    door: ModelOpening, sides: Sequence[PlacedRoom | None], home: HomeOfModel, *, is_front: bool
) -> None:
    """One door. Its first side is the one that its leaf swings into."""
    layout, draft, spaces = home.layout, home.draft, beside(door, home.rooms)
    into, beyond = (
        _side(each, space, layout, draft) for each, space in zip(sides, spaces, strict=True)
    )
    kind, why = _kind(door, (into, beyond), layout, home.words)
    between = tuple(sorted((into, beyond), key=lambda each: _rank(each, layout)))
    origin = door.origin
    title = "Front door" if is_front else _title(between, kind, layout)
    entry: Entry = {
        "name": DraftedValue(title, origin, "Name", note=f"the model says '{plain(door.name)}'"),
        "between": DraftedValue(between, origin, "ObjectPlacement"),
        "at": DraftedValue(
            _middle_of(door, [each for each in sides if each], layout), origin, "ObjectPlacement"
        ),
    }
    if door.width:
        entry["width"] = DraftedValue(round(door.width, 3), origin, "OverallWidth")
    if kind != "hinged":
        entry["kind"] = DraftedValue(
            kind, origin, door.operation_from.partition(".")[2] or "Name", why
        )
    entry.update(_leaf(door, kind, into))
    if door.fire_rating:
        entry["fire_rating"] = DraftedValue(
            plain(door.fire_rating), origin, "Pset_DoorCommon.FireRating"
        )
    if door.self_closing:
        entry["self_closing"] = DraftedValue(True, origin, "Pset_DoorCommon.SelfClosing")  # noqa: FBT003
    draft.add("doors", "front-door" if is_front else identifier(title, "door"), entry)


def _side(
    room: PlacedRoom | None, space: Known | None, layout: RoomLayout, draft: HouseTypeDraft
) -> str:
    """The id of what lies on one side of a door: a room, a place that homes share, or outside."""
    if room is not None:
        return room.id
    if space is None or space.kind != "communal":
        return OUTSIDE
    title = plain(space.space.name or space.space.number) or "Corridor"
    name = identifier(title, "corridor")
    if name not in draft.entries("rooms"):
        origin = space.space.origin
        draft.add("rooms", name, {
            "name": DraftedValue(title, origin, "LongName"),
            "kind": DraftedValue("communal", origin, "LongName", "other homes use it too"),
        })  # fmt: skip
    del layout
    return name


def _rank(room: str, layout: RoomLayout) -> tuple[int, str]:
    """The order in which a door names its rooms: the way in first, then the more private, outside last."""
    placed = layout.rooms.get(room)
    if placed is None:
        return len(_PRIVATE) + 3, room
    if placed.kind in CIRCULATION:
        return 0, ""
    return (_PRIVATE.index(placed.kind) + 2 if placed.kind in _PRIVATE else 1), ""


def _kind(
    door: ModelOpening, sides: tuple[str, str], layout: RoomLayout, words: Vocabulary
) -> tuple[str, str]:
    """What sort of door it is, and why where the model does not say it outright."""
    operation = door.operation.upper()
    heard = {each.kind: each.word for each in words.opening(door.words)}
    garage = any(layout.rooms[each].kind == "garage" for each in sides if each in layout.rooms)
    if "garage" in heard or (garage and OUTSIDE in sides and (door.width or 0) > 1.8):
        return "garage", f"'{heard.get('garage', 'a wide door of a garage')}'"
    for part, kind in (("SLIDING", "sliding"), ("FOLDING", "folding"), ("DOUBLE_DOOR", "double"), ("DOUBLE_PANEL", "double")):  # fmt: skip
        if part in operation:
            return kind, ""
    if operation:
        return "hinged", ""
    for kind in ("sliding", "folding", "double", "opening"):
        if kind in heard:
            return kind, f"its name says '{heard[kind]}'"
    if (door.width or 0) >= _TWO_LEAVES:
        return "double", f"it is {door.width:.2f} m wide, and nothing says how it opens"
    return "hinged", ""


def _leaf(door: ModelOpening, kind: str, into: str) -> Iterator[tuple[str, DraftedValue]]:
    """Which way the leaf goes, and on which side it hangs, seen from the room that it opens into."""
    if kind not in ("hinged", "double") or not door.operation:
        return
    attribute = door.operation_from.partition(".")[2]
    yield "opens_into", DraftedValue(into, door.origin, "ObjectPlacement", "")
    # The model looks the way that the leaf swings; who stands in the room looks the other way.
    for side, seen in (("LEFT", "right"), ("RIGHT", "left")):
        if kind == "hinged" and side in door.operation.upper():
            yield "hinge", DraftedValue(seen, door.origin, attribute)


def _title(between: Sequence[str], kind: str, layout: RoomLayout) -> str:
    """What a door is called: by the room that it leads to."""
    rooms = [layout.rooms[each] for each in between if each in layout.rooms]
    if kind == "garage":
        return "Garage door"
    if OUTSIDE in between and rooms:
        return (
            f"{rooms[0].name} outside door" if kind == "hinged" else f"{rooms[0].name} {kind} doors"
        )
    return f"{rooms[-1].name} door"


def _middle_of(door: ModelOpening, rooms: Sequence[PlacedRoom], layout: RoomLayout) -> Vector:
    """The middle of a door in the wall of the plan that it stands in."""
    return on_wall(layout.frame.point(door.middle), [each.outline for each in rooms])


def on_wall(point: Vector, outlines: Sequence[Polygon]) -> Vector:
    """The place on the wall that these outlines share, or of the only one, nearest to a point."""
    wall: BaseGeometry = outlines[0].boundary
    if len(outlines) > 1:
        shared = wall.intersection(outlines[1].buffer(_ON_WALL))
        wall = shared if shared.length > _LEAST_WAY / 2 else wall
    if wall.distance(Point(point)) <= _ON_WALL / 10:
        return point
    on = nearest_points(wall, Point(point))[0]
    return round(on.x, 3) + 0.0, round(on.y, 3) + 0.0


def _open_ways(drawing: ModelDrawing, layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """Rooms without a wall between them, where the model has walls to tell it by."""
    if not drawing.walls:
        return
    walls = [(each, Polygon(layout.frame.ring(each.ring)).buffer(0)) for each in drawing.walls]
    for floor in layout.levels:
        rooms = layout.on(floor).values()
        if not rooms:
            continue
        level = min(each.known.space.low for each in rooms) + 1.0
        standing = unary_union([shape for wall, shape in walls if wall.low <= level <= wall.high])
        for one, other in combinations(rooms, 2):
            stretch = _open_stretch(one, other, standing)
            if stretch is not None and not _has_door(one.id, other.id, draft):
                _opening(one, other, stretch, one.known.space.origin, "no wall of the model stands between them", layout, draft)  # fmt: skip


def _open_stretch(one: PlacedRoom, other: PlacedRoom, walls: BaseGeometry) -> LineString | None:
    """The longest piece between two rooms along which no wall stands; none where it is too narrow."""
    if {one.kind, other.kind} & set(OPEN_AIR) or one.faces.distance(other.faces) > 0.03:
        return None
    shared = one.outline.boundary.intersection(other.outline.buffer(_ON_WALL))
    open_ = shared.difference(walls.buffer(0.03)) if not walls.is_empty else shared
    pieces = [each for each in _lines(open_) if each.length >= _LEAST_WAY]
    return max(pieces, key=lambda each: each.length, default=None)


def _lines(shape: BaseGeometry) -> Iterator[LineString]:
    parts = [
        each
        for each in getattr(shape, "geoms", (shape,))
        if isinstance(each, LineString) and each.length
    ]
    merged = linemerge(parts) if len(parts) > 1 else (parts[0] if parts else LineString())
    for line in getattr(merged, "geoms", (merged,)):
        corners = list(line.simplify(0.001).coords)
        yield from (LineString(pair) for pair in pairwise(corners))


def _has_door(one: str, other: str, draft: HouseTypeDraft) -> bool:
    return any(
        {one, other} == set(entry["between"].value) for entry in draft.entries("doors").values()
    )


def _opening(
    one: PlacedRoom,
    other: PlacedRoom,
    stretch: LineString | None,
    origin: ModelOrigin,
    why: str,
    layout: RoomLayout,
    draft: HouseTypeDraft,
) -> None:
    between = tuple(sorted((one.id, other.id), key=lambda each: _rank(each, layout)))
    beyond = layout.rooms[between[-1]]
    title = f"Opening to the {beyond.name.lower()}"
    entry: Entry = {
        "name": DraftedValue(title, origin, "Representation", why),
        "between": DraftedValue(between, origin, "Representation", why),
        "kind": DraftedValue("opening", origin, "Representation", why),
    }
    if stretch is not None:
        middle = stretch.interpolate(0.5, normalized=True)
        entry["at"] = DraftedValue(
            (round(middle.x, 3) + 0.0, round(middle.y, 3) + 0.0), origin, "Representation", why
        )
        entry["width"] = DraftedValue(
            max(round(stretch.length - 0.002, 3), 0.1), origin, "Representation", why
        )
    draft.add("doors", identifier(f"{between[0]}-{between[-1]}", "opening"), entry)


def _missing_ways(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """A way to each room that no door of the model leads to: without one no guide can be made."""
    for _ in range(len(layout.rooms)):
        graph = networkx.Graph()
        graph.add_nodes_from(layout.rooms)
        graph.add_edges_from(entry["between"].value for entry in draft.entries("doors").values())
        parts = sorted(
            networkx.connected_components(graph), key=lambda part: (-len(part), sorted(part))
        )
        rest = [
            layout.rooms[room]
            for part in parts[1:]
            for room in sorted(part)
            if room in layout.rooms
        ]
        best = max(
            ((_closeness(one, layout.rooms[other]), one, layout.rooms[other])
             for one in rest for other in sorted(parts[0]) if other in layout.rooms),
            key=lambda each: (each[0], each[1].id, each[2].id), default=None,
        )  # fmt: skip
        if best is None or best[0] <= 0:
            return
        why = "no door of the model leads here"
        stretch = _open_stretch_of(best[1], best[2])
        _opening(best[2], best[1], stretch, best[1].known.space.origin, why, layout, draft)


def _closeness(one: PlacedRoom, other: PlacedRoom) -> float:
    """Metres of wall that two rooms of a floor share; more where people pass through the other."""
    if one.floor != other.floor:
        return 0.0
    shared = one.outline.boundary.intersection(other.outline.buffer(_ON_WALL)).length
    return float(shared) * (2.0 if other.kind in CIRCULATION else 1.0) if shared > 0.3 else 0.0


def _open_stretch_of(one: PlacedRoom, other: PlacedRoom) -> LineString | None:
    """The middle 0.8 m of the longest wall that two rooms share."""
    shared = one.outline.boundary.intersection(other.outline.buffer(_ON_WALL))
    longest = max(_lines(shared), key=lambda each: each.length, default=None)
    if longest is None:
        return None
    half = min(0.4, longest.length / 2 - 0.01) / longest.length
    return LineString(
        [
            longest.interpolate(0.5 - half, normalized=True),
            longest.interpolate(0.5 + half, normalized=True),
        ]
    )
