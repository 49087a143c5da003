"""Homes as COBie 2.4: what a client's asset manager takes over (NBIMS-US v3, clause 4.2; BS 1192-4:2014).

No person is named: a contact is a role or a company. A contact without an address of its own gets one
under ``.invalid``, which RFC 2606 keeps for names that lead nowhere. ``Category`` stays empty: a code of
Uniclass 2015 is given where it is known, and the builder's kinds have none.
"""

from collections.abc import Mapping, Sequence
from datetime import date

from shapely import Polygon

from builder.model.home import Finish, Home
from builder.writers.workbook.cobie_assets import CobieAssets
from builder.writers.workbook.cobie_jobs import resources, write_jobs
from builder.writers.workbook.cobie_rows import CobieHome, Rows

OUTSIDE = "Site"
"""The floor of what is outside: COBie wants every space on a floor."""


def cobie_workbook(homes: Sequence[CobieHome], day: date) -> bytes:
    """One workbook of one home, or of all homes of a development. ``day``: when it is made."""
    first = homes[0].home
    assets = CobieAssets(day, first)
    rows = assets.rows
    several = len(homes) > 1
    facility = first.development.name if several else first.plot.address
    _instruction(rows, facility)
    facility = _facility(rows, facility, first, several=several)
    resources(rows)
    for each in homes:
        _Home(each, assets, f"{each.home.plot.number} " if several else "").write(facility)
    return rows.workbook(f"COBie: {facility}")


def _instruction(rows: Rows, facility: str) -> None:
    rows.add(
        "Instruction",
        "COBie 2.4",
        Text=f"Handover data of {facility}. Lengths in metres, areas in square metres.",
    )
    rows.add(
        "Instruction",
        "Private",
        Text="Serial numbers stand in it: keep it apart from anything that is published.",
    )


def _facility(rows: Rows, name: str, home: Home, *, several: bool) -> str:
    development = home.development
    return rows.add(
        "Facility", name, ProjectName=development.name, SiteName=development.address, LinearUnits="meters",
        AreaUnits="square meters", VolumeUnits="cubic meters", CurrencyUnit="pounds",
        AreaMeasurement="Net: between the faces of walls, where known. Gross: to the middle of inside walls",
        ExternalFacilityObject="Development" if several else "Plot",
        ExternalFacilityIdentifier=name if several else home.plot.number,
        Description=f"All homes of {development.name}" if several else home.house_type.summary,
        ProjectDescription=development.name, SiteDescription=development.address, Phase="Handover",
    )  # fmt: skip


class _Home:
    """One home on its way to rows. ``prefix`` goes before its names, where a workbook has several."""

    def __init__(self, about: CobieHome, assets: CobieAssets, prefix: str) -> None:
        self.about, self.home, self.assets, self.prefix = about, about.home, assets, prefix
        self.rows = assets.rows
        self.floors: dict[str, str] = {}
        self.spaces: dict[str, str] = {}

    def write(self, facility: str) -> None:
        """Write all rows of this home."""
        self._floors()
        self._spaces()
        self._zones()
        components = self.assets.components(self.about, self.spaces, self.prefix)
        self._systems(components)
        self._finishes()
        self._coordinates(components)
        write_jobs(self.rows, self.about, self.assets, self.spaces, self.prefix)
        for name, basis in self.about.papers.items():
            self.rows.add("Document", f"{self.prefix}{name}", Stage="As Built", SheetName="Facility", RowName=facility,
                          ApprovalBy="Information Only", Description=name, Reference=basis,
                          ExtObject="Document", ExtIdentifier=f"{self.about.reference}/documents/{name}")  # fmt: skip

    def _identifier(self, *path: str) -> str:
        return "/".join((self.about.reference, *path))

    def _floors(self) -> None:
        for name, floor in self.home.floors.items():
            self.floors[name] = self.rows.add(
                "Floor", f"{self.prefix}{floor.name}", Description=floor.name, Elevation=floor.above_ground, Height=floor.ceiling,
                Category="Floor", ExtObject="Floor", ExtIdentifier=self._identifier("floors", name),
            )  # fmt: skip
        self.floors[""] = self.rows.add(
            "Floor", f"{self.prefix}{OUTSIDE}", Category="Site", Description="Outside the home", Elevation=0, Height=0,
            ExtObject="Site", ExtIdentifier=self._identifier("outside"),
        )  # fmt: skip

    def _spaces(self) -> None:
        for name, room in self.home.rooms.items():
            floor = self.home.floors.get(room.floor or "")
            outline = Polygon(room.outline).area if room.outline else None
            self.spaces[name] = self.rows.add(
                "Space", f"{self.prefix}{room.name}", FloorName=self.floors[room.floor or ""], RoomTag=room.name,
                Description=self.home.room_kinds[room.kind].name, UsableHeight=floor.ceiling if floor else None,
                GrossArea=None if outline is None else round(outline, 2),
                NetArea=room.area or (None if outline is None else round(outline, 2)),
                ExtObject="Room", ExtIdentifier=self._identifier("rooms", name),
            )  # fmt: skip

    def _zones(self) -> None:
        for name, zone in self.home.zones.items():
            self.rows.add(
                "Zone", f"{self.prefix}{zone.name}", Category="Heating Zone", Description=f"Heating zone: {zone.name}",
                SpaceNames=",".join(self.spaces[room] for room in zone.rooms),
                ExtObject="Zone", ExtIdentifier=self._identifier("zones", name),
            )  # fmt: skip

    def _systems(self, components: Mapping[str, str]) -> None:
        for name, system in self.home.systems.items():
            parts = [components[piece] for piece, each in self.home.equipment.items()
                     if self.home.kinds[each.kind].system == name]  # fmt: skip
            if parts:
                self.rows.add(
                    "System", f"{self.prefix}{system.name}", Description=system.summary, ComponentNames=",".join(parts),
                    ExtObject="System", ExtIdentifier=self._identifier("systems", name),
                )  # fmt: skip

    def _finishes(self) -> None:
        for name, finish in self.home.finishes.items():
            self.rows.add(
                "Attribute", f"{self.prefix}{name}", Category="As Built", SheetName="Space", RowName=self.spaces[finish.room],
                Value=_finish(finish), Unit=None, Description=f"Finish of the {finish.surface}",
                ExtObject="Finish", ExtIdentifier=self._identifier("finishes", name),
            )  # fmt: skip

    def _coordinates(self, components: Mapping[str, str]) -> None:
        """The corners of each space and the spot of each component, in the plan of this home's own hand."""
        for name, room in self.home.rooms.items():
            if room.outline and room.floor:
                floor = self.home.floors[room.floor]
                low, high = floor.above_ground, floor.above_ground + floor.room_height
                x, y = [point[0] for point in room.outline], [point[1] for point in room.outline]
                self._point(
                    "Space",
                    self.spaces[name],
                    "box-lowerleft",
                    (min(x), min(y), low),
                    "rooms",
                    name,
                )
                self._point(
                    "Space",
                    self.spaces[name],
                    "box-upperright",
                    (max(x), max(y), high),
                    "rooms",
                    name,
                )
        for name, piece in self.home.equipment.items():
            if piece.at is not None:
                room_floor = self.home.rooms[piece.room].floor
                ground = self.home.floors[room_floor].above_ground if room_floor else 0.0
                spot = (piece.at[0], piece.at[1], ground + (piece.height or 0.0))
                self._point("Component", components[name], "point", spot, "equipment", name)

    def _point(
        self, sheet: str, row: str, category: str, spot: tuple[float, float, float], *path: str
    ) -> None:
        x, y, z = (round(each, 3) for each in spot)
        self.rows.add(
            "Coordinate", f"{row} {category}", Category=category, SheetName=sheet, RowName=row, CoordinateXAxis=x,
            CoordinateYAxis=y, CoordinateZAxis=z, ClockwiseRotation=0, ElevationalRotation=0, YawRotation=0,
            ExtObject="Point", ExtIdentifier=self._identifier(*path),
        )  # fmt: skip


def _finish(finish: Finish) -> str:
    said = (finish.material, finish.colour, finish.make, finish.reference)
    return "; ".join(each for each in said if each)
