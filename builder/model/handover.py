"""The record of one plot's handover: what was measured, counted, given, shown and signed.

All of it is private. It stands beside the layers of a plot, never among them, so that no writer
can reach it; people are named by their role, and of a signature only the day is kept.
"""

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from builder.model.condition import Condition
from builder.model.record import ById, Day, Number, Prose, Record, Text, Whole, empty
from builder.model.services import Rate
from builder.model.units import In

Role = Literal[
    "site-manager", "plumber", "heating-engineer", "gas-engineer", "electrician",
    "ventilation-engineer", "solar-installer", "sprinkler-engineer", "technical", "sales",
    "customer-care",
]  # fmt: skip
OwedBy = Literal["technical", "site", "sales", "customer-care"]

_FIGURES = re.compile(r"[0-9]+(\.[0-9]*)?|\.[0-9]+")


def _reading(value: Any) -> Any:
    """A meter's figures as text. The message leaves out what was written: readings are private."""
    text = str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
    if not isinstance(text, str) or not _FIGURES.fullmatch(text):
        raise PydanticCustomError(
            "reading", "This is not the reading of a meter; its figures are wanted, in quotes"
        )
    return text


Reading = Annotated[str, BeforeValidator(_reading), Field(max_length=20)]
"""The figures that a meter shows, leading noughts kept where they are written in quotes."""


class AirFlow(Record):
    """Measured air in litres a second, by the id of an air valve, or of a fan that has none."""

    day: Day
    by: Role
    rates: ById[Rate] = Field(default_factory=empty)
    boost_rates: ById[Rate] = Field(default_factory=empty)
    whole_home_rate: Rate | None = None


class WaterTest(Record):
    """The water as it was tried. ``bath_temperature``: the hottest that the bath tap gives, in °C."""

    day: Day
    by: Role
    stopcock_tried: bool = False
    bath_temperature: Annotated[Number, Field(gt=0, le=100), In("°C", 20, 75, 0, 100)] | None = None


class HeatingTest(Record):
    """The heating as it was set going. ``pressure`` in bar, measured cold."""

    day: Day
    by: Role
    pressure: Annotated[Number, Field(gt=0, le=10), In("bar", 0.2, 6, 0, 10)] | None = None


class ElectricalTest(Record):
    """The electrical tests, and the number of their certificate."""

    day: Day
    by: Role
    certificate: Text | None = None


class GasTest(Record):
    """The gas pipes tested for leaks, and the appliances set going."""

    day: Day
    by: Role


class Commissioning(Record):
    """Each system of the home, tested and set going."""

    ventilation: AirFlow | None = None
    water: WaterTest | None = None
    heating: HeatingTest | None = None
    electricity: ElectricalTest | None = None
    gas: GasTest | None = None


class MeterReading(Record):
    """What a meter showed on a day. ``further``: its other figures, such as night or export."""

    reading: Reading
    day: Day
    further: ById[Reading] = Field(default_factory=empty)


class Stickers(Record):
    """The days on which all stickers were fixed, and all were scanned where they stick.

    ``found``: the day on which each was scanned there, by the id of its piece, until all are.
    """

    fixed: Day | None = None
    scanned: Day | None = None
    found: ById[Day] = Field(default_factory=empty)


class Demonstration(Record):
    """The walk round the home with the buyer."""

    day: Day
    by: Role


class Outstanding(Record):
    """Something still to be done after handover, and the day it is promised for.

    What a kept record of the demonstration says already need not be said here again.
    """

    note: Prose | None = None
    due: Day | None = None
    done: Day | None = None


class Handover(Record):
    """All that is recorded while a plot is handed over. No person is named, and all is private.

    ``keys`` counts keys by the ids of the key schedule, ``documents`` holds the day on which each
    was given, ``signed`` the day that the buyer signed for the home.
    """

    commissioning: Commissioning = Field(default_factory=Commissioning)
    meters: ById[MeterReading] = Field(default_factory=empty)
    keys: ById[Annotated[Whole, Field(ge=0, le=999)]] = Field(default_factory=empty)
    documents: ById[Day] = Field(default_factory=empty)
    alarms_tested: Day | None = None
    stickers: Stickers = Field(default_factory=Stickers)
    demonstration: Demonstration | None = None
    outstanding: ById[Outstanding] = Field(default_factory=empty)
    signed: Day | None = None
    care_call: Day | None = None
    snags_closed: Day | None = None


class Document(Record):
    """A paper that the buyer is given, who sees to it, and ``when``: only homes that need it."""

    name: Text
    owed_by: OwedBy
    basis: Prose
    when: Condition | None = None
