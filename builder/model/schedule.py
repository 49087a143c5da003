"""The schedules that an owner asks for two years later: finishes, keys and photographs."""

from typing import Annotated

from pydantic import Field

from builder.model.building import Hand
from builder.model.record import Prose, Record, RoomId, Text, Whole


class Finish(Record):
    """What a surface is finished with."""

    room: RoomId
    surface: Text
    material: Text
    colour: Text | None = None
    make: Text | None = None
    reference: Text | None = None


class Key(Record):
    """Keys or fobs of one sort that are handed over."""

    name: Text
    count: Annotated[Whole, Field(ge=1, le=999)]
    opens: Text


class Photo(Record):
    """A photograph: its path from the workspace, and what it shows in words. ``hand``: that of the home in
    which it was taken; homes of the other hand show it mirrored, so it holds no letters then."""

    file: Text
    shows: Prose
    hand: Hand | None = None
