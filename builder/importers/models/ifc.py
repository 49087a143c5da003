"""Reads a building model with ifcopenshell into plain values. Runs in a process of its own.

Facts of the form are those of ISO 16739 (IFC 2x3 TC1, 4 ADD2, 4.3), read in its published
documentation from memory: a door's leaf swings towards the positive y of its placement, and the
side of its hinges is seen looking that way.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.util.element as elements
import ifcopenshell.util.unit as units
from ifcopenshell.util.geolocation import get_true_north

from builder.importers.models.drawn import ModelDrawing, ModelOrigin, Space, Storey
from builder.importers.models.ifc_openings import doors_of, windows_of
from builder.importers.models.ifc_shapes import CEILING, Shapes
from builder.importers.models.ifc_spaces import (
    is_no_room,
    is_outside,
    levelled,
    said_of_spaces,
    zones_of,
)
from builder.importers.models.ifc_things import stairs_of, things_of, walls_of
from builder.importers.models.request import UNITS
from builder.importers.models.words import Vocabulary

_AREAS = ("NetFloorArea", "GrossFloorArea", "NetArea", "Area", "GSA BIM Area")
"""Quantities and properties that say a space's floor area, the best first."""
_ENOUGH = 400
"""Names that are looked at to know the language of a model."""


def read_ifc(path: Path, name: str, known: Vocabulary, unit: str | None = None) -> ModelDrawing:
    """A model as a drawing. ``name`` is what findings and comments call the file, ``unit`` the unit of
    length where the model says a wrong one."""
    model = ifcopenshell.open(str(path))
    _check_parts(model)
    if unit:
        set_unit(model, UNITS[unit])
    return _IfcReader(model, name, known).drawing()


def _check_parts(model: ifcopenshell.file) -> None:
    """Raises RecursionError where a thing is a part of itself: the library would look for its whole for ever."""
    wholes = {
        part.id(): each.RelatingObject.id()
        for each in model.by_type("IfcRelAggregates")
        for part in each.RelatedObjects or ()
    }
    for part, its in wholes.items():
        seen, whole = {part}, its
        while whole in wholes:
            if whole in seen:
                raise RecursionError
            seen.add(whole)
            whole = wholes[whole]


class _IfcReader:
    """One model on its way to a drawing."""

    def __init__(self, model: ifcopenshell.file, name: str, known: Vocabulary) -> None:
        self.model, self.name, self.known = model, name, known
        self.scale = units.calculate_unit_scale(model)
        self.faults: list[str] = []
        self.shapes = Shapes(model, self.faults)

    def drawing(self) -> ModelDrawing:
        """All that is read of the model."""
        self.known = self.known.speaking(*self._names())
        storeys = sorted(self._storeys(), key=lambda each: each[1].elevation)
        levels = {entity.id(): index for index, (entity, _) in enumerate(storeys)}
        spaces, floors = levelled(
            tuple(self._spaces(levels, [each for _, each in storeys])),
            tuple(each for _, each in storeys),
        )
        self.faults += said_of_spaces(self.model)
        if self.shapes.flat:
            self.faults.append(
                f"{self.shapes.flat} spaces are drawn flat: they were taken to be {CEILING} m high."
            )
        return ModelDrawing(
            form=self.model.schema_identifier,
            program=self._program(),
            unit=_unit(self.scale),
            scale=self.scale,
            storeys=floors,
            spaces=spaces,
            doors=tuple(doors_of(self.model, self.shapes, self.scale, self.origin)),
            windows=tuple(windows_of(self.model, self.shapes, self.scale, self.origin)),
            stairs=tuple(stairs_of(self.model, self.shapes, self.origin)),
            walls=tuple(walls_of(self.model, self.shapes, self.origin)),
            things=tuple(things_of(self.model, self.shapes, self.known, self.origin)),
            north=self._north(),
            faults=tuple(self.faults),
            counts=self._counts(),
            typical=self.shapes.typical(),
        )  # fmt: skip

    def _names(self) -> tuple[list[str], list[str]]:
        """Names of rooms and of what is built in, by which the language is known."""
        rooms = [str(each.LongName or each.Name or "") for each in self.model.by_type("IfcSpace")]
        things = self.model.by_type("IfcDistributionElement")[:_ENOUGH]
        return rooms[:_ENOUGH], [str(each.Name or "") for each in things]

    def origin(self, entity: Any) -> ModelOrigin:
        """Where something comes from: its class, GlobalId and name."""
        return ModelOrigin(entity.is_a(), entity.GlobalId, str(entity.Name or ""), self.name)

    def _storeys(self) -> Iterator[tuple[Any, Storey]]:
        for entity in self.model.by_type("IfcBuildingStorey"):
            placed = float(self.shapes.placement(entity)[2][3])
            said = entity.Elevation
            elevation = placed if said is None else said * self.scale
            yield (
                entity,
                Storey(str(entity.Name or ""), float(elevation), self.origin(entity), placed),
            )

    def _spaces(self, levels: dict[int, int], storeys: list[Storey]) -> Iterator[Space]:
        for entity in self.model.by_type("IfcSpace"):
            if is_no_room(entity):
                continue
            footprint = self.shapes.footprint(entity) or self.shapes.flat_footprint(entity)
            if footprint is None:
                continue
            rings, low, high = footprint
            above = list(_above(entity))
            level = next((levels[each.id()] for each in above if each.id() in levels), None)
            yield Space(
                number=str(entity.Name or ""),
                name=str(entity.LongName or ""),
                storey=_storey_at(low, storeys) if level is None else level,
                rings=rings,
                low=low,
                high=high,
                origin=self.origin(entity),
                words=self._words(entity),
                zones=tuple(zones_of(entity)),
                own_area=self._own_area(entity),
                building=next((str(each.LongName or each.Name or each.GlobalId) for each in above if each.is_a("IfcBuilding")), ""),
                is_outside=is_outside(entity),
            )  # fmt: skip

    def _words(self, entity: Any) -> tuple[str, ...]:
        said = (entity.LongName, entity.ObjectType, entity.Description, entity.Name)
        about = elements.get_type(entity)
        kind = str(getattr(about, "Name", "") or "") if about is not None else ""
        return tuple(str(each) for each in (*said, kind) if each)

    def _own_area(self, entity: Any) -> float | None:
        try:
            sets = elements.get_psets(entity)
        except RuntimeError:
            return None
        for wanted in _AREAS:
            for told in sets.values():
                value = told.get(wanted)
                if isinstance(value, int | float) and value > 0:
                    return float(value) * _area_scale(self.model)
        return None

    def _program(self) -> str:
        for entity in self.model.by_type("IfcApplication"):
            return f"{entity.ApplicationFullName or ''} {entity.Version or ''}".strip()
        return ""

    def _north(self) -> float | None:
        said = [
            each.TrueNorth
            for each in self.model.by_type(
                "IfcGeometricRepresentationContext", include_subtypes=False
            )
        ]
        return float(get_true_north(self.model)) if any(said) else None

    def _counts(self) -> dict[str, int]:
        return {
            name: len(self.model.by_type(name))
            for name in ("IfcWall", "IfcSlab", "IfcSpace", "IfcDoor", "IfcWindow", "IfcBuilding")
        }


def _area_scale(model: ifcopenshell.file) -> float:
    try:
        return float(units.calculate_unit_scale(model, unit_type="AREAUNIT"))
    except (RuntimeError, AttributeError, KeyError, IndexError):
        return 1.0


def _storey_at(low: float, storeys: list[Storey]) -> int:
    """The storey that something at this height stands on."""
    below = [i for i, each in enumerate(storeys) if each.height <= low + 0.5]
    return below[-1] if below else 0


def _above(entity: Any) -> Iterator[Any]:
    """What an entity is a part of, and what that is a part of."""
    above = elements.get_aggregate(entity) or elements.get_container(entity)
    while above is not None:
        yield above
        above = elements.get_aggregate(above)


def _unit(scale: float) -> str:
    known = {metres: unit for unit, metres in UNITS.items()}
    return known.get(round(scale, 6), f"units of {scale:g} m")


def set_unit(model: ifcopenshell.file, metres: float) -> None:
    """Makes a model say that its unit of length has so many metres. Units of area stay as they are."""
    unit = _length_unit(model, metres)
    for project in model.by_type("IfcProject"):
        said = project.UnitsInContext
        others = (
            [each for each in said.Units if _kind_of_unit(each) != "LENGTHUNIT"] if said else []
        )
        project.UnitsInContext = model.create_entity("IfcUnitAssignment", [*others, unit])


def _kind_of_unit(unit: Any) -> str:
    return str(getattr(unit, "UnitType", "") or "")


def _length_unit(model: ifcopenshell.file, metres: float) -> Any:
    make = model.create_entity
    prefixes = {1.0: None, 0.01: "CENTI", 0.001: "MILLI"}
    if metres in prefixes:
        return make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix=prefixes[metres], Name="METRE")
    base = make("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
    measure = make("IfcMeasureWithUnit", make("IfcLengthMeasure", metres), base)
    dimensions = make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
    return make("IfcConversionBasedUnit", dimensions, "LENGTHUNIT", "UNIT", measure)
