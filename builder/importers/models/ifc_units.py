"""The unit of length of a model: what it says, and another one where it says a wrong one."""

from typing import Any

import ifcopenshell


def set_unit(model: ifcopenshell.file, metres: float) -> None:
    """Makes a model say that its unit of length has so many metres. Units of area stay as they are."""
    unit = _unit(model, metres)
    for project in model.by_type("IfcProject"):
        said = project.UnitsInContext
        others = [each for each in said.Units if _kind(each) != "LENGTHUNIT"] if said else []
        project.UnitsInContext = model.create_entity("IfcUnitAssignment", [*others, unit])


def _kind(unit: Any) -> str:
    return str(getattr(unit, "UnitType", "") or "")


def _unit(model: ifcopenshell.file, metres: float) -> Any:
    make = model.create_entity
    prefixes = {1.0: None, 0.01: "CENTI", 0.001: "MILLI"}
    if metres in prefixes:
        return make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix=prefixes[metres], Name="METRE")
    base = make("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
    measure = make("IfcMeasureWithUnit", make("IfcLengthMeasure", metres), base)
    dimensions = make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
    return make("IfcConversionBasedUnit", dimensions, "LENGTHUNIT", "UNIT", measure)
