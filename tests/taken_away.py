"""What every home must say, taken away from the homes of the demo thing by thing, and what is then said of it.

``python -m tests.taken_away`` prints the whole table: each development, each thing, each finding or need.
A contact goes with all that names it, as if nobody had ever written it down.
"""

import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import yaml

from builder.errors import Finding, Findings
from builder.home.assemble import TracedHome, assemble
from builder.layers.merge import Layer, Merging
from builder.model.handover import Handover
from builder.model.home import Home
from builder.model.record import Record
from builder.preparing import Prepared
from builder.readiness.assess import case_of, lacking
from builder.readiness.contents import where_the_bins_stand, who_supplies_what_is_metered
from builder.readiness.recorded import Recorded
from builder.rules.checking import found_in
from builder.selection.checked_rules import CHECKED_RULES
from builder.selection.conditions import Judge
from builder.selection.coverage import roles_without_contact, shared_places_unsaid
from builder.sources.yaml_reader import read_yaml
from tests.demonstrations import DAY, prepared_demo

HOMES = (
    "mill-lane/01", "mill-lane/03", "harbour-view/05", "maes-y-coed/01", "shore-court/01",
    "shore-court/03", "shore-court/04", "lough-row/01", "marlpit-yard/01", "marlpit-yard/02", "marlpit-yard/03",
)  # fmt: skip
"""Homes of all six developments: each form, fuel, supply, tenure and way of heating that they have."""
SECTIONS = (
    "tenure", "building", "fabric", "water", "foul_drainage", "sprinklers", "heat_network", "alarms",
    "communal", "stores", "utilities", "covers", "keys", "documents", "lawns", "fences", "gates",
)  # fmt: skip
"""What is taken away as one, and then each of its facts alone."""
FACTS = ("building", "fabric", "water", "foul_drainage", "sprinklers", "heat_network")
ALARMS = ("smoke-alarm", "heat-alarm", "carbon-monoxide-alarm")
CONTROLS = ("room-thermostat", "heating-programmer")
READY = (where_the_bins_stand, who_supplies_what_is_metered)
"""What the team owes before a handover and no check asks for."""
_ITS_ROLE = "the contact has the role by its own id"
_ONLY_HERE = "nobody else can know that there is one"
SILENT = {
    "water.metered": "a meter among the equipment says it, or no company bills the water",
    "water.contact": _ITS_ROLE,
    "foul_drainage.contact": _ITS_ROLE,
    "sprinklers.contact": _ITS_ROLE,
    "foul_drainage.outlet": "whoever keeps the shared plant answers for it",
    "foul_drainage.emptied": "whoever keeps the shared plant answers for it",
    "foul_drainage.notice": "whoever keeps the shared plant answers for it",
    "fabric.listed": _ONLY_HERE,
    "fabric.protected_species": _ONLY_HERE,
    "fabric.radon": _ONLY_HERE,
    "lawns": _ONLY_HERE,
    "gates": _ONLY_HERE,
    "contact oil-supplier": "any supplier may deliver oil",
    "contact chimney-sweep": "any sweep may come",
}
"""What may be taken away without a word, and why nothing is lost that the builder could miss."""
NAMES_A_CONTACT = ("contact", "looked_after_by", "operator", "billed_by", "served_by", "call")

Tree = dict[str, Any]


@dataclass(frozen=True)
class Taken:
    """One thing that is taken away from a home: its name, and the departure that does it."""

    what: str
    departure: Tree


def taken_from(home: Home) -> Iterator[Taken]:
    """Everything that a home may be left without, one thing after the other."""
    yield from _sections(home)
    judge = Judge(home)
    for name, contact in home.contacts.items():
        if contact.when is None or judge.holds(contact.when):
            yield Taken(f"contact {name}", _without_contact(home, name))
    for supply in ("water", "electricity", "gas", "oil", "heating"):
        yield from _pieces(home, f"what turns off the {supply}", _turning_off(home, supply))
    yield from _pieces(home, "what turns off the water outside", _outside(home))
    for kind in ALARMS:
        yield from _pieces(home, f"every {kind}", _of_kinds(home, kind))
    yield from _pieces(home, "what sets the heating", _of_kinds(home, *CONTROLS))
    yield from _pieces(home, "the sprinkler valve", _of_kinds(home, "sprinkler-valve"))
    yield from _pieces(home, "the loft hatch", _of_kinds(home, "loft-hatch"))


def _sections(home: Home) -> Iterator[Taken]:
    for section in SECTIONS:
        value = getattr(home, section)
        if not value:
            continue
        yield Taken(section, {section: None})
        for fact in _said(value) if section in FACTS else ():
            yield Taken(f"{section}.{fact}", {section: {fact: None}})
    for name, gate in home.gates.items():
        if gate.by_hand:
            yield Taken(f"gates.{name}.by_hand", {"gates": {name: {"by_hand": None}}})


def _said(value: Record) -> Iterator[str]:
    for name in type(value).model_fields:
        if getattr(value, name) not in (None, ()):
            yield name


def _pieces(home: Home, what: str, names: tuple[str, ...]) -> Iterator[Taken]:
    if names:
        zones = {
            name: {"thermostat": None}
            for name, zone in home.zones.items()
            if zone.thermostat in names
        }
        parts = {
            name: {"own": [each for each in part.own if each not in names]}
            for name, part in home.parts.items()
            if set(part.own) & set(names)
        }
        yield Taken(what, {"equipment": dict.fromkeys(names), "zones": zones, "parts": parts})


def _turning_off(home: Home, supply: str) -> tuple[str, ...]:
    return tuple(
        name for name, each in home.equipment.items() if home.kinds[each.kind].turns_off == supply
    )


def _outside(home: Home) -> tuple[str, ...]:
    return tuple(
        name
        for name in _turning_off(home, "water")
        if not home.room_kinds[home.rooms[home.equipment[name].room].kind].inside
    )


def _of_kinds(home: Home, *kinds: str) -> tuple[str, ...]:
    return tuple(
        name
        for name, each in home.equipment.items()
        if {each.kind, *home.kinds[each.kind].counts_as} & set(kinds)
    )


def _without_contact(home: Home, contact: str) -> Tree:
    """A departure that takes out a contact and whatever names it."""
    tree: Tree = {"contacts": {contact: None}}
    for section in (
        "water",
        "reused_water",
        "own_electricity",
        "foul_drainage",
        "sprinklers",
        "heat_network",
    ):
        named = [
            name
            for name in NAMES_A_CONTACT
            if getattr(getattr(home, section), name, None) == contact
        ]
        if named:
            required = any(
                type(getattr(home, section)).model_fields[each].is_required() for each in named
            )
            tree[section] = None if required else dict.fromkeys(named)
    for section in ("communal", "covers", "later_owners", "equipment", "kinds"):
        for name, record in getattr(home, section).items():
            for field in NAMES_A_CONTACT:
                if getattr(record, field, None) == contact:
                    required = type(record).model_fields[field].is_required()
                    tree.setdefault(section, {})[name] = None if required else {field: None}
    return tree


def said_without(plot: str, taken: Mapping[str, Any]) -> set[str]:
    """What check and ready say of a home of the demo after one more departure, by codes; refusals too."""
    prepared, findings = prepared_demo().homes[plot], Findings()
    changed = _changed(prepared, taken, findings)
    said = {each.code for each in findings}
    if changed is not None:
        said |= {each.code for each in _found_in(changed)}
        case = case_of(
            replace(prepared, traced=changed), Recorded(changed.home, Handover()), (), {}, DAY
        )
        said |= {each.need for each in lacking(case, READY)}
    return said


def changed_home(plot: str, changes: Mapping[str, Any]) -> TracedHome:
    """A home of the demo after one more departure, which must make a home."""
    findings = Findings()
    changed = _changed(prepared_demo().homes[plot], changes, findings)
    assert changed is not None, "\n".join(map(str, findings))
    return changed


def _changed(
    prepared: Prepared, changes: Mapping[str, Any], findings: Findings
) -> TracedHome | None:
    departure = read_yaml(yaml.safe_dump(dict(changes)), "taken-away.yaml", findings)
    assert departure is not None
    layer = Layer("departure taken-away", departure)
    merged = Merging(findings).over(prepared.traced.merged, layer)
    return assemble(prepared.plot.reference, merged, findings)


def _found_in(traced: TracedHome) -> Iterator[Finding]:
    yield from found_in(traced, CHECKED_RULES)
    yield from roles_without_contact(traced)
    yield from shared_places_unsaid(traced)


@cache
def said_as_it_is(plot: str) -> frozenset[str]:
    return frozenset(said_without(plot, {}))


@dataclass(frozen=True)
class Row:
    """What is said of one home without one thing. Nothing, where nobody has to know of it."""

    plot: str
    what: str
    said: tuple[str, ...]

    @property
    def development(self) -> str:
        return self.plot.split("/")[0]


@cache
def rows(plot: str) -> tuple[Row, ...]:
    """One home, with each thing taken away that it may be left without."""
    return tuple(_rows(plot))


def _rows(plot: str) -> Iterator[Row]:
    for each in taken_from(prepared_demo().homes[plot].traced.home):
        said = said_without(plot, each.departure) - said_as_it_is(plot)
        yield Row(plot, each.what, tuple(sorted(said)))


def table() -> Iterator[str]:
    """Each thing, and what is said without it on each development, as a table in Markdown."""
    told: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for row in (row for plot in HOMES for row in rows(plot)):
        told[row.what][row.development].add(", ".join(row.said) or SILENT.get(row.what, "NOTHING"))
    developments = list(dict.fromkeys(plot.split("/")[0] for plot in HOMES))
    yield f"| taken away | {' | '.join(developments)} |"
    yield f"| --- |{' --- |' * len(developments)}"
    for what, by_development in told.items():
        cells = ("; ".join(sorted(by_development.get(each, {"has none"}))) for each in developments)
        yield f"| {what} | {' | '.join(cells)} |"


if __name__ == "__main__":
    for line in table():
        sys.stdout.write(f"{line}\n")
