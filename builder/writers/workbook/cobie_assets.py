"""Contacts, types and components of COBie."""

import re
from collections.abc import Mapping
from datetime import date

from builder.model.cover import Cover
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.writers.workbook.cobie_rows import CobieHome, Rows

_NOWHERE = "invalid"
_FAULTS = "faults"
_OPENINGS = {"doors": "Door", "windows": "Window"}


class CobieAssets:
    """What all homes of a workbook share: contacts by address, and types of equipment."""

    def __init__(self, day: date, home: Home) -> None:
        self._types: dict[tuple[str, str, str], str] = {}
        address = _address("builder", home.builder.name)
        self.rows = Rows(address, day)
        self._contact(address, "Builder", None, home.builder.name)

    def _contact(self, address: str, category: str, telephone: str | None, company: str) -> str:
        """The address of a contact, which is begun where nobody has it yet."""
        if not self.rows.has("Contact", address):
            self.rows.add(
                "Contact", address, Category=category, Company=company, Phone=telephone, Department=category,
                ExternalObject="Contact", ExternalIdentifier=address,
            )  # fmt: skip
        return address

    def _contact_of_home(self, name: str, home: Home) -> str:
        contact = home.contacts[name]
        address = contact.email or _address("contact", name)
        return self._contact(address, contact.name, contact.telephone, contact.name)

    def _maker(self, make: str | None) -> str | None:
        return self._contact(_address("maker", make), "Manufacturer", None, make) if make else None

    def components(
        self, about: CobieHome, spaces: Mapping[str, str], prefix: str
    ) -> Mapping[str, str]:
        """The component of each piece of equipment by its id; doors and windows are written too."""
        home = about.home
        for name in home.contacts:
            self._contact_of_home(name, home)
        found = {}
        for name, piece in home.equipment.items():
            found[name] = self._component(name, piece, about, spaces, prefix)
            self._facts(name, piece, found[name], about)
        for section, kind in _OPENINGS.items():
            for name, opening in getattr(home, section).items():
                inside = [
                    each
                    for each in getattr(opening, "between", (getattr(opening, "room", ""),))
                    if home.rooms[each].floor
                ]
                if getattr(opening, "kind", "") != "opening" and inside:
                    self.rows.add(
                        "Component", f"{prefix}{name}", TypeName=self.opening_type(kind), Space=spaces[inside[0]],
                        Description=opening.name, TagNumber=name, ExtObject=kind,
                        ExtIdentifier=f"{about.reference}/{section}/{name}",
                        AssetIdentifier=f"{about.reference}/{section}/{name}", WarrantyStartDate=_iso(home.plot.completion),
                    )  # fmt: skip
        return found

    def opening_type(self, name: str) -> str:
        """The type of all doors, or of all windows, or of a home as a whole."""
        key = ("", name, "")
        if key not in self._types:
            self._types[key] = self.rows.add(
                "Type",
                name,
                AssetType="Fixed",
                Description=name,
                ExtObject="Type",
                ExtIdentifier=name,
            )
        return self._types[key]

    def type_of(self, piece: Equipment, home: Home) -> str:
        """The type of a piece: its kind, make and model."""
        key = (piece.kind, piece.make or "", piece.model or "")
        if key not in self._types:
            kind = home.kinds[piece.kind]
            maker = self._maker(piece.make)
            guarantor, length, unit, said = self._warranty(piece, home, maker)
            self._types[key] = self.rows.add(
                "Type", " ".join(each for each in (kind.name, *key[1:]) if each), Description=kind.what, AssetType="Fixed",
                Manufacturer=maker, ModelNumber=piece.model, ModelReference=piece.model,
                WarrantyGuarantorParts=guarantor, WarrantyDurationParts=length, WarrantyGuarantorLabor=guarantor,
                WarrantyDurationLabor=length, WarrantyDurationUnit=unit, WarrantyDescription=said, ExtObject="Kind",
                ExtIdentifier=piece.kind, Features=kind.caution, DurationUnit="year",
            )  # fmt: skip
        return self._types[key]

    def _warranty(
        self, piece: Equipment, home: Home, maker: str | None
    ) -> tuple[str | None, int | None, str | None, str | None]:
        """Who answers for a piece and for how long: its maker from registration, else the cover of faults."""
        kind = home.kinds[piece.kind]
        if kind.cover and maker:
            return (maker, *term(kind.cover), f"From registration. {kind.name}: {kind.cover}")
        cover = _cover_of_faults(home)
        if cover is None or cover.ends is None or cover.contact is None:
            return None, None, None, None
        said = f"{cover.name}: {cover.ends} from {home.terms['completion']}"
        return (self._contact_of_home(cover.contact, home), *term(cover.ends), said)

    def _component(
        self, name: str, piece: Equipment, about: CobieHome, spaces: Mapping[str, str], prefix: str
    ) -> str:
        home = about.home
        begins = piece.registered if home.kinds[piece.kind].cover else home.plot.completion
        return self.rows.add(
            "Component", f"{prefix}{name}", TypeName=self.type_of(piece, home), Space=spaces[piece.room],
            Description=f"{piece.name or home.kinds[piece.kind].name}: {piece.place}", SerialNumber=piece.serial,
            WarrantyStartDate=_iso(begins), TagNumber=name, BarCode=about.codes.get(name), ExtObject="Equipment",
            ExtIdentifier=f"{about.reference}/equipment/{name}", AssetIdentifier=f"{about.reference}/equipment/{name}",
        )  # fmt: skip

    def _facts(self, name: str, piece: Equipment, component: str, about: CobieHome) -> None:
        kind = about.home.kinds[piece.kind]
        for fact, value in piece.facts.items():
            definition = kind.facts.get(fact)
            self.rows.add(
                "Attribute", f"{component} {fact}", Category="As Built", SheetName="Component", RowName=component,
                Value=value if not isinstance(value, bool) else ("yes" if value else "no"),
                Unit=definition.unit if definition else None, Description=definition.name if definition else fact,
                ExtObject="Fact", ExtIdentifier=f"{about.reference}/equipment/{name}/facts/{fact}",
            )  # fmt: skip


def _cover_of_faults(home: Home) -> Cover | None:
    """The cover that answers for faults first: of those that somebody is called for, the one that ends first."""
    covers = [
        each
        for each in home.covers.values()
        if _FAULTS in each.matters and each.contact in home.contacts and each.ends
    ]
    return min(covers, key=lambda each: _days(each.ends or ""), default=None)


def _days(text: str) -> int:
    number, unit = term(text)
    return number * {"day": 1, "week": 7, "month": 30, "year": 365}[unit]


def term(text: str) -> tuple[int, str]:
    """A length of time as a number and a unit: "2 years" is 2 and year."""
    number, unit = text.split()
    return int(number), unit.removesuffix("s")


def _iso(day: date | None) -> str | None:
    return f"{day.isoformat()}T00:00:00" if day else None


def _address(what: str, name: str) -> str:
    """An address for a contact that has none: it leads nowhere, and is the same in every export."""
    local = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-") or what
    return f"{local}@{what}.{_NOWHERE}"
