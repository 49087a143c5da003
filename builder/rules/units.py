"""Numbers that make no sense in the unit of their field, and do in another: millimetres for metres."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import BaseModel

from builder.errors import Severity
from builder.home.survey import Survey
from builder.layers.memo import Memo
from builder.model.equipment import FactDefinition
from builder.model.home import Home
from builder.model.shape import bare, child_type, marked, marks, type_at
from builder.model.units import In
from builder.rules.rule import HomeRule, Problem, rule

_BASIS = "common practice: drawings are in millimetres and makers' papers in units of their own"
_BASIS_OF_LIMITS = "common practice: far beyond what is built or fitted in homes"


@rule("numbers.unit", "A number is in the unit of its field.", basis=_BASIS)
def numbers_are_in_their_unit(home: Survey) -> Iterator[Problem]:
    yield from _first_of_each_section(home, impossible=False)


@rule(
    "numbers.impossible", "A number is one that a home can have.",
    basis=_BASIS_OF_LIMITS, severity=Severity.ERROR,
)  # fmt: skip
def numbers_are_possible(home: Survey) -> Iterator[Problem]:
    yield from _first_of_each_section(home, impossible=True)


def _first_of_each_section(home: Survey, *, impossible: bool) -> Iterator[Problem]:
    """The first wrong number of a section, and how many more there are: they have one cause."""
    for name in _measured_sections():
        found = _wrong_numbers(getattr(home.home, name), name, home.kept)
        yield from _one_of_all([each for each, cannot_be in found if cannot_be == impossible], name)


@cache
def _measured_sections() -> tuple[str, ...]:
    """The sections of a home that hold a number with a unit."""
    named = {name: info.rebuild_annotation() for name, info in Home.model_fields.items()}
    return tuple(name for name, annotation in named.items() if _is_measured(annotation, ()))


def _is_measured(annotation: Any, above: tuple[object, ...]) -> bool:
    here = bare(annotation)
    if here in above:
        return False
    if isinstance(here, type) and issubclass(here, BaseModel):
        held = [info.rebuild_annotation() for info in here.model_fields.values()]
        return any(_is_measured(each, (*above, here)) for each in held)
    inner = child_type(annotation, 0)
    return bool(_units(marks(annotation))) or (inner is not None and _is_measured(inner, above))


def _units(own: tuple[object, ...]) -> list[In]:
    return [mark for mark in own if isinstance(mark, In)]


Wrong = tuple[tuple[Problem, bool], ...]
"""What is wrong with numbers, and whether each is impossible."""


def _wrong_numbers(section: Any, name: str, kept: Memo) -> Wrong:
    """What is wrong with the numbers of a section; each of its entries is read once for all homes that
    share it, since options change one or two of many."""
    if not isinstance(section, Mapping):
        return kept.once(_wrong_within, section, kept.same((name,)))
    return tuple(
        wrong
        for key, entry in section.items()
        for wrong in kept.once(_wrong_within, entry, kept.same((name, key)))
    )


def _wrong_within(value: Any, address: tuple[str, ...]) -> Wrong:
    return tuple(
        (problem, unit.is_impossible(number))
        for place, number, own in marked(value, type_at(Home, address), address)
        if isinstance(number, int | float) and not isinstance(number, bool)
        for unit in _units(own)[-1:]
        for problem in _problem(place, number, unit)
    )


def _one_of_all(found: list[Problem], section: str) -> list[Problem]:
    if len(found) < 2:  # noqa: PLR2004
        return found
    others = "does one more number" if len(found) == 2 else f"do {len(found) - 1} more numbers"  # noqa: PLR2004
    return [replace(found[0], wrong=f"{found[0].wrong} So {others} of '{section}'.")]


@rule("numbers.fact-unit", "A fact of equipment is in the unit of its kind.", basis=_BASIS)
def facts_are_in_their_unit(home: Survey) -> Iterator[Problem]:
    yield from _wrong_facts(home, impossible=False)


@rule(
    "numbers.impossible-fact", "A fact of equipment is one that its kind can have.",
    basis=_BASIS_OF_LIMITS, severity=Severity.ERROR,
)  # fmt: skip
def facts_are_possible(home: Survey) -> Iterator[Problem]:
    yield from _wrong_facts(home, impossible=True)


def _wrong_facts(home: Survey, *, impossible: bool) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        known = home.home.kinds[piece.kind].facts
        for fact, value in piece.facts.items():
            unit = _unit(known.get(fact))
            is_number = isinstance(value, int | float) and not isinstance(value, bool)
            if unit and is_number and unit.is_impossible(float(value)) == impossible:
                yield from _problem(("equipment", name, "facts", fact), float(value), unit)


def _unit(about: FactDefinition | None) -> In | None:
    if about is None or about.unit is None or about.least is None or about.most is None:
        return None
    return In(about.unit, about.least, about.most)


def _problem(address: tuple[str | int, ...], value: float, unit: In) -> Iterator[Problem]:
    meant = unit.meant(value)
    waive = "" if unit.is_impossible(value) else ", or waive this rule if it is right"
    if meant is not None:
        yield Problem(
            address,
            f"{value:,.10g} stands here, and {unit.unit} are wanted: it looks like {meant.other}.",
            f"Write {meant.number}{waive}.",
        )
    elif unit.is_impossible(value):
        yield Problem(
            address,
            f"{value:,.10g} stands here, and {unit.unit} are wanted: no home has that.",
            f"Homes have {unit.least:,g} to {unit.most:,g}.",
        )


UNITS: tuple[HomeRule, ...] = (
    numbers_are_in_their_unit, numbers_are_possible, facts_are_in_their_unit, facts_are_possible,
)  # fmt: skip
