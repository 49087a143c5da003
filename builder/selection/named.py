"""Conditions by their names: those that ship, and those of a home's layers over them; and the names
that conditions in data ask for. One that leads back to itself says nothing of a home."""

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from builder.model.condition import Condition, NamedCondition
from builder.model.record import entries_of
from builder.read_once import read_once
from builder.shipped import shipped
from builder.sources.entry import Address
from builder.sources.yaml_plain import shipped_values

_SHIPPED = Path(__file__).with_name("conditions.yaml")
Named = Mapping[str, NamedCondition]


@cache
def shipped_conditions() -> Named:
    """Every named condition that ships, by name; they never change while the builder runs."""
    return read_once("conditions", [_SHIPPED], _read_conditions)


def _read_conditions() -> dict[str, NamedCondition]:
    return {name: NamedCondition.model_validate(each) for name, each in _plain(_SHIPPED).items()}


def _plain(file: Path) -> Any:
    return shipped_values(file.read_text(encoding="utf-8"))


@cache
def shipped_kinds() -> frozenset[str]:
    """The kinds of the standard that ships: rules and articles know them, whatever a workspace has."""
    file = shipped("housetypes/standard.yaml")
    return read_once("kinds", [file], lambda: frozenset(_plain(file)["kinds"]))


def sound_conditions(own: Named) -> Named:
    """Every condition that has a name, without those that ask for themselves."""
    if not own:
        return shipped_conditions()
    named = {**shipped_conditions(), **own}
    circular = {name for circle in circles(own) for name in circle}
    return {name: each for name, each in named.items() if name not in circular}


def circles(own: Named) -> tuple[tuple[str, ...], ...]:
    """The names that lead back to themselves: each circle once, from the first of its names on."""
    named, found = {**shipped_conditions(), **own}, list[tuple[str, ...]]()
    for name in named if own else ():
        if not any(name in circle for circle in found) and (way := _way_back(name, named)):
            found.append(way)
    return tuple(found)


def _way_back(name: str, named: Named) -> tuple[str, ...]:
    """The shortest way from a name over those that its condition asks for back to it; nothing where there
    is none."""
    ways: list[tuple[str, ...]] = [(name,)]
    seen = set[str]()
    for way in ways:
        for asked in names_asked(named[way[-1]].when):
            if asked == name:
                return way
            if asked in named and asked not in seen:
                seen.add(asked)
                ways.append((*way, asked))
    return ()


def names_asked(condition: Condition) -> Iterator[str]:
    """Every named condition that a condition asks for, at any depth."""
    for each in parts_of(condition):
        yield from each.is_ or ()


def parts_of(condition: Condition) -> Iterator[Condition]:
    """A condition, and all that stand in it."""
    yield condition
    for each in (*(condition.all or ()), *(condition.any or ()), condition.not_):
        if each is not None:
            yield from parts_of(each)


def conditions_in(value: Any, address: Address) -> Iterator[tuple[Address, Condition]]:
    """Every condition in a section of a home, with the address that it stands at."""
    if isinstance(value, Condition):
        yield address, value
    elif isinstance(value, BaseModel):
        for name, each in entries_of(value).items():
            yield from conditions_in(each, (*address, name))
    elif isinstance(value, Mapping):
        for name, each in value.items():
            yield from conditions_in(each, (*address, name))
    elif isinstance(value, tuple):
        for index, each in enumerate(value):
            yield from conditions_in(each, (*address, index))
