"""How the home is heated and aired, and who supplies it."""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.condition import Condition
from builder.model.record import (
    ById,
    EquipmentId,
    KindId,
    Number,
    PlaceText,
    Prose,
    Record,
    RoomId,
    Telephone,
    Text,
    empty,
)
from builder.model.units import In

Rate = Annotated[Number, Field(gt=0, le=2000), In("litres a second", 1, 150, 0.1, 300)]


class Heating(Record):
    """What makes the heat and the hot water; no ``source`` where each heater makes its own."""

    source: EquipmentId | None = None
    hot_water: EquipmentId | None = None
    summary: Prose | None = None


class Emitter(Record):
    """A radiator, towel rail, floor loop or panel heater, and what controls it."""

    kind: KindId
    room: RoomId
    place: PlaceText | None = None
    control: Literal["thermostatic-valve", "own-thermostat", "zone-thermostat", "none"]


class Zone(Record):
    """A part of the home with a thermostat of its own."""

    name: Text
    rooms: Annotated[tuple[RoomId, ...], Field(min_length=1)]
    thermostat: EquipmentId | None = None
    emitters: ById[Emitter] = Field(default_factory=empty)


class AirValve(Record):
    """Where air leaves or enters a room. Rates in litres a second; ``by`` is the unit or fan.

    ``direction`` is said where a unit does both, as heat recovery does: elsewhere air only leaves by valves.
    """

    room: RoomId
    direction: Literal["extract", "supply"] | None = None
    by: EquipmentId
    rate: Rate | None = None
    boost_rate: Rate | None = None


class Ventilation(Record):
    """How the home is aired. ``whole_home_rate`` in litres a second, as commissioned."""

    system: Literal["natural", "intermittent-extract", "continuous-extract", "heat-recovery"]
    unit: EquipmentId | None = None
    whole_home_rate: Rate | None = None
    air_valves: ById[AirValve] = Field(default_factory=empty)


class Utility(Record):
    """Who supplies water, gas, electricity, heat or data on handover day, and ``when`` to a home."""

    name: Text
    supplier: Text
    telephone: Telephone | None = None
    meter: EquipmentId | None = None
    note: Prose | None = None
    when: Condition | None = None
