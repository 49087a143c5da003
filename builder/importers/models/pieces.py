"""Equipment of a house type: what it is, which room it is in, where it stands and who made it."""

from collections import Counter
from collections.abc import Container, Sequence
from dataclasses import dataclass

from shapely import Point
from shapely.ops import nearest_points

from builder.importers.models.draft import (
    DraftedValue,
    Entry,
    HouseTypeDraft,
    LeftOut,
    identifier,
    plain,
)
from builder.importers.models.drawn import ModelThing, Vector
from builder.importers.models.fittings import fitted_in, worktop_finishes
from builder.importers.models.homes import Known, Rooms
from builder.importers.models.places import place_of
from builder.importers.models.rooms import HomeOfModel, PlacedRoom, RoomLayout
from builder.importers.models.words import BUILT_IN, Heard

_IN_WALL = 0.35
"""Metres that a piece may be off its room: it is let into a wall, or hangs on it."""
_NEARBY = 4.0
"""Metres from the home within which a piece outside still belongs to it."""
_INSET = 0.05
_ON_FLOOR = 0.1
_EMITTERS = (
    "radiator",
    "towel-rail",
    "underfloor-loop",
    "panel-heater",
    "storage-heater",
    "electric-towel-rail",
)
_GENERIC = ("boiler", "furnace", "kessel", "heizkessel", "kjel", "panna", "kedel", "chaudière", "chaudiere", "caldaia",
            "caldera", "caldeira", "ifcboiler", "ifcboilertype", "ifcboilertype water", "ifcboiler water")  # fmt: skip


@dataclass(frozen=True, slots=True)
class ModelPiece:
    """A thing that became equipment: its kind, its room (none: outside) and its spot."""

    thing: ModelThing
    heard: Heard
    kind: str
    room: PlacedRoom | None
    at: Vector
    height: float | None
    moved: float = 0.0


def fitted(home: HomeOfModel, kinds: Container[str]) -> list[ModelPiece]:
    """All equipment of the home, written into the draft. ``kinds``: those that the workspace has."""
    layout, draft = home.layout, home.draft
    pieces, skipped = [], Counter[tuple[str, str]]()
    for thing in home.drawing.things:
        heard = home.words.thing(thing.classes, thing.type, thing.texts)
        if heard is None or heard.kind.startswith("-") or not heard.kind:
            skipped[_skipped(thing, heard)] += 1
        elif heard.kind not in BUILT_IN and heard.kind not in kinds:
            skipped[(f"{heard.kind}", "no kind of equipment is called so")] += 1
        elif (piece := _piece(thing, heard, home.rooms, layout)) is None:
            skipped[(heard.kind, "it stands in another home, or away from this one")] += 1
        else:
            pieces.append(piece)
    draft.left_out += [LeftOut(what, why, count) for (what, why), count in sorted(skipped.items())]
    pieces = [_sure(each, pieces) for each in pieces]
    _built_in(pieces, layout, draft)
    _write(
        [each for each in pieces if each.kind in kinds and each.kind not in _EMITTERS],
        layout,
        draft,
    )
    return pieces


def _built_in(pieces: Sequence[ModelPiece], layout: RoomLayout, draft: HouseTypeDraft) -> None:
    """Baths, basins, sinks and worktops: drawn, and no equipment."""
    inside = [each for each in pieces if each.kind in BUILT_IN and each.room is not None]
    for each in inside:
        if each.room is not None:
            fitted_in(
                each.thing, each.kind, each.room.id, each.room.outline, each.at, layout.frame, draft
            )
    tops = [(each.room.id, each.thing) for each in inside if each.kind == "worktop" and each.room]
    worktop_finishes(tops, draft)


def _skipped(thing: ModelThing, heard: Heard | None) -> tuple[str, str]:
    """How something is called in the list of what is left out, and why it is."""
    if heard is not None and heard.kind:
        why = (
            "a guide names only sockets of note"
            if heard.kind == "-sockets"
            else "a guide does not name them"
        )
        return heard.kind.removeprefix("-"), why
    name = plain(thing.texts[0].partition(":")[0] if thing.texts else thing.classes[0], 40)
    return f"{thing.classes[0]} '{name}'", "no word or type says what kind of equipment it is"


def _piece(thing: ModelThing, heard: Heard, rooms: Rooms, layout: RoomLayout) -> ModelPiece | None:
    """A thing in its room; nothing where it is no part of this home."""
    x, y, z = thing.box.middle
    known = _space_of(thing, rooms)
    at = layout.frame.point((x, y))
    if known is not None:
        room = layout.of(known)
        if room is None:
            return None
        spot = _spot(at, room)
        moved = Point(at).distance(Point(spot))
        return ModelPiece(
            thing, heard, heard.kind, room, spot, _height(thing, room.known.space.low), moved
        )
    theirs = [
        each.shape.distance(Point(x, y))
        for each in rooms.near(Point(x, y), _NEARBY)
        if layout.of(each) is None
    ]
    off = layout.whole.distance(Point(at))
    if off > _NEARBY or (theirs and min(theirs) < off - 0.01):
        return None
    ground = min(
        (each.known.space.low for each in layout.rooms.values() if layout.levels[each.floor] == 0),
        default=0.0,
    )
    return ModelPiece(thing, heard, heard.kind, None, at, round(z - ground, 3))


def _space_of(thing: ModelThing, rooms: Rooms) -> Known | None:
    """The space that a thing stands in, or on the wall of: the nearest at its height."""
    x, y, z = thing.box.middle
    at_height = [
        (round(each.shape.distance(Point(x, y)), 2), _off_its_height(z, each), int(each.key), each)
        for each in rooms.near(Point(x, y), _IN_WALL)
        if each.space.low - 0.3 <= z <= each.space.high + 0.35
    ]
    close = [each for each in at_height if each[0] <= _IN_WALL]
    held = [each for each in close if each[3].space.origin.identifier == thing.space]
    return min(held or close, key=lambda each: each[:3])[3] if close else None


def _off_its_height(z: float, room: Known) -> float:
    """Metres by which a height is over the ceiling or under the floor of a room."""
    return round(max(room.space.low - z, z - room.space.high, 0.0), 3)


def _spot(at: Vector, room: PlacedRoom) -> Vector:
    """The spot in the plan: moved to the face of its wall where it is let into one."""
    if room.outline.buffer(_INSET - 0.001).contains(Point(at)):
        return at
    inner = room.outline.buffer(-_INSET / 2)
    on = nearest_points(inner if not inner.is_empty else room.outline, Point(at))[0]
    return round(on.x, 3) + 0.0, round(on.y, 3) + 0.0


def _height(thing: ModelThing, floor: float) -> float | None:
    """Metres of its middle above the floor; none for what stands on the floor."""
    low, high = thing.box.low[2] - floor, thing.box.high[2] - floor
    if low < _ON_FLOOR and high > 3 * _ON_FLOOR:
        return None
    return round((low + high) / 2, 3) + 0.0


def _sure(piece: ModelPiece, pieces: Sequence[ModelPiece]) -> ModelPiece:
    """A boiler of which only that is known is one by what else the home has."""
    if piece.kind != "gas-system-boiler" or piece.heard.word.casefold() not in _GENERIC:
        return piece
    stores = any(each.kind == "hot-water-cylinder" for each in pieces)
    kind = "gas-system-boiler" if stores else "gas-combination-boiler"
    return ModelPiece(
        piece.thing, piece.heard, kind, piece.room, piece.at, piece.height, piece.moved
    )


def _write(pieces: Sequence[ModelPiece], layout: RoomLayout, draft: HouseTypeDraft) -> None:
    alike = Counter(each.kind for each in pieces)
    for each in pieces:
        room = each.room.id if each.room else "outside"
        name = f"{room}-{each.kind}" if alike[each.kind] > 1 else each.kind
        draft.add("equipment", identifier(name, "piece"), _entry(each, room, layout, draft))


def _entry(piece: ModelPiece, room: str, layout: RoomLayout, draft: HouseTypeDraft) -> Entry:
    thing, origin = piece.thing, piece.thing.origin
    place = place_of(piece.kind, piece.room, piece.at, piece.height, layout, draft)
    entry: Entry = {
        "kind": DraftedValue(piece.kind, origin, "Name", _why_kind(piece)),
        "room": DraftedValue(
            room,
            origin,
            "ObjectPlacement",
            "" if piece.room else "no room of the model is around it",
        ),
        "place": DraftedValue(place, origin, "ObjectPlacement", "in words from where it stands"),
        "at": DraftedValue(piece.at, origin, "ObjectPlacement", _why_spot(piece)),
    }
    if piece.height is not None and -2 < piece.height < 30:
        entry["height"] = DraftedValue(piece.height, origin, "ObjectPlacement")
    for fact in ("make", "model"):
        if fact in thing.told and (value := plain(thing.told[fact][0])):
            entry[fact] = DraftedValue(value, origin, thing.told[fact][1])
    return entry


def _why_kind(piece: ModelPiece) -> str:
    if piece.kind != piece.heard.kind or piece.kind.endswith("-boiler"):
        return (
            f"'{piece.heard.word}', and no word says which boiler it is"
            if piece.heard.word.casefold() in _GENERIC
            else ""
        )
    return "" if piece.heard.word.replace(" ", "-") == piece.kind else f"by '{piece.heard.word}'"


def _why_spot(piece: ModelPiece) -> str:
    return f"moved {piece.moved:.2f} m, to the face of its wall" if piece.moved > 0.001 else ""


def emitters(pieces: Sequence[ModelPiece]) -> list[ModelPiece]:
    """What gives off heat in a room of the home."""
    return [each for each in pieces if each.kind in _EMITTERS and each.room is not None]
