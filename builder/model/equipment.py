"""Equipment and its kinds. A new kind is data: nothing here names one."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from builder.model.building import Symbol
from builder.model.record import (
    MOST,
    ArticleId,
    ById,
    ContactId,
    Day,
    FuelId,
    Identifier,
    KindId,
    Metres,
    Number,
    PhotoId,
    PlaceText,
    Point,
    Private,
    Prose,
    Record,
    RoleId,
    RoomId,
    Share,
    SystemId,
    Term,
    Text,
    empty,
    unplaced_text,
)
from builder.model.units import In

StickerSize = Literal["none", "small", "standard", "large"]
PinShape = Literal["circle", "square", "diamond", "hexagon", "drop", "shield", "octagon", "house"]
UNWRITTEN = "to be written"
"""The place of a piece that a home must have, until somebody says where it is."""
Supply = Literal["water", "reused-water", "gas", "oil", "electricity", "heating"]
LONGEST = 400
"""Characters of a fact that is a text."""


def _fact(value: Any) -> Any:
    if isinstance(value, str):
        return _fitting(unplaced_text(value))
    if not isinstance(value, bool | int | float):
        raise PydanticCustomError("fact_type", "not a fact")
    return value if isinstance(value, bool) else _checked_reach(value)


def _fitting(text: str) -> str:
    if len(text) > LONGEST:
        raise PydanticCustomError("string_too_long", "too long", {"max_length": LONGEST})
    return text


def _checked_reach(value: float) -> float:
    if not abs(value) <= MOST:
        raise PydanticCustomError("number_range", "too large a number")
    return value


FactValue = Annotated[
    Any, AfterValidator(_fact), WithJsonSchema({"type": ["string", "number", "boolean"]})
]


class System(Record):
    """A group that the guide is ordered by, such as water or heating; shown in file order.

    ``letter`` and ``shape`` mark its equipment on plans, so that colour alone never does; a system
    without them is given what is free. ``photograph`` is what to take pictures of when one of its
    things fails: it completes "Photographs: …". ``mended_by`` is who mends its things when no cover runs:
    it completes "Have it put right by …".
    """

    name: Text
    summary: Prose
    icon: Identifier | None = None
    letter: Annotated[str, Field(pattern="^[A-Z]$")] | None = None
    shape: PinShape | None = None
    photograph: Prose | None = None
    mended_by: Text | None = None


class FactDefinition(Record):
    """A further fact that equipment of a kind states, such as a capacity in litres.

    ``rhythm``: its text is a length of time, such as ``6 months``, after which what its name says
    is done again; the schedule of the home counts it. ``least`` and ``most``: what a home has of it.
    """

    name: Text
    type: Literal["text", "number", "yes-no"] = "text"
    unit: Text | None = None
    least: Number | None = None
    most: Number | None = None
    required: bool = False
    rhythm: bool = False


class Kind(Record):
    """What all equipment of a kind has in common.

    ``article`` is the one to read first, ``turns_off`` the supply that it shuts, ``page`` whether
    each piece gets a page of its own in the guide. ``counts_as`` names kinds that the trade rules
    know and that this one does the work of: a combined alarm counts as two. ``several`` is what more than
    one of them are called; without a ``turns_off`` of its own it turns off what these do. ``cooks``: it burns
    fuel for cooking, not for heat. ``meter``: somebody reads a number off it. ``cover`` is how long its maker answers for it from the day of
    its registration, ``register_within`` until when it is registered, from legal completion.
    ``actions`` are the one or two things that people scan its sticker for, where its article is about more.
    ``drawings`` are line drawings of its states, such as open and shut.
    ``drawn`` is how it is shown on plans from above, with its back to the nearest wall.

    ``fuel`` is what its pieces burn, store, meter or shut off. ``needs_mains``: they stop in a power
    cut, and ``without_mains`` says what that means for whoever lives there. ``call`` is the role of
    whom to call when one fails, ``served_by`` of who has it serviced; where nobody is named, that is
    the owner. ``mended_by`` is who mends one when no cover runs, where that is nobody of its fuel or system.
    ``words`` are those that only homes with one may read, ``also_called`` what else people call one: whoever
    types any of them finds its page.
    """

    name: Text
    several: Text | None = None
    system: SystemId
    what: Prose
    article: ArticleId | None = None
    actions: tuple[Prose, ...] = ()
    drawings: tuple[Identifier, ...] = ()
    sticker: StickerSize = "none"
    turns_off: Supply | None = None
    fuel: FuelId | None = None
    needs_mains: bool | None = None
    without_mains: Text | None = None
    call: RoleId | None = None
    served_by: RoleId | None = None
    mended_by: Text | None = None
    words: tuple[Text, ...] = ()
    also_called: tuple[Text, ...] = ()
    meter: bool = False
    burns_fuel: bool = False
    cooks: bool = False
    counts_as: tuple[Identifier, ...] = ()
    caution: Prose | None = None
    service_every: Term | None = None
    cover: Term | None = None
    register_within: Term | None = None
    page: bool = True
    drawn: Symbol | None = None
    facts: ById[FactDefinition] = Field(default_factory=empty)

    @property
    def looked_for(self) -> tuple[str, ...]:
        """What people type who look for one."""
        return (*self.words, *self.also_called)


class Position(Record):
    """Where equipment that an option adds stands in this house type, metres as drawn.

    It fills in what the option leaves open, because one option is added to several house types.
    """

    at: Point
    height: Annotated[Metres, In("metres", -3, 12)] | None = None


class Pictured(Record):
    """A photograph that shows a piece. ``ring``: where to look, as shares of its width from the left and of
    its height from the top; one photograph may show several pieces, each with a ring of its own."""

    photo: PhotoId
    ring: tuple[Share, Share] | None = None


class Equipment(Record):
    """One piece of equipment in one home. ``at`` in metres as drawn, ``height`` above the floor.

    ``serves`` says in words what it feeds or controls. ``registered`` is the day on which its maker
    was told of it. ``formerly`` lists ids it had before. ``fuel``, ``needs_mains``, ``call`` and
    ``served_by`` say of this one piece what its kind leaves open or says of most. ``photo`` is its only
    photograph; several, or one with a ring, stand in ``photos``, in their order.
    """

    kind: KindId
    room: RoomId
    place: PlaceText
    name: Text | None = None
    at: Point | None = None
    height: Annotated[Metres, In("metres", -3, 12)] | None = None
    make: Text | None = None
    model: Text | None = None
    serial: Annotated[Text | None, Private()] = None
    registered: Day | None = None
    serves: Text | None = None
    fuel: FuelId | None = None
    needs_mains: bool | None = None
    call: ContactId | None = None
    served_by: ContactId | None = None
    note: PlaceText | None = None
    photo: PhotoId | None = None
    photos: ById[Pictured] = Field(default_factory=empty)
    drawings: tuple[Identifier, ...] | None = None
    sticker: StickerSize | None = None
    formerly: tuple[Identifier, ...] = ()
    facts: Mapping[Identifier, FactValue] = Field(default_factory=empty)
