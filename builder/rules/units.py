"""Numbers that make no sense in the unit of their field, and do in another: millimetres for metres."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import BaseModel

from builder.home.survey import Survey
from builder.model.equipment import FactDefinition
from builder.model.home import Home
from builder.model.shape import bare, child_type, marked, marks
from builder.model.units import In
from builder.rules.rule import HomeRule, Problem, rule

_BASIS = "common practice: drawings are in millimetres and makers' papers in units of their own"


@rule("numbers.unit", "A number is in the unit of its field.", basis=_BASIS)
def numbers_are_in_their_unit(home: Survey) -> Iterator[Problem]:
    for name in _measured_sections():
        yield from home.kept.once(_in_another_unit, getattr(home.home, name), name)


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


def _in_another_unit(section: Any, name: str) -> tuple[Problem, ...]:
    """The first number of a section in another unit, and how many there are: they have one cause."""
    annotation = Home.model_fields[name].rebuild_annotation()
    found = [
        problem
        for address, value, own in marked(section, annotation, (name,))
        if isinstance(value, int | float) and not isinstance(value, bool)
        for unit in _units(own)[-1:]
        for problem in _problem(address, value, unit)
    ]
    if len(found) > 1:
        others = "one more number" if len(found) == 2 else f"{len(found) - 1} more numbers"  # noqa: PLR2004
        more = f"{found[0].wrong} So do{'es' * (len(found) == 2)} {others} of '{name}'."  # noqa: PLR2004
        return (replace(found[0], wrong=more),)
    return tuple(found)


@rule("numbers.fact-unit", "A fact of equipment is in the unit of its kind.", basis=_BASIS)
def facts_are_in_their_unit(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        known = home.home.kinds[piece.kind].facts
        for fact, value in piece.facts.items():
            unit = _unit(known.get(fact))
            if unit and isinstance(value, int | float) and not isinstance(value, bool):
                yield from _problem(("equipment", name, "facts", fact), value, unit)


def _unit(about: FactDefinition | None) -> In | None:
    if about is None or about.unit is None or about.least is None or about.most is None:
        return None
    return In(about.unit, about.least, about.most)


def _problem(address: tuple[str | int, ...], value: float, unit: In) -> Iterator[Problem]:
    meant = unit.meant(value)
    if meant is not None:
        yield Problem(
            address,
            f"{value:,.10g} stands here, and {unit.unit} are wanted: it looks like {meant.other}.",
            f"Write {meant.number}, or waive this rule if it is right.",
        )


UNITS: tuple[HomeRule, ...] = (numbers_are_in_their_unit, facts_are_in_their_unit)
