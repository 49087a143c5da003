"""What is built into rooms and drawn on plans, and is no equipment: stairs, baths, worktops."""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.record import Length, Number, Point, Record, RoomId, Text, Whole

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


class Stairs(Record):
    """The stairs between two floors.

    ``line`` is the middle of the way up, in metres as drawn: from the edge of the lowest step to
    the edge of the floor above, with a point at each corner. ``risers`` counts the steps up, the
    last one, onto the floor above, among them.
    """

    name: Text = "Stairs"
    foot: RoomId
    head: RoomId
    line: Annotated[tuple[Point, ...], Field(min_length=2)]
    width: Length = 0.9
    risers: Annotated[Whole, Field(ge=2, le=40)] = 13


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
