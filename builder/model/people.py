"""Who builds, who helps, and where: the builder and its look, the development, contacts and the plot."""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.building import Hand
from builder.model.condition import Condition
from builder.model.nation import TAKEN_FOR, NationId
from builder.model.record import (
    COLOUR,
    ById,
    Day,
    Email,
    Identifier,
    Number,
    PlotNumber,
    Prose,
    Record,
    RoleId,
    Telephone,
    Text,
    WebAddress,
    empty,
)

Colour = Annotated[str, Field(pattern=COLOUR)]
"""Red, green and blue, two digits each: ``#17483f``."""


class Shade(Record):
    """The colours of one kind of screen. ``colour`` is for headings of the frame, links and what is to be
    touched; ``ground`` lies behind everything, and is the guide's own where nothing is said."""

    colour: Colour
    ground: Colour | None = None


class Logo(Record):
    """A logo: an SVG or PNG of the workspace, and what it shows in words."""

    file: Text
    shows: Prose


class Look(Record):
    """The look of a builder. Without ``dark``, screens in the dark get a tone of the same colour that
    can be read there."""

    light: Shade
    dark: Shade | None = None
    logo: Logo | None = None


class Builder(Record):
    """The housebuilder. ``look``: how its guides and papers look; without one, as ours do.

    ``quality_code``: it is registered with the New Homes Quality Code, and keeps it.
    """

    name: Text
    quality_code: bool | None = None
    look: Look | None = None


class CheckedByHand(Record):
    """A subject that somebody checked where the builder could not. ``by`` names a role, never a person."""

    by: Text
    day: Day
    note: Text | None = None


class Development(Record):
    """A site. ``base_url`` is where guides are served from; ``ignore_columns`` of plots.csv.

    ``nation``: while nobody names it, the home is taken for one of ``TAKEN_FOR``, and no text says so.
    ``former_base_urls`` are hosts that guides were served from before: what was printed for them
    is sent on. ``warrant`` is the day on which the building warrant was applied for, which in Scotland
    decides the edition of every standard. ``checked`` holds subjects that somebody checked by hand. ``invented``:
    its homes, names and numbers are made up, and every page says so.
    """

    name: Text
    address: Text
    base_url: WebAddress
    former_base_urls: tuple[WebAddress, ...] = ()
    nation: NationId | None = None
    editions: ById[Text] = Field(default_factory=empty)
    warrant: Day | None = None
    checked: ById[CheckedByHand] = Field(default_factory=empty)
    invented: bool = False
    ignore_columns: tuple[Text, ...] = ()

    @property
    def taken_nation(self) -> NationId:
        """The nation whose numbers, bank holidays and values hold: the one that is named, else one for all."""
        return self.nation or TAKEN_FOR


class HouseType(Record):
    """A design that is built many times."""

    name: Text
    summary: Prose


class Option(Record):
    """A named set of changes that a buyer or the site can add to a plot."""

    name: Text
    summary: Prose


class Plot(Record):
    """One row of plots.csv. ``completion`` is legal completion, once it is known.

    ``warrant``: the day on which its building warrant was applied for, where it is not that of its
    development. ``front_faces``: the compass bearing, in degrees, that the front of the home looks towards: 0 is
    north, 90 east.
    """

    number: PlotNumber
    address: Text
    postcode: Text
    house_type: Identifier
    hand: Hand
    options: tuple[Identifier, ...] = ()
    completion: Day | None = None
    warrant: Day | None = None
    front_faces: Annotated[Number, Field(ge=0, lt=360)] | None = None


ClosedOn = Literal[
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday", "bank-holidays",
]  # fmt: skip


class Contact(Record):
    """Somebody to call. ``call_for`` completes the sentence "Call them for …".

    ``roles`` lists what it is for beside the role of its own id.

    ``hours`` says when in words, ``closed`` on which days nobody answers. ``words`` are what people type who
    look for whom to call, beside the name.
    """

    name: Text
    call_for: Text
    roles: tuple[RoleId, ...] = ()
    telephone: Telephone | None = None
    email: Email | None = None
    hours: Text | None = None
    closed: tuple[ClosedOn, ...] = ()
    emergency: bool = False
    when: Condition | None = None
    basis: Prose | None = None
    words: tuple[Text, ...] = ()
