"""Writes a house type as a building model with ifcopenshell, as another program would draw it.

Independent of the importer: it reads plain YAML, and knows the form by its published documentation.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid
import numpy
import yaml

OPERATIONS = {
    ("hinged", "left"): "SINGLE_SWING_RIGHT", ("hinged", "right"): "SINGLE_SWING_LEFT",
    ("double", None): "DOUBLE_DOOR_SINGLE_SWING", ("sliding", None): "SLIDING_TO_LEFT",
    ("folding", None): "FOLDING_TO_LEFT",
}  # fmt: skip
"""The model looks the way that the leaf swings; a house type looks from the room it opens into."""

FURNITURE = {
    "bath": "Bathtub",
    "basin": "Washbasin",
    "sink": "Kitchen sink",
    "worktop": "Countertop",
}


@dataclass(frozen=True)
class Style:
    """How the program that writes the model draws: its form, unit, and where the house stands.

    ``wall``: rooms end this far, in metres, before the middle of their walls.
    """

    schema: str = "IFC4"
    unit: float = 0.001
    angle: float = 0.0
    offset: tuple[float, float, float] = (0.0, 0.0, 0.0)
    north: tuple[float, float] | None = None
    wall: float = 0.0
    names: Mapping[str, str] | None = None
    prefix: str = ""
    mirrored: bool = False


def read_house_type(path: Path) -> dict[str, Any]:
    """A house type as a plain reader of YAML has it."""
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert isinstance(data, dict)
    return data


def write_model(
    house: Mapping[str, Any],
    path: Path,
    style: Style = Style(),
    words: Mapping[str, str] | None = None,
) -> None:
    """Write a house type as IFC. ``words``: what the program calls each kind of equipment."""
    program = Program(style)
    program.house(house, words or {})
    program.model.write(str(path))


class Program:
    """A program that draws models."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.model = ifcopenshell.file(schema=style.schema)
        self._numbers = iter(range(1, 100_000))
        self.context = self._context()
        self.storeys: dict[str, Any] = {}
        self.inside: dict[str, list[Any]] = {}

    def root(self, kind: str, **values: Any) -> Any:
        """An entity with a GlobalId that is the same in every run."""
        number = next(self._numbers)
        return self.model.create_entity(
            kind, GlobalId=ifcopenshell.guid.compress(f"{number:032x}"), **values
        )

    def metres(self, value: float) -> float:
        """A length in the unit of the model."""
        return value / self.style.unit

    def _context(self) -> Any:
        make = self.model.create_entity
        prefix = {0.001: "MILLI", 0.01: "CENTI", 1.0: None}.get(self.style.unit)
        unit: Any
        if self.style.unit == 0.3048:
            base = make("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
            measure = make("IfcMeasureWithUnit", make("IfcLengthMeasure", 0.3048), base)
            dimensions = make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
            unit = make("IfcConversionBasedUnit", dimensions, "LENGTHUNIT", "FOOT", measure)
        else:
            unit = make("IfcSIUnit", UnitType="LENGTHUNIT", Prefix=prefix, Name="METRE")
        units = make("IfcUnitAssignment", [unit])
        north = make("IfcDirection", self.style.north) if self.style.north else None
        origin = make("IfcAxis2Placement3D", make("IfcCartesianPoint", (0.0, 0.0, 0.0)))
        context = make("IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, origin, north)
        owner = self._owner() if self.style.schema == "IFC2X3" else None
        self.owner = owner
        self.project = self.root(
            "IfcProject",
            OwnerHistory=owner,
            Name="A house",
            RepresentationContexts=[context],
            UnitsInContext=units,
        )
        return context

    def _owner(self) -> Any:
        make = self.model.create_entity
        organisation = make("IfcOrganization", Name="Tests")
        person = make("IfcPerson", FamilyName="Nobody")
        application = make("IfcApplication", organisation, "1", "A program of the tests", "tests")
        return make(
            "IfcOwnerHistory",
            make("IfcPersonAndOrganization", person, organisation),
            application,
            ChangeAction="ADDED",
            CreationDate=0,
        )

    def placed(self, point: tuple[float, float, float], along: tuple[float, float]) -> Any:
        """A placement in the building, turned and moved as the whole house is."""
        make = self.model.create_entity
        x, y = self._turned((point[0], point[1]))
        u, v = self._turned(along)
        ox, oy, oz = self.style.offset
        where = (self.metres(x + ox), self.metres(y + oy), self.metres(point[2] + oz))
        axis = make("IfcAxis2Placement3D", make("IfcCartesianPoint", where),
                    make("IfcDirection", (0.0, 0.0, 1.0)), make("IfcDirection", (u, v, 0.0)))  # fmt: skip
        return make("IfcLocalPlacement", None, axis)

    def _turned(self, vector: tuple[float, float]) -> tuple[float, float]:
        x, y = vector
        if self.style.mirrored:
            x = -x
        angle = math.radians(self.style.angle)
        return x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle)

    def solid(self, ring: Any, height: float) -> Any:
        """A body whose plan is a ring, in the axes of its placement."""
        make = self.model.create_entity
        points = [
            make("IfcCartesianPoint", (self.metres(x), self.metres(y))) for x, y in [*ring, ring[0]]
        ]
        profile = make("IfcArbitraryClosedProfileDef", "AREA", None, make("IfcPolyline", points))
        origin = make("IfcAxis2Placement3D", make("IfcCartesianPoint", (0.0, 0.0, 0.0)))
        up = make("IfcDirection", (0.0, 0.0, 1.0))
        body = make("IfcExtrudedAreaSolid", profile, origin, up, self.metres(height))
        shape = make("IfcShapeRepresentation", self.context, "Body", "SweptSolid", [body])
        return make("IfcProductDefinitionShape", None, None, [shape])

    def house(self, house: Mapping[str, Any], words: Mapping[str, str]) -> None:
        """All of a house type."""
        self.floors(house)
        self.spaces(house)
        for name, door in house["doors"].items():
            self.door(name, door, house)
        for name, window in house.get("windows", {}).items():
            self.window(name, window, house)
        for name, piece in house.get("equipment", {}).items():
            if (
                piece.get("at")
                and piece["kind"] in words
                and house["rooms"].get(piece["room"], {}).get("outline")
            ):
                self.piece(name, piece, words[piece["kind"]], house)
        for name, fitting in house.get("fittings", {}).items():
            self.fitting(name, fitting, house)
        self.related()

    def floors(self, house: Mapping[str, Any]) -> None:
        """Storeys under one building."""
        building = self.root("IfcBuilding", OwnerHistory=self.owner, Name="House")
        self.root(
            "IfcRelAggregates",
            OwnerHistory=self.owner,
            RelatingObject=self.project,
            RelatedObjects=[building],
        )
        for name, floor in house["floors"].items():
            above = float(floor.get("above_ground", 0))
            self.storeys[name] = self.root(
                "IfcBuildingStorey", OwnerHistory=self.owner, Name=f"Level {floor['level']}",
                ObjectPlacement=self.placed((0.0, 0.0, above), (1.0, 0.0)), Elevation=self.metres(above + self.style.offset[2]),
            )  # fmt: skip
        self.root(
            "IfcRelAggregates",
            OwnerHistory=self.owner,
            RelatingObject=building,
            RelatedObjects=list(self.storeys.values()),
        )

    def spaces(self, house: Mapping[str, Any]) -> None:
        """Each room with an outline as a space of its storey."""
        of_storey: dict[str, list[Any]] = {}
        for number, (name, room) in enumerate(house["rooms"].items(), start=1):
            if not room.get("outline") or not room.get("floor"):
                continue
            floor = house["floors"][room["floor"]]
            ring = self._mirror(inset(room["outline"], self.style.wall))
            title = (self.style.names or {}).get(name, room["name"])
            space = self.root(
                "IfcSpace", OwnerHistory=self.owner, Name=f"{self.style.prefix}{number}", LongName=title,
                ObjectPlacement=self.placed((0.0, 0.0, float(floor.get("above_ground", 0))), (1.0, 0.0)),
                Representation=self.solid(ring, float(floor.get("ceiling", 2.4))), CompositionType="ELEMENT",
            )  # fmt: skip
            of_storey.setdefault(room["floor"], []).append(space)
        for name, spaces in of_storey.items():
            self.root(
                "IfcRelAggregates",
                OwnerHistory=self.owner,
                RelatingObject=self.storeys[name],
                RelatedObjects=spaces,
            )

    def _mirror(self, ring: Any) -> Any:
        # The axes of a placement cannot be mirrored: the points are, in axes that were mirrored back.
        return [(x, -y) for x, y in ring] if self.style.mirrored else ring

    def door(self, name: str, door: Mapping[str, Any], house: Mapping[str, Any]) -> None:
        """A door in its wall, or a staircase where it joins two floors."""
        rooms = [house["rooms"].get(each, {}) for each in door["between"]]
        if door.get("at") is None:
            if (
                all(each.get("outline") for each in rooms)
                and rooms[0]["floor"] != rooms[1]["floor"]
            ):
                self.stair(name, rooms, house)
            return
        inner = next(each for each in rooms if each.get("outline"))
        into = house["rooms"].get(door.get("opens_into"), {})
        along = self._along(door["at"], inner["outline"], into.get("outline"), inner["outline"])
        kind, width = door.get("kind", "hinged"), float(door.get("width", 0.76))
        operation = OPERATIONS.get(
            (kind, door.get("hinge") if kind == "hinged" else None), "NOTDEFINED"
        )
        if self.style.mirrored and "SWING_" in operation and kind == "hinged":
            operation = {
                "SINGLE_SWING_LEFT": "SINGLE_SWING_RIGHT",
                "SINGLE_SWING_RIGHT": "SINGLE_SWING_LEFT",
            }[operation]
        title = {"garage": "Garage door", "opening": "Opening"}.get(kind, "Door")
        entity = self._opening(
            "IfcDoor",
            f"{title} {name}",
            door["at"],
            along,
            width,
            2.0,
            self._floor_of(inner, house),
        )
        if self.style.schema == "IFC2X3":
            style = self.root("IfcDoorStyle", OwnerHistory=self.owner, Name=title, OperationType=operation,
                              ConstructionType="NOTDEFINED", ParameterTakesPrecedence=False, Sizeable=False)  # fmt: skip
            self.root(
                "IfcRelDefinesByType",
                OwnerHistory=self.owner,
                RelatedObjects=[entity],
                RelatingType=style,
            )
        else:
            entity.OperationType = operation
        self.inside.setdefault(inner["floor"], []).append(entity)

    def window(self, name: str, window: Mapping[str, Any], house: Mapping[str, Any]) -> None:
        """A window in its wall, or over its room."""
        room = house["rooms"][window["room"]]
        if window.get("at") is None or not room.get("outline"):
            return
        kind = window.get("kind", "casement")
        title = {
            "roof": "Roof window",
            "fixed": "Fixed window",
            "casement": "Casement",
            "sash": "Double hung",
            "tilt": "Tilt and turn",
        }[kind]
        along = (
            self._along(window["at"], room["outline"], None, room["outline"])
            if kind != "roof"
            else (1.0, 0.0)
        )
        low = self._floor_of(room, house) + float(
            window.get("sill", 0.9 if kind != "roof" else 2.6)
        )
        entity = self._opening(
            "IfcWindow",
            f"{title} {name}",
            window["at"],
            along,
            float(window.get("width", 1.2)),
            1.0,
            low,
        )
        self.inside.setdefault(room["floor"], []).append(entity)

    def _opening(
        self,
        kind: str,
        title: str,
        at: Any,
        along: tuple[float, float],
        width: float,
        height: float,
        low: float,
    ) -> Any:
        start = (at[0] - along[0] * width / 2, at[1] - along[1] * width / 2, low)
        if self.style.mirrored:
            start = (at[0] + along[0] * width / 2, at[1] + along[1] * width / 2, low)
            along = (-along[0], -along[1])
        ring = [(0.0, -0.02), (width, -0.02), (width, 0.02), (0.0, 0.02)]
        return self.root(
            kind, OwnerHistory=self.owner, Name=title, ObjectPlacement=self.placed(start, along),
            Representation=self.solid(ring, height), OverallWidth=self.metres(width), OverallHeight=self.metres(height),
        )  # fmt: skip

    def _along(self, at: Any, ring: Any, into: Any, inner: Any) -> tuple[float, float]:
        """The way along the wall of an opening, with the room that it opens into on the left."""
        u, v = wall_at(at, ring)
        side = (at[0] - v * 0.1, at[1] + u * 0.1)
        left = contains(into or inner, side)
        wanted = into is not None or not left
        return (u, v) if left == wanted else (-u, -v)

    def _floor_of(self, room: Mapping[str, Any], house: Mapping[str, Any]) -> float:
        return float(house["floors"][room["floor"]].get("above_ground", 0))

    def stair(self, name: str, rooms: Any, house: Mapping[str, Any]) -> None:
        """A staircase over the part of the plan that both of its rooms have."""
        lower, upper = sorted(rooms, key=lambda each: self._floor_of(each, house))
        x0, y0 = (
            max(min(p[i] for p in each["outline"]) for each in (lower, upper)) for i in (0, 1)
        )
        x1, y1 = (
            min(max(p[i] for p in each["outline"]) for each in (lower, upper)) for i in (0, 1)
        )
        ring = self._mirror([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
        low, high = self._floor_of(lower, house), self._floor_of(upper, house)
        entity = self.root("IfcStair", OwnerHistory=self.owner, Name=f"Stair {name}", ObjectPlacement=self.placed((0.0, 0.0, low), (1.0, 0.0)),
                           Representation=self.solid(ring, high - low), **({"ShapeType": "NOTDEFINED"} if self.style.schema == "IFC2X3" else {}))  # fmt: skip
        self.inside.setdefault(lower["floor"], []).append(entity)

    def piece(
        self, name: str, piece: Mapping[str, Any], word: str, house: Mapping[str, Any]
    ) -> None:
        """A piece of equipment as a small box round its spot."""
        room = house["rooms"][piece["room"]]
        height = piece.get("height")
        floor = self._floor_of(room, house)
        low, tall = (floor, 0.8) if height is None else (floor + float(height) - 0.02, 0.04)
        ring = self._mirror([(-0.02, -0.02), (0.02, -0.02), (0.02, 0.02), (-0.02, 0.02)])
        entity = self.root("IfcBuildingElementProxy", OwnerHistory=self.owner, Name=f"{word}:{name}",
                           ObjectPlacement=self.placed((*piece["at"], low), (1.0, 0.0)), Representation=self.solid(ring, tall))  # fmt: skip
        told = [("Manufacturer", piece.get("make")), ("ModelLabel", piece.get("model"))]
        values = [self.model.create_entity("IfcPropertySingleValue", key, None, self.model.create_entity("IfcLabel", value), None)
                  for key, value in told if value]  # fmt: skip
        if values:
            group = self.root(
                "IfcPropertySet",
                OwnerHistory=self.owner,
                Name="Pset_ManufacturerTypeInformation",
                HasProperties=values,
            )
            self.root(
                "IfcRelDefinesByProperties",
                OwnerHistory=self.owner,
                RelatedObjects=[entity],
                RelatingPropertyDefinition=group,
            )
        self.inside.setdefault(room["floor"], []).append(entity)

    def fitting(self, name: str, fitting: Mapping[str, Any], house: Mapping[str, Any]) -> None:
        """A bath, a basin, a sink or a worktop as a box along the wall behind it."""
        room = house["rooms"][fitting["room"]]
        if not room.get("outline") or fitting["drawn"] not in FURNITURE or "turn" in fitting:
            return
        u, v = wall_at(fitting["at"], room["outline"])
        along = (abs(u), abs(v))
        length, depth = fitting.get("size", (0.6, 0.5))
        ring = self._mirror(
            [
                (-length / 2, -depth / 2),
                (length / 2, -depth / 2),
                (length / 2, depth / 2),
                (-length / 2, depth / 2),
            ]
        )
        floor = self._floor_of(room, house)
        entity = self.root("IfcFurnishingElement", OwnerHistory=self.owner, Name=f"{FURNITURE[fitting['drawn']]}:{name}",
                           ObjectPlacement=self.placed((*fitting["at"], floor), along), Representation=self.solid(ring, 0.9))  # fmt: skip
        self.inside.setdefault(room["floor"], []).append(entity)

    def related(self) -> None:
        """Doors, windows and equipment contained in their storeys."""
        for name, entities in self.inside.items():
            self.root(
                "IfcRelContainedInSpatialStructure",
                OwnerHistory=self.owner,
                RelatedElements=entities,
                RelatingStructure=self.storeys[name],
            )


def inset(ring: Any, by: float) -> list[tuple[float, float]]:
    """A right-angled ring moved inwards on all sides."""
    points = [(float(x), float(y)) for x, y in ring]
    if not by:
        return points
    if area(points) < 0:
        points.reverse()
    count, moved = len(points), []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by_) = points[i - 1], points[(i + 1) % count]
        before, after = direction((ax, ay), (x, y)), direction((x, y), (bx, by_))
        moved.append((x - by * (before[1] + after[1]), y + by * (before[0] + after[0])))
    return moved


def direction(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """The way from one point to another, of length 1."""
    length = math.dist(one, other)
    return (other[0] - one[0]) / length, (other[1] - one[1]) / length


def area(ring: Any) -> float:
    """The area of a ring by the formula of Gauss; below 0 where it runs clockwise."""
    x, y = numpy.array(ring, dtype=float).T
    return float(numpy.dot(x, numpy.roll(y, -1)) - numpy.dot(y, numpy.roll(x, -1))) / 2


def wall_at(at: Any, ring: Any) -> tuple[float, float]:
    """The way along the wall of a ring that a point is nearest to."""
    best, way = 9.9, (1.0, 0.0)
    for one, other in zip(ring, [*ring[1:], ring[0]], strict=True):
        u, v = direction(tuple(one), tuple(other))
        along = (at[0] - one[0]) * u + (at[1] - one[1]) * v
        inside = -0.01 <= along <= math.dist(one, other) + 0.01
        off = abs((at[0] - one[0]) * v - (at[1] - one[1]) * u)
        if inside and off < best:
            best, way = off, (u, v)
    return way


def contains(ring: Any, point: tuple[float, float]) -> bool:
    """Whether a point is inside a ring, by the number of walls to its right."""
    x, y = point
    inside = False
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
            inside = not inside
    return inside
