"""The walk round a home with its buyer: what editors say of each thing, and the record it leaves."""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from builder.model.condition import Condition
from builder.model.handover import MeterReading, Role
from builder.model.record import ById, Day, Identifier, Number, Prose, Record, Text, Whole, empty

RECORD_FORM = "handover-demonstration"
"""What a record of a demonstration says it is, in its key ``form``."""

RECORD_VERSION = 1
"""The version of the record's shape that this builder writes and reads."""

Minutes = Annotated[Number, Field(ge=0, le=60)]

Subject = Literal[
    "front-door", "building-door", "outside-door", "garage-door", "fire-door", "escape-window",
    "roof-window", "waiting-window", "opening-window", "background-ventilator", "air-valve", "stores", "communal", "parking",
    "lawns", "fences", "gates", "steady-radiator",
]  # fmt: skip
"""What is shown besides equipment and rooms: parts of the home that are no kind of equipment."""


class Version(Record):
    """What is shown, said and tried in place of the usual in homes of which ``when`` is true."""

    when: Condition
    show: Text | None = None
    say: Text | None = None
    try_: Text | None = Field(default=None, alias="try")
    caution: Text | None = None


class Alone(Record):
    """What an owner reads who walks round alone, later, in place of what is said on the day."""

    say: Prose | None = None
    try_: Prose | None = Field(default=None, alias="try")


class Showing(Record):
    """What is shown of one thing, what is said, and what the buyer tries. ``minutes`` for all of it.

    ``again``: minutes for each further stop that has one; there it is pointed out, and what is said
    and tried is not repeated, unless ``every``. ``first``: it is shown before the front door is
    opened. ``reading``: its figures are written down. ``tested``: it is an alarm, and each one is
    sounded. ``basis``: the source of what is said. The first of its ``versions`` that is for a home
    stands over it. ``alone``: what the guide says where the words of the day would not be true later.
    ``{call:ROLE}`` becomes the name and number of whoever has that role.
    """

    show: Prose
    say: Prose
    try_: Prose | None = Field(default=None, alias="try")
    caution: Prose | None = None
    minutes: Minutes = 1
    again: Minutes = 0.25
    every: bool = False
    first: bool = False
    reading: bool = False
    tested: bool = False
    versions: ById[Version] = Field(default_factory=empty)
    alone: Alone | None = None
    basis: Prose


class Times(Record):
    """Minutes for what belongs to no single thing: each meter, each change of floor, the papers."""

    greeting: Minutes | None = None
    reading: Minutes | None = None
    floor: Minutes | None = None
    keys: Minutes | None = None
    papers: Minutes | None = None
    signing: Minutes | None = None


class DemonstrationFile(Record):
    """One file of ``content/demonstration``. Files merge by key; null takes an entry out.

    ``kinds`` and ``room_kinds`` go by the ids of the standard; ``before`` is what is done before the
    buyer comes.
    """

    kinds: ById[Showing | None] = Field(default_factory=empty)
    room_kinds: ById[Showing | None] = Field(default_factory=empty)
    subjects: Mapping[Subject, Showing | None] = Field(default_factory=empty)
    before: ById[Prose | None] = Field(default_factory=empty)
    times: Times = Field(default_factory=Times)


Written = Annotated[str, Field(max_length=2000)]
"""What somebody typed on the day. It is kept as it was typed, and never shown as markup."""

Stroke = Annotated[str, Field(max_length=20_000, pattern=r"^\d{1,4},\d{1,4}( \d{1,4},\d{1,4})*$")]
"""One line of a signature: points as "x,y", whole numbers from the top left of a box 600 by 200."""


class StopRecord(Record):
    """What happened at one stop: the ids of what was shown and of what the buyer tried."""

    shown: tuple[Text, ...] = ()
    tried: tuple[Text, ...] = ()
    note: Written = ""


class SeenMeter(MeterReading):
    """A meter's figures, and its serial number as it stands on the meter."""

    serial: Written | None = None


class OpenItem(Record):
    """Something still to be done, as it was agreed on the day."""

    note: Annotated[Written, Field(min_length=1)]
    due: Day | None = None


class Signature(Record):
    """Who agreed, and how: lines drawn on the glass, or a name typed in their place."""

    name: Written = ""
    strokes: Annotated[tuple[Stroke, ...], Field(max_length=200)] = ()

    @property
    def given(self) -> bool:
        return bool(self.strokes or self.name.strip())


Signer = Literal["buyer", "second-buyer", "builder"]


class DemonstrationRecord(Record):
    """A record as the tablet page exports it: private, and of one plot.

    ``sheet`` is the mark of the run sheet that it was written on, ``digest`` the SHA-256 of the
    record's canonical JSON (RFC 8785) without the digest itself. The digest shows damage and change
    after the export; it is no proof of who wrote the record.
    """

    form: Literal["handover-demonstration"]
    version: Literal[1]
    plot: Text
    sheet: Text
    day: Day
    by: Role
    stops: ById[StopRecord] = Field(default_factory=empty)
    meters: ById[SeenMeter] = Field(default_factory=empty)
    keys: ById[Annotated[Whole, Field(ge=0, le=999)]] = Field(default_factory=empty)
    alarms: tuple[Identifier, ...] = ()
    documents: tuple[Identifier, ...] = ()
    outstanding: ById[OpenItem] = Field(default_factory=empty)
    signatures: Mapping[Signer, Signature] = Field(default_factory=empty)
    digest: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
