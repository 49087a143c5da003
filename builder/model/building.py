"""The building as drawn, in metres: floors, rooms, doors, windows, and what is built into rooms and is
no equipment, such as stairs and baths."""

import re
from typing import Annotated, Literal

from pydantic import Field

from builder.model.record import (
    FloorId,
    Length,
    Metres,
    Number,
    PhotoId,
    PlaceText,
    Point,
    Record,
    RoomId,
    RoomKindId,
    Text,
    Whole,
)
from builder.model.units import In

Form = Literal["house", "bungalow", "apartment", "maisonette", "coach-house"]
Hand = Literal["as-drawn", "opposite"]
Side = Literal["left", "right"]

_BY_HAND = re.compile(
    r"\b(?:thumb[ -]?turn|knob|snib|bolt|push (?:bar|pad)|button|fob|bwlyn|bollt|botwm|ffob)\b",
    re.IGNORECASE,
)
"""What a hand opens from inside, in the languages that ship."""

USUAL_CEILING, USUAL_DOOR, USUAL_WINDOW = 2.4, 0.76, 1.2
"""Metres that a floor is high and that openings are wide where nobody says it: for drawing and for
checks alone, and never told as a fact. Common practice."""
Symbol = Literal[
    "appliance",
    "basin",
    "bath",
    "bed",
    "cylinder",
    "hob",
    "shower-tray",
    "sink",
    "toilet",
    "wardrobe",
    "worktop",
]
"""How a thing is drawn from above."""


Guard = Annotated[Length, In("metres", 0.3, 3, 0.1, 10)]
"""How high a guard is above the floor or the steps, in metres."""


class Floor(Record):
    """One storey. ``level`` 0 is the floor of the front door; ``above_ground`` in metres.

    ``ceiling`` is how high its rooms are, ``room_height`` the same, or what is usual where nobody says it.
    """

    name: Text
    level: Whole
    above_ground: Metres = 0.0
    ceiling: Annotated[Length, In("metres", 1.5, 12, 0.5, 30)] | None = None

    @property
    def room_height(self) -> float:
        return USUAL_CEILING if self.ceiling is None else self.ceiling


class RoomKind(Record):
    """What rooms of a kind have in common. ``extract`` names their row in extract-rate tables.

    ``circulation``: people pass through it to other rooms, as through a hall, a landing or stairs.
    ``floor_area``: it counts towards the floor area of the home; a garage and a loft do not.
    ``shared``: other homes use it too, as a corridor. ``from_home``: outside, and people come to it
    only through the home, as to a balcony.
    """

    name: Text
    inside: bool = True
    shared: bool = False
    from_home: bool = False
    circulation: bool = False
    floor_area: bool = True
    habitable: bool = False
    sleeping: bool = False
    heated: bool = True
    extract: Literal["kitchen", "utility", "bathroom", "sanitary"] | None = None


class Room(Record):
    """A room, or a named area outside. ``outline``: corners in order, metres, as drawn.

    ``open_to``: it has no wall or door towards this room, as a mezzanine has none towards the room
    that it looks down on.
    ``sockets``: how many plugs its wall sockets take, a double one two.
    ``guard``: how high the guard is at its open edge, such as that of a landing, a gallery or a balcony.
    ``area``: square metres of floor between the faces of the walls, where it is known; the outline,
    which is drawn to the middle of the walls, covers more.
    """

    name: Text
    kind: RoomKindId
    floor: FloorId | None = None
    outline: Annotated[tuple[Point, ...], Field(min_length=3)] | None = None
    area: Annotated[Number, Field(gt=0, le=10_000), In("square metres", 0.3, 1_000)] | None = None
    heated: bool | None = None
    sockets: Annotated[Whole, Field(ge=0, le=100)] | None = None
    open_to: RoomId | None = None
    guard: Guard | None = None
    photo: PhotoId | None = None


class Door(Record):
    """A door or an opening in the wall between two rooms; ``at`` is the middle of it.

    ``opens_into`` names the room the leaf swings into; ``hinge`` is the side of its hinges as
    drawn, seen from that room.
    """

    name: Text
    between: tuple[RoomId, RoomId]
    at: Point | None = None
    width: Annotated[Length, In("metres", 0.3, 12, 0.1, 20)] | None = None
    kind: Literal["hinged", "double", "sliding", "folding", "garage", "opening"] = "hinged"
    opens_into: RoomId | None = None
    hinge: Side | None = None
    fire_rating: Text | None = None
    self_closing: bool | None = None
    lock: PlaceText | None = None

    @property
    def drawn_width(self) -> float:
        return USUAL_DOOR if self.width is None else self.width

    @property
    def needs_key(self) -> bool:
        """Whether somebody who leaves by it may need a key: its lock names nothing that a hand opens."""
        return self.lock is None or not _BY_HAND.search(self.lock)


class Window(Record):
    """A window in a wall of a room; ``at`` is the middle of it. Clear opening in metres.

    ``safety_glass``: its glass breaks into harmless pieces, or holds together, as its mark says.
    ``guard``: how high the guard before it is; ``handle_reach``: how far somebody leans out for its handle
    when it stands open. ``cleaning`` says how both faces are cleaned: "from inside, the sash turns all the way round".
    ``inner_window``: a second window hangs behind it, inside, with air between the two.
    """

    name: Text
    room: RoomId
    place: PlaceText | None = None
    at: Point | None = None
    width: Annotated[Length, In("metres", 0.1, 15, 0.02, 30)] | None = None
    kind: Literal["casement", "sash", "tilt", "roof", "fixed"] = "casement"
    lockable: bool | None = None
    escape: bool = False
    restrictor: bool = False
    safety_glass: bool | None = None
    clear_width: Annotated[Length, In("metres", 0.05, 5, 0.01, 15)] | None = None
    clear_height: Annotated[Length, In("metres", 0.05, 5, 0.01, 15)] | None = None
    sill: Annotated[Metres, In("metres", -1, 6, -5, 15)] | None = None
    guard: Guard | None = None
    handle_reach: Annotated[Length, In("metres", 0.05, 2, 0.01, 5)] | None = None
    cleaning: PlaceText | None = None
    inner_window: bool | None = None
    background_ventilator: (
        Annotated[Number, Field(gt=0), In("square millimetres", 500, 60_000)] | None
    ) = None

    @property
    def drawn_width(self) -> float:
        return USUAL_WINDOW if self.width is None else self.width


class Stairs(Record):
    """The stairs between two floors.

    ``line`` is the middle of the way up, in metres as drawn: from the edge of the lowest step to
    the edge of the floor above, with a point at each corner. ``risers`` counts the steps up, the
    last one, onto the floor above, among them. ``guard``: how high their guard is above the steps.
    """

    name: Text = "Stairs"
    foot: RoomId
    head: RoomId
    line: Annotated[tuple[Point, ...], Field(min_length=2)]
    width: Length = 0.9
    risers: Annotated[Whole, Field(ge=2, le=40)] = 13
    guard: Guard | None = None


class Fitting(Record):
    """Something built in that is drawn and is no equipment.

    ``at`` is its middle and ``size`` its length along its back and its depth, in metres. It stands
    with its back to the nearest wall of its room, or turned by ``turn``: degrees, anticlockwise
    as drawn, from a back towards the back of the home.
    """

    name: Text | None = None
    drawn: Symbol
    room: RoomId
    at: Point
    size: tuple[Length, Length] | None = None
    turn: Annotated[Number, Field(ge=-360, le=360)] | None = None
