"""A small house as other programs write it: other units, languages, bodies, trees of spaces, far away.

Independent of the importer. The house is 6 m by 7 m to the middle of its walls and has two floors.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid
from shapely import Polygon

Ring = list[tuple[float, float]]
WALL = 0.1
UP = 2.7


def _box(left: float, low: float, right: float, high: float) -> Ring:
    return [(left, low), (right, low), (right, high), (left, high)]


FLOORS = (
    {"hall": _box(0, 0, 2, 7), "kitchen": _box(2, 0, 6, 3), "living": _box(2, 3, 6, 7)},
    {"landing": _box(0, 0, 2, 7), "bedroom": _box(2, 0, 6, 3.5), "second": _box(2, 3.5, 4.2, 7), "bathroom": _box(4.2, 3.5, 6, 7)},
)  # fmt: skip
NAMES = {
    "english": ("Hall", "Kitchen", "Living Room", "Landing", "Bedroom 1", "Bedroom 2", "Bathroom"),
    "german": ("Flur", "Küche", "Wohnzimmer", "Flur OG", "Schlafzimmer", "Kinderzimmer", "Bad"),
    "french": ("Entrée", "Cuisine", "Séjour", "Palier", "Chambre 1", "Chambre 2", "Salle de bains"),
    "finnish": ("Eteinen", "Keittiö", "Olohuone", "Ylähalli", "Makuuhuone 1", "Makuuhuone 2", "Kylpyhuone"),
    "none": (None,) * 7,
}  # fmt: skip
DOORS = (
    (0, (1, 0), (1, 0), 0.9), (0, (2, 1.5), (0, -1), 0.8), (0, (2, 5), (0, -1), 0.8),
    (1, (2, 1), (0, -1), 0.8), (1, (2, 5), (0, -1), 0.8), (1, (4.2, 5), (0, -1), 0.8),
)  # fmt: skip
"""Floor, middle, the way along, width: each leaf hangs at the beginning and opens to the left of it."""
WINDOWS = ((0, (4, 0), 1.2), (0, (4, 7), 1.8), (1, (4, 0), 1.2), (1, (3, 7), 1.0))


@dataclass
class Odd:
    """How one program writes the house. ``body``: extruded, brep, mapped, clipped or flat; ``tree``: of
    what the spaces are parts; ``wrong``: by how much its numbers are off what its unit says."""

    schema: str = "IFC4"
    unit: float = 1.0
    language: str = "english"
    body: str = "extruded"
    tree: str = "storeys"
    angle: float = 0.0
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    far: tuple[float, float] = (0.0, 0.0)
    north: float | None = None
    named_by: str = "LongName"
    shapes: bool = True
    widths: bool = True
    doors: bool = True
    wrong: float = 1.0
    copies: tuple[float, ...] = (0.0,)
    kids: dict[int, list[Any]] = field(default_factory=dict)

    def write(self, path: Path) -> None:
        """Write the model."""
        self._begin()
        for number, across in enumerate(self.copies, start=1):
            self._house(f"House {number}", across)
        for parent, parts in self.kids.items():
            self._root("IfcRelAggregates", RelatingObject=self.model.by_id(parent), RelatedObjects=parts)  # fmt: skip
        self.model.write(str(path))

    def _begin(self) -> None:
        self.model = ifcopenshell.file(schema=self.schema)
        make = self.model.create_entity
        self.owner = self._owner() if self.schema == "IFC2X3" else None
        self.zero = make("IfcAxis2Placement3D", make("IfcCartesianPoint", (0.0, 0.0, 0.0)))
        turned = math.radians(self.north or 0.0)
        north = make("IfcDirection", (-math.sin(turned), math.cos(turned))) if self.north else None
        self.context = make("IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, self.zero, north)  # fmt: skip
        units = make("IfcUnitAssignment", [self._unit()])
        project = self._root("IfcProject", Name="P", RepresentationContexts=[self.context], UnitsInContext=units)  # fmt: skip
        self.site = self._root("IfcSite", Name="Site", ObjectPlacement=self._placed(self.at, self.angle))  # fmt: skip
        self._part(project, self.site)

    def _owner(self) -> Any:
        make = self.model.create_entity
        firm, person = make("IfcOrganization", Name="Tests"), make("IfcPerson", FamilyName="Nobody")
        program = make("IfcApplication", firm, "1", "Another program", "other")
        both = make("IfcPersonAndOrganization", person, firm)
        return make("IfcOwnerHistory", both, program, ChangeAction="ADDED", CreationDate=0)

    def _unit(self) -> Any:
        make = self.model.create_entity
        prefixes = {1.0: None, 0.01: "CENTI", 0.001: "MILLI"}
        if self.unit in prefixes:
            return make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix=prefixes[self.unit], Name="METRE")  # fmt: skip
        metre = make("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
        measure = make("IfcMeasureWithUnit", make("IfcLengthMeasure", self.unit), metre)
        dimensions = make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
        return make("IfcConversionBasedUnit", dimensions, "LENGTHUNIT", "FOOT", measure)

    def _root(self, kind: str, **values: Any) -> Any:
        return self.model.create_entity(kind, GlobalId=ifcopenshell.guid.new(), OwnerHistory=self.owner, **values)  # fmt: skip

    def _part(self, whole: Any, part: Any) -> None:
        self.kids.setdefault(whole.id(), []).append(part)

    def _long(self, metres: float) -> float:
        return metres / self.unit * self.wrong

    def _point(self, *metres: float) -> Any:
        return self.model.create_entity("IfcCartesianPoint", tuple(map(self._long, metres)))

    def _placed(self, at: Sequence[float], angle: float = 0.0, parent: Any = None) -> Any:
        make, turned = self.model.create_entity, math.radians(angle)
        along = make("IfcDirection", (math.cos(turned), math.sin(turned), 0.0))
        axes = make("IfcAxis2Placement3D", self._point(*at), make("IfcDirection", (0.0, 0.0, 1.0)), along)  # fmt: skip
        return make("IfcLocalPlacement", parent.ObjectPlacement if parent else None, axes)

    def _house(self, name: str, across: float) -> None:
        building = self._root("IfcBuilding", Name=name, ObjectPlacement=self._placed((across, 0, 0), 0, self.site))  # fmt: skip
        self._part(self.site, building)
        names = iter(NAMES[self.language])
        floors = []
        for level, rooms in enumerate(FLOORS):
            storey = self._storey(building, level)
            floors.append(storey)
            for number, (room, ring) in enumerate(rooms.items(), start=1):
                title = next(names)
                said = {"Name": f"{level}{number}", "LongName": title} if self.named_by == "LongName" else {"Name": title}  # fmt: skip
                self._space(room, ring, storey, said)
        if self.tree == "gross":
            self._space("gross", _box(0, 0, 6, 7), floors[0], {"Name": "Gross"}, PredefinedType="GFA")  # fmt: skip
            self._space("garden", _box(-3, 7, 9, 15), floors[0], {"LongName": "Plot of land"}, PredefinedType="EXTERNAL")  # fmt: skip
        if self.doors:
            self._openings(floors)

    def _storey(self, building: Any, level: int) -> Any:
        if self.tree == "no storeys":
            place = self._placed((0, 0, UP * level), 0, building)
            return self._root("IfcBuildingElementProxy", Name="", ObjectPlacement=place)
        storey = self._root("IfcBuildingStorey", Name=f"Level {level}", Elevation=self._long(UP * level),
                            ObjectPlacement=self._placed((0, 0, UP * level), 0, building))  # fmt: skip
        self._part(building, storey)
        return storey

    def _space(self, room: str, ring: Ring, storey: Any, said: dict[str, Any], **more: Any) -> None:
        faces = list(Polygon(ring).buffer(-WALL / 2, join_style="mitre").exterior.coords)[:-1]
        space = self._root("IfcSpace", **said, ObjectPlacement=self._placed((0, 0, 0), 0, storey),
                           Representation=self._shape(faces, self.body), CompositionType="ELEMENT", **more)  # fmt: skip
        if self.tree == "no storeys":
            self._part(self.model.by_type("IfcBuilding")[-1], space)
        elif self.tree == "a storey a room":
            part = self._root("IfcBuildingStorey", Name=f"{storey.Name} {room}", CompositionType="PARTIAL",
                              ObjectPlacement=storey.ObjectPlacement, Elevation=storey.Elevation)  # fmt: skip
            self._part(storey, part)
            self._part(part, space)
        elif self.tree == "a space of spaces":
            whole = next((each for each in self.model.by_type("IfcSpace") if each.CompositionType == "COMPLEX"
                          and each.ObjectPlacement.PlacementRelTo == storey.ObjectPlacement), None)  # fmt: skip
            if whole is None:
                whole = self._root("IfcSpace", Name="Apartment", CompositionType="COMPLEX",
                                   ObjectPlacement=self._placed((0, 0, 0), 0, storey),
                                   Representation=self._shape(_box(0, 0, 6, 7), self.body))  # fmt: skip
                self._part(storey, whole)
            self._part(whole, space)
        else:
            self._part(storey, space)

    def _shape(self, ring: Ring, body: str, height: float = 2.4) -> Any:
        make = self.model.create_entity
        if body in ("extruded", "mapped", "clipped"):
            item = self._extruded(ring, height if body != "clipped" else height + 3)
        if body == "brep":
            item = self._brep(ring, height)
        elif body == "flat":
            item = make("IfcPolyline", [self._point(x, y) for x, y in [*ring, ring[0]]])
        elif body == "mapped":
            drawn = make("IfcShapeRepresentation", self.context, "Body", "SweptSolid", [item])
            operator = make("IfcCartesianTransformationOperator3D", None, None, self._point(0, 0, 0), 1.0)  # fmt: skip
            item = make("IfcMappedItem", make("IfcRepresentationMap", self.zero, drawn), operator)
        elif body == "clipped":
            top = make("IfcPlane", make("IfcAxis2Placement3D", self._point(0, 0, height)))
            item = make("IfcBooleanClippingResult", "DIFFERENCE", item, make("IfcHalfSpaceSolid", top, False))  # fmt: skip
        kinds = {"extruded": "SweptSolid", "brep": "Brep", "mapped": "MappedRepresentation", "clipped": "Clipping", "flat": "Curve2D"}  # fmt: skip
        called = "FootPrint" if body == "flat" else "Body"
        shape = make("IfcShapeRepresentation", self.context, called, kinds[body], [item])
        return make("IfcProductDefinitionShape", None, None, [shape])

    def _moved(self, ring: Ring) -> Ring:
        return [(x + self.far[0], y + self.far[1]) for x, y in ring]

    def _extruded(self, ring: Ring, height: float, *, near: bool = False) -> Any:
        make, moved = self.model.create_entity, ring if near else self._moved(ring)
        line = make("IfcPolyline", [self._point(x, y) for x, y in [*moved, moved[0]]])
        profile = make("IfcArbitraryClosedProfileDef", "AREA", None, line)
        return make("IfcExtrudedAreaSolid", profile, self.zero, make("IfcDirection", (0.0, 0.0, 1.0)), self._long(height))  # fmt: skip

    def _brep(self, ring: Ring, height: float) -> Any:
        make, moved = self.model.create_entity, self._moved(ring)
        low, high = ([self._point(x, y, z) for x, y in moved] for z in (0.0, height))
        after = [*range(1, len(moved)), 0]
        loops = [
            low[::-1],
            high,
            *([low[i], low[j], high[j], high[i]] for i, j in enumerate(after)),
        ]
        faces = [make("IfcFace", [make("IfcFaceOuterBound", make("IfcPolyLoop", loop), True)]) for loop in loops]  # fmt: skip
        return make("IfcFacetedBrep", make("IfcClosedShell", faces))

    def _openings(self, floors: Sequence[Any]) -> None:
        for level, at, along, width in DOORS:
            door = self._opening("IfcDoor", floors[level], at, along, width, 0.0)
            if self.schema == "IFC2X3":
                style = self._root("IfcDoorStyle", Name="Door", OperationType="SINGLE_SWING_LEFT", ConstructionType="NOTDEFINED",
                                   ParameterTakesPrecedence=False, Sizeable=False)  # fmt: skip
                self._root("IfcRelDefinesByType", RelatedObjects=[door], RelatingType=style)
            else:
                door.OperationType = "SINGLE_SWING_LEFT"
        for level, at, width in WINDOWS:
            self._opening("IfcWindow", floors[level], at, (1, 0), width, 0.9)

    def _opening(
        self, kind: str, storey: Any, at: Sequence[float], along: Sequence[float], width: float, low: float
    ) -> Any:  # fmt: skip
        start = (at[0] - along[0] * width / 2 + self.far[0], at[1] - along[1] * width / 2 + self.far[1], low)  # fmt: skip
        place = self._placed(start, math.degrees(math.atan2(along[1], along[0])), storey)
        shape = None
        if self.shapes:
            solid = self._extruded(_box(0, -0.03, width, 0.03), 1.2, near=True)
            drawn = self.model.create_entity("IfcShapeRepresentation", self.context, "Body", "SweptSolid", [solid])  # fmt: skip
            shape = self.model.create_entity("IfcProductDefinitionShape", None, None, [drawn])
        wide = self._long(width) if self.widths else None
        return self._root(kind, Name="Opening", ObjectPlacement=place, Representation=shape, OverallWidth=wide,
                          OverallHeight=self._long(1.2) if self.widths else None)  # fmt: skip
