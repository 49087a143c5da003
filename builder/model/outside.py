"""Outside the home, and what an apartment shares."""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.record import (
    ContactId,
    Number,
    PlaceText,
    Prose,
    Record,
    RoomId,
    SharedPlaceText,
    Text,
)
from builder.model.units import In

BoundarySide = Literal["left", "right", "back", "front"]


class Lawn(Record):
    """An area of grass. ``area`` in square metres."""

    place: PlaceText
    surface: Literal["turf", "seed", "artificial"] | None = None
    area: Annotated[Number, Field(gt=0), In("square metres", 1, 5_000)] | None = None


class Fence(Record):
    """A boundary and who owns it, as the plan of the title marks it.

    Sides are those of the finished plot, seen from the street, and are never mirrored: the title is
    drawn for the plot and not for its house type.
    """

    side: BoundarySide
    kind: Text
    owner: Literal["this-home", "neighbour", "shared", "managing-agent"]
    note: PlaceText | None = None


class Gate(Record):
    """A gate. ``powered``: a motor opens it; ``by_hand`` says how it opens in a power cut.

    ``on_the_way_in``: whoever comes to help must pass it.
    """

    place: PlaceText
    lock: PlaceText | None = None
    powered: bool | None = None
    by_hand: PlaceText | None = None
    on_the_way_in: bool | None = None


class Garage(Record):
    """The garage of this home."""

    kind: Literal["integral", "attached", "detached", "car-port"]
    place: PlaceText
    room: RoomId | None = None
    note: PlaceText | None = None


class Parking(Record):
    """A parking space that belongs to this home."""

    name: Text
    place: PlaceText


class Store(Record):
    """A store for cycles, mobility scooters, refuse or belongings.

    ``carry`` is how far it is on foot from the door of the home, and ``to_the_lorry`` from the store to where
    bins are emptied, in metres.
    """

    name: Text
    kind: Literal["refuse", "recycling", "cycle", "scooter", "personal", "garden"]
    place: PlaceText
    carry: Annotated[Number, Field(ge=0), In("metres", 0, 500)] | None = None
    to_the_lorry: Annotated[Number, Field(ge=0), In("metres", 0, 500)] | None = None
    note: Prose | None = None


class Communal(Record):
    """Something shared, and who looks after it."""

    name: Text
    place: SharedPlaceText
    looked_after_by: ContactId
    note: Prose | None = None
