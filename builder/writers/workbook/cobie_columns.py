"""The sheets of COBie 2.4 and their columns (NBIMS-US v3, clause 4.2; BS 1192-4:2014), in the order of
the template. Of the sheets that a home seldom fills, the columns are from memory."""

from collections.abc import Mapping

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
