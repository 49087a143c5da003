"""Equipment as drawn: each piece at a spot of its own, inside the room that it is recorded in."""

from collections.abc import Iterator

from shapely import Point

from builder.errors import Severity
from builder.home.survey import NEAR, Survey
from builder.model.equipment import UNWRITTEN, Equipment
from builder.rules.measures import metres
from builder.rules.rule import Address, HomeRule, Problem, rule

_DRAWN = "common practice: equipment is drawn where people find it"
_ON_THE_WALL = 0.05
"""Metres beyond the middle of a wall that still count as on it: half of a thin inside wall."""
_SLACK = 0.01
"""Metres that a piece on the ceiling may be over it: what rounding leaves."""


@rule(
    "equipment.outside-its-room", "Equipment stands inside the room that it is recorded in.",
    basis=_DRAWN, severity=Severity.ERROR,
)  # fmt: skip
def equipment_is_in_its_room(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        if piece.at is None or piece.room not in home.outlines:
            continue
        off = round(home.outlines[piece.room].distance(Point(piece.at)), 3)
        if off > _ON_THE_WALL:
            room = home.home.rooms[piece.room].name
            yield Problem(
                _where_it_stands(home, name, piece),
                f"'{name}' is recorded in '{room}', and its spot is {metres(off)} outside it"
                f"{_found_in(home, piece)}.",
                "Move 'at' into the room, or correct 'room'.",
            )


def _where_it_stands(home: Survey, name: str, piece: Equipment) -> Address:
    """Where the spot of a piece was written: with it, or among the positions of the house type."""
    position = home.home.positions.get(name)
    if position is not None and position.at == piece.at:
        return ("positions", name, "at")
    return ("equipment", name, "at")


def _found_in(home: Survey, piece: Equipment) -> str:
    """The room of the same floor that a spot lies in."""
    for name, outline in home.outlines.items():
        if home.on_one_floor(name, piece.room) and outline.contains(Point(piece.at or (0, 0))):
            return f", in '{home.home.rooms[name].name}'"
    return ""


@rule(
    "equipment.not-placed", "What gets a sticker or turns off a supply has its spot in the plan.",
    basis="common practice: people find by the plan what they must reach in a hurry",
)  # fmt: skip
def equipment_is_placed(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        if piece.at is None and piece.room in home.outlines and _is_looked_for(home, piece):
            yield Problem(
                ("equipment", name),
                f"'{name}' is in a room of the plan, and has no spot in it.",
                "Add 'at: [x, y]'. Of a piece that an option adds, say it in 'positions' of the"
                " house type.",
            )


def _is_looked_for(home: Survey, piece: Equipment) -> bool:
    kind = home.home.kinds[piece.kind]
    return kind.turns_off is not None or (piece.sticker or kind.sticker) != "none"


@rule("equipment.above-the-ceiling", "Equipment hangs no higher than the ceiling.", basis=_DRAWN)
def equipment_is_below_the_ceiling(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        floor = home.storey_of(piece.room)
        if piece.height is None or floor is None or not _has_a_ceiling(home, piece.room):
            continue
        ceiling = home.home.floors[floor].room_height
        if round(piece.height - ceiling, 3) > _SLACK:
            yield Problem(
                ("equipment", name, "height"),
                f"'{name}' is {metres(piece.height)} above the floor, and the ceiling of"
                f" '{home.home.floors[floor].name}' is {metres(ceiling)}.",
                "Correct 'height', or 'ceiling' of the floor.",
            )


def _has_a_ceiling(home: Survey, room: str) -> bool:
    return home.kind_of_room(room).inside and not home.is_loft(room)


@rule(
    "equipment.inside-the-home-and-outside", "Equipment outside is drawn outside the home.",
    basis=_DRAWN,
)  # fmt: skip
def outside_equipment_is_outside(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        if home.kind_of_room(piece.room).inside or piece.room in home.outlines:
            continue
        room = _room_around(home, piece)
        if room is not None:
            yield Problem(
                _where_it_stands(home, name, piece),
                f"'{name}' is recorded in '{home.home.rooms[piece.room].name}', and its spot lies"
                f" inside '{home.home.rooms[room].name}'.",
                "Move 'at' out of the home, or correct 'room'; on a roof, add 'height'.",
            )


def _room_around(home: Survey, piece: Equipment) -> str | None:
    """The room that a spot outside lies in, deeper than a wall and between floor and ceiling."""
    if piece.at is None:
        return None
    for name, room in home.inside():
        if name not in home.outlines or room.floor is None:
            continue
        floor, height = home.home.floors[room.floor], piece.height or 0.0
        if not floor.above_ground <= height <= floor.above_ground + floor.room_height:
            continue
        outline, spot = home.outlines[name], Point(piece.at)
        if outline.contains(spot) and round(outline.boundary.distance(spot), 3) > NEAR:
            return name
    return None


@rule(
    "equipment.same-spot-twice", "Two pieces of one kind stand at two spots.",
    basis="common practice: a piece that is copied is moved",
)  # fmt: skip
def equipment_has_spots_of_its_own(home: Survey) -> Iterator[Problem]:
    first: dict[tuple[object, ...], str] = {}
    for name, piece in home.home.equipment.items():
        spot = (piece.kind, piece.room, piece.at, piece.height)
        if piece.at is not None and spot in first:
            yield Problem(
                _where_it_stands(home, name, piece),
                f"'{first[spot]}' and '{name}' are of one kind and at one spot.",
                "Move one of them, or take it out.",
            )
        first.setdefault(spot, name)


@rule(
    "equipment.stopcock-outside", "The stopcock of the home is inside it.",
    basis="common practice: whoever lives in a home turns off its water from inside",
)  # fmt: skip
def stopcocks_are_inside(home: Survey) -> Iterator[Problem]:
    for name, piece in home.pieces("stopcock"):
        if not home.kind_of_room(piece.room).inside:
            yield Problem(
                ("equipment", name, "room"),
                f"'{name}' is a stopcock, and is recorded in '{home.home.rooms[piece.room].name}'.",
                "Name the room inside that it is in, or make it of the kind 'external-stop-tap'.",
            )


@rule(
    "equipment.place-unwritten", "The place of each piece is written.",
    basis="house rule: the guide knows this home",
)  # fmt: skip
def places_are_written(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        if piece.place == UNWRITTEN:
            yield Problem(
                ("equipment", name, "place"),
                f"Where '{name}' is in '{home.home.rooms[piece.room].name}' is still to be written.",
                "Look on site or ask the technical team, and write its room and its place.",
            )


PLACING: tuple[HomeRule, ...] = (
    equipment_is_in_its_room,
    equipment_is_placed,
    equipment_is_below_the_ceiling,
    outside_equipment_is_outside,
    equipment_has_spots_of_its_own,
    stopcocks_are_inside,
    places_are_written,
)
