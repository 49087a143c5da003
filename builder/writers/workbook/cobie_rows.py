"""What COBie is written from, and its rows while they are collected: names that are unique in their sheet, empty cells as n/a."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from builder.guide.schedule.entries import Schedule
from builder.model.home import Home
from builder.writers.workbook.writing import Cell, workbook_of

COLUMNS: Mapping[str, tuple[str, ...]] = {
    sheet: tuple(each.strip() for each in columns.split(","))
    for sheet, columns in {
        "Instruction": "Title, Text",
        "Contact": "Email, CreatedBy, CreatedOn, Category, Company, Phone, ExternalSystem, ExternalObject, ExternalIdentifier, Department, OrganizationCode, GivenName, FamilyName, Street, PostalBox, Town, StateRegion, PostalCode, Country",
        "Facility": "Name, CreatedBy, CreatedOn, Category, ProjectName, SiteName, LinearUnits, AreaUnits, VolumeUnits, CurrencyUnit, AreaMeasurement, ExternalSystem, ExternalProjectObject, ExternalProjectIdentifier, ExternalSiteObject, ExternalSiteIdentifier, ExternalFacilityObject, ExternalFacilityIdentifier, Description, ProjectDescription, SiteDescription, Phase",
        "Floor": "Name, CreatedBy, CreatedOn, Category, ExtSystem, ExtObject, ExtIdentifier, Description, Elevation, Height",
        "Space": "Name, CreatedBy, CreatedOn, Category, FloorName, Description, ExtSystem, ExtObject, ExtIdentifier, RoomTag, UsableHeight, GrossArea, NetArea",
        "Zone": "Name, CreatedBy, CreatedOn, Category, SpaceNames, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Type": "Name, CreatedBy, CreatedOn, Category, Description, AssetType, Manufacturer, ModelNumber, WarrantyGuarantorParts, WarrantyDurationParts, WarrantyGuarantorLabor, WarrantyDurationLabor, WarrantyDurationUnit, ExtSystem, ExtObject, ExtIdentifier, ReplacementCost, ExpectedLife, DurationUnit, WarrantyDescription, NominalLength, NominalWidth, NominalHeight, ModelReference, Shape, Size, Color, Finish, Grade, Material, Constituents, Features, AccessibilityPerformance, CodePerformance, SustainabilityPerformance",
        "Component": "Name, CreatedBy, CreatedOn, TypeName, Space, Description, ExtSystem, ExtObject, ExtIdentifier, SerialNumber, InstallationDate, WarrantyStartDate, TagNumber, BarCode, AssetIdentifier",
        "System": "Name, CreatedBy, CreatedOn, Category, ComponentNames, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Assembly": "Name, CreatedBy, CreatedOn, SheetName, ParentName, ChildNames, AssemblyType, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Connection": "Name, CreatedBy, CreatedOn, ConnectionType, SheetName, RowName1, RowName2, RealizingElement, PortName1, PortName2, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Spare": "Name, CreatedBy, CreatedOn, Category, TypeName, Suppliers, ExtSystem, ExtObject, ExtIdentifier, Description, SetNumber, PartNumber",
        "Resource": "Name, CreatedBy, CreatedOn, Category, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Job": "Name, CreatedBy, CreatedOn, Category, Status, TypeName, Description, Duration, DurationUnit, Start, TaskStartUnit, Frequency, FrequencyUnit, ExtSystem, ExtObject, ExtIdentifier, TaskNumber, Priors, ResourceNames",
        "Impact": "Name, CreatedBy, CreatedOn, ImpactType, ImpactStage, SheetName, RowName, Value, ImpactUnit, LeadInTime, Duration, LeadOutTime, ExtSystem, ExtObject, ExtIdentifier, Description",
        "Document": "Name, CreatedBy, CreatedOn, Category, ApprovalBy, Stage, SheetName, RowName, Directory, File, ExtSystem, ExtObject, ExtIdentifier, Description, Reference",
        "Attribute": "Name, CreatedBy, CreatedOn, Category, SheetName, RowName, Value, Unit, ExtSystem, ExtObject, ExtIdentifier, Description, AllowedValues",
        "Coordinate": "Name, CreatedBy, CreatedOn, Category, SheetName, RowName, CoordinateXAxis, CoordinateYAxis, CoordinateZAxis, ExtSystem, ExtObject, ExtIdentifier, ClockwiseRotation, ElevationalRotation, YawRotation",
        "Issue": "Name, CreatedBy, CreatedOn, Type, Risk, Chance, Impact, SheetName1, RowName1, SheetName2, RowName2, Description, Owner, Mitigation, ExtSystem, ExtObject, ExtIdentifier",
        "PickLists": "Name, Value",
    }.items()
}  # fmt: skip


EMPTY = "n/a"
_SYSTEM = "Handover pack builder"
_EXTERNAL = ("ExtSystem", "ExternalSystem")


@dataclass(frozen=True)
class CobieHome:
    """One home to be written: its reference, its schedule, sticker codes by equipment, the papers that
    it has by name with their basis, and the kinds that each article serves."""

    reference: str
    home: Home
    schedule: Schedule
    codes: Mapping[str, str]
    papers: Mapping[str, str]
    serves: Mapping[str, tuple[str, ...]]


class Rows:
    """All sheets of one workbook. ``made_by``: the contact that every row names; ``day``: its date."""

    def __init__(self, made_by: str, day: date) -> None:
        self.made_by, self._on = made_by, f"{day.isoformat()}T00:00:00"
        self._rows: dict[str, list[list[Cell]]] = {
            sheet: [list(columns)] for sheet, columns in COLUMNS.items()
        }
        self._names: dict[str, set[str]] = {sheet: set() for sheet in COLUMNS}

    def add(self, sheet: str, name: str, **cells: Cell) -> str:
        """A row, and the name that it got: of two that are alike the second gets a number."""
        free, number = plain(name), 2
        while free.casefold() in self._names[sheet]:
            free, number = f"{plain(name)} {number}", number + 1
        self._names[sheet].add(free.casefold())
        self._rows[sheet].append(
            [self._cell(sheet, column, free, cells) for column in COLUMNS[sheet]]
        )
        return free

    def has(self, sheet: str, name: str) -> bool:
        """Whether a sheet has a row of this name."""
        return plain(name).casefold() in self._names[sheet]

    def _cell(self, sheet: str, column: str, name: str, cells: Mapping[str, Cell]) -> Cell:
        if column == COLUMNS[sheet][0]:
            return name
        if column == "CreatedBy":
            return self.made_by
        if column == "CreatedOn":
            return self._on
        if column in _EXTERNAL:
            return _SYSTEM
        value = cells.get(column)
        return EMPTY if value is None or value == "" else value

    def workbook(self, title: str) -> bytes:
        """All sheets, filled or not."""
        return workbook_of(self._rows, title)


def plain(name: str) -> str:
    """A name as lists of names can hold it: without the commas that part them."""
    return re.sub(r"\s+", " ", name.replace(",", " ")).strip() or EMPTY
