"""Checks a COBie workbook by the standard's own words: independent of what writes it.

Written from the columns of COBie 2.4 (NBIMS-US v3, clause 4.2; BS 1192-4:2014): one workbook, one sheet a
subject, the headings in their order, empty cells as n/a, names unique in a sheet, and every foreign key
equal to a name that exists (of a contact: its e-mail).
"""

import re
from collections.abc import Iterator
from pathlib import Path

import openpyxl

HEADINGS = {
    "Contact": "Email CreatedBy CreatedOn Category Company Phone ExternalSystem ExternalObject ExternalIdentifier Department OrganizationCode GivenName FamilyName Street PostalBox Town StateRegion PostalCode Country",
    "Facility": "Name CreatedBy CreatedOn Category ProjectName SiteName LinearUnits AreaUnits VolumeUnits CurrencyUnit AreaMeasurement ExternalSystem ExternalProjectObject ExternalProjectIdentifier ExternalSiteObject ExternalSiteIdentifier ExternalFacilityObject ExternalFacilityIdentifier Description ProjectDescription SiteDescription Phase",
    "Floor": "Name CreatedBy CreatedOn Category ExtSystem ExtObject ExtIdentifier Description Elevation Height",
    "Space": "Name CreatedBy CreatedOn Category FloorName Description ExtSystem ExtObject ExtIdentifier RoomTag UsableHeight GrossArea NetArea",
    "Zone": "Name CreatedBy CreatedOn Category SpaceNames ExtSystem ExtObject ExtIdentifier Description",
    "Type": "Name CreatedBy CreatedOn Category Description AssetType Manufacturer ModelNumber WarrantyGuarantorParts WarrantyDurationParts WarrantyGuarantorLabor WarrantyDurationLabor WarrantyDurationUnit ExtSystem ExtObject ExtIdentifier ReplacementCost ExpectedLife DurationUnit WarrantyDescription NominalLength NominalWidth NominalHeight ModelReference Shape Size Color Finish Grade Material Constituents Features AccessibilityPerformance CodePerformance SustainabilityPerformance",
    "Component": "Name CreatedBy CreatedOn TypeName Space Description ExtSystem ExtObject ExtIdentifier SerialNumber InstallationDate WarrantyStartDate TagNumber BarCode AssetIdentifier",
    "System": "Name CreatedBy CreatedOn Category ComponentNames ExtSystem ExtObject ExtIdentifier Description",
    "Spare": "Name CreatedBy CreatedOn Category TypeName Suppliers ExtSystem ExtObject ExtIdentifier Description SetNumber PartNumber",
    "Resource": "Name CreatedBy CreatedOn Category ExtSystem ExtObject ExtIdentifier Description",
    "Job": "Name CreatedBy CreatedOn Category Status TypeName Description Duration DurationUnit Start TaskStartUnit Frequency FrequencyUnit ExtSystem ExtObject ExtIdentifier TaskNumber Priors ResourceNames",
    "Document": "Name CreatedBy CreatedOn Category ApprovalBy Stage SheetName RowName Directory File ExtSystem ExtObject ExtIdentifier Description Reference",
    "Attribute": "Name CreatedBy CreatedOn Category SheetName RowName Value Unit ExtSystem ExtObject ExtIdentifier Description AllowedValues",
    "Coordinate": "Name CreatedBy CreatedOn Category SheetName RowName CoordinateXAxis CoordinateYAxis CoordinateZAxis ExtSystem ExtObject ExtIdentifier ClockwiseRotation ElevationalRotation YawRotation",
}  # fmt: skip
FURTHER = ("Assembly", "Connection", "Impact", "Issue", "PickLists", "Instruction")
LEADS_TO = {
    ("Space", "FloorName"): "Floor", ("Component", "TypeName"): "Type", ("Component", "Space"): "Space",
    ("Job", "TypeName"): "Type", ("Spare", "TypeName"): "Type", ("Type", "Manufacturer"): "Contact",
    ("Type", "WarrantyGuarantorParts"): "Contact", ("Type", "WarrantyGuarantorLabor"): "Contact",
}  # fmt: skip
LISTS = {
    ("Zone", "SpaceNames"): "Space",
    ("System", "ComponentNames"): "Component",
    ("Job", "ResourceNames"): "Resource",
}
NEEDED = ("Contact", "Facility", "Floor", "Space", "Type", "Component")
DAYS = ("CreatedOn", "InstallationDate", "WarrantyStartDate")
NUMBERS = ("Elevation", "Height", "UsableHeight", "GrossArea", "NetArea", "CoordinateXAxis", "CoordinateYAxis",
           "CoordinateZAxis", "Frequency", "Start", "WarrantyDurationParts", "WarrantyDurationLabor")  # fmt: skip
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}:\d{2})?")

Rows = dict[str, list[dict[str, object]]]


def read(path: Path) -> Rows:
    """Every sheet as rows by heading."""
    book = openpyxl.load_workbook(path)
    found: Rows = {}
    for sheet in book.worksheets:
        heads, *rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
        found[sheet.title] = [
            {str(head): value for head, value in zip(heads, row, strict=True)} for row in rows
        ]
    return found


def mistakes(path: Path) -> Iterator[str]:
    """Whatever the standard does not allow."""
    book = openpyxl.load_workbook(path)
    for name in (*HEADINGS, *FURTHER):
        if name not in book.sheetnames:
            yield f"there is no sheet {name}"
    for name, said in HEADINGS.items():
        heads = [cell.value for cell in book[name][1]]
        if heads != said.split():
            yield f"{name}: the headings are {heads}"
    sheets = read(path)
    names = {
        name: [str(row["Email" if name == "Contact" else "Name"]) for row in sheets[name]]
        for name in HEADINGS
    }
    for name, listed in names.items():
        yield from (
            f"{name}: '{each}' stands twice"
            for each in {one for one in listed if listed.count(one) > 1}
        )
        if name in NEEDED and not listed:
            yield f"{name} is empty"
    for name in HEADINGS:
        for number, row in enumerate(sheets[name], start=2):
            yield from (f"{name}:{number}: {said}" for said in _row(name, row, names))


def _row(sheet: str, row: dict[str, object], names: dict[str, list[str]]) -> Iterator[str]:
    for column, value in row.items():
        if value in (None, ""):
            yield f"{column} is empty, and not n/a"
        elif value != "n/a":
            yield from _form(column, value)
            yield from _keys(sheet, column, value, names)
    if "RowName" in row and row["RowName"] not in names.get(str(row["SheetName"]), ()):
        yield f"RowName: there is no '{row['RowName']}' in {row['SheetName']}"
    if sheet == "Contact":
        yield from _contact(row)


def _form(column: str, value: object) -> Iterator[str]:
    if column in DAYS and not _DAY.fullmatch(str(value)):
        yield f"{column} is no ISO day: {value}"
    if column in NUMBERS and not isinstance(value, int | float):
        yield f"{column} is no number: {value}"


def _keys(sheet: str, column: str, value: object, names: dict[str, list[str]]) -> Iterator[str]:
    if column == "CreatedBy" and value not in names["Contact"]:
        yield f"CreatedBy: there is no contact '{value}'"
    if (sheet, column) in LEADS_TO and value not in names[LEADS_TO[sheet, column]]:
        yield f"{column}: there is no '{value}'"
    if (sheet, column) in LISTS:
        known = names[LISTS[sheet, column]]
        yield from (
            f"{column}: there is no '{each}'" for each in str(value).split(",") if each not in known
        )


def _contact(row: dict[str, object]) -> Iterator[str]:
    if not re.fullmatch(r"[^@\s]+@[^@\s]+\.[a-z]+", str(row["Email"])):
        yield f"Email: {row['Email']}"
    if (row["GivenName"], row["FamilyName"]) != ("n/a", "n/a"):
        yield "a person is named"
