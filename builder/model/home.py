"""The home: the merged, checked, frozen record of one plot. Every writer reads this."""

from typing import Annotated

from pydantic import Field

from builder.model.building import Door, Fitting, Floor, Form, Hand, Room, RoomKind, Stairs, Window
from builder.model.condition import NamedCondition, Role
from builder.model.cover import Cover, LaterOwner, Matter
from builder.model.equipment import Equipment, Kind, Position, System
from builder.model.handover import Document
from builder.model.nation import Nation
from builder.model.outside import Communal, Fence, Garage, Gate, Lawn, Parking, Store
from builder.model.people import Builder, Contact, Development, HouseType, Option, Plot
from builder.model.record import ById, Day, Identifier, Prose, Record, RoomId, Text, Whole, empty
from builder.model.services import Heating, Utility, Ventilation, Zone
from builder.model.setting import Building, Fabric, Need, Part, PartBought, Premises, Tenure
from builder.model.supplies import (
    Alarms,
    FoulDrainage,
    Fuel,
    HeatNetwork,
    OwnElectricity,
    ReusedWater,
    Sprinklers,
    Water,
)


class Waiver(Record):
    """One rule set aside, for a house type or a plot, by the layer that says so.

    ``about`` is the dotted path of what it is about, as the finding shows it; without it, all that
    the rule finds. ``by`` names a role, never a person. After ``until`` it no longer holds.
    """

    rule: Text
    about: Text | None = None
    reason: Prose
    by: Text
    until: Day


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


class Home(Record):
    """One plot, whole. Geometry and places are those of the plot's own hand.

    ``languages``: those in which its guide can be read beside the first, by their codes.
    """

    nation: Nation
    builder: Builder
    development: Development
    house_type: HouseType
    plot: Plot
    form: Form
    tenure: Tenure | None = None
    part_bought: PartBought | None = None
    building: Building | None = None
    premises: ById[Premises] = Field(default_factory=empty)
    built_for: tuple[Need, ...] = ()
    fabric: Fabric | None = None
    parts: ById[Part] = Field(default_factory=empty)
    water: Water | None = None
    reused_water: ReusedWater | None = None
    own_electricity: OwnElectricity | None = None
    foul_drainage: FoulDrainage | None = None
    sprinklers: Sprinklers | None = None
    heat_network: HeatNetwork | None = None
    alarms: Alarms | None = None
    floors: ById[Floor]
    rooms: ById[Room]
    systems: ById[System]
    kinds: ById[Kind]
    room_kinds: ById[RoomKind]
    fuels: ById[Fuel] = Field(default_factory=empty)
    languages: tuple[Identifier, ...] = ()
    conditions: ById[NamedCondition] = Field(default_factory=empty)
    roles: ById[Role] = Field(default_factory=empty)
    terms: ById[Text] = Field(default_factory=empty)
    documents: ById[Document] = Field(default_factory=empty)
    contacts: ById[Contact] = Field(default_factory=empty)
    matters: ById[Matter] = Field(default_factory=empty)
    covers: ById[Cover] = Field(default_factory=empty)
    later_owners: ById[LaterOwner] = Field(default_factory=empty)
    utilities: ById[Utility] = Field(default_factory=empty)
    options: ById[Option] = Field(default_factory=empty)
    doors: ById[Door] = Field(default_factory=empty)
    windows: ById[Window] = Field(default_factory=empty)
    stairs: ById[Stairs] = Field(default_factory=empty)
    fittings: ById[Fitting] = Field(default_factory=empty)
    heating: Heating | None = None
    zones: ById[Zone] = Field(default_factory=empty)
    ventilation: Ventilation | None = None
    equipment: ById[Equipment] = Field(default_factory=empty)
    finishes: ById[Finish] = Field(default_factory=empty)
    keys: ById[Key] = Field(default_factory=empty)
    photos: ById[Photo] = Field(default_factory=empty)
    lawns: ById[Lawn] = Field(default_factory=empty)
    fences: ById[Fence] = Field(default_factory=empty)
    gates: ById[Gate] = Field(default_factory=empty)
    garage: Garage | None = None
    parking: ById[Parking] = Field(default_factory=empty)
    stores: ById[Store] = Field(default_factory=empty)
    communal: ById[Communal] = Field(default_factory=empty)
    positions: ById[Position] = Field(default_factory=empty)
    waivers: ById[Waiver] = Field(default_factory=empty)
