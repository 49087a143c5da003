"""Which component is which piece of equipment of a home, and what it says that the home does not."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from builder.importers.cobie.reading import Component
from builder.model.home import Home
from builder.saving.changing import ChangingFile

_DEPARTURE = "cobie"


@dataclass(frozen=True, slots=True)
class MatchedComponent:
    """One value that a workbook tells of a piece: what it was, and what it becomes."""

    piece: str
    field: str
    before: str
    now: str


@dataclass
class Matched:
    """What a workbook tells of a home. ``by``: for each piece by what it was known again."""

    by: dict[str, str] = field(default_factory=dict)
    told: list[MatchedComponent] = field(default_factory=list)
    unknown: list[Component] = field(default_factory=list)
    noticed: list[str] = field(default_factory=list)


def matched(
    components: Sequence[Component], reference: str, home: Home, identifiers: Mapping[str, str]
) -> Matched:
    """Components beside the equipment of a home. ``identifiers``: pieces by the GlobalId that a model
    gave them."""
    out = Matched()
    for component in components:
        found = _piece(component, reference, home, identifiers)
        if found is None:
            out.unknown.append(component)
        elif found[0] in out.by:
            out.noticed.append(
                f"Row {component.row} tells of '{found[0]}' a second time, and was left out."
            )
        else:
            out.by[found[0]] = found[1]
            out.told += _new_values(found[0], component, home)
            out.noticed += _warranty(found[0], component, home)
    return out


def _piece(
    component: Component, reference: str, home: Home, identifiers: Mapping[str, str]
) -> tuple[str, str] | None:
    """The piece that a component is, and by what it is known."""
    own = component.identifier.removeprefix(f"{reference}/equipment/")
    if own != component.identifier and own in home.equipment:
        return own, "identifier"
    if component.identifier in identifiers and identifiers[component.identifier] in home.equipment:
        return identifiers[component.identifier], "GlobalId"
    number = home.plot.number
    for text, by in ((component.tag, "tag"), (component.name, "name")):
        for said in (text, text.removeprefix(f"{number} ")):
            if said and (found := _piece_named(_folded(said), home)):
                return found, by
    return None


def _piece_named(said: str, home: Home) -> str | None:
    """The piece of an id, or the only one of a name."""
    if said in home.equipment:
        return said
    named = [
        each
        for each, piece in home.equipment.items()
        if said == _folded(piece.name or home.kinds[piece.kind].name)
    ]
    return named[0] if len(named) == 1 else None


def _folded(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")


def _new_values(name: str, component: Component, home: Home) -> Iterator[MatchedComponent]:
    piece = home.equipment[name]
    for what, now in (
        ("make", component.make),
        ("model", component.model),
        ("serial", component.serial),
    ):
        before = getattr(piece, what) or ""
        if now and now != before:
            yield MatchedComponent(name, what, before, now)
    begins = component.warranty_from
    if (
        begins
        and home.kinds[piece.kind].cover
        and begins not in (piece.registered, home.plot.completion)
    ):
        yield MatchedComponent(name, "registered", str(piece.registered or ""), begins.isoformat())


def _warranty(name: str, component: Component, home: Home) -> Iterator[str]:
    """A warranty that lasts otherwise than the kind says: no file of a plot can say so."""
    cover = home.kinds[home.equipment[name].kind].cover
    if (
        component.warranty
        and cover
        and component.warranty.removesuffix("s") != cover.removesuffix("s")
    ):
        yield f"'{name}': the workbook says a warranty of {component.warranty}, its kind says {cover}. Correct 'cover' of the kind where the workbook is right."


def changed(text: str, told: Sequence[MatchedComponent], source: str, day: date) -> str:
    """The file of a plot with what a workbook told: serial numbers, days of registration, and makes and
    models as a departure. Raises ValueError for a file that is broken."""
    file = ChangingFile(text)
    for each in told:
        if each.field == "serial":
            file.put(("serials", each.piece), each.now)
        elif each.field == "registered":
            file.put(("registrations", each.piece), date.fromisoformat(each.now))
    fitted = [each for each in told if each.field in ("make", "model")]
    if fitted:
        file.put(("departures", _DEPARTURE, "note"), f"As fitted, from {source}.")
        file.put(("departures", _DEPARTURE, "date"), day)
        for each in fitted:
            file.put(
                ("departures", _DEPARTURE, "changes", "equipment", each.piece, each.field), each.now
            )
    return file.text
