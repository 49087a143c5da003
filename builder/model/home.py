"""The home: the merged, checked, frozen record of one plot. Every writer reads this."""

from pydantic import Field

from builder.model.building import Door, Floor, Form, Room, RoomKind, Window
from builder.model.cover import Cover, LaterOwner, Matter
from builder.model.equipment import Equipment, Kind, Position, System
from builder.model.fitted import Fitting, Stairs
from builder.model.handover import Document
from builder.model.naming import NamedCondition, Role
from builder.model.nation import Nation
from builder.model.outside import Communal, Fence, Garage, Gate, Lawn, Parking, Store
from builder.model.people import Builder, Contact, Development, HouseType, Option, Plot
from builder.model.record import ById, Identifier, Record, Text, empty
from builder.model.schedule import Finish, Key, Photo
from builder.model.services import Heating, Utility, Ventilation, Zone
from builder.model.setting import Building, Fabric, Need, Part, Tenure
from builder.model.supplies import (
    Alarms,
    FoulDrainage,
    Fuel,
    HeatNetwork,
    ReusedWater,
    Sprinklers,
    Water,
)
from builder.model.waiver import Waiver


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
    building: Building | None = None
    built_for: tuple[Need, ...] = ()
    fabric: Fabric | None = None
    parts: ById[Part] = Field(default_factory=empty)
    water: Water | None = None
    reused_water: ReusedWater | None = None
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
